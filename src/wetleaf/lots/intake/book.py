"""Everything a workbook says of lots and samples, in the order in which one thing needs another."""

import datetime as dt
from collections.abc import Collection

from wetleaf.lots.intake.doubts import note_doubts
from wetleaf.lots.intake.leaf import take_in_leaf
from wetleaf.lots.intake.lines import take_in_lines
from wetleaf.lots.intake.makings import take_in_makings
from wetleaf.lots.intake.rows import take_in_rows
from wetleaf.lots.intake.samples import take_in_samples
from wetleaf.lots.intake.shelf import CellName, Shelf
from wetleaf.lots.models import ImportRun
from wetleaf.lots.workbooks.records import ReadBook


def take_in_lots(
    book: ReadBook, run: ImportRun, *, left_out: Collection[CellName], now: dt.datetime
) -> Shelf:
    """Store everything a workbook says of lots and samples; returns the shelf that its answers are put on."""
    shelf = Shelf(run, now, left_out)
    take_in_rows(book.lots, shelf)
    take_in_samples(book, shelf)
    note_doubts(book.lots, shelf)
    take_in_makings(book.lots, shelf)
    take_in_leaf(book, shelf)
    take_in_lines(book, shelf)
    return shelf
