"""How one person tasted, as two small strips: cups tasted of those served, and how far from the table."""

from wetleaf.findings.book import Estimate
from wetleaf.findings.drawings.dot_interval import interval_line
from wetleaf.findings.drawings.scales import Axis
from wetleaf.findings.drawings.spoken import said_interval, said_value
from wetleaf.findings.drawings.svg import element, small_drawing

_WIDTH = 128
_MOST_SINGLE_CUPS = 24


def cups_strip(cups: int, possible: int) -> str:
    """Draw a mark a cup, solid when tasted; with many cups one bar, filled as far as they go."""
    marks = _single_cups(cups, possible) if possible <= _MOST_SINGLE_CUPS else _one_bar(cups, possible)
    width = _strip_width(possible)
    return small_drawing(*marks, width=width, height=16, title=f"{cups} of {possible} cups", class_="strip")


def level_strip(level: Estimate) -> str:
    """Draw how far below or above the table a taster's scores stand; the upright is the table."""
    axis = Axis(level.scale_low, level.scale_high, 5, 115)
    return small_drawing(
        element("line", class_="hair", x1=5, x2=115, y1=8, y2=8),
        element("line", class_="axis", x1=axis.at(0), x2=axis.at(0), y1=1, y2=15),
        interval_line(level, axis, 8, class_="iv"),
        element("circle", class_="dot", cx=axis.at(level.value), cy=8, r=3.8),
        width=120,
        height=16,
        title=f"{said_value(level)}, interval {said_interval(level)}, zero is the table",
        class_="strip",
    )


def _strip_width(possible: int) -> float:
    return min(_WIDTH, max(14, possible * 7 + 2)) if possible <= _MOST_SINGLE_CUPS else _WIDTH


def _single_cups(cups: int, possible: int) -> list[str]:
    width = min(4.5, (_WIDTH - 2) / max(possible, 1) - 1.5)
    step = min(7.0, (_WIDTH - 2) / max(possible, 1))
    return [
        element(
            "rect",
            class_="ready" if place < cups else "notready",
            x=0.7 + place * step,
            y=3,
            width=width,
            height=10,
        )
        for place in range(possible)
    ]


def _one_bar(cups: int, possible: int) -> list[str]:
    full = _WIDTH - 2
    return [
        element("rect", class_="notready", x=1, y=3, width=full, height=10),
        element("rect", class_="ready", x=1, y=3, width=full * min(cups, possible) / possible, height=10),
    ]
