"""Grams: what the rows of lots say has arrived, and the lines of a ledger sheet."""

from collections import Counter
from decimal import Decimal

from wetleaf.lots.intake.samples import sample_of_row
from wetleaf.lots.intake.shelf import Shelf, cell_key, cell_name
from wetleaf.lots.keeping import kept
from wetleaf.lots.models import LeafEntry, Sample
from wetleaf.lots.workbooks.records import Cell, LotRow, ReadBook

RECEIVED = "received"


def take_in_leaf(book: ReadBook, shelf: Shelf) -> None:
    weighed_in = {entry.sample for entry in book.ledger if entry.grams > 0}
    for row in book.lots:
        sample = sample_of_row(row, shelf)
        if sample is not None and sample.code not in weighed_in:
            _weigh_in(row, sample, shelf)
    _take_in_ledger(book, shelf)


def _weigh_in(row: LotRow, sample: Sample, shelf: Shelf) -> None:
    """Enter the grams that a lot's row says have arrived; if it said otherwise before, the difference."""
    cell = row.cells.get(cell_key("sample_grams", row))
    if row.sample_grams is None or (cell is not None and cell_name(cell) in shelf.left_out):
        return
    before = LeafEntry.objects.filter(sample=sample, what__startswith=RECEIVED).values_list(
        "grams", flat=True
    )
    difference = row.sample_grams - sum(before, Decimal(0))
    if difference:
        what = f"{RECEIVED}, put right" if before else RECEIVED
        on = sample.received_on
        _enter(kept(LeafEntry, sample=sample, grams=difference, what=what, happened_on=on,
                    source=shelf.source(cell), noted_at=shelf.now), cell, shelf)  # fmt: skip


def _take_in_ledger(book: ReadBook, shelf: Shelf) -> None:
    known = Counter(
        LeafEntry.objects.filter(sample__in=shelf.samples.values()).values_list(
            "sample", "grams", "what", "happened_on"
        )
    )
    for line in book.ledger:
        sample = shelf.samples.get(line.sample)
        if sample is None:
            shelf.drop(
                line.cell, "unknown_sample", f"no sample '{line.sample}' is on the books.", "Give its code."
            )
            continue
        if cell_name(line.cell) in shelf.left_out:
            continue
        entry = kept(LeafEntry, sample=sample, grams=line.grams, what=line.what, happened_on=line.on,
                     source=shelf.source(line.cell), noted_at=shelf.now)  # fmt: skip
        key = (sample.pk, entry.grams, entry.what, entry.happened_on)
        if known[key] > 0:
            known[key] -= 1
        else:
            _enter(entry, line.cell, shelf)


def _enter(entry: LeafEntry, cell: Cell | None, shelf: Shelf) -> None:
    if entry.grams is None:
        shelf.drop(
            cell or Cell("", "", ""), "too_large", "the grams have too many digits.", "Write them again."
        )
        return
    entry.save()
    shelf.counts["ledger lines"] += 1
