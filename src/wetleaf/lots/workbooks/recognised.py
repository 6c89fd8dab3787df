"""A table that has been recognised: its kind, its columns with their reasons, and how codes are compared."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.tables import Table
from wetleaf.trade.numbers import DecimalMark


@dataclass(frozen=True)
class Known:
    """What earlier tables of the book have told: codes of lots, tea names, names of tasters; folded."""

    codes: frozenset[str] = frozenset()
    tasters: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Understood:
    """How one column is understood."""

    head: Head
    read_as: str
    why: str


@dataclass
class Recognised:
    """A table with its kind and the meaning of each column; `strength` is how well the kind is borne out."""

    table: Table
    role: str
    columns: tuple[Understood, ...]
    strength: float = 0.0
    by_field: Mapping[str, Head] = field(default_factory=dict)
    decimals: dict[int, DecimalMark] = field(default_factory=dict)

    @property
    def score_heads(self) -> tuple[Head, ...]:
        """The columns of attributes, in a wide score sheet."""
        return tuple(column.head for column in self.columns if column.read_as == "score")

    def column_of(self, name: str) -> int | None:
        """Give the column of a field."""
        head = self.by_field.get(name)
        return head.column if head else None


@lru_cache(maxsize=200_000)
def code_key(text: str) -> str:
    """Reduce a sample code to what makes it the same: no case, no signs, no leading zeros.

    >>> code_key("FH-01 ") == code_key("fh 1"), code_key("QP-3") == code_key("QP-13")
    (True, False)
    """
    return re.sub(r"(?<!\d)0+(?=\d)", "", re.sub(r"[\W_]+", "", fold(text)))
