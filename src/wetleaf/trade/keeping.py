"""How a dry tea keeps from one season's table to the next: by its kind, by how it was kept, and for how long.

How a tin was sealed and stored matters as much as its class, so both are asked for. Each row names its
source: the ranges that producers date their tea by, or common practice.
"""

import re
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

from wetleaf.trade.spelling import fold, is_eastern, mentions
from wetleaf.trade.tables import Ground, ground_of, toml_table

_TABLE = "keeping.toml"
_WORDS_DENIED = 3  # "not in the freezer": a denial reaches so far
Keeps = Literal["fades", "turns", "holds"]
Way = Literal["open", "room", "cold", "airtight", ""]
"""How a sample was kept; "" where nothing usable is said."""


@dataclass(frozen=True)
class Keeping:
    """How a kind of tea keeps, and for how many months, kept that way, it stands for the tea it was.

    `lasts_months` is None where it cannot be counted on for any, `months` where its age is not known.
    """

    kind: str
    keeps: Keeps
    way: Way
    months: int | None
    lasts_months: int | None
    ground: Ground = field(repr=False)

    @property
    def is_past_its_time(self) -> bool:
        """Whether it was kept as it should be, and for too long."""
        return self.lasts_months is not None and self.months is not None and self.months > self.lasts_months

    @property
    def is_stable(self) -> bool:
        """Whether the sample still stands for the tea it was; of a kind that fades its age must be known."""
        if self.lasts_months is None or self.is_past_its_time:
            return False
        return self.keeps == "holds" or self.months is not None


@dataclass(frozen=True)
class _Row:
    tea_class: str
    field: str  # which of the tea's words are looked at: "roast" or "making"
    words: tuple[str, ...]
    kind: str
    keeps: Keeps
    lasts: dict[str, int]  # months by way; "" is any way not named
    ground: Ground


def _row(row: dict[str, Any]) -> _Row:
    return _Row(
        row["class"],
        row.get("field", ""),
        tuple(map(fold, row.get("words", ()))),
        row["kind"],
        row["keeps"],
        row["months"],
        ground_of(row, _TABLE),
    )


@cache
def _rows() -> tuple[_Row, ...]:
    return tuple(_row(row) for row in toml_table(_TABLE)["keeping"])


@cache
def _ways() -> tuple[tuple[Way, tuple[str, ...]], ...]:
    """The ways with their words, the worst for the tea first."""
    return tuple((row["way"], tuple(map(fold, row["words"]))) for row in toml_table(_TABLE)["way"])


def keeping_of(
    tea_class: str, *, roast: str = "", making: str = "", kept: str = "", months: int | None = None
) -> Keeping | None:
    """Return how a kept sample keeps, by its class key and what is written of it; None for no known class.

    `making` is what is written of its season and oxidation, `kept` how it was kept, `months` its age.

    >>> keeping_of("green").keeps, keeping_of("oolong", roast="heavy").keeps, keeping_of("oolong").keeps
    ('fades', 'holds', 'fades')
    >>> keeping_of("black", making="first flush").is_stable, keeping_of("black").is_stable, keeping_of("")
    (False, True, None)
    >>> keeping_of("green", kept="sealed, in the freezer", months=13).is_stable
    True
    >>> keeping_of("green", kept="sealed, in the cupboard", months=13).is_stable
    False
    """
    said = {"": "", "roast": fold(roast), "making": fold(making)}
    way = way_of(kept)
    for row in _rows():
        if row.tea_class == tea_class and _fits(row, said[row.field]):
            return Keeping(row.kind, row.keeps, way, months, _lasts(row, way), row.ground)
    return None


def _lasts(row: _Row, way: Way) -> int | None:
    return row.lasts.get(way, None if way == "open" else row.lasts.get("any"))


def way_of(kept: str) -> Way:
    """Return in which way a sample was kept, by what was written; of several ways the worst for the tea.

    >>> way_of("30 g sealed, in the freezer"), way_of("vacuum, cupboard"), way_of("nitrogen-flushed foil")
    ('cold', 'room', 'airtight')
    >>> way_of("unsealed, fridge"), way_of("not in the fridge"), way_of("in a tin")
    ('open', '', '')
    """
    clauses = [fold(clause) for clause in re.split(r"[,;.:()/，；。、]", kept)]
    for way, words in _ways():
        if any(_says(clause, word) for clause in clauses for word in words):
            return way
    return ""


def _says(clause: str, word: str) -> bool:
    """Whether a clause names a way, and does not deny it ("not in the freezer", "没有冷藏")."""
    if not mentions(clause, word):
        return False
    before = clause.split(word, 1)[0].rstrip()
    if is_eastern(word):
        return not before.endswith(tuple(denial for denial in _denials() if is_eastern(denial)))
    just_before = " ".join(before.split()[-_WORDS_DENIED:])
    return not any(mentions(just_before, denial) for denial in _denials())


@cache
def _denials() -> tuple[str, ...]:
    return tuple(fold(word) for row in toml_table(_TABLE)["denial"] for word in row["words"])


def _fits(row: _Row, said: str) -> bool:
    return not row.words or any(mentions(said, word) for word in row.words)
