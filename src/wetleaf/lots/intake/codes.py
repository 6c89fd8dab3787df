"""The codes lots are kept under: as written, or made up until the workbook tells two lots apart."""

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping

from wetleaf.lots.intake.shelf import Shelf
from wetleaf.lots.keeping import fitting_text
from wetleaf.lots.models import Lot, Sample
from wetleaf.lots.workbooks.records import Cell, LotRow

_MADE_UP = re.compile(r"\(row \d+\)$")


def codes_of(rows: Iterable[LotRow]) -> dict[tuple[str, int], str]:
    """The code each lot is kept under, by sheet and row.

    Two rows with one code are two lots that were not told apart: neither gets the bare code. A row without a
    code is kept under its name.
    """
    rows = list(rows)
    wanted = {(row.sheet, row.row): (row.code or row.name or "").strip() for row in rows}
    times = Counter(wanted.values())
    return {
        where: fitting_text(Lot, "code", _told_apart(code, where[1]) if times[code] > 1 or not code else code)
        for where, code in wanted.items()
    }


def _told_apart(code: str, row: int) -> str:
    # Cut before the row is added, so that two long codes stay two.
    return f"{code[:100]} (row {row})".strip()


def lots_that_wait(known: Mapping[str, Lot], codes: Collection[str]) -> dict[str, Lot]:
    """The lots with a made-up code that this workbook does not use any more, by their names.

    Only a name that one of them has is a safe way to know it again.
    """
    waiting = [lot for code, lot in known.items() if code not in codes and _is_made_up(lot)]
    times = Counter(lot.name for lot in waiting)
    return {lot.name: lot for lot in waiting if times[lot.name] == 1}


def _is_made_up(lot: Lot) -> bool:
    return bool(_MADE_UP.search(lot.code)) or lot.code == fitting_text(Lot, "code", lot.name)


def give_code(lot: Lot, code: str, cell: Cell, shelf: Shelf) -> None:
    """Give a lot that waited for it its code, and its sample too; what it was kept under stays on record."""
    shelf.drop(cell, "code_given", f"the lot kept as '{lot.code}' now has the code {code}.", severity="info")
    Sample.objects.filter(lot=lot, code=lot.code).update(code=code)
    lot.code = code
    lot.save(update_fields=["code"])


def say_what_code_is_used(row: LotRow, code: str, shelf: Shelf) -> None:
    """Put on record that a lot is kept under a code that its row does not have."""
    if code == (row.code or "").strip():
        return
    why = f"no code is written, the lot is kept under '{code}'."
    if row.code:
        why = f"two rows have the code {row.code.strip()}; this one is kept as '{code}'."
    shelf.drop(code_cell(row), "code_made_up", why, "Give every lot its own code.")


def code_cell(row: LotRow) -> Cell:
    """The cell of a row's code, or where it should be."""
    return row.cells.get("code") or row.cells.get("name") or Cell(row.sheet, f"A{row.row}", row.code or "")
