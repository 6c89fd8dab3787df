"""What waits: samples not tasted, cups that would settle something, questions to send, offers that end."""

import datetime as dt
from dataclasses import dataclass

from wetleaf.findings.assembling.answers import PAPERS
from wetleaf.findings.book import LotPage, SeasonBook

_SOON_DAYS = 21
_MOST_OF_A_KIND = 6


@dataclass(frozen=True)
class Waiting:
    """One thing that waits: when, what, why, and the lot where it is done (its anchor)."""

    when: str
    what: str
    why: str
    anchor: str
    act: str
    shows_private: bool = False  # letters name their maker, so they are shown when asked for


@dataclass(frozen=True)
class WaitingKind:
    """Things that wait in one place, and how many more there are than are shown."""

    name: str
    things: tuple[Waiting, ...]
    more: int = 0


def what_waits(book: SeasonBook) -> tuple[WaitingKind, ...]:
    """Return what waits on the day the book was made, in the order of the job; empty kinds are left out.

    Lots with a no are not waited for, and neither are offers that have ended.
    """
    lots = tuple(lot for lot in book.lots if lot.verdict != "no" and not _has_ended(lot, book.made_on))
    kinds = (
        _kind("At the table", _to_taste(lots, book.made_on)),
        _kind("To ask", [_question(lot) for lot in _by_offer(lots) if _is_to_be_asked(lot)]),
        _kind(
            "Ending", [_ending(lot, book.made_on) for lot in _by_offer(lots) if _ends_soon(lot, book.made_on)]
        ),
    )
    return tuple(kind for kind in kinds if kind.things)


def said_waiting(kinds: tuple[WaitingKind, ...]) -> str:
    """Say in one sentence how much waits where.

    >>> said_waiting((WaitingKind("At the table", (), 3), WaitingKind("Ending", (), 1)))
    'At the table 3 lots wait. 1 offer ends within three weeks.'
    """
    counts = {kind.name: len(kind.things) + kind.more for kind in kinds}
    table, ask, ending = (counts.get(name, 0) for name in ("At the table", "To ask", "Ending"))
    said = (
        table and f"At the table {table} {'lot waits' if table == 1 else 'lots wait'}.",
        ask and f"{ask} {'lot has' if ask == 1 else 'lots have'} something to be asked.",
        ending and f"{ending} {'offer ends' if ending == 1 else 'offers end'} within three weeks.",
    )
    return " ".join(sentence for sentence in said if sentence)


def said_days(until: dt.date, on: dt.date) -> str:
    """Say how far a day is off.

    >>> said_days(dt.date(2026, 6, 12), dt.date(2026, 6, 4))
    'in 8 days'
    """
    days = (until - on).days
    return {0: "today", 1: "tomorrow"}.get(days, f"in {days} days")


def _kind(name: str, things: list[Waiting]) -> WaitingKind:
    return WaitingKind(name, tuple(things[:_MOST_OF_A_KIND]), max(0, len(things) - _MOST_OF_A_KIND))


def _to_taste(lots: tuple[LotPage, ...], on: dt.date) -> list[Waiting]:
    """Lots to be tasted, for the first time or again: the sooner an offer ends, the earlier."""
    waiting = _by_offer(tuple(lot for lot in lots if not lot.tasted or lot.step.key == "taste_again"))
    return [_again(lot, on) if lot.tasted else _first_time(lot, on) for lot in waiting]


def _first_time(lot: LotPage, on: dt.date) -> Waiting:
    why = lot.step.text or "Not tasted yet."
    return Waiting(_when(lot, on), f"Taste {_named(lot)}", why, lot.anchor, "Open the lot")


def _again(lot: LotPage, on: dt.date) -> Waiting:
    what = f"{_named(lot)}: {lot.step.text}"
    return Waiting(_when(lot, on), what, lot.step.why, lot.anchor, "What would settle it")


def _is_to_be_asked(lot: LotPage) -> bool:
    """Whether asking is its next step, or its papers are doubted; what is only missing waits for an order."""
    return lot.step.key == "ask" or (bool(lot.doubts) and lot.step.key != "leave")


def _question(lot: LotPage) -> Waiting:
    """What is to be asked, by its subjects: why each is asked stands on the lot's page."""
    papers = next((one.says for one in lot.answers if one.question == PAPERS and lot.doubts), "")
    missing = f"missing: {', '.join(lot.gaps)}" if papers and lot.gaps else ""
    open_things = "; ".join(
        part for part in ((papers, missing) if papers else (*lot.doubts, *lot.gaps)) if part
    )
    open_things = open_things or lot.step.text
    return Waiting(
        "", f"Ask about {_named(lot)}", open_things, lot.anchor, "Read and copy", shows_private=True
    )


def _ending(lot: LotPage, on: dt.date) -> Waiting:
    assert lot.offer_until is not None
    return Waiting(
        said_days(lot.offer_until, on),
        f"The offer of {_named(lot)} ends",
        lot.step.text,
        lot.anchor,
        "Open the lot",
    )


def _by_offer(lots: tuple[LotPage, ...]) -> list[LotPage]:
    return sorted(lots, key=lambda lot: lot.offer_until or dt.date.max)


def _has_ended(lot: LotPage, on: dt.date) -> bool:
    return lot.offer_until is not None and lot.offer_until < on


def _ends_soon(lot: LotPage, on: dt.date) -> bool:
    return lot.offer_until is not None and (lot.offer_until - on).days <= _SOON_DAYS


def _when(lot: LotPage, on: dt.date) -> str:
    return f"offer ends {said_days(lot.offer_until, on)}" if lot.offer_until else ""


def _named(lot: LotPage) -> str:
    return f"{lot.code} {lot.name}"
