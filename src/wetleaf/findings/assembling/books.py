"""The whole book of a season, from its rows to values that can be shown."""

import datetime as dt
from collections import defaultdict

from wetleaf import __version__
from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.discretion import kept_private
from wetleaf.findings.assembling.flights import flight_pages
from wetleaf.findings.assembling.groups import group_page
from wetleaf.findings.assembling.sentences import counted, listed, said_count, said_day, sentence
from wetleaf.findings.book import Dropped, Group, LotPage, SeasonBook
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings.seasons import SeasonRead, read_season
from wetleaf.findings.readings.stated import facts_of
from wetleaf.findings.records import DroppedRow, SeasonRecords
from wetleaf.lots.models import Season
from wetleaf.trade.twins import Twins, find_twins

_SEVERITY_ORDER = {"error": 0, "warn": 1}
_SOON_DAYS = 14
_MOST_NAMED = 4
_ENOUGH_TO_COMPETE = 4


def assemble_season_book(season: Season, *, shown_private: bool, made_on: dt.date) -> SeasonBook:
    """Return the decision book of a season.

    With `shown_private` False no maker, contact, price or maker's place is in any of its values. A season
    with no score, no liking, one lot or none makes a book all the same. Asks the database a fixed number of
    questions.
    """
    return book_of(read_season(fetch_season(season)), shown_private=shown_private, made_on=made_on)


def book_of(season: SeasonRead, *, shown_private: bool, made_on: dt.date) -> SeasonBook:
    """Return the book of a season that has been read already."""
    grounds = Grounds()
    groups = tuple(
        group_page(group, [LotCase(lot, group, season, made_on) for lot in group.lots], grounds)
        for group in season.groups
    )
    flights = flight_pages(season, grounds)
    book = SeasonBook(
        season=season.records.season,
        before=season.records.before,
        is_invented=season.records.is_invented,
        made_on=made_on,
        shown_private=shown_private,
        say=_say(groups, made_on),
        groups=groups,
        flights=flights,
        dropped=_dropped(season.records),
        twins=_twins(season),
        grounds=grounds.all(),
        version=__version__,
    )
    return book if shown_private else kept_private(book, season.stated.values())


# --- the sentence on the first screen ---


def _say(groups: tuple[Group, ...], made_on: dt.date) -> str:
    lots = [lot for group in groups for lot in group.lots]
    if not lots:
        return "No sample has come yet."
    parts = [
        _came(lots),
        _verdicts(lots),
        _suggested(lots),
        _open_groups(groups),
        _papers(lots),
        _next_offer(lots, made_on),
        _lines_to_declare(lots),
    ]
    return " ".join(part for part in parts if part)


def _came(lots: list[LotPage]) -> str:
    tasted = sum(lot.tasted for lot in lots)
    if tasted == len(lots):
        how = "it is tasted" if len(lots) == 1 else "all are tasted"
    else:
        how = f"{counted(tasted, 'is', 'are')} tasted" if tasted else "none is tasted yet"
    return sentence(f"{counted(len(lots), 'sample')} came; {how}")


def _verdicts(lots: list[LotPage]) -> str:
    words = (("keep", "kept for now"), ("maybe", "maybe"), ("no", "let go"))
    counts = [(sum(lot.verdict == key for lot in lots), word) for key, word in words]
    said = [counted(count, word, word) for count, word in counts if count]
    return sentence(listed(said)) if said else ""


def _suggested(lots: list[LotPage]) -> str:
    """How many more the table below suggests to leave, beside those that a word let go."""
    count = sum(lot.step.key == "leave" and lot.verdict != "no" for lot in lots)
    more = " more" if any(lot.verdict == "no" for lot in lots) else ""
    return sentence(f"the suggested step is to leave {said_count(count)}{more}") if count else ""


def _lines_to_declare(lots: list[LotPage]) -> str:
    """Where no line is named at all, say what is compared instead and how to name them."""
    if len(lots) < _ENOUGH_TO_COMPETE or any(lot.line for lot in lots):
        return ""
    return (
        "No line of the shop is named, so lots are compared within a class and style: a column headed "
        "“line” in the workbook says which compete for one place on the shelf."
    )


def _open_groups(groups: tuple[Group, ...]) -> str:
    """Name the lines whose best lot is open; lots without a line are nobody's to fill."""
    open_ = [group.name for group in groups if _is_open(group) and any(lot.line for lot in group.lots)]
    if not open_:
        return ""
    if len(open_) > _MOST_NAMED:
        return sentence(f"which lot is best can't be told yet in {counted(len(open_), 'line')}")
    joint = "; " if any("," in name for name in open_) else ", "
    named = listed(open_) if joint == ", " else joint.join(open_)
    return sentence(f"which lot is best can't be told yet for {named}")


def _is_open(group: Group) -> bool:
    return sum(lot.on_shortlist for lot in group.lots) > 1


def _papers(lots: list[LotPage]) -> str:
    doubtful = [lot.code for lot in lots if lot.doubts]
    if not doubtful:
        return ""
    if len(doubtful) > _MOST_NAMED:
        return sentence(f"the papers of {counted(len(doubtful), 'lot')} raise questions")
    return sentence(f"the papers of {listed(doubtful)} raise questions")


def _next_offer(lots: list[LotPage], made_on: dt.date) -> str:
    ends = [
        lot.offer_until
        for lot in lots
        if lot.offer_until and lot.offer_until >= made_on and lot.verdict != "no"
    ]
    if not ends:
        return ""
    first = min(ends)
    soon = sum((day - made_on).days <= _SOON_DAYS for day in ends)
    day = said_day(first, seen_from=made_on)
    if soon > 1:
        return sentence(f"{counted(soon, 'offer')} end within a fortnight, the first on {day}")
    return sentence(f"the first offer ends on {day}")


# --- what was dropped, and twins ---


def _dropped(records: SeasonRecords) -> tuple[Dropped, ...]:
    """What was left out or inferred, cell by cell; what was only tidied is told once for each reason."""
    told = sorted((row for row in records.dropped if row.severity != "info"), key=_weight)
    tidied: dict[tuple[str, str], list[DroppedRow]] = defaultdict(list)
    for row in records.dropped:
        if row.severity == "info":
            tidied[row.sheet, row.why].append(row)
    cells = [Dropped(row.sheet, row.cell, row.says, row.why, row.severity) for row in told]
    return (*cells, *(_tidied(rows) for rows in tidied.values()))


def _weight(row: DroppedRow) -> int:
    return _SEVERITY_ORDER.get(row.severity, len(_SEVERITY_ORDER))


def _tidied(rows: list[DroppedRow]) -> Dropped:
    first = rows[0]
    says = list(dict.fromkeys(row.says for row in rows))
    more = ", …" if len(says) > _MOST_NAMED else ""
    cell = first.cell if len(rows) == 1 else f"{first.cell} and {counted(len(rows) - 1, 'more cell')}"
    return Dropped(
        first.sheet, cell, ", ".join(says[:_MOST_NAMED]) + more, first.why, first.severity, len(rows)
    )


def _twins(season: SeasonRead) -> tuple[str, ...]:
    facts = [facts_of(season.stated[lot.pk]) for lot in season.records.lots]
    return tuple(_said_twins(twins) for twins in find_twins(facts))


def _said_twins(twins: Twins) -> str:
    first, second = twins.first.code, twins.second.code
    guess = "the same tea from two sellers" if twins.kind == "two sellers" else "one lot written down twice"
    return f"{first} and {second} look alike ({listed(twins.reasons)}): {guess}?"
