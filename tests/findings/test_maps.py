"""Where the lots stand: which map stands on which page, what it claims, and where nothing is shown."""

import datetime as dt

import pytest

from tests.findings.two_years import Cups, Years, pour
from tests.room import a_flight, a_lot, a_sample, a_score, a_season, scores_of, the_cast
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.book import SeasonBook
from wetleaf.lots.models import Season
from wetleaf.sheets.models import Verdict

pytestmark = pytest.mark.django_db
NAMES = ("roast", "flower", "body")
CORNERS = {
    "NE": (8.0, 2.0, 8.0),
    "NW": (8.0, 2.0, 1.0),
    "SE": (1.0, 7.0, 8.0),
    "SW": (1.0, 7.0, 1.0),
}


def book_of(season: Season) -> SeasonBook:
    return assemble_season_book(season, shown_private=True, made_on=dt.date(2026, 5, 20))


def a_square(years: Years, *, pots: int, noise: float = 0.2) -> SeasonBook:
    """Four lots at the corners of a square, and last year's near one of them."""
    strengths = {years.a_cup(code): dict(zip(NAMES, place, strict=True)) for code, place in CORNERS.items()}
    strengths[years.kept] = {"roast": 7.6, "flower": 2.2, "body": 7.5}
    cups: Cups = strengths
    pour(a_flight(years.now, blind=True), years.tasters, cups, pots, noise=noise)
    return book_of(years.now)


def test_a_flight_of_four_lots_names_the_gap_and_what_a_lot_there_would_have() -> None:
    book = a_square(Years(), pots=2)

    shown = book.flights[0].range_map

    assert shown is not None
    assert shown.say.startswith("The gap lies between ")
    assert "a lot there would have about " in shown.say
    assert {spot.label for spot in shown.spots} == {"NE", "NW", "SE", "SW", "OLD"}
    assert shown.gap is not None
    assert shown.gap.says == "nobody here"


def test_an_axis_is_said_in_words_at_both_ends() -> None:
    shown = a_square(Years(), pots=2).flights[0].range_map

    assert shown is not None
    ends = {(shown.left, shown.right), (shown.down, shown.up)}
    assert ("less body", "more body") in ends
    assert ("more flower, less roast", "more roast, less flower") in ends or (
        "more roast, less flower",
        "more flower, less roast",
    ) in ends


def test_the_nearest_lot_is_said_on_the_lots_own_page_and_beside_what_was_kept() -> None:
    years = Years()
    Verdict.objects.create(sample=years.kept, taster=years.cast.owner, word="keep")

    book = a_square(years, pots=2)

    shown = book.flights[0].range_map
    assert shown is not None
    (told,) = shown.tells
    assert told.startswith("Nearest to OLD, kept for Dong Ding in 2025: NE (0.")
    page = next(lot for lot in book.lots if lot.code == "NE")
    assert page.nearest.startswith("Nearest to it here: OLD (0.")
    assert {spot.label: spot.kind for spot in shown.spots}["OLD"] == "kept"


def test_with_one_pot_a_lot_the_map_claims_no_gap() -> None:
    shown = a_square(Years(), pots=1).flights[0].range_map

    assert shown is not None
    assert "whether it is a gap can't be told yet" in shown.say
    assert "of these pots, not of the teas" in shown.about


def test_one_taster_with_one_cup_a_lot_has_dots_and_no_ellipse() -> None:
    season, cast = a_season(), the_cast()
    cups = {
        a_sample(a_lot(season, code)): dict(zip(NAMES, place, strict=True)) for code, place in CORNERS.items()
    }
    scores_of(a_flight(season), cast.owner, cups)

    shown = book_of(season).flights[0].range_map

    assert shown is not None
    assert "with one cup a lot, whether it is a gap can't be told yet" in shown.say
    assert all(spot.half_long != spot.half_long for spot in shown.spots)  # no number
    assert "one cup each, can't tell how surely" in shown.spots[0].nearest


def test_two_lots_or_one_attribute_make_no_map() -> None:
    season, cast = a_season(), the_cast()
    cups = [a_sample(a_lot(season, code)) for code in ("A", "B", "C")]
    two, one = a_flight(season, "two lots"), a_flight(season, "one attribute")
    for cup, value in zip(cups[:2], (2.0, 5.0), strict=True):
        for name in NAMES:
            a_score(two, cup, cast.owner, name, value)
    for cup, value in zip(cups, (2.0, 5.0, 7.0), strict=True):
        a_score(one, cup, cast.helper, "roast", value)

    book = book_of(season)

    assert [flight.range_map for flight in book.flights] == [None, None]
    assert all(not lot.nearest for lot in book.lots)


def test_the_same_season_gives_the_same_map() -> None:
    years = Years()
    first = a_square(years, pots=2).flights[0].range_map

    assert book_of(years.now).flights[0].range_map == first


def test_flights_tied_by_a_tea_share_one_map_and_it_stands_once() -> None:
    years = Years()
    cups: dict[str, dict[str, float]] = {
        code: dict(zip(NAMES, place, strict=True)) for code, place in CORNERS.items()
    }
    samples = {code: years.a_cup(code) for code in cups}
    first, second = a_flight(years.now, "first", blind=True), a_flight(years.now, "second", blind=True)
    pour(first, years.tasters, {samples[code]: cups[code] for code in ("NE", "NW", "SE")}, 2, noise=0.2)
    pour(second, years.tasters, {samples[code]: cups[code] for code in ("SW", "SE")}, 2, noise=0.2)

    shown = [flight.range_map for flight in book_of(years.now).flights]

    (found,) = [one for one in shown if one is not None]
    assert len(found.spots) == 4
    assert "tied by common teas" in found.about
