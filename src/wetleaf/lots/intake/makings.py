"""Rows that say which lot they were made from, and how."""

import re
from collections.abc import Iterable

from wetleaf.lots.intake.samples import lot_on_the_books
from wetleaf.lots.intake.shelf import Shelf
from wetleaf.lots.makings import Part, note_making
from wetleaf.lots.models import Lot, Making
from wetleaf.lots.workbooks.records import Cell, LotRow, SampleCode
from wetleaf.trade.errors import BadInput


def take_in_makings(rows: Iterable[LotRow], shelf: Shelf) -> None:
    known = set(Making.objects.filter(child__in=shelf.lots_by_row.values()).values_list("child", "parent"))
    for row in rows:
        if row.facts.get("parent", "").strip():
            _take_in_making(row, known, shelf)


def _take_in_making(row: LotRow, known: set[tuple[int, int]], shelf: Shelf) -> None:
    child, text = shelf.lots_by_row[row.sheet, row.row], row.facts["parent"].strip()
    cell = row.cells.get("parent") or Cell(row.sheet, f"A{row.row}", text)
    parents = _lots_named(text, shelf)
    if not parents:
        shelf.drop(cell, "unknown_parent", f"no lot '{text}' is on the books.", "Give the parent's code.")
        return
    kind = Making.Kind.BLEND if len(parents) > 1 else making_named(row.facts.get("making", ""))
    if kind is None:
        shelf.drop(cell, "unknown_making", f"how {child.code} was made from {text} is not said.",
                   f"Say one of: {', '.join(Making.Kind.values)}.")  # fmt: skip
        return
    news = [Part(parent) for parent in parents if (child.pk, parent.pk) not in known]
    try:
        note_making(child, news, kind, loss_percent=row.loss_percent, now=shelf.now)
    except BadInput as refusal:
        shelf.drop(cell, "made_from_itself", refusal.why, refusal.way_out)


def _lots_named(text: str, shelf: Shelf) -> list[Lot]:
    codes = [text] if text in shelf.lots else [part.strip() for part in re.split(r"[,;+&/]|\band\b", text)]
    lots = [
        shelf.lots.get(code) or lot_on_the_books(SampleCode(code, (), False), shelf) for code in codes if code
    ]
    return [lot for lot in lots if lot is not None] if all(lots) else []


_MAKINGS = (
    (Making.Kind.REROAST, r"re-?\s?roast|roast|re-?fir|焙|refire"),
    (Making.Kind.BLEND, r"blend|mix|mélange|mischung|拼"),
    (Making.Kind.SORT, r"sort|siev|sift|pick(?:ed)? over|grade|篩|筛"),
    (Making.Kind.REPACK, r"re-?\s?pack|re-?\s?bag|pack"),
    (Making.Kind.SPLIT, r"split|divid|part|teil"),
)


def making_named(text: str) -> Making.Kind | None:
    """How a lot was made from another, from a word for it; None when the word is not known.

    >>> making_named("Re-roasted, charcoal").value, making_named("magic")
    ('re-roast', None)
    """
    return next((kind for kind, words in _MAKINGS if re.search(words, text, re.IGNORECASE)), None)
