"""The range map: lots where their cups put them, an ellipse each, the emptiest region hatched.

Both axes have one unit, so that near is near whichever way one looks. The wide, the narrow and the paper
drawing are made by one function. What the shop keeps is in ink, everything else grey.
"""

import math
from dataclasses import dataclass, replace

from wetleaf.findings.book import EmptiestRegion, RangeMap, Spot
from wetleaf.findings.drawings.labels import Box, placed
from wetleaf.findings.drawings.profile_dots import Medium, text_width
from wetleaf.findings.drawings.spoken import said_number
from wetleaf.findings.drawings.svg import drawing, element, words

_MARGIN = 0.12  # of the wider side, about the lots
_MOST_OF_ELLIPSES = 0.45  # of the wider side: an ellipse wider than the map is cut at its edge
_LONGEST_NAME = 30  # letters; a longer one stands in the table only
_WITHOUT_ELLIPSES = 0.55  # of the height is enough where there are only dots
_LEAST_HEIGHT = 190.0
_HATCHED = 0.86  # of the empty circle, so that the lots about it stand free
_LOOK = {"kept": "ell kept", "line": "ell", "other": "ell grey"}
_NAMED_FIRST = {"kept": 0, "line": 1, "other": 2}  # and drawn last, above the others
KEY = {
    "kept": "kept in an earlier year",
    "line": "for a line of the shop",
    "other": "another sample",
}


@dataclass(frozen=True)
class _Layout:
    """The frame of the lots, and where the key stands."""

    width: float
    left: float
    top: float
    right: float
    bottom: float
    key_x: float
    key_y: float
    names: bool
    shown: str

    @property
    def height(self) -> float:
        return self.bottom + (24 if self.names else 42)


_LAYOUTS: dict[Medium, _Layout] = {
    "wide": _Layout(940, 6, 24, 730, 444, 752, 40, True, "wide-only"),
    "narrow": _Layout(358, 4, 106, 354, 400, 8, 14, False, "narrow-only"),
    "paper": _Layout(860, 6, 20, 660, 256, 680, 34, True, "paper-only"),
}


@dataclass(frozen=True)
class _View:
    """Map units to the drawing's: one unit for both axes, the middle of the lots in the middle."""

    unit: float
    x: float
    y: float
    x0: float
    y0: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        return self.x0 + (x - self.x) * self.unit, self.y0 - (y - self.y) * self.unit


def range_map(shown: RangeMap, *, medium: Medium, key: str) -> str:
    """Draw a range map for a wide page, a phone or paper; `key` makes its ids."""
    layout = _as_high_as_needed(shown, _LAYOUTS[medium])
    view = _view(shown, layout)
    frame = f"{key}-frame"
    return drawing(
        _clip(frame, layout),
        element("g", *_regions(shown, view), clip_path=f"url(#{frame})"),
        *_axes(shown, layout),
        *(_dot(spot, view) for spot in shown.spots),
        *_labels(shown, view, layout),
        *_legend(shown, layout),
        width=layout.width,
        height=layout.height,
        title=f"{shown.title}: the lots on two axes, with ellipses",
        desc=f"To the right {shown.right}; upwards {shown.up or 'nothing'}. {shown.say} "
        "All lots are in the table below.",
        key=key,
        class_=f"plot {layout.shown}",
    )


# ---------- units ----------


def _as_high_as_needed(shown: RangeMap, layout: _Layout) -> _Layout:
    """The frame made lower where the lots lie in a flat band, or are dots without ellipses."""
    low_x, high_x, low_y, high_y = _room(shown)
    high = layout.bottom - layout.top
    needed = (high_y - low_y) * (layout.right - layout.left) / (high_x - low_x)
    most = high if any(map(_has_ellipse, shown.spots)) else high * _WITHOUT_ELLIPSES
    return replace(layout, bottom=layout.top + min(most, max(needed, _LEAST_HEIGHT)))


def _view(shown: RangeMap, layout: _Layout) -> _View:
    low_x, high_x, low_y, high_y = _room(shown)
    unit = min(
        (layout.right - layout.left) / (high_x - low_x), (layout.bottom - layout.top) / (high_y - low_y)
    )
    middle = (layout.left + layout.right) / 2, (layout.top + layout.bottom) / 2
    return _View(unit, (low_x + high_x) / 2, (low_y + high_y) / 2, *middle)


def _room(shown: RangeMap) -> tuple[float, float, float, float]:
    """What has to be seen, in map units: the lots, their ellipses as far as they go, and a margin."""
    spots = [(spot.x, spot.y) for spot in shown.spots]
    side = max(_span([x for x, _ in spots]), _span([y for _, y in spots]), 1e-6)
    boxes = [_reach(spot, _MOST_OF_ELLIPSES * side) for spot in shown.spots]
    margin = _MARGIN * side
    return (
        min(box[0] for box in boxes) - margin,
        max(box[1] for box in boxes) + margin,
        min(box[2] for box in boxes) - margin,
        max(box[3] for box in boxes) + margin,
    )


def _span(values: list[float]) -> float:
    return max(values) - min(values)


def _reach(spot: Spot, most: float) -> tuple[float, float, float, float]:
    """The box of a lot and its ellipse, no further than `most` from the lot."""
    if not _has_ellipse(spot):
        return spot.x, spot.x, spot.y, spot.y
    cos, sin = math.cos(spot.turn), math.sin(spot.turn)
    dx = min(math.hypot(spot.half_long * cos, spot.half_short * sin), most)
    dy = min(math.hypot(spot.half_long * sin, spot.half_short * cos), most)
    return spot.x - dx, spot.x + dx, spot.y - dy, spot.y + dy


def _has_ellipse(spot: Spot) -> bool:
    return math.isfinite(spot.half_long) and math.isfinite(spot.half_short)


# ---------- inside the frame ----------


def _clip(frame: str, layout: _Layout) -> str:
    box = element(
        "rect",
        x=layout.left,
        y=layout.top,
        width=layout.right - layout.left,
        height=layout.bottom - layout.top,
    )
    return element("clipPath", box, id=frame)


def _regions(shown: RangeMap, view: _View) -> list[str]:
    hatch = [_hatched(shown.gap, view)] if shown.gap else []
    ellipses = [
        _ellipse(spot, view)
        for spot in sorted(shown.spots, key=lambda spot: -_NAMED_FIRST[spot.kind])
        if _has_ellipse(spot)
    ]
    return [*hatch, *ellipses]


def _hatched(gap: EmptiestRegion, view: _View) -> str:
    x, y = view.at(gap.x, gap.y)
    return element("circle", class_="hatched-wide", cx=x, cy=y, r=gap.radius * view.unit * _HATCHED)


def _ellipse(spot: Spot, view: _View) -> str:
    x, y = view.at(spot.x, spot.y)
    degrees = -math.degrees(spot.turn)
    return element(
        "ellipse",
        class_=_LOOK[spot.kind],
        cx=x,
        cy=y,
        rx=spot.half_long * view.unit,
        ry=spot.half_short * view.unit,
        transform=f"rotate({degrees:.1f} {x:.1f} {y:.1f})",
    )


def _dot(spot: Spot, view: _View) -> str:
    x, y = view.at(spot.x, spot.y)
    look = {"kept": "dot", "line": "dot", "other": "dot faint"}[spot.kind]
    return element("circle", class_=look, cx=x, cy=y, r=4.2 if spot.kind == "kept" else 3)


# ---------- words ----------


def _labels(shown: RangeMap, view: _View, layout: _Layout) -> list[str]:
    dots = [Box(x - 5, y - 5, x + 5, y + 5) for x, y in (view.at(spot.x, spot.y) for spot in shown.spots)]
    frame = Box(layout.left, layout.top, layout.right, layout.bottom)
    taken = [*dots]
    drawn = []
    if shown.gap:
        text, box = _said_in_gap(shown.gap, view)
        drawn.append(text)
        taken.append(box)
    pairs = zip(shown.spots, dots, strict=True)
    for spot, dot in sorted(pairs, key=lambda pair: _NAMED_FIRST[pair[0].kind]):
        lines = _lines(spot, layout)
        free = placed(dot, _size(lines), taken, frame)
        if free is None:
            lines = lines[:1]
            free = placed(dot, _size(lines), taken, frame, at_any_price=True)
        if free is not None:
            taken.append(free)
            drawn += _written(spot, lines, free, dot)
    return drawn


def _said_in_gap(gap: EmptiestRegion, view: _View) -> tuple[str, Box]:
    x, y = view.at(gap.x, gap.y)
    half = text_width(gap.says, letter=7) / 2
    text = element("text", words(gap.says), class_="aside halo", x=x, y=y + 5, text_anchor="middle")
    return text, Box(x - half, y - 10, x + half, y + 10)


def _lines(spot: Spot, layout: _Layout) -> list[str]:
    named = layout.names and spot.name and len(spot.name) <= _LONGEST_NAME
    return [spot.label, spot.name] if named else [spot.label]


def _size(lines: list[str]) -> tuple[float, float]:
    widths = [text_width(line, letter=7.2 if place == 0 else 5.8) for place, line in enumerate(lines)]
    return max(widths), 15.0 * len(lines)


def _written(spot: Spot, lines: list[str], box: Box, dot: Box) -> list[str]:
    """The lines of a label, towards its dot where it stands beside it."""
    if box.left >= dot.right:
        x, anchor = box.left, "start"
    elif box.right <= dot.left:
        x, anchor = box.right, "end"
    else:
        x, anchor = (box.left + box.right) / 2, "middle"
    grey = " grey" if spot.kind == "other" else ""
    looks = [("halo strong" if spot.kind == "kept" else "halo") + grey, f"ax halo{grey}"]
    return [
        element(
            "text", words(line), class_=looks[place], x=x, y=box.top + 12 + place * 14, text_anchor=anchor
        )
        for place, line in enumerate(lines)
    ]


def _axes(shown: RangeMap, layout: _Layout) -> list[str]:
    left, right, top, bottom = layout.left, layout.right, layout.top, layout.bottom
    low = bottom + 18
    marks = [
        element("line", class_="axis", x1=left, x2=right, y1=bottom, y2=bottom),
        element("line", class_="axis", x1=left, x2=left, y1=top, y2=bottom),
        _axis_word(f"↑ {shown.up}" if shown.up else "", left + 6, top + 8),
        _axis_word(f"↓ {shown.down}" if shown.down else "", left + 6, bottom - 8),
    ]
    if layout.names:
        return [
            *marks,
            _axis_word(f"← {shown.left}", left, low),
            _axis_word(f"{shown.right} →", right, low, "end"),
        ]
    return [
        *marks,
        _axis_word(f"← {shown.left}", left, low),
        _axis_word(f"{shown.right} →", right, low + 16, "end"),
    ]


def _axis_word(text: str, x: float, y: float, anchor: str = "start") -> str:
    return (
        element("text", words(text), class_="ax halo", x=x, y=y, text_anchor=anchor)
        if text.strip("← →")
        else ""
    )


# ---------- the key ----------


def _legend(shown: RangeMap, layout: _Layout) -> list[str]:
    kinds = [kind for kind in KEY if any(spot.kind == kind for spot in shown.spots)]
    drawn = any(map(_has_ellipse, shown.spots))
    marks = [_entry(kind, layout, place, drawn=drawn) for place, kind in enumerate(kinds)]
    if shown.gap:
        x, y = layout.key_x, layout.key_y + len(kinds) * 22
        marks.append(
            element("rect", class_="hatched-wide", x=x, y=y - 7, width=26, height=14)
            + element("text", words("the emptiest region"), x=x + 34, y=y + 4.5)
        )
    return marks


def _entry(kind: str, layout: _Layout, place: int, *, drawn: bool) -> str:
    x, y = layout.key_x, layout.key_y + place * 22
    look = {"kept": "dot", "line": "dot", "other": "dot faint"}[kind]
    ellipse = element("ellipse", class_=_LOOK[kind], cx=x + 13, cy=y, rx=13, ry=7) if drawn else ""
    return (
        ellipse
        + element("circle", class_=look, cx=x + 13, cy=y, r=3)
        + element(
            "text",
            words(KEY[kind]),
            class_={"kept": "strong", "other": "grey"}.get(kind),
            x=x + 34,
            y=y + 4.5,
        )
    )


def place_said(spot: Spot) -> str:
    """Say a lot's place for the table: to the right and up, in standard deviations."""
    return f"{said_number(spot.x)} across, {said_number(spot.y)} up"
