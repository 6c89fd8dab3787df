"""A value's place on its axis, and the ticks of the scale that the flight itself used."""

import math
from dataclasses import dataclass

_STEPS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 25, 50, 100)


@dataclass(frozen=True)
class Axis:
    """A scale from `low` to `high` laid from `start` to `end`, in the drawing's units."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Return where a value stands; what lies outside the scale stands at its end.

        >>> Axis(0, 7, 10, 80).at(3.5), Axis(0, 7, 10, 80).at(9)
        (45.0, 80.0)
        """
        if self.high <= self.low:
            return self.start
        share = (value - self.low) / (self.high - self.low)
        return self.start + (self.end - self.start) * min(1.0, max(0.0, share))


def ticks(low: float, high: float, *, most: int = 11) -> tuple[float, ...]:
    """Return the ticks of a scale, both ends among them, `most` at the most.

    >>> ticks(0, 7), ticks(0, 10, most=6), ticks(1, 9, most=6)
    ((0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0), (0.0, 2.0, 4.0, 6.0, 8.0, 10.0), (1.0, 3.0, 5.0, 7.0, 9.0))
    >>> ticks(0, 100, most=6)
    (0.0, 20.0, 40.0, 60.0, 80.0, 100.0)
    """
    span = high - low
    if span <= 0:
        return (float(low),)
    step = next((step for step in _STEPS if span / step <= most - 1 + 1e-9), span)
    count = math.floor(span / step + 1e-9)
    inner = [round(low + step * place, 6) for place in range(count + 1)]
    last_gap = high - inner[-1]
    if last_gap <= 1e-9:
        return tuple(float(tick) for tick in inner)
    kept = inner if last_gap > step / 2 and len(inner) < most else inner[:-1]
    return tuple(float(tick) for tick in (*kept, high))
