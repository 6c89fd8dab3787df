"""What waits: the sooner an offer ends the earlier; nothing waits for a lot with a no."""

import dataclasses
import datetime as dt

from tests.findings.drawings.sample_book import MADE_ON, a_lot, a_one_lot_book, a_rich_book, an_untasted_lot
from wetleaf.findings.book import LotPage, NextStep, SeasonBook
from wetleaf.findings.waiting import what_waits

SETTLED = {
    "letters": (),
    "doubts": (),
    "step": NextStep("nothing_against", "nothing here stands against buying", ""),
}


def a_book_of(*lots: LotPage) -> SeasonBook:
    book = a_one_lot_book()
    return dataclasses.replace(book, groups=(dataclasses.replace(book.groups[0], lots=lots),))


def test_a_sample_that_was_not_tasted_waits_at_the_table() -> None:
    kinds = what_waits(a_book_of(an_untasted_lot()))

    assert [(kind.name, kind.things[0].anchor) for kind in kinds] == [("At the table", "lot-lu-15")]


def test_offers_that_end_soon_come_first() -> None:
    late = a_lot("B-1", offer_until=MADE_ON + dt.timedelta(days=20), **SETTLED)
    soon = a_lot("B-2", offer_until=MADE_ON + dt.timedelta(days=1), **SETTLED)
    far = a_lot("B-3", offer_until=MADE_ON + dt.timedelta(days=200), **SETTLED)

    (ending,) = what_waits(a_book_of(late, far, soon))

    assert [thing.anchor for thing in ending.things] == ["lot-b-2", "lot-b-1"]
    assert ending.things[0].when == "tomorrow"


def test_at_the_table_the_first_offer_to_end_comes_first_tasted_before_or_not() -> None:
    again = NextStep("taste_again", "taste again: one pot", "one thing is open")
    soon = a_lot("B-1", offer_until=MADE_ON + dt.timedelta(days=6), letters=(), doubts=(), step=again)
    late = dataclasses.replace(an_untasted_lot("U-1"), offer_until=MADE_ON + dt.timedelta(days=67))

    table = what_waits(a_book_of(late, soon))[0]

    assert [thing.anchor for thing in table.things] == ["lot-b-1", "lot-u-1"]


def test_what_is_to_be_asked_is_the_same_with_and_without_the_letters() -> None:
    ask = NextStep("ask", "ask the producer: two questions", "still missing")
    asked = a_lot("B-1", letters=(), doubts=(), gaps=("harvest year", "cultivar"), step=ask)
    clear = a_lot("B-2", **{**SETTLED, "letters": (("English", "Dear ..."),)})

    waiting = {kind.name: kind for kind in what_waits(a_book_of(asked, clear))}

    assert [thing.why for thing in waiting["To ask"].things] == ["harvest year; cultivar"]


def test_nothing_waits_for_a_lot_with_a_no_or_an_offer_that_has_ended() -> None:
    assert what_waits(a_book_of(a_lot()))

    assert what_waits(a_book_of(a_lot(verdict="no"))) == ()
    assert what_waits(a_book_of(a_lot(offer_until=MADE_ON - dt.timedelta(days=1)))) == ()


def test_a_long_list_is_cut_and_says_how_many_more_there_are() -> None:
    kinds = {
        kind.name: kind for kind in what_waits(a_book_of(*(an_untasted_lot(f"U-{n}") for n in range(9))))
    }

    assert len(kinds["At the table"].things) == 6
    assert kinds["At the table"].more == 3


def test_every_thing_that_waits_names_a_lot_of_the_book() -> None:
    book = a_rich_book()

    anchors = {thing.anchor for kind in what_waits(book) for thing in kind.things}

    assert anchors
    assert anchors <= {lot.anchor for lot in book.lots}
