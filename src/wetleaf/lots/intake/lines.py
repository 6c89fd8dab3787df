"""Lines the shop keeps, and what they should be."""

from decimal import Decimal
from typing import Any

from wetleaf.lots.actions import line_named, set_target
from wetleaf.lots.intake.shelf import Shelf, cell_name
from wetleaf.lots.models import Line
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.trade.classes import find_class
from wetleaf.trade.errors import BadInput


def take_in_lines(book: ReadBook, shelf: Shelf) -> None:
    for row in book.lines:
        line = line_named(row.name)
        if line is None or cell_name(row.cell) in shelf.left_out:
            continue
        _follow_line(line, row.tea_class, row.wanted_kg)
        if row.target is not None or row.tolerance is not None:
            before = line.targets.count()
            try:
                set_target(line, row.attribute, value=row.target, tolerance=row.tolerance, now=shelf.now)
            except BadInput as refusal:
                shelf.drop(row.cell, "no_tolerance", refusal.why, refusal.way_out)
            shelf.counts["targets"] += line.targets.count() - before


def _follow_line(line: Line, tea_class: str, wanted_kg: Decimal | None) -> None:
    found = find_class(tea_class) if tea_class else None
    news: dict[str, Any] = {"tea_class": found.key if found else tea_class or None, "wanted_kg": wanted_kg}
    news = {name: value for name, value in news.items() if value is not None and getattr(line, name) != value}
    for name, value in news.items():
        setattr(line, name, value)
    if news:
        line.save(update_fields=list(news))
