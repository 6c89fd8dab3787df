"""Where the tables of a sheet are: header rows, what stands above them, their data rows, side by
side or stacked.

Nothing is said here of what a column means (see `recognising.py`), only which row heads which rows.
"""

import re
from dataclasses import dataclass, field

from wetleaf.lots.workbooks.grid import Grid, is_blank
from wetleaf.lots.workbooks.header_rows import header_strips
from wetleaf.lots.workbooks.heads import Head, Strip, heads_of, texts_in

_TOTALS = re.compile(
    r"^\W*(?:(?:grand |sub ?-?)?(?:sum|totals?)|average|avg|means?|median|count|summen?|gesamt|zwischensumme|mittel(?:wert)?"  # noqa: E501
    r"|durchschnitt|moyennes?|sommes?|totaux|std\.? ?dev|sd|[øΣ∑]|panel mean|合计|合計|总计|總計|平均|小计|小計|計)(?:\b|(?<=[\u3400-\u9fff]))"  # noqa: E501
    r"(?:\W.*|\s+(?:of|for|all|kg|value|stock|score|panel)\b.*)?$",
    re.IGNORECASE,
)


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


def find_tables(grid: Grid, header_row: int | None = None, *, told: bool = False) -> list[Table]:
    """Find the tables of a sheet by rows that look like headers; `header_row` overrides the search. Where a
    table is `told` to be here and no header is known, the first row of two cells is its header.
    """
    strips = [Strip(header_row, 1, grid.columns)] if header_row else header_strips(grid)
    if told and not strips:
        first = next((row for row, columns in grid.by_row.items() if len(columns) > 1), None)
        strips = [Strip(first, 1, grid.columns)] if first else []
    read = [_with_heads(grid, strip) for strip in strips]
    tables = [_table(grid, strip, read) for strip in read]
    return [table for table in tables if table.heads]


def _with_heads(grid: Grid, strip: Strip) -> Strip:
    heads, rows = heads_of(grid, strip)
    last = max((head.column for head in heads), default=strip.last)
    return Strip(strip.row, strip.first, max(last, strip.last), frozenset(rows), heads)


def _table(grid: Grid, strip: Strip, strips: list[Strip]) -> Table:
    first = max(strip.tops) + 1
    below = [min(other.tops) for other in strips if other.over(strip) and min(other.tops) >= first]
    last = min(below) - 1 if below else grid.rows
    last = _trim(grid, first, last, bool(below), strip.heads)
    columns = [head.column for head in strip.heads]
    data = [row for row in range(first, last + 1) if any(not is_blank(grid.at(row, c)) for c in columns)]
    above = [max(other.tops) for other in strips if other.over(strip) and max(other.tops) < min(strip.tops)]
    alone = len(strips) == 1
    reach = (1, grid.columns) if alone else (strip.first, strip.last)
    titles = titles_above(grid, min(strip.tops), max(above, default=0), *reach)
    return Table(grid, tuple(sorted(strip.tops)), strip.heads, data, titles)


def titles_above(
    grid: Grid, first_header: int, previous: int, first: int = 1, last: int | None = None
) -> tuple[str, ...]:
    """The texts that stand above a table, few to a row; two in a row are a word and what it says."""
    titles: list[str] = []
    for row in range(max(previous + 1, first_header - 12), first_header):
        texts = list(texts_in(grid, row, first, last).values())
        if len(texts) == 2:
            titles.append(f"{texts[0].rstrip(' :：')}: {texts[1]}")
        if 1 <= len(texts) <= 4:
            titles.extend(texts)
    return tuple(titles)


def _trim(grid: Grid, first: int, last: int, another: bool, heads: tuple[Head, ...]) -> int:
    """Take the titles of the next table off the end of this one."""
    columns = [head.column for head in heads]
    while another and last >= first and columns:
        filled = sum(1 for c in range(min(columns), max(columns) + 1) if not is_blank(grid.at(last, c)))
        if filled > 1:
            break
        last -= 1
    return last


def is_totals_label(text: str) -> bool:
    """Say whether a text heads a row that sums up others.

    >>> is_totals_label("Sum (ignore)"), is_totals_label("Meanwhile Hill"), is_totals_label("SD/43")
    (True, False, False)
    """
    plain = text.strip()
    return bool(_TOTALS.match(plain)) and not re.fullmatch(r"[^\W\d_]{1,6}[-_/ .]?\d{1,5}\w?", plain)


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
