"""Where a label may stand beside its dot without lying on another: the first free place, in a fixed order."""

from collections.abc import Sequence
from dataclasses import dataclass

_AWAY = 3.0


@dataclass(frozen=True)
class Box:
    """A rectangle in the drawing's units; y grows downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def overlap(self, other: "Box") -> float:
        """Return the area that both cover.

        >>> Box(0, 0, 2, 2).overlap(Box(1, 1, 3, 3)), Box(0, 0, 1, 1).overlap(Box(1, 0, 2, 1))
        (1, 0)
        """
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.bottom, other.bottom) - max(self.top, other.top)
        return wide * high if wide > 0 and high > 0 else 0

    def inside(self, frame: "Box") -> bool:
        """Whether the frame holds all of it."""
        return (
            self.left >= frame.left
            and self.right <= frame.right
            and self.top >= frame.top
            and self.bottom <= frame.bottom
        )


def placed(
    dot: Box, size: tuple[float, float], taken: Sequence[Box], frame: Box, *, at_any_price: bool = False
) -> Box | None:
    """Return where a label of this size (width, height) stands: right, left, above or below, then askew.

    None when every place inside the frame lies on something taken; `at_any_price` the one that covers least.

    >>> placed(Box(10, 10, 20, 20), (30, 10), [], Box(0, 0, 100, 100))
    Box(left=23.0, top=10.0, right=53.0, bottom=20.0)
    """
    places = [box for box in _places(dot, size) if box.inside(frame)]
    covered = [sum(box.overlap(other) for other in taken if other != dot) for box in places]
    if not places:
        return None
    least = min(covered)
    return places[covered.index(least)] if least == 0 or at_any_price else None


def _places(dot: Box, size: tuple[float, float]) -> list[Box]:
    width, height = size
    middle_x, middle_y = (dot.left + dot.right) / 2, (dot.top + dot.bottom) / 2
    right, left = dot.right + _AWAY, dot.left - _AWAY - width
    above, below = dot.top - _AWAY / 2 - height, dot.bottom + _AWAY / 2
    beside = middle_y - height / 2
    corners = [
        (right, beside),
        (left, beside),
        (middle_x - width / 2, above),
        (middle_x - width / 2, below),
        (right, above + height / 2),
        (right, below - height / 2),
        (left, above + height / 2),
        (left, below - height / 2),
    ]
    return [Box(x, y, x + width, y + height) for x, y in corners]
