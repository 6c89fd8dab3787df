"""What is kept from a book for others: makers, contacts, places, prices. Taken out, not hidden by style.

Whole fields are emptied; a maker's name that stands inside a lot's name, a remark or a cell is replaced,
and so is an amount of money. What cannot be known to be a name or a price ("the farm by the bridge") stays
as written.
"""

import re
from collections.abc import Callable, Iterable, Iterator
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
_OWNER_S = re.compile(r"(?<!\w)['’]s\b")
_JOINTS = " ,;:·-–"
_LOOSE_WORD = re.compile(r"^(?:of|by|from|von|de)\s|\s(?:of|by|from|von|de)$", re.IGNORECASE)
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
    return _everywhere(_with_bare_names(bare, known, hidden), hidden)


def _with_bare_names(
    book: SeasonBook, stated: Iterable[StatedLot], hidden: re.Pattern[str] | None
) -> SeasonBook:
    """Name a tea without its maker wherever its whole name stands: "longjing", not "the maker longjing"."""
    bare = {lot.lot.name: _without(lot.lot.name, hidden) for lot in stated}
    bare = {name: kept for name, kept in bare.items() if kept and kept != name}
    if not bare:
        return book
    longest_first = sorted(bare, key=len, reverse=True)
    names = re.compile("|".join(rf"(?<!\w){re.escape(name)}(?!\w)" for name in longest_first))
    return _everywhere(book, names, with_what=lambda found: bare[found.group()])


def _without(name: str, hidden: re.Pattern[str] | None) -> str:
    """A tea's name without its maker: of "Dong Ding of Frost Works" stays "Dong Ding"."""
    if hidden is None or not hidden.search(name):
        return name
    kept = _OWNER_S.sub("", hidden.sub("", name)).strip(_JOINTS)
    return _LOOSE_WORD.sub("", re.sub(r"\s{2,}", " ", kept)).strip(_JOINTS)


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


def _everywhere(
    value: T,
    hidden: re.Pattern[str] | None,
    with_what: Callable[[re.Match[str]], str] | None = None,
) -> T:
    """Rebuild a value with every text in it cleaned; what holds nothing to hide is kept as it is.

    With `with_what` only what `hidden` finds is replaced, by what that says.
    """
    cleaned: Any = value
    if isinstance(value, str):
        cleaned = hidden.sub(with_what, value) if hidden and with_what else _cleaned(value, hidden)
        cleaned = value if cleaned == value else cleaned
    elif isinstance(value, tuple):
        parts = tuple(_everywhere(part, hidden, with_what) for part in value)
        cleaned = parts if any(new is not old for new, old in zip(parts, value, strict=True)) else value
    elif is_dataclass(value) and not isinstance(value, type):
        held = {field.name: getattr(value, field.name) for field in fields(value)}
        new = {name: _everywhere(part, hidden, with_what) for name, part in held.items()}
        changed = {name: part for name, part in new.items() if part is not held[name]}
        cleaned = replace(value, **changed) if changed else value
    return cleaned  # type: ignore[no-any-return]


def _cleaned(text: str, hidden: re.Pattern[str] | None) -> str:
    without = hidden.sub(MAKER, text) if hidden else text
    return _PRICE_A_WEIGHT.sub(PRICE, _MONEY.sub(PRICE, without))
