"""What is said of lots above them: the currency of prices in a title, the class in the row of a section."""

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from wetleaf.lots.workbooks.lot_values import left_open, price_unit_said
from wetleaf.trade.classes import find_class
from wetleaf.trade.money import PriceUnit

_OF_PRICES = re.compile(r"pric(?:e|es|ed)\b|asking|preise?\b|prix|tarif|價|价|値段|価格", re.IGNORECASE)
_ROCK = frozenset(
    {"rock", "rocks", "rock tea", "rock teas", "yancha", "岩茶"}
)  # oolongs of Wuyi: common practice


def completed(
    unit: PriceUnit, titles: Sequence[str], place: str, jin_grams: Decimal | None
) -> tuple[PriceUnit, str]:
    """Give a price column's unit, with what its head leaves out taken from the nearest title that speaks of
    prices, and that title; "" where none is needed or tells.
    """
    if left_open(unit) or (unit.currency and unit.per_g is not None):
        return unit, ""
    for title in reversed(titles):
        told = price_unit_said(title, place=place, jin_grams=jin_grams) if _OF_PRICES.search(title) else None
        if told is None or left_open(told) or not (told.currency or told.per_g):
            continue
        whole = replace(unit, currency=unit.currency or told.currency, per_g=unit.per_g or told.per_g)
        if whole != unit:
            return whole, title
    return unit, ""


def class_of_section(text: str) -> str:
    """Give the class of tea that a lone text between the rows names, as its key; "" where it names none.

    >>> class_of_section("GREEN"), class_of_section("Rock teas"), class_of_section("Nantou")
    ('green', 'oolong', '')
    """
    plain = text.strip(" :.-–—").casefold()
    if plain in _ROCK:
        return "oolong"
    bare = re.sub(r"\s+teas?$|(?<=[a-z])s$", "", plain)
    found = find_class(plain) or find_class(bare) or find_class(f"{bare} tea")
    return found.key if found is not None else ""
