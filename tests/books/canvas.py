"""A book before it is a file: sheets of cells with formulas, formats, merges, comments and hidden columns."""

from dataclasses import dataclass, field
from typing import Any

from openpyxl.utils import get_column_letter


@dataclass(frozen=True)
class ErrorValue:
    """What a formula shows when it fails, such as `#DIV/0!`."""

    shown: str


@dataclass(frozen=True)
class Cell:
    """One cell: `value` is what is shown; with a `formula` it is the cached result."""

    value: Any = None
    formula: str | None = None
    number_format: str | None = None
    comment: str | None = None


@dataclass
class Sheet:
    """A sheet being filled; rows and columns count from 1."""

    name: str
    hidden: bool = False
    cells: dict[tuple[int, int], Cell] = field(default_factory=dict)
    merges: list[tuple[int, int, int, int]] = field(default_factory=list)
    hidden_columns: set[int] = field(default_factory=set)
    hidden_rows: set[int] = field(default_factory=set)

    def put(self, row: int, column: int, value: Any, **how: Any) -> str:
        """Write a cell and return its name, such as `B4`."""
        if value is not None or how:
            self.cells[row, column] = Cell(value, **how)
        return at(row, column)

    def put_cell(self, row: int, column: int, cell: Cell) -> str:
        """Write a ready cell and return its name."""
        if cell.value is not None or cell.formula:
            self.cells[row, column] = cell
        return at(row, column)

    def merge(self, top: int, left: int, bottom: int, right: int) -> str:
        """Merge a block (its top left cell keeps the value) and return its range."""
        self.merges.append((top, left, bottom, right))
        return f"{at(top, left)}:{at(bottom, right)}"

    @property
    def last_row(self) -> int:
        """The last row that holds anything."""
        return max((row for row, _ in self.cells), default=0)


@dataclass
class Book:
    """Sheets in their order, and whether days are counted from 1900 or 1904."""

    sheets: list[Sheet] = field(default_factory=list)
    days_from_1904: bool = False

    def sheet(self, name: str, **how: Any) -> Sheet:
        """Add an empty sheet."""
        self.sheets.append(Sheet(name, **how))
        return self.sheets[-1]


def at(row: int, column: int) -> str:
    """Return the name of a cell.

    >>> at(4, 28)
    'AB4'
    """
    return f"{get_column_letter(column)}{row}"


def letter(column: int) -> str:
    """Return a column's letter."""
    return get_column_letter(column)
