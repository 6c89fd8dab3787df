"""Tables of scores or ticks under heads that nobody knows: not read, but never dropped without a word.

True scratch - a sum, a list of errands, the cost of the post - has no column of samples beside columns of
numbers on a scale or of ticks, and stays silent.
"""

import re
from collections.abc import Iterable

from wetleaf.lots.workbooks.grid import Grid, GridCell, as_text
from wetleaf.lots.workbooks.recognised import Known
from wetleaf.lots.workbooks.verdict_words import is_verdict

FEWEST_ROWS = 3
FEWEST_COLUMNS = 2  # of numbers
HIGHEST = 100.0  # the longest scale in use
_CODE = re.compile(r"[^\W\d_]{1,5}[-_/ ]?\d{1,5}[^\W\d_]?")


def unread_scores(grid: Grid, known: Known, rows: Iterable[int] | None = None) -> tuple[int, int] | None:
    """Give the row and column of the first cell of what looks like a table of scores, or None.

    `rows` limits the search to the rows of one table.
    """
    looked = list(grid.filled_rows()) if rows is None else list(rows)
    full = [
        row for row in looked if sum(_is_on_scale(grid.at(row, c)) for c in grid.by_row.get(row, ())) >= 2
    ]
    if len(full) < FEWEST_ROWS:
        return None
    columns = sorted({column for row in full for column in grid.by_row.get(row, ())})
    labels = next((column for column in columns if _holds_samples(grid, full, column, known)), None)
    if labels is None:
        return None
    numbers = [c for c in columns if c != labels and _share(grid, full, c) >= 0.6]
    return (_head_row(grid, full[0]), labels) if len(numbers) >= FEWEST_COLUMNS else None


def _head_row(grid: Grid, first: int) -> int:
    """The row of heads over the numbers, if there is one."""
    above = max((row for row in grid.filled_rows() if row < first), default=first)
    return above if len(grid.by_row.get(above, ())) >= FEWEST_COLUMNS else first


def _is_on_scale(cell: GridCell) -> bool:
    if isinstance(cell.value, bool):
        return False
    if isinstance(cell.value, str):
        text = cell.value.strip().replace(",", ".")
        return bool(re.fullmatch(r"\d{1,2}(?:\.\d{1,2})?|100", text)) or is_verdict(text)
    return isinstance(cell.value, float) and not cell.formula and 0 <= cell.value <= HIGHEST


def _share(grid: Grid, rows: list[int], column: int) -> float:
    return sum(_is_on_scale(grid.at(row, column)) for row in rows) / len(rows)


def _holds_samples(grid: Grid, rows: list[int], column: int, known: Known) -> bool:
    """Whether a column holds codes or names of lots: known ones, or what looks like codes."""
    texts = [text for row in rows if (text := as_text(grid.shown(row, column)[2].value).strip())]
    if len(texts) < 0.8 * len(rows):
        return False
    if sum(known.is_sample(text) for text in texts) >= 0.5 * len(texts):
        return True
    if _are_blind(texts) or sum(bool(_CODE.fullmatch(text)) for text in texts) >= 0.6 * len(texts):
        return True
    return not known.codes and _are_names(texts)


def _are_blind(texts: list[str]) -> bool:
    """Codes of three digits, as teas tasted blind carry."""
    return all(re.fullmatch(r"[1-9]\d\d", text) for text in texts) and len(set(texts)) >= FEWEST_ROWS


def _are_names(texts: list[str]) -> bool:
    """Without any list of lots, words of several letters that differ from each other."""
    words = all(re.search(r"[^\W\d_]{2}", text) for text in texts)
    return words and len({text.casefold() for text in texts}) >= max(FEWEST_ROWS, 0.5 * len(texts))
