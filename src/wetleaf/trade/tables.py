"""How the trade's tables are read: a source and a mark on every row, or the table does not load."""

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

_HERE = Path(__file__).parent


class Mark(StrEnum):
    """How well a row of a table is known; `docs/reference/trade-tables.md` explains each."""

    SEEN = "V"
    SEEN_SECOND_HAND = "V2"
    FROM_MEMORY = "M"
    COMPUTED = "C"


@dataclass(frozen=True)
class Ground:
    """Where a fact comes from, and how well it is known."""

    source: str
    mark: Mark

    def __str__(self) -> str:
        return f"{self.source} [{self.mark}]"


def ground_of(row: Mapping[str, Any], table: str) -> Ground:
    """Return the ground of a row. Raises ValueError if it names no source or an unknown mark.

    >>> str(ground_of({"source": "ISO 3103:2019", "mark": "V"}, "protocols.toml"))
    'ISO 3103:2019 [V]'
    """
    source = str(row.get("source", "")).strip()
    if not source:
        raise ValueError(
            f"{table}: a row without a source: {dict(row)!r}. Name one, or write 'common practice'."
        )
    return Ground(source, Mark(row["mark"]))


def toml_table(name: str) -> dict[str, Any]:
    """Return a TOML table that lies beside this code."""
    return tomllib.loads((_HERE / name).read_text(encoding="utf-8"))


def csv_rows(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of a CSV table that lies beside this code, cells stripped."""
    with (_HERE / name).open(encoding="utf-8", newline="") as file:
        return tuple({key: value.strip() for key, value in row.items()} for row in csv.DictReader(file))


def listed(cell: str) -> tuple[str, ...]:
    """Return the parts of a cell that holds several things divided by semicolons.

    >>> listed("oolong; black")
    ('oolong', 'black')
    """
    return tuple(part.strip() for part in cell.split(";") if part.strip())
