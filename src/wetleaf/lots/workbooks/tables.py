"""Where the tables of a sheet are: header rows, what stands above them, their data rows, side by side or stacked.

Nothing is said here of what a column means (see `recognising.py`), only which row heads which rows.
"""

import re
from dataclasses import dataclass, field
from functools import lru_cache

from wetleaf.lots.workbooks.grid import Grid, as_text, is_blank
from wetleaf.lots.workbooks.headings import all_ways, fold, known_ways, likenesses

LONGEST_HEAD = 60
STRONG = 0.7
_TOTALS = re.compile(
    r"^\W*(?:(?:grand |sub ?-?)?(?:sum|totals?)|average|avg|means?|median|count|summen?|gesamt|zwischensumme|mittel(?:wert)?"
    r"|durchschnitt|moyennes?|sommes?|totaux|std\.? ?dev|sd|[øΣ∑]|panel mean|合计|合計|总计|總計|平均|小计|小計|計)(?:\b|(?<=[\u3400-\u9fff]))"
    r"(?:\W.*|\s+(?:of|for|all|kg|value|stock|score|panel)\b.*)?$",
    re.IGNORECASE,
)
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


@dataclass
class Table:
    """One table on a sheet; `rows` are its data rows, `titles` the texts above it, nearest last."""

    grid: Grid
    header_rows: tuple[int, ...]
    heads: tuple[Head, ...]
    rows: list[int]
    titles: tuple[str, ...] = ()
    ignored: list[tuple[int, str]] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The sheet's name; "" in a CSV."""
        return self.grid.name


def text_of(grid: Grid, row: int, column: int) -> str:
    """Give what a cell says, stripped."""
    return as_text(grid.at(row, column).value).strip()


def header_strength(texts: dict[int, str]) -> float:
    """Rate a row as a header: the most field names, each once, that it holds as some kind of table."""
    best = 0.0
    for role in known_ways():
        taken: dict[str, float] = {}
        for text in texts.values():
            for like in likenesses(role, text)[:2]:
                if like.score >= STRONG and like.field not in taken:
                    taken[like.field] = like.score
                    break
        if len(taken) >= 2:
            share = len(taken) / len(texts)
            best = max(best, sum(taken.values()) * (0.5 + 0.5 * share))
    return best


def find_tables(grid: Grid, header_row: int | None = None) -> list[Table]:
    """Find the tables of a sheet by rows that look like headers; `header_row` overrides the search."""
    headers = [header_row] if header_row else _header_rows(grid)
    tables: list[Table] = []
    for number, row in enumerate(headers):
        last = headers[number + 1] - 1 if number + 1 < len(headers) else grid.rows
        heads, rows = _heads(grid, row)
        first = max(rows) + 1
        titles = _titles(grid, min(rows), headers[number - 1] if number else 0)
        last = _trim(grid, first, last, number + 1 < len(headers), heads)
        for run in _runs(grid, heads, first, last):
            data = [r for r in range(first, last + 1) if any(not is_blank(grid.at(r, h.column)) for h in run)]
            tables.append(Table(grid, tuple(sorted(rows)), run, data, titles))
    return tables


def _texts(grid: Grid, row: int) -> dict[int, str]:
    return {
        column: text_of(grid, row, column)
        for column in range(1, grid.columns + 1)
        if not is_blank(grid.at(row, column))
    }


_NUMBER_LIKE = re.compile(r"^[\s\d.,;:/%½+<>=~-]*$")


def _is_label(grid: Grid, row: int, column: int) -> bool:
    value = grid.at(row, column).value
    if not isinstance(value, str) or len(value) > LONGEST_HEAD or grid.at(row, column).error:
        return False
    return not _NUMBER_LIKE.match(value)


def _header_rows(grid: Grid) -> list[int]:
    found: list[int] = []
    weak: list[int] = []
    for row in grid.filled_rows():
        texts = _texts(grid, row)
        labels = {c: t for c, t in texts.items() if _is_label(grid, row, c)}
        if len(labels) < 2 or len(labels) < 0.8 * len(texts):
            continue
        if _may_start(grid, row, labels, found) and header_strength(labels) >= 1.25:
            found.append(row)
        elif not found and not weak and _heads_numbers(grid, row, labels):
            weak.append(row)
    return _without_doubles(grid, found) if found else weak[:1]


def _may_start(grid: Grid, row: int, labels: dict[int, str], found: list[int]) -> bool:
    """A row inside a table is a new header only after a gap, or when it plainly names fields.

    Cheap looks come first: a long list has thousands of rows that are nothing but text.
    """
    if found and row > found[-1] + 1:
        after_gap = len(_texts(grid, row - 1)) <= 1
        plain = sum(1 for text in labels.values() if fold(text) in all_ways())
        if plain < (1 if after_gap else 3) or (not after_gap and plain < 0.6 * len(labels)):
            return False
    first = list(labels.values())[:6]
    return any(_known(text) for text in first)


@lru_cache(maxsize=50_000)
def _known(text: str) -> bool:
    return any(like.score >= STRONG for role in known_ways() for like in likenesses(role, text)[:1])


def _without_doubles(grid: Grid, found: list[int]) -> list[int]:
    """Of two header rows that stand together keep the one that names more; the other becomes its group row."""
    kept: list[int] = []
    for row in found:
        if kept and row == kept[-1] + 1:
            if header_strength(_texts(grid, row)) > header_strength(_texts(grid, kept[-1])):
                kept[-1] = row
            continue
        kept.append(row)
    return kept


def _heads_numbers(grid: Grid, row: int, labels: dict[int, str]) -> bool:
    below = [r for r in range(row + 1, min(row + 4, grid.rows + 1)) if _texts(grid, r)]
    cells = [grid.at(r, c) for r in below for c in labels]
    filled = [cell for cell in cells if not is_blank(cell)]
    numbers = [
        cell
        for cell in filled
        if not isinstance(cell.value, str) or re.match(r"^\s*[\d.,½]+\s*$", cell.value)
    ]
    return len(labels) >= 2 and len(filled) >= 2 and len(numbers) >= 0.4 * len(filled)


def _heads(grid: Grid, row: int) -> tuple[tuple[Head, ...], set[int]]:
    """Read the header at a row together with a group row above, a row below that it spans, and a row of units."""
    own = _texts(grid, row)
    rows = {row}
    above = _group_row(grid, row, own)
    below = _lower_row(grid, row, own)
    units = _unit_row(grid, row + 1, own) if not below else {}
    groups = _spread(grid, row - 1, above) if above else _spread(grid, row, own) if below else {}
    rows |= {row - 1} if above else set()
    rows |= {row + 1} if below or units else set()
    columns = sorted(set(own) | set(above) | set(below))
    heads = []
    for column in columns:
        text = below.get(column) or own.get(column) or above.get(column, "")
        group = groups.get(column, "") if (below.get(column) or own.get(column)) else ""
        group = "" if below and column not in below else group
        heads.append(Head(column, text, group, units.get(column, "")))
    return tuple(heads), rows


def _group_row(grid: Grid, row: int, own: dict[int, str]) -> dict[int, str]:
    """The labels just above a header, if they group its columns rather than give the sheet a title."""
    if row < 2:
        return {}
    labels = {c: t for c, t in _texts(grid, row - 1).items() if c <= max(own) and _is_label(grid, row - 1, c)}
    if len(labels) < 1 or len(labels) != len([c for c in _texts(grid, row - 1) if c <= max(own)]):
        return {}
    merged_over = [c for c in labels if (m := grid.merge_of(row - 1, c)) and m[3] > m[1] and m[2] < row]
    merged_down = [c for c in labels if (m := grid.merge_of(row - 1, c)) and m[2] >= row]
    if len(labels) == 1:
        only = next(iter(labels))
        return labels if (merged_over and only > min(own)) or merged_down else {}
    return labels if merged_over or merged_down or len(labels) < len(own) else {}


def _lower_row(grid: Grid, row: int, own: dict[int, str]) -> dict[int, str]:
    """The labels just below a header row whose labels are merged over them, or down beside them."""
    wide = [c for c in own if (m := grid.merge_of(row, c)) and m[3] > m[1]]
    down = [c for c in own if (m := grid.merge_of(row, c)) and m[2] == row + 1]
    labels = _texts(grid, row + 1)
    if not labels or not (wide or down) or any(not _is_label(grid, row + 1, c) for c in labels):
        return {}
    covered = {c for w in wide for c in range(w, grid.merge_of(row, w)[3] + 1)}  # type: ignore[index]
    return labels if set(labels) <= covered | (set() if not down else set(labels) - set(down)) else {}


def _unit_row(grid: Grid, row: int, own: dict[int, str]) -> dict[int, str]:
    labels = {c: t for c, t in _texts(grid, row).items() if c in own}
    if not labels or any(not _is_label(grid, row, c) for c in labels):
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


def _titles(grid: Grid, first_header: int, previous: int) -> tuple[str, ...]:
    """The texts that stand above a table alone in their rows."""
    titles: list[str] = []
    for row in range(max(previous + 1, first_header - 12), first_header):
        texts = _texts(grid, row)
        if 1 <= len(texts) <= 4:
            titles.extend(texts.values())
    return tuple(titles)


def _trim(grid: Grid, first: int, last: int, another: bool, heads: tuple[Head, ...]) -> int:
    """Take the titles of the next table off the end of this one."""
    while another and last >= first:
        texts = _texts(grid, last)
        if len(texts) <= 1 or all(h.column not in texts for h in heads):
            last -= 1
        else:
            break
    return last


def _runs(grid: Grid, heads: tuple[Head, ...], first: int, last: int) -> list[tuple[Head, ...]]:
    """Cut the heads where an empty column parts two tables that can each stand alone."""
    runs: list[list[Head]] = [[]]
    for head in heads:
        gap = runs[-1] and head.column > runs[-1][-1].column + 1
        if gap and _is_empty_strip(grid, runs[-1][-1].column + 1, head.column - 1, first, last):
            runs.append([])
        runs[-1].append(head)
    if len(runs) > 1 and all(_stands_alone(run) for run in runs):
        return [tuple(run) for run in runs]
    return [heads]


def _is_empty_strip(grid: Grid, left: int, right: int, first: int, last: int) -> bool:
    return all(
        is_blank(grid.at(row, column)) for row in range(first, last + 1) for column in range(left, right + 1)
    )


def _stands_alone(run: list[Head]) -> bool:
    return len(run) >= 2 and header_strength({head.column: head.text for head in run}) >= 1.25


def is_totals_label(text: str) -> bool:
    """Say whether a text heads a row that sums up others.

    >>> is_totals_label("Sum (ignore)"), is_totals_label("Meanwhile Hill"), is_totals_label("合計")
    (True, False, True)
    """
    return bool(_TOTALS.match(text.strip()))


def turned(grid: Grid) -> Grid:
    """Lay a sheet on its side: rows become columns; places are still named as they stand in the file."""
    flat = Grid(
        grid.name,
        {(column, row): cell for (row, column), cell in grid.cells.items()},
        [(c1, r1, c2, r2) for r1, c1, r2, c2 in grid.merged],
        grid.hidden,
        comments=grid.comments,
        is_csv=grid.is_csv,
    )
    flat.turned = True
    return flat
