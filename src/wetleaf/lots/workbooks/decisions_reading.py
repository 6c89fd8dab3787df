"""What was decided of each lot, as a sheet of decisions says it: a word or a step, why, kilos, a price."""

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.grid import cell_record
from wetleaf.lots.workbooks.house_reading import day_in, number_in, text_in
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import Decision
from wetleaf.lots.workbooks.score_names import Names, name_problem
from wetleaf.lots.workbooks.verdict_words import verdict_of
from wetleaf.trade.money import parse_price
from wetleaf.trade.spelling import squash
from wetleaf.trade.stages import NextStep


def read_decisions(recognised: Recognised, names: Names, context: Context) -> list[Decision]:
    """Read a table of decisions, one a row; a row without a decision says nothing."""
    found = (_decision(recognised, row, names, context) for row in recognised.table.rows)
    return [decision for decision in found if decision is not None]


def decided_in(text: str) -> str:
    """Give the word or the step that a text says, "" for none.

    >>> decided_in("Keep"), decided_in("Taste again"), decided_in("twelve")
    ('keep', 'taste again', '')
    """
    said = squash(text)
    steps = {squash(name): step.value for step in NextStep for name in (step.name, step.value)}
    return steps.get(said) or verdict_of(text) or ""


def _decision(recognised: Recognised, row: int, names: Names, context: Context) -> Decision | None:
    grid, heads = recognised.table.grid, recognised.by_field
    code, text = text_in(recognised, row, "lot"), text_in(recognised, row, "decided")
    if not code or not text:
        return None
    reading = names.samples.of(code)
    name_problem(grid, row, heads["lot"].column, reading, context)
    said = decided_in(text)
    if not said:
        context.problems.add(grid, row, heads["decided"].column, "unknown_verdict")
        return None
    kilos, price = number_in(recognised, row, "kilos", context), text_in(recognised, row, "price")
    if kilos is not None and kilos <= 0:
        context.problems.add(grid, row, heads["kilos"].column, "not_understood")
        kilos = None
    if price and parse_price(price).value is None:
        context.problems.add(grid, row, heads["price"].column, "not_understood")
        price = ""
    return Decision(
        cell_record(grid, row, heads["decided"].column),
        reading.name or "",
        said,
        text_in(recognised, row, "why"),
        kilos,
        price,
        day_in(recognised, row, "date", context),
    )
