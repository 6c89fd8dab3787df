"""A profile as dots with intervals: a row an attribute, a dot a lot, the house's tolerance as a shaded band.

One function draws it for a wide page and for a phone, so that type is never scaled below reading size.
"""

import textwrap
import unicodedata
from dataclasses import dataclass, replace
from typing import Literal

from wetleaf.findings.book import AnswerWord, Dot, Profile, ProfileRow
from wetleaf.findings.drawings.dot_interval import interval_line
from wetleaf.findings.drawings.marks import MOST_SHAPES, mark
from wetleaf.findings.drawings.scales import Axis, ticks
from wetleaf.findings.drawings.spoken import said_answer, said_dot, said_tick
from wetleaf.findings.drawings.svg import drawing, element, words

_LINE = 15
_SWATCH = {"yes": "ready", "no": "notready", "can't tell yet": "maybe-ready"}
_ROWS_TOLD = 3
_EXCLUDED_WIDTH, _ANSWER_WIDTH = 84.0, 112.0
_EXCLUDED_HEAD = "change excluded"
_QUESTION_LINE = 12  # a line of its own where there is no room beside the key


@dataclass(frozen=True)
class _Layout:
    """Where things stand in the wide and in the narrow drawing."""

    width: float
    axis_start: float
    axis_end: float
    answer_x: float
    label_letters: int
    most_ticks: int
    is_wide: bool
    step: float  # from dot to dot of a row, where it has two
    air: float  # above and below the dots of a row
    head: float  # between the key and the first row
    shown: str
    excluded_x: float = 0.0  # where the smallest excluded change is said, with the axis so much shorter


Medium = Literal["wide", "narrow", "paper"]
_LAYOUTS: dict[Medium, _Layout] = {
    "wide": _Layout(940, 150, 740, 780, 20, 11, True, 12, 12, 14, "wide-only"),
    "narrow": _Layout(358, 9, 349, 232, 26, 6, False, 12, 12, 14 + _QUESTION_LINE, "narrow-only"),
    "paper": _Layout(860, 118, 690, 730, 17, 11, True, 8, 5, 9, "paper-only"),
}


def profile_dots(profile: Profile, *, medium: Medium, key: str) -> str:
    """Draw a profile for a wide page, a phone or paper; `key` makes its ids, unlike any other in the page."""
    layout = _LAYOUTS[medium]
    if layout.is_wide and any(row.excluded for row in profile.rows):
        layout = _with_excluded(layout)
    axis = Axis(profile.scale_low, profile.scale_high, layout.axis_start, layout.axis_end)
    labels = marked_lots(profile)
    legend, top = _legend(profile, labels, layout)
    marks = [legend, _question(profile, layout, top)]
    y = top + layout.head
    for row in profile.rows:
        height = _row_height(row, layout)
        marks.append(_row(row, labels, y, height, axis, layout))
        y += height
    marks.append(_bottom_axis(axis, y + 4, layout))
    return drawing(
        *marks,
        width=layout.width,
        height=y + (34 if medium != "paper" else 26),
        title=f"{profile.title}: dots with intervals",
        desc=_told(profile),
        key=key,
        class_=f"plot {layout.shown}",
    )


def _with_excluded(layout: _Layout) -> _Layout:
    """Make room for the smallest change that could be excluded, beside the answer."""
    return replace(
        layout,
        axis_end=layout.axis_end - _EXCLUDED_WIDTH,
        answer_x=layout.answer_x - _EXCLUDED_WIDTH,
        excluded_x=layout.answer_x - _EXCLUDED_WIDTH + _ANSWER_WIDTH,
    )


def marked_lots(profile: Profile) -> tuple[str, ...]:
    """The labels of the dots, in the order of their marks."""
    seen = dict.fromkeys(profile.labels)
    seen.update(dict.fromkeys(dot.label for row in profile.rows for dot in row.dots))
    return tuple(seen)


def _told(profile: Profile) -> str:
    rows = "; ".join(
        f"{row.attribute}: {', '.join(map(said_dot, row.dots))}" for row in profile.rows[:_ROWS_TOLD]
    )
    return f"First rows: {rows}. All rows are in the table below."


# ---------- the key on top ----------


def _legend(profile: Profile, labels: tuple[str, ...], layout: _Layout) -> tuple[str, float]:
    """Write the key, flowing into as many lines as it needs, and return where it ends."""
    has_band = any(row.band_low is not None for row in profile.rows)
    entries = [(label, 24 + text_width(label) + 20) for label in labels]
    if has_band:
        entries.append(("house tolerance", 34 + text_width("house tolerance") + 20))
    if profile.decides:
        entries.append((profile.decides, 34 + text_width(profile.decides) + 20))
    parts: list[str] = []
    x, y = layout.axis_start, 16.0
    for place, (_, width) in enumerate(entries):
        if x > layout.axis_start and x + width - 20 > layout.width:
            x, y = layout.axis_start, y + 19
        if place < len(labels):
            parts.append(_lot_entry(profile, labels, place, x, y))
        else:
            is_line = entries[place][0] == profile.decides
            parts.append(_line_entry(profile.decides, x, y) if is_line else _band_entry(x, y))
        x += width
    return "".join(parts), y + 10


def _lot_entry(profile: Profile, labels: tuple[str, ...], place: int, x: float, y: float) -> str:
    label = labels[place]
    this = any(dot.is_this for row in profile.rows for dot in row.dots if dot.label == label)
    return mark(place, len(labels), x + 7, y, is_this=this) + element(
        "text", words(label), class_="strong" if this else None, x=x + 19, y=y + 4.5
    )


def _band_entry(x: float, y: float) -> str:
    return element("rect", class_="band", x=x, y=y - 8, width=26, height=15) + element(
        "text", words("house tolerance"), x=x + 33, y=y + 4.5
    )


def _line_entry(decides: str, x: float, y: float) -> str:
    return element("line", class_="iv", x1=x, x2=x + 26, y1=y, y2=y) + element(
        "text", words(decides), x=x + 33, y=y + 4.5
    )


def text_width(text: str, *, letter: float = 6.6) -> float:
    """Estimate how wide a label runs at 13 px: signs of the East are twice as wide as letters."""
    return sum(13.2 if unicodedata.east_asian_width(sign) in "WF" else letter for sign in text)


def _question(profile: Profile, layout: _Layout, top: float) -> str:
    asked = {row.answer.question for row in profile.rows}
    y = top + (6 if layout.is_wide else _QUESTION_LINE)
    heads = [(asked.pop(), layout.answer_x)] if len(asked) == 1 else []
    heads += [(_EXCLUDED_HEAD, layout.excluded_x)] if layout.excluded_x else []
    return "".join(element("text", words(text), class_="ax", x=x, y=y) for text, x in heads)


# ---------- a row ----------


def _row_height(row: ProfileRow, layout: _Layout) -> float:
    dots = len(row.dots) * _dot_step(len(row.dots), layout) + layout.air
    label = _head_height(row, layout)
    return max(dots, label + layout.air) if layout.is_wide else dots + label + 8


def _dot_step(count: int, layout: _Layout) -> float:
    if count > MOST_SHAPES:
        return 15.0
    return layout.step if count <= 2 else min(layout.step, 10.0)


def _label_lines(row: ProfileRow, layout: _Layout) -> list[str]:
    return textwrap.wrap(row.attribute, layout.label_letters) or [""]


def _head_height(row: ProfileRow, layout: _Layout) -> float:
    """What the words of a row need in height: its label, and on a phone the excluded change below it."""
    below = 1 if row.excluded and not layout.is_wide else 0
    return (len(_label_lines(row, layout)) + below) * _LINE


def _row(
    row: ProfileRow, labels: tuple[str, ...], y: float, height: float, axis: Axis, layout: _Layout
) -> str:
    dots_top = y if layout.is_wide else y + _head_height(row, layout) + 6
    dots_height = y + height - dots_top
    middle = dots_top + dots_height / 2
    return "".join(
        (
            element("line", class_="hair", x1=0, x2=layout.width, y1=y, y2=y),
            _band(row, axis, dots_top, dots_height),
            *(_end_tick(x, middle) for x in (axis.start, axis.end)),
            _label(row, y, height, layout),
            _answer(row, y, height, layout),
            _excluded(row, y, height, layout),
            *_dots(row, labels, axis, middle, layout),
        )
    )


def _band(row: ProfileRow, axis: Axis, top: float, height: float) -> str:
    if row.band_low is None or row.band_high is None:
        return ""
    start, end = axis.at(row.band_low), axis.at(row.band_high)
    return element(
        "rect", class_="band", x=start, y=top + 3, width=max(end - start, 1), height=height - 6
    ) + (
        "".join(
            element("line", class_="band-edge", x1=x, x2=x, y1=top + 3, y2=top + height - 3)
            for x in (start, end)
        )
    )


def _end_tick(x: float, middle: float) -> str:
    return element("line", class_="tick", x1=x, x2=x, y1=middle - 4, y2=middle + 4)


def _label(row: ProfileRow, y: float, height: float, layout: _Layout) -> str:
    lines = _label_lines(row, layout)
    first = y + height / 2 + 4.5 - (len(lines) - 1) * _LINE / 2 if layout.is_wide else y + 17
    x = 0 if layout.is_wide else layout.axis_start
    return "".join(
        element("text", words(line), class_="strong", x=x, y=first + place * _LINE)
        for place, line in enumerate(lines)
    )


def _answer(row: ProfileRow, y: float, height: float, layout: _Layout) -> str:
    baseline = y + height / 2 + 4.5 if layout.is_wide else y + 17
    text = said_answer(row.answer)
    if row.answer.answer is None:
        return element("text", words(text), class_="ax", x=layout.answer_x, y=baseline)
    return _swatch(row.answer.answer, layout.answer_x, baseline) + element(
        "text", words(text), x=layout.answer_x + 21, y=baseline
    )


def _excluded(row: ProfileRow, y: float, height: float, layout: _Layout) -> str:
    """The smallest change that could be excluded: beside the answer, on a phone below the label."""
    if not row.excluded:
        return ""
    if layout.is_wide:
        said = words(f"{row.excluded} or more")
        return element("text", said, class_="ax", x=layout.excluded_x, y=y + height / 2 + 4.5)
    below = y + 17 + len(_label_lines(row, layout)) * _LINE
    said = words(f"{_EXCLUDED_HEAD} {row.excluded} or more")
    return element("text", said, class_="ax", x=layout.axis_start, y=below)


def _swatch(answer: AnswerWord, x: float, baseline: float) -> str:
    return element("rect", class_=_SWATCH[answer], x=x, y=baseline - 9, width=14, height=9)


def _dots(row: ProfileRow, labels: tuple[str, ...], axis: Axis, middle: float, layout: _Layout) -> list[str]:
    step = _dot_step(len(row.dots), layout)
    first = middle - (len(row.dots) - 1) * step / 2
    return [_dot(dot, labels, first + place * step, axis) for place, dot in enumerate(row.dots)]


def _dot(dot: Dot, labels: tuple[str, ...], y: float, axis: Axis) -> str:
    if dot.estimate is None:
        said = words(f"{dot.label}: not scored")
        return element("text", said, class_="ax halo", x=axis.end - 6, y=y + 4, text_anchor="end")
    line = interval_line(dot.estimate, axis, y, class_="iv" if dot.is_this else "iv light")
    place = labels.index(dot.label)
    return line + mark(place, len(labels), axis.at(dot.estimate.value), y, is_this=dot.is_this)


def _bottom_axis(axis: Axis, y: float, layout: _Layout) -> str:
    marks = [
        element("line", class_="hair", x1=0, x2=layout.width, y1=y - 4, y2=y - 4),
        element("line", class_="axis", x1=axis.start, x2=axis.end, y1=y, y2=y),
    ]
    for value in ticks(axis.low, axis.high, most=layout.most_ticks):
        x = axis.at(value)
        marks.append(element("line", class_="tick", x1=x, x2=x, y1=y, y2=y + 5))
        marks.append(
            element("text", words(said_tick(value)), class_="ax", x=x, y=y + 19, text_anchor="middle")
        )
    return "".join(marks)
