"""The decisions of a workbook onto the books: only for lots of which nothing was decided yet.

What was decided by hand is never taken back by a file, an older export least of all: another decision in a
workbook is noted as a dropped cell.
"""

from wetleaf.lots.intake.shelf import cell_name
from wetleaf.lots.models import Lot
from wetleaf.lots.withdrawals import withdrawal_of
from wetleaf.lots.workbooks.records import Decision
from wetleaf.sheets.decisions import decide, last_decision, read_decision
from wetleaf.sheets.models import Verdict
from wetleaf.sheets.table import Table

_NO_LOT = "It is not certain of which lot this was decided."
_DECIDED = "Something else was decided of this lot by hand, which no workbook takes back."


def take_in_decisions(table: Table) -> None:
    """Note every decision that can be noted; the others are dropped cells, with the reason.

    Raises BadInput for a day still to come and for kilos that are no weight to buy.
    """
    for one in table.book.decisions:
        if cell_name(one.cell) in table.left_out.cells:
            continue
        lot = _lot(table, one.lot)
        if lot is None:
            table.shelf.drop(one.cell, "not_stored", _NO_LOT, "Write the lot's code.")
        elif withdrawal_of(lot) is None:
            _take_in(table, lot, one)


def _take_in(table: Table, lot: Lot, one: Decision) -> None:
    if last_decision(lot) is None:
        decided = read_decision(one.said)
        decide(lot, decided, why=one.why, kilos=one.kilos, price=one.price, on=one.on, now=table.shelf.now)
        table.shelf.counts["decisions"] += 1
    elif not _was_decided(lot, one):
        table.shelf.drop(one.cell, "not_stored", _DECIDED, "If it holds, note it with wetleaf decide.")


def _lot(table: Table, code: str) -> Lot | None:
    sample = table.sample(code)
    return table.shelf.lots.get(code) or (sample.lot if sample is not None else None)


def _was_decided(lot: Lot, one: Decision) -> bool:
    """Whether this is what was decided once, though perhaps no longer."""
    decided = read_decision(one.said)
    same = Verdict.objects.filter(sample__lot=lot, decided=True, word=decided.word, step=decided.step)
    same = same.filter(why=one.why, kilos=one.kilos, price=one.price)
    return (same.filter(given_on=one.on) if one.on else same).exists()
