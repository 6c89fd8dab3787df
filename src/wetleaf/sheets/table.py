"""Who and what is meant while a workbook's answers are taken in, and the one way an answer is stored."""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from wetleaf.flights.actions import open_flight
from wetleaf.flights.models import Flight
from wetleaf.lots.intake.shelf import Shelf
from wetleaf.lots.keeping import kept
from wetleaf.lots.models import Sample
from wetleaf.lots.workbooks.records import Cell, ReadBook
from wetleaf.people.actions import the_buyer
from wetleaf.people.models import Taster
from wetleaf.sheets.models import Answer
from wetleaf.sheets.sameness import Known, Read, what_is_new
from wetleaf.sheets.unresolved import LeftOut

A = TypeVar("A", bound=Answer)


@dataclass
class Table:
    """Who and what is meant in this workbook: the shelf of samples, the tasters and flights by name."""

    book: ReadBook
    shelf: Shelf
    left_out: LeftOut
    tasters: dict[str, Taster]
    flights: dict[str, Flight]
    signed_sheets: frozenset[str]
    buyer: Taster | None = None
    replaced: int = 0

    def taster(self, name: str | None, sheet: str) -> Taster | None:
        """The taster named; for a sheet on which nobody is named, the buyer."""
        if name:
            return self.tasters.get(name)
        if sheet in self.signed_sheets:
            return None
        self.buyer = self.buyer or the_buyer()
        return self.buyer

    def flight(self, name: str, cell: Cell) -> Flight:
        """The flight of a sitting; a sheet that names none is its own, and so is a file without sheets."""
        key = name or cell.sheet
        if key not in self.flights:
            source = self.shelf.source(Cell(cell.sheet, cell.cell, "")) if cell.sheet else ""
            self.flights[key] = open_flight(self.shelf.run.season, key or self.shelf.file_stem, source=source)
        return self.flights[key]

    def sample(self, code: str | None) -> Sample | None:
        """The sample a code means, if it means one."""
        return self.shelf.samples.get(code) if code else None

    def told_flight(self, name: str) -> Flight | None:
        """The flight of a sitting that this workbook names; None for a remark that belongs to none."""
        return self.flights.get(name)


def store_new(
    table: Table,
    model: type[A],
    known: Iterable[Known],
    answers: Sequence[tuple[Hashable, Hashable, Cell, dict[str, Any]]],
    *,
    only_in_its_cell: bool = False,
) -> list[A]:
    """Store the answers, as (question, says, cell, fields), that are not known yet."""
    read = [Read(question, says, place(cell)) for question, says, cell, _ in answers]
    stored = []
    for new in what_is_new(known, read, only_in_its_cell=only_in_its_cell):
        _, _, cell, fields = answers[new.index]
        stored.append(
            kept(
                model,
                run=table.shelf.run,
                source=place(cell),
                given_at=table.shelf.now,
                replaces_id=new.replaces,
                **fields,
            )
        )
        table.replaced += new.replaces is not None
    model._default_manager.bulk_create(stored, batch_size=2000)
    return stored


def place(cell: Cell) -> str:
    return f"{cell.sheet}!{cell.cell}" if cell.sheet else cell.cell
