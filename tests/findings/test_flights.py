"""The flights' pages: who tasted and how they agreed."""

import numpy as np
import pytest

from tests.room import a_flight, a_lot, a_sample, a_score, a_season, a_taster, scores_of, the_cast
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.book import SeasonBook
from wetleaf.lots.models import Sample, Season

pytestmark = pytest.mark.django_db
ATTRIBUTES = ("roast", "flower", "body", "sweet", "bitter")


def book_of(season: Season) -> SeasonBook:
    import datetime as dt

    return assemble_season_book(season, shown_private=True, made_on=dt.date(2026, 5, 20))


def six_samples(season: Season) -> list[Sample]:
    return [a_sample(a_lot(season, f"LU-{number:02}", f"Tea {number}")) for number in range(6)]


def a_table_with_a_careless_taster() -> Season:
    """Three who follow the tea, one of them on half of the scale, and one who answers without it."""
    season, rng = a_season(), np.random.default_rng(7)
    cups, flight = six_samples(season), a_flight(season)
    truth = {cup: rng.uniform(1, 9, len(ATTRIBUTES)) for cup in cups}
    for name, stretch, noise, follows in (
        ("Ann", 1, 0.4, 1), ("Ben", 1, 0.4, 1), ("Half", 0.4, 0.3, 1), ("Careless", 1, 2, 0)
    ):  # fmt: skip
        sheet = {
            cup: {
                attribute: [
                    round(
                        float(
                            np.clip(
                                5 + follows * stretch * (truth[cup][place] - 5) + rng.normal(0, noise), 0, 10
                            )
                        ),
                        1,
                    )
                    for _ in range(2)
                ]
                for place, attribute in enumerate(ATTRIBUTES)
            }
            for cup in cups
        }
        scores_of(flight, a_taster(name), sheet)
    return season


def test_a_careless_taster_and_a_narrow_one_are_told_apart() -> None:
    (flight,) = book_of(a_table_with_a_careless_taster()).flights
    tasters = {taster.name: taster for taster in flight.tasters}

    assert tasters["Careless"].steady.answer == "no"
    assert tasters["Half"].steady.answer == "yes"
    assert tasters["Half"].spread.startswith("narrower")
    assert "half of the scale" in tasters["Half"].says
    assert {tasters["Ann"].steady.answer, tasters["Ben"].steady.answer} == {"yes"}
    assert "Careless did not follow the table" in flight.say
    assert all((taster.cups, taster.cups_possible) == (12, 12) for taster in flight.tasters)


def test_a_taster_who_left_early_is_counted_as_such() -> None:
    season, cast = a_season(), the_cast()
    cups, flight = six_samples(season), a_flight(season)
    scores_of(flight, cast.owner, {cup: {"roast": 4} for cup in cups})
    scores_of(flight, cast.guest, {cups[0]: {"roast": 5}, cups[1]: {"roast": None}})

    (page,) = book_of(season).flights

    assert {taster.name: (taster.cups, taster.cups_possible) for taster in page.tasters} == {
        "Ilse": (6, 6),
        "Odo": (1, 6),
    }
    assert "One answer is missing." in page.say


def test_a_flight_of_likings_only_has_no_profile() -> None:
    season, cast = a_season(), the_cast()
    cup, flight = six_samples(season)[0], a_flight(season)
    a_score(flight, cup, cast.owner, "Overall", 6)

    (page,) = book_of(season).flights

    assert page.profile is None
    assert [(taster.name, taster.cups) for taster in page.tasters] == [("Ilse", 1)]


def test_a_flight_nobody_answered_breaks_nothing() -> None:
    season = a_season()
    a_flight(season, blind=None)

    (page,) = book_of(season).flights

    assert page.say == "Nobody's answers are kept."
    assert page.how == "not said whether blind, taken as open, on 0 to 10"
