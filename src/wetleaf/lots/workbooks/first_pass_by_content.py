"""A verdict or a liking beside lots under an unknown head: told by its cells, or left unsure."""

import re
from collections.abc import Iterable, Mapping

from wetleaf.lots.workbooks.column_fit import share_of
from wetleaf.lots.workbooks.grid import GridCell, as_text
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.score_values import scale_in
from wetleaf.lots.workbooks.tasting_words import has_word
from wetleaf.lots.workbooks.verdict_words import is_tick, is_verdict
from wetleaf.trade.numbers import is_missing_mark, parse_number

FEWEST = 2  # cells that tell a column


def infer_first_pass(
    free: Mapping[Head, list[GridCell]], open_fields: Iterable[str]
) -> list[tuple[str, Head, str]]:
    """Give (field, head, why) for the column that is a verdict and the one that is a liking, where there is
    one of each and nothing better; of two alike neither is taken.
    """
    found = []
    for field, rate, why in (
        ("verdict", _as_verdict, "its cells are ticks, crosses, yes, no or maybe, as of a first pass"),
        ("liking", _as_liking, "its cells are numbers on a scale of liking"),
    ):
        rated = {head: rate(head, cells) for head, cells in free.items()}
        best = max(rated.values(), default=0.0)
        heads = [head for head, rating in rated.items() if rating == best]
        if field in open_fields and best > 0 and len(heads) == 1:
            found.append((field, heads[0], why))
    return found


def why_not_used(head: Head, cells: list[GridCell]) -> str:
    """Say of a column that is not used what it may be, and how to map it; "" where nothing suggests itself.

    >>> why_not_used(Head(7, "paid"), [GridCell("yes"), GridCell("no")])
    'it may be a verdict: if so, write verdict for it in a mapping file'
    """
    if all_verdicts(cells):
        return "it may be a verdict: if so, write verdict for it in a mapping file"
    if numbers_to(cells, 10) and not _measures(head):
        return "it may be a liking or a score: if so, write liking or score for it in a mapping file"
    return ""


def _as_verdict(head: Head, cells: list[GridCell]) -> float:
    """How surely a column is a verdict: by its head, by signs that hardly mean else, by its cells alone."""
    if has_word("no_judgement", head.text) or not all_verdicts(cells):
        return 0.0
    if has_word("verdicts", head.text) or has_word("likings", head.text):
        return 3.0
    texts = [as_text(cell.value).strip() for cell in cells]
    return 2.0 if any(is_tick(text) for text in texts) else 1.0


def all_verdicts(cells: list[GridCell]) -> bool:
    """Whether nearly all cells that say anything are ticks, crosses or words of a verdict."""
    said = [cell for cell in cells if not (isinstance(cell.value, str) and is_missing_mark(cell.value))]
    marks = [cell for cell in cells if isinstance(cell.value, bool) or is_verdict(as_text(cell.value))]
    return len(marks) >= FEWEST and len(marks) >= 0.8 * max(len(said), 1) and not numbers_to(cells, 100)


def _as_liking(head: Head, cells: list[GridCell]) -> float:
    if has_word("no_judgement", head.text) or _measures(head) or len(cells) < FEWEST:
        return 0.0
    scale = scale_in(head.whole)
    if scale is not None and numbers_to(cells, scale.high):
        return 3.0 if has_word("likings", head.text) or not has_word("attributes", head.text) else 0.0
    if has_word("likings", head.text) and numbers_to(cells, 100):
        return 2.0
    return 1.0 if numbers_to(cells, 9, least=1) and not has_word("attributes", head.text) else 0.0


def numbers_to(cells: list[GridCell], most: float, least: float = 0) -> bool:
    """Whether nearly all cells are numbers from `least` to `most`."""
    return share_of(cells, lambda cell: _is_within(cell, least, most)) >= 0.8


def _is_within(cell: GridCell, least: float, most: float) -> bool:
    if isinstance(cell.value, str):
        number = parse_number(cell.value.strip()) if len(cell.value) <= 10 else None
        value = number.value if number is not None and (not number.unit or number.out_of) else None
        return value is not None and least <= float(value) <= most
    return isinstance(cell.value, float) and not isinstance(cell.value, bool) and least <= cell.value <= most


def _measures(head: Head) -> bool:
    """Whether a head names a unit, so that what stands under it is measured and not liked."""
    return bool(
        re.search(
            r"[%€£$¥°]|\b(?:kg|g|lb|oz|m|ft|min|sec|s|h|ml|l|cm|mm|ha|eur|usd|gbp|twd|nt)\b", fold(head.whole)
        )
    )
