"""What is kept from a book for others: makers, contacts, places, prices. Taken out, not hidden by style.

Whole fields are emptied; a maker's name that stands inside a lot's name, a remark or a cell is replaced,
and so is an amount of money. What cannot be known to be a name or a price ("the farm by the bridge") stays
as written.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from wetleaf.findings.assembling.as_shown import shown_elevation
from wetleaf.findings.book import Dropped, FactRow, LotPage, SeasonBook
from wetleaf.findings.readings.stated import StatedLot

T = TypeVar("T")
MAKER = "the maker"
PRICE = "[price]"
_SHORTEST_NAME = 3  # letters; a shorter name would be replaced inside other words
_CURRENCY = (
    r"NT\$|US\$|HK\$|[A-Z]{0,2}\$|€|£|¥|￥|₹|[元円圓块塊]"
    r"|\b(?:EUR|USD|GBP|JPY|CNY|RMB|TWD|NTD|INR|NPR|LKR|KRW|Rs\.?|euros?|dollars?|yen|yuan|rupees?)(?![A-Za-z])"
)
_AMOUNT = r"\d[\d.,'’\s]*\d|\d"
_PER = r"(?:\s*(?:/|per|a|an|pro|je)\s*(?:\d+\s*)?(?:kg|kilo|g|jin|catty|lb|oz|tael|斤|两|兩|公斤)\b)?"
_MONEY = re.compile(rf"(?:{_CURRENCY})\s*(?:{_AMOUNT}){_PER}|(?:{_AMOUNT})\s*(?:{_CURRENCY}){_PER}")
_PRICE_A_WEIGHT = re.compile(
    rf"(?:{_AMOUNT})\s*/\s*(?:kg|jin|catty|lb|oz|tael|斤|两|兩|公斤)(?![A-Za-z])", re.IGNORECASE
)
_PRIVATE_CELLS = ("price", "money", "currency", "producer", "contact", "deposit", "markup", "offer")


def kept_private(book: SeasonBook, stated: Iterable[StatedLot]) -> SeasonBook:
    """Return the book for others' eyes: makers, contacts and prices gone from every value in it."""
    known = list(stated)
    hidden = _words_to_hide(known)
    of_code = {lot.lot.code: lot for lot in known if lot.lot.season == book.season}
    bare = replace(
        book,
        shown_private=False,
        groups=tuple(
            replace(group, lots=tuple(_lot_for_others(lot, of_code[lot.code]) for lot in group.lots))
            for group in book.groups
        ),
        dropped=tuple(_cell_for_others(cell) for cell in book.dropped),
    )
    return _everywhere(bare, hidden)


def _lot_for_others(lot: LotPage, stated: StatedLot) -> LotPage:
    district = stated.district
    return replace(
        lot,
        producer="",
        origin=", ".join(part for part in (district, shown_elevation(stated)) if part),
        price_per_kg=None,
        currency="",
        price_written="",
        facts=tuple(_facts_for_others(lot.facts, district)),
        letters=(),  # they are addressed to the maker
        noted=tuple(replace(one, price="") for one in lot.noted),
    )


def _facts_for_others(facts: tuple[FactRow, ...], district: str) -> Iterator[FactRow]:
    for fact in facts:
        if not fact.private:
            yield fact
        elif fact.what == "Origin":
            yield replace(fact, stated=district or "kept private", private=False)


def _cell_for_others(cell: Dropped) -> Dropped:
    said = f"{cell.why} {cell.says}".casefold()
    return replace(cell, says="kept private") if any(word in said for word in _PRIVATE_CELLS) else cell


def _words_to_hide(stated: Iterable[StatedLot]) -> re.Pattern[str] | None:
    said: set[str] = set()
    for lot in stated:
        said |= {lot.lot.producer.strip(), *lot.makers_place}
        said |= {lot.written("garden"), lot.written("garden_mark")}
        said |= {
            line.strip() for line in (lot.lot.contact, lot.written("contact")) for line in line.splitlines()
        }
    words = sorted((word for word in said if len(word) >= _SHORTEST_NAME), key=len, reverse=True)
    if not words:
        return None
    return re.compile("|".join(rf"(?<!\w){re.escape(word)}(?!\w)" for word in words), re.IGNORECASE)


def _everywhere(value: T, hidden: re.Pattern[str] | None) -> T:
    """Rebuild a value with every text in it cleaned; what holds nothing to hide is kept as it is."""
    cleaned: Any = value
    if isinstance(value, str):
        cleaned = _cleaned(value, hidden)
    elif isinstance(value, tuple):
        parts = tuple(_everywhere(part, hidden) for part in value)
        cleaned = parts if any(new is not old for new, old in zip(parts, value, strict=True)) else value
    elif is_dataclass(value) and not isinstance(value, type):
        held = {field.name: getattr(value, field.name) for field in fields(value)}
        new = {name: _everywhere(part, hidden) for name, part in held.items()}
        changed = {name: part for name, part in new.items() if part is not held[name]}
        cleaned = replace(value, **changed) if changed else value
    return cleaned  # type: ignore[no-any-return]


def _cleaned(text: str, hidden: re.Pattern[str] | None) -> str:
    without = hidden.sub(MAKER, text) if hidden else text
    without = _PRICE_A_WEIGHT.sub(PRICE, _MONEY.sub(PRICE, without))
    return text if without == text else without
