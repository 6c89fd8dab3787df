"""A flight's own table and a lot's page may show two means of one lot: both then say why."""

import datetime as dt

import pytest

from tests.findings.two_years import Years, pour
from tests.room import a_flight
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.book import SeasonBook

pytestmark = pytest.mark.django_db


def a_book_of_two_flights(*, tied: bool) -> SeasonBook:
    """The kept tea was scored last year under the same flight's name, and again this year where `tied`."""
    years = Years(tolerance=1.5)
    last = a_flight(years.last, held_on=dt.date(2025, 5, 12))
    pour(last, years.tasters, {years.kept: {"roast": 4.0}}, 2, noise=0.2)
    cups = {years.a_cup("NEW"): {"roast": 4.0}, years.a_cup("B"): {"roast": 3.0}}
    if tied:
        cups[years.kept] = {"roast": 4.0}
    pour(a_flight(years.now), years.tasters, cups, 2, noise=0.2)
    return assemble_season_book(years.now, shown_private=True, made_on=dt.date(2026, 6, 4))


def test_both_pages_say_that_the_means_may_differ_and_name_the_flights_by_their_years() -> None:
    book = a_book_of_two_flights(tied=True)

    lot = next(lot for lot in book.lots if lot.code == "NEW")
    assert lot.profile is not None
    assert "The means are over 12 May 2025 and 12 May 2026 together" in lot.profile.about
    (flight,) = book.flights
    assert flight.profile is not None
    assert flight.name == "12 May 2026"
    assert "a lot's own page counts 12 May 2025 with it" in flight.profile.about


def test_where_both_count_the_same_cups_nothing_is_explained() -> None:
    book = a_book_of_two_flights(tied=False)

    lot = next(lot for lot in book.lots if lot.code == "NEW")
    assert lot.profile is not None
    assert "together" not in lot.profile.about
    assert book.flights[0].profile is not None
    assert "own page" not in book.flights[0].profile.about
