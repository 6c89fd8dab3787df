"""What a sheet holds before anything is understood: cells by row and column (both from 1), merges,
comments.
"""

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from wetleaf.lots.workbooks.records import Cell

Value = str | float | bool | dt.date | dt.time | None


class GridCell(NamedTuple):
    """One cell: its value as stored, its formula if it has one, and what its number format says."""

    value: Value = None
    formula: str = ""
    error: bool = False
    percent: bool = False


EMPTY = GridCell()


@dataclass
class Grid:
    """One sheet. Only cells that hold something are in `cells`; `name` is "" for a CSV file."""

    name: str
    cells: dict[tuple[int, int], GridCell] = field(default_factory=dict)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    hidden: bool = False
    hidden_columns: frozenset[int] = frozenset()
    comments: dict[tuple[int, int], str] = field(default_factory=dict)
    is_csv: bool = False
    turned: bool = False  # laid on its side to be read; places are named as they stand in the file

    def __post_init__(self) -> None:
        self.rows = max((row for row, _ in self.cells), default=0)
        self.columns = max((column for _, column in self.cells), default=0)
        self.by_row: dict[int, list[int]] = {}
        for row, column in sorted(self.cells):
            self.by_row.setdefault(row, []).append(column)
        self._anchor = {
            (row, column): merge
            for merge in self.merged
            if (merge[2] - merge[0] + 1) * (merge[3] - merge[1] + 1) <= MOST_MERGED
            for row in range(merge[0], merge[2] + 1)
            for column in range(merge[1], merge[3] + 1)
        }

    def at(self, row: int, column: int) -> GridCell:
        """Give the cell itself, not what a merge would show there."""
        return self.cells.get((row, column), EMPTY)

    def set(self, row: int, column: int, text: str) -> None:
        """Let a place say something else, as a mapping file does."""
        self.cells[row, column] = GridCell(text)
        self.__post_init__()

    def merge_of(self, row: int, column: int) -> tuple[int, int, int, int] | None:
        """Give the merge (first row, first column, last row, last column) a place belongs to."""
        return self._anchor.get((row, column))

    def shown(self, row: int, column: int) -> tuple[int, int, GridCell]:
        """Give the cell that is seen at a place, with where it stands: a merge shows its first
        cell everywhere.
        """
        merge = self._anchor.get((row, column)) if self._anchor else None
        if merge is not None:
            row, column = merge[0], merge[1]
        return row, column, self.cells.get((row, column), EMPTY)

    def name_of(self, row: int, column: int) -> str:
        """Name a place as the file does."""
        return place(column, row) if self.turned else place(row, column)

    def row_in_file(self, row: int, column: int) -> int:
        """Give the row number that a person sees for a place."""
        return column if self.turned else row

    def filled_rows(self) -> Iterator[int]:
        """Give the numbers of rows that hold something, in order."""
        return iter(self.by_row)


MOST_MERGED = 20_000  # a merge over a whole sheet is decoration, and costs memory


@dataclass
class Workbook:
    """A file's sheets as stored, with what the container says of dates and of its making."""

    kind: str
    grids: list[Grid]
    mac_days: bool = False
    date_formats: frozenset[str] = frozenset()
    encoding: str = ""
    separator: str = ""


def letters(column: int) -> str:
    """Name a column as a spreadsheet does.

    >>> letters(1), letters(28)
    ('A', 'AB')
    """
    name = ""
    while column:
        column, left = divmod(column - 1, 26)
        name = chr(65 + left) + name
    return name


def column_number(name: str) -> int:
    """Turn a column's letters into its number.

    >>> column_number("AB")
    28
    """
    number = 0
    for sign in name:
        number = number * 26 + ord(sign) - 64
    return number


def place(row: int, column: int) -> str:
    """Name a cell.

    >>> place(36, 4)
    'D36'
    """
    return f"{letters(column)}{row}"


def place_of(name: str) -> tuple[int, int]:
    """Give the row and column that a cell's name means.

    >>> place_of("D36")
    (36, 4)
    """
    column = name.rstrip("0123456789")
    return int(name[len(column) :]), column_number(column)


def merge_name(merge: tuple[int, int, int, int]) -> str:
    """Name a merged range.

    >>> merge_name((7, 3, 8, 3))
    'C7:C8'
    """
    return f"{place(merge[0], merge[1])}:{place(merge[2], merge[3])}"


def as_text(value: Value) -> str:
    """Write a stored value as plain text: whole numbers without a point, dates in ISO form.

    >>> as_text(1200.0), as_text(5.5), as_text(dt.date(2025, 4, 18)), as_text(None)
    ('1200', '5.5', '2025-04-18', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, dt.datetime):
        return value.isoformat(sep=" ")
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return value


def is_blank(cell: GridCell) -> bool:
    """Say whether a cell holds nothing to read.

    >>> is_blank(GridCell("  ")), is_blank(GridCell(0.0))
    (True, False)
    """
    return cell.value is None or (isinstance(cell.value, str) and not cell.value.strip())


def cell_record(grid: Grid, row: int, column: int) -> Cell:
    """Say where a value came from and what stood there, for the records."""
    home_row, home_column, cell = grid.shown(row, column)
    merge = grid.merge_of(row, column)
    says = as_text(cell.value)
    kind = "formula" if cell.formula else native_kind(cell.value)
    cached = says if cell.formula else ""
    return Cell(
        grid.name,
        grid.name_of(home_row, home_column),
        cell.formula or says,
        native=kind,
        cached=cached,
        merged=_merge_in_file(grid, merge) if merge else "",
    )


def _merge_in_file(grid: Grid, merge: tuple[int, int, int, int]) -> str:
    first_row, first_column, last_row, last_column = merge
    return merge_name((first_column, first_row, last_column, last_row) if grid.turned else merge)


def native_kind(value: Value) -> str:
    """Name the kind of a stored value.

    >>> native_kind(5.0), native_kind("5"), native_kind(None)
    ('number', 'text', 'empty')
    """
    if value is None:
        return "empty"
    if isinstance(value, bool):
        return "truth"
    if isinstance(value, float):
        return "number"
    return "text" if isinstance(value, str) else "date"


_CODE_LIKE = re.compile(r"^[^\W\d_]{0,6}[-_/ .#]?\d{1,5}[^\W\d_]?$")


def is_code_like(cell: GridCell) -> bool:
    """Say whether a cell looks like the code of a sample: a few letters and a number.

    >>> is_code_like(GridCell("QP-3")), is_code_like(GridCell(417.0)), is_code_like(GridCell("Body"))
    (True, True, False)
    """
    return len(as_text(cell.value)) <= 14 and bool(_CODE_LIKE.match(as_text(cell.value).strip()))


def is_lettered_code(cell: GridCell) -> bool:
    """Say whether a cell looks like a code that is no bare number."""
    return is_code_like(cell) and any(sign.isalpha() for sign in as_text(cell.value))
