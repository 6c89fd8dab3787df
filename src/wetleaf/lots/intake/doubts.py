"""What a workbook's rows say that cannot well be true beside the rest of the season: noted, and stored."""

from collections.abc import Mapping, Sequence

from wetleaf.lots.doubts import early_arrivals, odd_prices
from wetleaf.lots.intake.shelf import Shelf
from wetleaf.lots.models import Lot
from wetleaf.lots.workbooks.records import LotRow


def note_doubts(rows: Sequence[LotRow], shelf: Shelf) -> None:
    """Note prices far from their neighbours' and samples that came before their leaf was picked."""
    prices, arrivals = odd_prices(shelf.run.season), early_arrivals(shelf.run.season)
    for row in rows:
        lot = shelf.lots_by_row[row.sheet, row.row]
        _note(row, lot, "price", "odd_price", prices, shelf)
        _note(row, lot, "sample_received", "received_early", arrivals, shelf)


def _note(row: LotRow, lot: Lot, name: str, kind: str, said: Mapping[int, str], shelf: Shelf) -> None:
    cell = row.cells.get(name)
    if cell is not None and lot.pk in said:
        shelf.drop(cell, kind, said[lot.pk], "Look at the cell again; it is stored as it stands.")
