"""A table that has been recognised: its kind, its columns with their reasons, and how codes are compared."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.score_heads import ScoreHead
from wetleaf.lots.workbooks.tables import Table
from wetleaf.trade.numbers import DecimalMark


@dataclass(frozen=True)
class Known:
    """What earlier tables of the book have told, folded: `lots`, the codes that lots carry; `codes`,
    these and the ones a key of a blind tasting gives them; `asked`, the codes of samples that score
    sheets use and no lot carries; tea names; names of tasters.
    """

    codes: frozenset[str] = frozenset()
    tasters: frozenset[str] = frozenset()
    names: frozenset[str] = frozenset()
    lots: frozenset[str] = frozenset()
    asked: frozenset[str] = frozenset()

    def is_lot(self, text: str) -> bool:
        """Say whether a text is the code or the tea name of a lot."""
        return code_key(text) in self.lots or fold(text) in self.names

    def is_sample(self, text: str) -> bool:
        """Say whether a text is the code of a sample, or the name of a tea that has one."""
        return code_key(text) in self.codes or fold(text) in self.names


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
    says: Mapping[int, ScoreHead] = field(default_factory=dict)  # what each column of scores is of
    judged: Mapping[int, ScoreHead] = field(
        default_factory=dict
    )  # columns of one taster's verdicts or likings

    @property
    def score_heads(self) -> tuple[Head, ...]:
        """The columns of attributes, in a wide score sheet."""
        return tuple(column.head for column in self.columns if column.read_as == "score")

    @property
    def names_tasters(self) -> bool:
        """Say whether its heads tell who tasted."""
        return any(said.taster for said in self.says.values())

    @property
    def heads_name_all(self) -> bool:
        """Say whether every column of scores names its taster, so that the sheet need not."""
        return bool(self.says) and all(said.taster for said in self.says.values())

    @property
    def sitting(self) -> str:
        """Give the sitting that the sheet's name stands for: "" where it names the one attribute scored."""
        attributes = {fold(said.attribute) for said in self.says.values() if said.taster}
        name = self.table.name
        return "" if attributes == {fold(name)} else name

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
