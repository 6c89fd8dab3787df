"""The invented season, from its workbooks to its book: is what was planted in it found?"""

import datetime as dt
import re
from pathlib import Path

import pytest

from tests.room import NOON
from wetleaf.demo.truth import BUYER, LEFT_OUT_2026, PLANTED
from wetleaf.demo.workbooks import write_workbooks
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.book import LotPage, SeasonBook
from wetleaf.lots.models import Season
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.sheets.intake import store_book

MADE_ON = dt.date(2026, 11, 24)
TRUTH = {planted.what: planted for planted in PLANTED}


_MADE: list[SeasonBook] = []


@pytest.fixture
def book(db: None, tmp_path: Path) -> SeasonBook:
    """The book, made once: it is plain values, so it outlives the rows it was made from."""
    if not _MADE:
        last, this = (read_book(path) for path in write_workbooks(tmp_path))
        store_book(last, season="2025", buyer=BUYER, now=NOON, invented=True)
        store_book(this, season="2026", before="2025", accept=LEFT_OUT_2026, now=NOON, invented=True)
        season = Season.objects.get(name="2026")
        _MADE.append(assemble_season_book(season, shown_private=True, made_on=MADE_ON))
    return _MADE[0]


def planted(book: SeasonBook, what: str) -> LotPage:
    return next(lot for lot in book.lots if lot.code == TRUTH[what].subject)


def test_it_finds_last_years_equal(book: SeasonBook) -> None:
    lot = planted(book, "last year's equal")

    assert lot.last_year.answer == TRUTH["last year's equal"].answer == "yes"
    assert lot.step.key == "nothing_against"


def test_it_finds_the_lot_that_drifted(book: SeasonBook) -> None:
    lot = planted(book, "drifted from last year")

    assert lot.last_year.answer == TRUTH["drifted from last year"].answer == "no"
    assert lot.step.key == "leave"


def test_the_tutorial_says_of_its_lots_what_the_book_says(book: SeasonBook) -> None:
    """docs/tutorial/first-season.md points at four lots and says what to find there."""
    lots = {lot.code: lot for lot in book.lots}

    assert lots["IL-01"].last_year.answer == "yes"
    assert lots["RK-07"].last_year.answer == "no"
    assert lots["RK-07"].last_year.says.startswith("clearly less flower and clearly more drying;")
    assert lots["RK-07"].last_year.says.endswith("can't tell: roast")
    assert lots["RK-03"].last_year.answer == "can't tell yet"
    assert {"RK-01", "RK-03"} <= {lot.code for lot in book.lots if lot.on_shortlist}
    assert lots["GN-02"].doubts


def test_it_answers_nothing_from_a_green_that_was_kept_in_the_cupboard(book: SeasonBook) -> None:
    lot = planted(book, "kept in the cupboard")

    assert lot.last_year.answer == TRUTH["kept in the cupboard"].answer == "can't tell yet"
    assert "has faded for all we know" in lot.last_year.says
    assert "beside that sample as it is now" in lot.last_year.says


def test_every_page_that_says_it_is_last_years_tea_says_the_same(book: SeasonBook) -> None:
    same = {lot.code for lot in book.lots if lot.last_year.answer == "yes"}

    said = {
        lot.code
        for group in book.groups
        for lot in group.lots
        if re.search(rf"\b{lot.code}\b[^.;]*last year's tea", group.say)
        and f"{lot.code} is not" not in group.say
    }
    assert TRUTH["last year's equal"].subject in same
    assert said == same
    assert {lot.code for lot in book.lots if "For these tasters it is last year's" in lot.say} == same
    assert {lot.code for lot in book.lots if "it is last year's tea" in lot.step.why} <= same


def test_a_lot_is_held_against_last_years_tea_of_its_own_maker_and_name(book: SeasonBook) -> None:
    (lot,) = [lot for lot in book.lots if lot.code == "DJ-01"]

    assert lot.profile is not None
    assert "DJ-25-1, 2025" in lot.profile.labels
    assert "last year's Cloud Door" in lot.say


def test_it_finds_the_papers_that_do_not_add_up(book: SeasonBook) -> None:
    lot = planted(book, "papers do not add up")

    said = " ".join(lot.doubts)
    assert "2900 m" in said
    assert "not known from China" in said
    assert "outside the district's seasons" in said
    assert len(lot.letters) == 4


def test_it_does_not_pretend_to_tell_what_the_cups_cannot(book: SeasonBook) -> None:
    lot = planted(book, "the cups cannot decide")

    assert lot.on_shortlist
    best = next(answer for answer in lot.answers if answer.question.startswith("Is it the best"))
    assert best.answer == "can't tell yet"
    pair = next(pair for flight in book.flights for pair in flight.trials if lot.code in pair.pair)
    assert pair.answer.answer == "can't tell yet"


def test_it_tells_the_two_fires_of_one_tea_apart_and_by_how_much(book: SeasonBook) -> None:
    lots = tuple(TRUTH["two fires told apart"].subject.split(", "))

    pair = next(pair for flight in book.flights for pair in flight.trials if pair.pair == lots)

    assert pair.answer.answer == TRUTH["two fires told apart"].answer == "yes"
    assert pair.size is not None
    assert 0 < pair.size.low < pair.size.value < pair.size.high


def test_it_maps_the_first_flush_and_names_the_emptiest_place(book: SeasonBook) -> None:
    flight = next(flight for flight in book.flights if flight.name.startswith("First flush"))

    assert flight.range_map is not None
    spots = {spot.label: spot for spot in flight.range_map.spots}
    assert spots[TRUTH["last year's equal"].subject].nearest.startswith("IL-25-2 (")
    assert spots["IL-25-2"].kind == "kept"
    assert " lies between DJ-25-1, IL-02 and IL-25-2" in flight.range_map.say
    assert "A lot there would have about" in flight.range_map.say


def test_with_a_careless_taster_the_map_claims_no_gap(book: SeasonBook) -> None:
    flight = next(flight for flight in book.flights if flight.name == "Rock tea 14 Oct")

    assert flight.range_map is not None
    assert "whether it is a gap can't be told yet" in flight.range_map.say


def test_the_table_loses_by_the_careless_taster_and_gains_by_the_others(book: SeasonBook) -> None:
    flight = next(flight for flight in book.flights if flight.name == "Rock tea 14 Oct")

    gains = {taster.name: taster.gains[0] for taster in flight.tasters}

    assert gains == {"Bo": "−", "Mirre": "+", "Ottil": "+", "Wren": "+"}


def test_it_ranks_the_pairs_of_a_line_with_their_doubt(book: SeasonBook) -> None:
    page = next(flight for flight in book.flights if flight.ranked)

    (ranked,) = page.ranked
    assert {row.label for row in ranked.rows} == {"RK-01", "RK-02", "RK-03"}
    assert ranked.rows[-1].label == "RK-02"
    assert ranked.answer.answer == "can't tell yet"


def test_it_sees_that_the_buyer_alone_was_steady_over_the_season(book: SeasonBook) -> None:
    page = next(flight for flight in book.flights if flight.alone)

    found = [row for row in page.alone if row.name == TRUTH["steady alone over the season"].subject]

    assert "yes" in [row.steady.answer for row in found]


def test_it_sees_one_tea_under_two_names(book: SeasonBook) -> None:
    first, second = TRUTH["one tea under two names"].subject.split(", ")

    (sentence,) = book.twins
    assert sentence.startswith(f"{first} and {second} look alike")


def test_it_sees_who_tasted_carelessly_and_who_used_half_of_the_scale(book: SeasonBook) -> None:
    flight = next(flight for flight in book.flights if flight.name == "Rock tea 14 Oct")
    tasters = {taster.name: taster for taster in flight.tasters}

    assert tasters[TRUTH["careless taster"].subject].steady.answer == "no"
    assert tasters[TRUTH["uses half of the scale"].subject].spread.startswith("narrower")
    assert not any(
        taster.steady.answer == "no" for name, taster in tasters.items() if name in ("Wren", "Ottil")
    )


def test_the_ladder_shows_both_years_of_the_drifted_tea(book: SeasonBook) -> None:
    ladder = planted(book, "drifted from last year").ladder

    assert ladder is not None
    assert ladder.kind == "years"
    wet_leaf = next(rung for rung in ladder.rungs if rung.stage == "wet_leaf")
    assert {"osmanthus", "warm stone"} <= {word.text for word in wet_leaf.left}
    assert {"charcoal", "dark bread"} <= {word.text for word in wet_leaf.right}
    assert any(word.absent and word.text == "osmanthus" for word in wet_leaf.right)
    bars = [bar for rung in ladder.rungs for bar in rung.bars]
    assert {"roast", "flower", "body"} <= {bar.attribute for bar in bars}
    assert all(bar.left and bar.right for bar in bars)


def test_the_cell_that_was_left_out_is_told(book: SeasonBook) -> None:
    cells = [f"{cell.sheet}!{cell.cell}" for cell in book.dropped if cell.severity == "error"]

    assert cells == list(LEFT_OUT_2026)


def test_it_is_marked_as_invented(book: SeasonBook) -> None:
    assert book.is_invented
