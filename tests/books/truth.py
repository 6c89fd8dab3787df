"""The truth about a book while it is written: what a careful person reads, and the cells that need a word."""

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from tests.books.canvas import Cell, ErrorValue


@dataclass(frozen=True)
class Problem:
    """A cell that needs a word. `also`: cells that may be named instead. `either`: warn or error will do."""

    kind: str
    severity: str
    why: str
    also: tuple[str, ...] = ()
    either: bool = False


@dataclass(frozen=True)
class Written:
    """A fact as one merchant wrote it, what it says, and what is wrong with it."""

    cell: Cell
    read: Any
    problems: tuple[Problem, ...] = ()
    compare: bool = True


@dataclass
class Truth:
    """Collects the truth; `as_dict` has the shape of the development set's truth files."""

    sheets: list[dict[str, Any]] = field(default_factory=list)
    lots: list[dict[str, Any]] = field(default_factory=list)
    samples: list[dict[str, Any]] = field(default_factory=list)
    scores: list[dict[str, Any]] = field(default_factory=list)
    notes: list[dict[str, Any]] = field(default_factory=list)
    preferences: list[dict[str, Any]] = field(default_factory=list)
    triangles: list[dict[str, Any]] = field(default_factory=list)
    retastes: list[dict[str, Any]] = field(default_factory=list)
    first_passes: list[dict[str, Any]] = field(default_factory=list)
    problems: list[dict[str, Any]] = field(default_factory=list)
    comments: list[dict[str, Any]] = field(default_factory=list)
    taster_aliases: dict[str, list[str]] = field(default_factory=dict)

    def problem(self, sheet: str, cell: str, raw: Any, problem: Problem, reading: Any = None) -> None:
        """Note one cell that needs a word."""
        entry = {"sheet": sheet, "cell": cell, "raw": plain(raw), "kind": problem.kind}
        entry |= {"severity": problem.severity, "why": problem.why, "careful_reading": reading}
        if problem.also:
            entry["also"] = list(problem.also)
        if problem.either:
            entry["either"] = True
        self.problems.append(entry)

    def as_dict(self, **about: Any) -> dict[str, Any]:
        """Return the whole truth as plain values."""
        lists = {name: getattr(self, name) for name in self.__dataclass_fields__}
        counts = {name: len(value) for name, value in lists.items() if isinstance(value, list)}
        return {**about, **lists, "counts": counts}


def plain(value: Any) -> Any:
    """Return a cell's content as JSON knows it."""
    if isinstance(value, Cell):
        shown = plain(value.value)
        return {"formula": value.formula, "cached": shown} if value.formula else shown
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    return value.shown if isinstance(value, ErrorValue) else value
