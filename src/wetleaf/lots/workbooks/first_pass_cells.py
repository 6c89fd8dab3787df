"""One cell of a first pass: the verdict or the liking that it holds."""

from typing import Literal

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.grid import as_text, is_blank
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.score_values import Scale, read_score, scale_in
from wetleaf.lots.workbooks.verdict_words import meaning_of_cross, verdict_of


def verdict_at(
    recognised: Recognised, row: int, column: int, context: Context
) -> Literal["keep", "maybe", "no"] | None:
    """Read the verdict in a cell; None where it is empty or says something else, which is named."""
    grid = recognised.table.grid
    cell = grid.at(row, column)
    if is_blank(cell):
        return None
    if isinstance(cell.value, bool):
        return "keep" if cell.value else "no"
    text = as_text(cell.value).strip()
    verdict = verdict_of(text, cross=_cross(recognised, row, column, text, context))
    if verdict is None:
        context.problems.add(grid, row, column, "unknown_verdict")
    return verdict


def _cross(
    recognised: Recognised, row: int, column: int, text: str, context: Context
) -> Literal["keep", "maybe", "no"] | None:
    """What an `x` means in its column; asked, for some buyers cross out and some mark."""
    if text.casefold() != "x":
        return None
    grid = recognised.table.grid
    meaning = meaning_of_cross(as_text(grid.at(r, column).value) for r in recognised.table.rows)
    context.problems.add(
        grid, row, column, "cross_taken_for", why=f"an x, taken for {meaning} by the other marks"
    )
    return meaning


def liking_at(recognised: Recognised, row: int, head: Head, context: Context) -> tuple[float | None, Scale]:
    """Read the liking in a cell, on the scale that its head or a title writes."""
    grid = recognised.table.grid
    titles = (scale_in(title) for title in reversed(recognised.table.titles))
    scale = (
        scale_in(head.whole)
        or next((s for s in titles if s), None)
        or _hundred(recognised, head.column)
        or Scale()
    )
    reading = read_score(
        grid.at(row, head.column),
        scale,
        decimal=context.decimal,
        plain_text=grid.is_csv,
        commas_usual=context.decimal == ",",
    )
    for kind in reading.kinds:
        context.problems.add(grid, row, head.column, kind)
    return reading.value, scale


def _hundred(recognised: Recognised, column: int) -> Scale | None:
    values = [
        v
        for row in recognised.table.rows
        if isinstance(v := recognised.table.grid.at(row, column).value, float)
    ]
    if len(values) >= 3 and sum(10 < v <= 100 for v in values) > 0.5 * len(values):
        return Scale(0.0, 100.0, "inferred: most numbers lie above 10")
    return None
