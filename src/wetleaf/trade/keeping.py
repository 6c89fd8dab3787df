"""How a dry tea keeps from one season's table to the next: does it fade, turn into another tea, or hold?

All of it is common practice and marked so; how a tin was sealed and stored matters as much as its class.
"""

from dataclasses import dataclass, field
from typing import Any, Literal

from wetleaf.trade.spelling import fold, mentions
from wetleaf.trade.tables import Ground, ground_of, toml_table

_TABLE = "keeping.toml"
Keeps = Literal["fades", "turns", "holds"]


@dataclass(frozen=True)
class Keeping:
    """How a kind of tea keeps over a year, sealed, cool and dark."""

    kind: str
    keeps: Keeps
    ground: Ground = field(repr=False)

    @property
    def is_stable(self) -> bool:
        """Whether a sample kept for a year can still stand for the tea that it was."""
        return self.keeps == "holds"


@dataclass(frozen=True)
class _Row:
    tea_class: str
    field: str  # which of the tea's words are looked at: "roast" or "making"
    words: tuple[str, ...]
    keeping: Keeping


def _row(row: dict[str, Any]) -> _Row:
    keeping = Keeping(row["kind"], row["keeps"], ground_of(row, _TABLE))
    return _Row(row["class"], row.get("field", ""), tuple(map(fold, row.get("words", ()))), keeping)


_ROWS = tuple(_row(row) for row in toml_table(_TABLE)["keeping"])


def keeping_of(tea_class: str, *, roast: str = "", making: str = "") -> Keeping | None:
    """Return how a tea keeps, by its class key and what is written of it; None where no class is known.

    `making` is what is written of its season and oxidation.

    >>> keeping_of("green").keeps, keeping_of("oolong", roast="heavy").keeps, keeping_of("oolong").keeps
    ('fades', 'holds', 'fades')
    >>> keeping_of("black", making="first flush").is_stable, keeping_of("black").is_stable, keeping_of("")
    (False, True, None)
    """
    said = {"": "", "roast": fold(roast), "making": fold(making)}
    for row in _ROWS:
        if row.tea_class == tea_class and _fits(row, said[row.field]):
            return row.keeping
    return None


def _fits(row: _Row, said: str) -> bool:
    return not row.words or any(mentions(said, word) for word in row.words)
