"""The heads of a table: the header row with a group row above it, a lower row and a row of units."""

import re
from dataclasses import dataclass

from wetleaf.lots.workbooks.grid import Grid, as_text, is_blank

LONGEST_HEAD = 60
_UNIT_ROW = re.compile(
    r"^\W*(?:m|ft|masl|metres?|kg|g|grams?|%|nt\$.*|£.*|€.*|\$.*|usd.*|eur.*|gbp.*|twd.*|¥.*|元.*|円.*|jin|lb|dd.?mm.*|date|"
    r"text|0\s?[-–]\s?10.*|1\s?[-–]\s?\d+.*|/\s?\d+|per .*|y/n|code|c°|°c|斤|公斤|克|公尺)\W*$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Head:
    """A column's head: its text, and the label of the group above it when there are two rows."""

    column: int
    text: str
    group: str = ""
    unit: str = ""

    @property
    def whole(self) -> str:
        """The text with the unit from a row below it, if there is one."""
        return f"{self.text} ({self.unit})" if self.unit else self.text


def text_of(grid: Grid, row: int, column: int) -> str:
    """Give what a cell says, stripped."""
    return as_text(grid.at(row, column).value).strip()


@dataclass(frozen=True)
class Strip:
    """A header on its way: its row and the columns it reaches over."""

    row: int
    first: int
    last: int
    tops: frozenset[int] = frozenset()
    heads: tuple[Head, ...] = ()

    def over(self, other: "Strip") -> bool:
        return self.first <= other.last and other.first <= self.last


def texts_in(grid: Grid, row: int, first: int = 1, last: int | None = None) -> dict[int, str]:
    end = last or grid.columns
    return {
        column: text_of(grid, row, column)
        for column in grid.by_row.get(row, ())
        if first <= column <= end and not is_blank(grid.at(row, column))
    }


_NUMBER_LIKE = re.compile(r"^[\s\d.,;:/%½+<>=~-]*$")


def is_label(grid: Grid, row: int, column: int) -> bool:
    value = grid.at(row, column).value
    if not isinstance(value, str) or len(value) > LONGEST_HEAD or grid.at(row, column).error:
        return False
    return not _NUMBER_LIKE.match(value)


def heads_of(grid: Grid, strip: Strip) -> tuple[tuple[Head, ...], set[int]]:
    """Read a header together with a group row above, a row below that it spans, and a row of units."""
    row = strip.row
    own = texts_in(grid, row, strip.first, strip.last)
    if not own:
        return (), {row}
    above = _group_row(grid, strip, own)
    below = _lower_row(grid, strip, own)
    units = _unit_row(grid, row + 1, own) if not below else {}
    groups = _spread(grid, row - 1, above) if above else _spread(grid, row, own) if below else {}
    rows = {row} | ({row - 1} if above else set()) | ({row + 1} if below or units else set())
    heads = []
    for column in sorted(set(own) | set(above) | set(below)):
        text = below.get(column) or own.get(column) or above.get(column, "")
        group = groups.get(column, "") if (below.get(column) or own.get(column)) else ""
        group = "" if below and column not in below else group
        heads.append(Head(column, text, group, units.get(column, "")))
    return tuple(heads), rows


def _group_row(grid: Grid, strip: Strip, own: dict[int, str]) -> dict[int, str]:
    """The labels just above a header, if they group its columns rather than give the sheet a title."""
    row = strip.row - 1
    if row < 1:
        return {}
    texts = texts_in(grid, row, strip.first, max(own))
    labels = {c: t for c, t in texts.items() if is_label(grid, row, c)}
    if not labels or len(labels) != len(texts):
        return {}
    merged_over = [c for c in labels if (m := grid.merge_of(row, c)) and m[3] > m[1] and m[2] == row]
    merged_down = [c for c in labels if (m := grid.merge_of(row, c)) and m[2] > row]
    if len(labels) == 1:
        only = next(iter(labels))
        return labels if (merged_over and only > min(own)) or merged_down else {}
    return labels if merged_over or merged_down or len(labels) < len(own) else {}


def _lower_row(grid: Grid, strip: Strip, own: dict[int, str]) -> dict[int, str]:
    """The labels just below a header row whose labels are merged over them, or down beside them."""
    row = strip.row
    merges = {c: m for c in own if (m := grid.merge_of(row, c))}
    wide = [m for m in merges.values() if m[3] > m[1]]
    down = {c for c, m in merges.items() if m[2] == row + 1}
    labels = texts_in(grid, row + 1, strip.first, strip.last)
    if not labels or not (wide or down) or any(not is_label(grid, row + 1, c) for c in labels):
        return {}
    covered = {c for m in wide for c in range(m[1], m[3] + 1)} | (set(labels) - down if down else set())
    return labels if set(labels) <= covered else {}


def _unit_row(grid: Grid, row: int, own: dict[int, str]) -> dict[int, str]:
    labels = {c: t for c, t in texts_in(grid, row).items() if c in own}
    if not labels or any(not isinstance(grid.at(row, c).value, str) for c in labels):
        return {}
    units = {c: t.strip(" ()[]") for c, t in labels.items() if _UNIT_ROW.match(t)}
    return units if len(units) >= max(1, 0.8 * len(labels)) and len(labels) <= len(own) else {}


def _spread(grid: Grid, row: int, labels: dict[int, str]) -> dict[int, str]:
    """Give each column the group label over it: across a merge, or to the right until the next one."""
    merges = any((m := grid.merge_of(row, c)) and m[3] > m[1] for c in labels)
    spread: dict[int, str] = {}
    current = ""
    for column in range(1, grid.columns + 1):
        if column in labels:
            current = labels[column]
            spread[column] = current
        elif merges:
            merge = grid.merge_of(row, column)
            spread[column] = labels.get(merge[1], "") if merge else ""
        else:
            spread[column] = current
    return spread
