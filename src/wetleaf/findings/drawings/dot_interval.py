"""The dot with its interval, small enough to stand in a row of the book."""

from wetleaf.findings.book import Estimate
from wetleaf.findings.drawings.scales import Axis
from wetleaf.findings.drawings.spoken import has_interval, said_interval, said_scale, said_tick, said_value
from wetleaf.findings.drawings.svg import element, small_drawing, words

WIDTH = 104
HEIGHT = 22
_MARGIN = 5


def dot_interval(estimate: Estimate) -> str:
    """Draw one estimate on its own scale: ends as ticks, the interval as a line, the value as a dot."""
    axis = _axis(estimate.scale_low, estimate.scale_high)
    middle = HEIGHT / 2
    return small_drawing(
        element("line", class_="hair", x1=axis.start, x2=axis.end, y1=middle, y2=middle),
        *(_end_tick(x, middle) for x in (axis.start, axis.end)),
        interval_line(estimate, axis, middle, class_="iv"),
        element("circle", class_="dot", cx=axis.at(estimate.value), cy=middle, r=3.6),
        width=WIDTH,
        height=HEIGHT,
        title=f"{said_value(estimate)}, {_told(estimate)}, "
        f"on {said_scale(estimate.scale_low, estimate.scale_high)}",
        class_="dotiv",
    )


def _told(estimate: Estimate) -> str:
    return f"interval {said_interval(estimate)}" if has_interval(estimate) else said_interval(estimate)


def scale_head(low: float, high: float) -> str:
    """Draw the two ends of the scale, to stand over a column of dots."""
    axis = _axis(low, high)
    return element(
        "svg",
        element("text", words(said_tick(low)), class_="ax", x=axis.start, y=11),
        element("text", words(said_tick(high)), class_="ax", x=axis.end, y=11, text_anchor="end"),
        class_="dotiv",
        viewBox=f"0 0 {WIDTH} 14",
        width=WIDTH,
        height=14,
        aria_hidden="true",
    )


def interval_line(estimate: Estimate, axis: Axis, y: float, *, class_: str) -> str:
    """Draw the interval as a line, or nothing where it has no ends."""
    if not has_interval(estimate):
        return ""
    return element("line", class_=class_, x1=axis.at(estimate.low), x2=axis.at(estimate.high), y1=y, y2=y)


def _axis(low: float, high: float) -> Axis:
    return Axis(low, high, _MARGIN, WIDTH - _MARGIN)


def _end_tick(x: float, middle: float) -> str:
    return element("line", class_="tick", x1=x, x2=x, y1=middle - 2.5, y2=middle + 2.5)
