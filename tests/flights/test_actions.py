"""A tasting comes onto the books once; another day is another flight."""

import datetime as dt

import pytest
from tests.room import a_flight, a_lot, a_sample, a_season

from wetleaf.flights.actions import brews_of, open_flight, open_flights
from wetleaf.flights.models import Brew, Flight
from wetleaf.lots.workbooks.records import Sitting

MAY = dt.date(2026, 5, 12)


@pytest.mark.django_db
def test_a_sitting_becomes_a_flight_with_its_scale() -> None:
    spring = a_season()
    sitting = Sitting(
        "Tasting 12 May", "Sheet2", MAY, blind=True, brewed="3 g, 150 ml, 6 min", scale_low=0, scale_high=7
    )

    flights = open_flights(spring, [sitting], source="spring.xlsx")

    flight = flights["Tasting 12 May"]
    assert (flight.held_on, flight.blind, flight.scale_low, flight.scale_high) == (MAY, True, 0, 7)
    assert flight.source == "spring.xlsx, Sheet2"


@pytest.mark.django_db
def test_a_scale_that_is_not_said_is_nought_to_ten() -> None:
    flight = open_flights(a_season(), [Sitting("", "Sheet2")])[""]

    assert (flight.name, flight.scale_low, flight.scale_high) == ("Sheet2", 0, 10)


@pytest.mark.django_db
def test_what_was_not_known_is_filled_in_and_what_was_is_kept() -> None:
    spring = a_season()
    open_flight(spring, "Tasting", blind=True)

    open_flight(spring, "Tasting", held_on=MAY, blind=False, brewed="3 g")

    flight = Flight.objects.get()
    assert (flight.held_on, flight.blind, flight.brewed) == (MAY, True, "3 g")


@pytest.mark.django_db
def test_the_same_name_on_another_day_is_another_flight() -> None:
    spring = a_season()
    open_flight(spring, "Tasting", held_on=MAY)

    second = open_flight(spring, "Tasting", held_on=dt.date(2026, 5, 19))

    assert second.name == "Tasting (2026-05-19)"
    assert open_flight(spring, "Tasting", held_on=dt.date(2026, 5, 19)) == second


@pytest.mark.django_db
def test_a_brew_is_made_once() -> None:
    spring = a_season()
    flight, sample = a_flight(spring), a_sample(a_lot(spring))
    keys = [(flight.pk, sample.pk, "a"), (flight.pk, sample.pk, "b")]

    first = brews_of(keys)
    again = brews_of([*keys, *keys])

    assert first == again
    assert Brew.objects.count() == 2
    assert brews_of([]) == {}
