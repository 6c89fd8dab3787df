"""A workbook onto the books, whole or not at all: `store_book` is one transaction.

Lots and samples are taken in by `lots.intake`, the answers by `answers.py` here; what a buyer left out and
what was inferred stays on record as dropped cells.
"""

import dataclasses
import datetime as dt
from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db import DataError, IntegrityError

from wetleaf.lots.actions import season_named
from wetleaf.lots.intake.book import take_in_lots
from wetleaf.lots.intake.codes import codes_of
from wetleaf.lots.intake.shelf import Shelf
from wetleaf.lots.keeping import fitting_text, kept
from wetleaf.lots.models import DroppedCell, ImportRun, Lot, Sample, Season
from wetleaf.lots.moments import one_at_a_time
from wetleaf.lots.withdrawals import withdrawn_among
from wetleaf.lots.workbooks.records import Cell, ReadBook
from wetleaf.lots.workbooks.seasons_apart import OTHER_SEASON, with_seasons_apart, without_sheets
from wetleaf.people.actions import name_the_buyer
from wetleaf.sheets.answers import take_in_answers
from wetleaf.sheets.known_codes import with_known_codes
from wetleaf.sheets.unresolved import LeftOut, settle
from wetleaf.trade.errors import BadInput


@dataclass(frozen=True)
class Intake:
    """What storing a workbook changed: counts of what was added by kind, and how many cells were noted."""

    file: str
    season: str
    changed: bool
    added: dict[str, int]
    replaced: int
    noted_cells: int
    left_out: int
    withdrawn: tuple[str, ...] = ()

    @property
    def says(self) -> str:
        """One sentence for the person who stored it.

        >>> Intake("spring.xlsx", "Spring 2026", False, {}, 0, 0, 0).says
        'spring.xlsx is on the books of Spring 2026 already: nothing was changed.'
        """
        if not self.changed:
            return (
                f"{self.file} is on the books of {self.season} already: nothing was changed."
                f"{_said_of_withdrawn(self.withdrawn)}"
            )
        added = ", ".join(_counted(number, what) for what, number in self.added.items()) or "nothing new"
        more = f"; {_counted(self.replaced, 'earlier answers')} replaced" if self.replaced else ""
        cells = (
            f" {self.noted_cells} cells are noted, {self.left_out} of them left out."
            if self.noted_cells
            else ""
        )
        return (
            f"{self.file} is on the books of {self.season}: {added}{more}.{cells}"
            f"{_said_of_withdrawn(self.withdrawn)}"
        )


def _said_of_withdrawn(codes: tuple[str, ...]) -> str:
    """What is said of lots of a workbook that were withdrawn: they do not come back by being read again.

    >>> _said_of_withdrawn(("LU-07",))
    ' LU-07 was withdrawn and stays so: wetleaf lot restore brings it back.'
    """
    if not codes:
        return ""
    they, them = ("was withdrawn and stays so", "it")
    if len(codes) > 1:
        they, them = ("were withdrawn and stay so", "them")
    return f" {', '.join(codes)} {they}: wetleaf lot restore brings {them} back."


def _counted(number: int, things: str) -> str:
    return f"{number} {things if number != 1 else things.removesuffix('s')}"


def store_book(
    book: ReadBook,
    *,
    season: str,
    now: dt.datetime,
    accept: Collection[str] = (),
    before: str | None = None,
    buyer: str | None = None,
    invented: bool = False,
) -> Intake:
    """Store everything a workbook says, in one transaction, under `season`, to be compared with `before`.

    `accept` names the cells with an error to leave out ("Sheet!D36", a sheet, or "all"). A file that the
    season holds already changes nothing. A corrected workbook adds what it says anew; the latest holds.
    `buyer` is who answered the rows that name nobody.

    Raises BadInput, with nothing stored, while a cell with an error is not in `accept`, and for a workbook
    that the database cannot hold.
    """
    if (known := _known_run(book, season)) is not None:
        return _unchanged(book, known.season)
    book = with_seasons_apart(with_known_codes(book, season=season, before=before), season, now.date())
    left_out = settle(book, accept)
    book = without_sheets(book, _of_other_seasons(book))
    try:
        with one_at_a_time():
            if buyer:
                name_the_buyer(buyer)
            return _store(book, season_named(season, before=before, invented=invented), left_out, accept, now)
    except (DataError, IntegrityError) as refusal:
        raise BadInput(
            f"{book.file} cannot be kept: {str(refusal).splitlines()[0]}.",
            way_out="Nothing was stored. Look for an absurd number or text in it.",
        ) from refusal


def _of_other_seasons(book: ReadBook) -> set[str]:
    """The sheets of another season, which the buyer has chosen to leave out."""
    apart = (problem for problem in book.problems if problem.kind == OTHER_SEASON)
    return {problem.sheet for problem in apart if problem.sheet and problem.severity == "error"}


def _known_run(book: ReadBook, season: str) -> ImportRun | None:
    return ImportRun.objects.filter(digest=book.digest, season__name=season.strip()).first()


def _store(
    book: ReadBook, season: Season, left_out: LeftOut, accept: Collection[str], now: dt.datetime
) -> Intake:
    if _known_run(book, season.name) is not None:
        return _unchanged(book, season)
    run = kept(
        ImportRun,
        file_name=book.file,
        digest=book.digest,
        season=season,
        accepted=sorted(accept),
        taken_in_at=now,
    )
    run.save()
    noted = _problems_of(book, run)
    shelf = take_in_lots(book, run, left_out=left_out.cells, now=now)
    replaced = take_in_answers(book, shelf, left_out)
    _note_copies(left_out, shelf)
    withdrawn = withdrawn_among(season, _codes_named(book))
    _note_withdrawn(withdrawn, shelf)
    DroppedCell.objects.bulk_create([*noted, *shelf.dropped])
    taken = _sum_up(book, season, shelf.counts, replaced, [*noted, *shelf.dropped])
    return dataclasses.replace(taken, withdrawn=tuple(lot.code for lot in withdrawn))


def _unchanged(book: ReadBook, season: Season) -> Intake:
    withdrawn = withdrawn_among(season, _codes_named(book))
    return Intake(book.file, season.name, False, {}, 0, 0, 0, tuple(lot.code for lot in withdrawn))


def _codes_named(book: ReadBook) -> set[str]:
    samples = (fitting_text(Sample, "code", sample.code) for sample in book.samples)
    return {*codes_of(book.lots).values(), *samples}


def _note_withdrawn(lots: Iterable[Lot], shelf: Shelf) -> None:
    """Put on record that a workbook names lots that were withdrawn: what it says waits with them."""
    for lot in lots:
        where = next((place for place, known in shelf.lots_by_row.items() if known.pk == lot.pk), None)
        sheet, cell = (where[0], f"A{where[1]}") if where else ("", "")
        why = f"{lot.code} was withdrawn; what this workbook says of it is kept with it and not shown."
        shelf.drop(Cell(sheet, cell, lot.code), "withdrawn", why, "Restore it if that was a mistake.")


def _note_copies(left_out: LeftOut, shelf: Shelf) -> None:
    """Put on record which copied cups were left out."""
    for block in left_out.copies:
        why = f"{len(block.scores)} scores are left out: {block.extent} repeats {block.extent_of_first}."
        shelf.drop(block.scores[0].cell, "not_stored", why, block.do)


def _problems_of(book: ReadBook, run: ImportRun) -> list[DroppedCell]:
    return [
        kept(
            DroppedCell,
            run=run,
            sheet=problem.sheet or "",
            cell=problem.cell or "",
            says=problem.says,
            kind=problem.kind,
            severity=problem.severity,
            why=problem.why,
            do=problem.do,
        )
        for problem in book.problems
    ]


def _sum_up(
    book: ReadBook, season: Season, counts: Counter[str], replaced: int, noted: list[DroppedCell]
) -> Intake:
    left_out = sum(cell.severity == "error" or cell.kind == "not_stored" for cell in noted)
    return Intake(
        book.file,
        season.name,
        True,
        {what: n for what, n in counts.items() if n},
        replaced,
        len(noted),
        left_out,
    )
