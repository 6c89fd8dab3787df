"""Samples: which packet a code at the table means, and when it arrived."""

import datetime as dt
from collections.abc import Iterable

from wetleaf.lots.intake.shelf import Shelf
from wetleaf.lots.keeping import fitting_text, kept
from wetleaf.lots.models import Lot, Sample
from wetleaf.lots.workbooks.records import Cell, LotRow, ReadBook, SampleCode


def take_in_samples(book: ReadBook, shelf: Shelf) -> None:
    """Put every code used at the table on the shelf; a lot without one gets a sample of its own code."""
    unclear = {code.code for code in book.samples if code.ambiguous}
    # A kept sample may carry its lot's code: the code then means the other one, which is placed last.
    for code in sorted(book.samples, key=lambda code: code.kind != Sample.Kind.KEPT):
        if not code.ambiguous:
            _place_code(code, book, shelf)
            if code.code in shelf.samples:
                _note_arrival(shelf.samples[code.code], code.received_on)
    _put_known_codes(shelf, unclear)
    with_sample = {sample.lot_id for sample in shelf.samples.values()}
    for lot in shelf.lots_by_row.values():
        if lot.pk not in with_sample:
            with_sample.add(lot.pk)
            _use(lot.code, lot, Sample.Kind.OFFER, shelf)
    _note_arrivals(book.lots, shelf)


def _put_known_codes(shelf: Shelf, unclear: set[str]) -> None:
    """Codes of the season's earlier workbooks mean what they meant, unless this one makes them unclear."""
    for sample in Sample.objects.filter(lot__season=shelf.run.season).select_related("lot").order_by("-pk"):
        if sample.code not in unclear:
            shelf.samples.setdefault(sample.code, sample)


def _note_arrival(sample: Sample, day: dt.date | None) -> None:
    if day is not None and sample.received_on != day:
        sample.received_on = day
        sample.save(update_fields=["received_on"])


def _place_code(code: SampleCode, book: ReadBook, shelf: Shelf) -> None:
    kind = code.kind if code.kind in Sample.Kind.values else Sample.Kind.OFFER
    rows = [where for where in code.lots if where in shelf.lots_by_row]
    if len(rows) == 1:
        _use(code.code, shelf.lots_by_row[rows[0]], kind, shelf)
    elif not rows and (lot := lot_on_the_books(code, shelf)) is not None:
        # What is served of another season's lot can only have been kept.
        elsewhere = lot.season_id != shelf.run.season_id and not code.of_season
        is_kept = elsewhere and kind == Sample.Kind.OFFER
        _use(code.code, lot, Sample.Kind.KEPT if is_kept else kind, shelf)
    elif not rows and not book.lots and kind != Sample.Kind.KEPT:
        _use(code.code, _bare_lot(code.code, shelf), kind, shelf)


def lot_on_the_books(code: SampleCode, shelf: Shelf) -> Lot | None:
    """The lot that a code means when no row of this workbook carries it: of this season or another.

    A kept sample is looked for in other seasons first, since its code may be in use again.
    """
    season, lot_code = shelf.run.season, code.of_lot or code.code
    here = shelf.lots.get(lot_code) or _lot_of_sample(code.code, shelf)
    if here is not None and code.kind != Sample.Kind.KEPT and not code.of_season:
        return here
    stand = Lot.objects.that_stand().filter(code=lot_code)
    elsewhere = list(stand.exclude(season=season).select_related("season"))
    named = [lot for lot in elsewhere if lot.season.name == code.of_season]
    before = [lot for lot in elsewhere if lot.season_id == season.before_id]
    if named or before or len(elsewhere) == 1:
        return (named or before or elsewhere)[0]
    return here


def _lot_of_sample(code: str, shelf: Shelf) -> Lot | None:
    samples = Sample.objects.filter(lot__season=shelf.run.season, code=code).select_related("lot")
    lots = {sample.lot for sample in samples}
    return lots.pop() if len(lots) == 1 else None


def _bare_lot(code: str, shelf: Shelf) -> Lot:
    cell = Cell("", "", code)
    shelf.drop(
        cell, "new_lot", f"{code} was not on the books; a lot of that code was added.", severity="info"
    )
    shelf.counts["lots"] += 1
    lot = kept(Lot, season=shelf.run.season, code=code, name=code, source=shelf.source(None), run=shelf.run)
    lot.save()
    shelf.lots[code] = lot
    return lot


def _use(code: str, lot: Lot, kind: str, shelf: Shelf) -> None:
    fitted = fitting_text(Sample, "code", code)
    sample, new = Sample.objects.get_or_create(lot=lot, code=fitted, kind=Sample.Kind(kind).value)
    shelf.counts["samples"] += new
    shelf.samples[code] = sample


def _note_arrivals(rows: Iterable[LotRow], shelf: Shelf) -> None:
    for row in rows:
        arrived = row.sample_received
        sample = sample_of_row(row, shelf)
        if sample is None or arrived is None or arrived.precision != "day" or arrived.start is None:
            continue
        _note_arrival(sample, arrived.start)


def sample_of_row(row: LotRow, shelf: Shelf) -> Sample | None:
    lot = shelf.lots_by_row[row.sheet, row.row]
    mine = [sample for sample in shelf.samples.values() if sample.lot_id == lot.pk]
    return next((sample for sample in mine if sample.kind == Sample.Kind.OFFER), mine[0] if mine else None)
