"""What the buyer has corrected on the books: a workbook that still says otherwise does not undo it."""

from collections.abc import Mapping
from typing import Any

from wetleaf.lots.corrections import Corrected, corrected_in
from wetleaf.lots.encoding import reading_as_json
from wetleaf.lots.intake.shelf import Shelf, cell_key
from wetleaf.lots.models import Lot
from wetleaf.lots.workbooks.records import Cell, LotRow


def corrections_of(shelf: Shelf) -> Mapping[int, Corrected]:
    """Return what holds by the buyer's own correction, by the lot's key."""
    return corrected_in(shelf.run.season)


def without_corrected(
    row: LotRow, lot: Lot, said: dict[str, Any], corrected: Mapping[int, Corrected], shelf: Shelf
) -> dict[str, Any]:
    """Return what a row says without what the buyer corrected; each cell that is set aside is noted."""
    mine = corrected.get(lot.pk)
    if mine is None:
        return said
    kept = {}
    for name, value in said.items():
        if not mine.sets_aside(name, reading_as_json(value)):
            kept[name] = value
            continue
        cell = row.cells.get(cell_key(name, row)) or Cell(row.sheet, f"A{row.row}", str(value))
        shelf.drop(
            cell,
            "corrected_by_buyer",
            f"you corrected this: {mine.written[name]} holds",
            f"wetleaf lot correct {lot.code} changes it again.",
            severity="info",
        )
    return kept
