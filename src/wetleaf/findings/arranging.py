"""The buyer's own order of the book: which lots are shown, under which headings, sorted by what.

Lots are ranked within a class or a line and never across: without headings, liking is no order.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from wetleaf.findings.book import Group, LotPage, SeasonBook
from wetleaf.findings.drawings.spoken import has_interval
from wetleaf.findings.readings.groups import NO_CLASS, NOT_RANKED

SHOWN: tuple[tuple[str, str], ...] = (
    ("all", "all"),
    ("keep", "keep"),
    ("maybe", "maybe"),
    ("no", "no"),
    ("untasted", "not tasted"),
    ("ending", "on offer"),
)
GROUPED: tuple[tuple[str, str], ...] = (("line", "line"), ("class", "class"), ("nothing", "nothing"))
_LONGEST_SEARCH = 80
_FEWEST_THAT_SHARE = 5
_FAR = "\U0010ffff"  # sorts after every date and name


@dataclass(frozen=True)
class Arrangement:
    """What the buyer asked to see: kept in the address, so that it can be kept and sent."""

    show: str = "all"
    by: str = "line"
    sort: str = ""
    find: str = ""


@dataclass(frozen=True)
class LotTable:
    """The first screen's table: its groups and what its columns have in common."""

    groups: tuple[Group, ...]
    scale: tuple[float, float] | None  # one scale for all, or each row says its own
    currency: str  # one currency for all, or each row says its own
    has_price: bool
    has_chance: bool
    has_last: bool  # a last year or a target to compare with
    shared_gaps: tuple[str, ...]  # what every lot lacks is said once, below the table

    @property
    def count(self) -> int:
        """How many lots the table shows."""
        return sum(len(group.lots) for group in self.groups)

    @property
    def columns(self) -> int:
        """How many columns the table has."""
        return 8 + self.has_price + self.has_chance + self.has_last


def read_arrangement(asked: dict[str, str]) -> Arrangement:
    """Read an arrangement from an address; what is not known is the book's own order.

    >>> read_arrangement({"show": "keep", "sort": "<script>"})
    Arrangement(show='keep', by='line', sort='', find='')
    """
    show, by, sort = (asked.get(name, "") for name in ("show", "by", "sort"))
    return Arrangement(
        show if show in dict(SHOWN) else "all",
        by if by in dict(GROUPED) else "line",
        sort if sort in _ORDERS else "",
        asked.get("find", "").strip()[:_LONGEST_SEARCH],
    )


def lot_table(book: SeasonBook, arrangement: Arrangement | None = None) -> LotTable:
    """Arrange a book's lots and see what the rows have in common."""
    groups = _arranged(book, arrangement or Arrangement())
    lots = tuple(lot for group in groups for lot in group.lots)
    scales = {(lot.overall.scale_low, lot.overall.scale_high) for lot in lots if lot.overall}
    currencies = {lot.currency for lot in lots if lot.price_per_kg is not None}
    return LotTable(
        groups=groups,
        scale=scales.pop() if len(scales) == 1 else None,
        currency=currencies.pop() if len(currencies) == 1 else "",
        has_price=book.shown_private,
        has_chance=any(lot.chance_best is not None for lot in lots),
        has_last=bool(book.before) or any(lot.last_year.answer or lot.target.answer for lot in lots),
        shared_gaps=_shared_gaps(lots),
    )


def _shared_gaps(lots: tuple[LotPage, ...]) -> tuple[str, ...]:
    if len(lots) < _FEWEST_THAT_SHARE:
        return ()
    return tuple(gap for gap in lots[0].gaps if all(gap in lot.gaps for lot in lots))


def counts_shown(book: SeasonBook) -> tuple[tuple[str, str, int], ...]:
    """Each choice of lots with its word and how many it has, the empty ones left out."""
    counted = ((key, word, sum(_is_shown(lot, key, book) for lot in book.lots)) for key, word in SHOWN)
    return tuple(row for row in counted if row[2] or row[0] == "all")


def _arranged(book: SeasonBook, arrangement: Arrangement) -> tuple[Group, ...]:
    groups: Iterable[Group] = _GROUPINGS[arrangement.by](book)
    kept = (
        replace(
            group,
            lots=tuple(
                lot
                for lot in group.lots
                if _is_shown(lot, arrangement.show, book) and mentions(lot, arrangement.find)
            ),
        )
        for group in groups
    )
    return tuple(_sorted(group, arrangement) for group in kept if group.lots)


def _is_shown(lot: LotPage, show: str, book: SeasonBook) -> bool:
    if show == "all":
        return True
    if show == "untasted":
        return not lot.tasted
    if show == "ending":
        return lot.offer_until is not None and lot.offer_until >= book.made_on
    return lot.verdict == show


def mentions(lot: LotPage, wanted: str) -> bool:
    """Whether a lot's names, facts or words hold every word of a search; an empty search finds all."""
    said = (
        [lot.code, lot.name, lot.tea_class, lot.line, lot.origin, lot.harvest, lot.producer]
        + [remark.text for remark in lot.remarks]
        + [word.text for word in (*lot.this_year_words, *lot.last_year_words)]
        + [fact.stated for fact in lot.facts]
    )
    text = "\n".join(said).casefold()
    return all(word in text for word in wanted.casefold().split())


def _sorted(group: Group, arrangement: Arrangement) -> Group:
    across = arrangement.by == "nothing" or (arrangement.by == "class" and not group.tea_class)
    if not arrangement.sort or (across and arrangement.sort == "overall"):
        return group
    return replace(group, lots=tuple(sorted(group.lots, key=_ORDERS[arrangement.sort])))


def _liked(lot: LotPage) -> float | None:
    """The liking it is ranked by; a mean without an interval ranks nothing."""
    at = lot.placed_at or lot.overall
    return -at.value if at and has_interval(at) else None


def _by_class(book: SeasonBook) -> tuple[Group, ...]:
    classes: dict[str, list[LotPage]] = {}
    for lot in book.lots:
        classes.setdefault(lot.tea_class, []).append(lot)
    unsaid = tuple(sorted(classes.pop("", ()), key=_ORDERS["lot"]))
    groups = tuple(
        Group(name, name, None, "", tuple(sorted(lots, key=_ORDERS["overall"])))
        for name, lots in sorted(classes.items())
    )
    return (*groups, Group(NO_CLASS, "", None, f"{NOT_RANKED}.".capitalize(), unsaid)) if unsaid else groups


def _by_nothing(book: SeasonBook) -> tuple[Group, ...]:
    lots = tuple(sorted(book.lots, key=lambda lot: lot.code))
    return (Group("All lots", "", None, "Liking is compared within a class only.", lots),)


def _missing_last(value: Any) -> tuple[bool, Any]:
    return value is None, 0 if value is None else value


_GROUPINGS: dict[str, Callable[[SeasonBook], tuple[Group, ...]]] = {
    "line": lambda book: book.groups,
    "class": _by_class,
    "nothing": _by_nothing,
}
_ANSWERS = {"yes": "0", "can't tell yet": "1", "no": "2", None: _FAR}
_ORDERS: dict[str, Callable[[LotPage], Any]] = {
    "lot": lambda lot: lot.code,
    "origin": lambda lot: lot.origin or _FAR,
    "harvest": lambda lot: lot.harvest_from.isoformat() if lot.harvest_from else _FAR,
    # Currencies are not converted: within each the cheapest first.
    "price": lambda lot: (lot.price_per_kg is None, lot.currency, lot.price_per_kg or 0),
    "overall": lambda lot: _missing_last(_liked(lot)),
    "last": lambda lot: _ANSWERS[lot.last_year.answer],
    "brews": lambda lot: _missing_last(lot.brews_left),
    "offer": lambda lot: lot.offer_until.isoformat() if lot.offer_until else _FAR,
    "step": lambda lot: lot.step.key,
}


def without_private(book: SeasonBook) -> SeasonBook:
    """Take makers and prices out of a book altogether, for a file that others will read."""
    groups = tuple(
        replace(group, lots=tuple(_lot_without_private(lot) for lot in group.lots)) for group in book.groups
    )
    return replace(book, shown_private=False, groups=groups)


def _lot_without_private(lot: LotPage) -> LotPage:
    nothing: Decimal | None = None
    return replace(
        lot,
        producer="",
        price_per_kg=nothing,
        currency="",
        price_written="",
        facts=tuple(fact for fact in lot.facts if not fact.private),
        letters=(),  # they are addressed to the maker
        noted=tuple(replace(one, price="") for one in lot.noted),
    )
