"""The flights' pages: who tasted, how they agreed, and what triangles and preferences allow to claim."""

import numpy as np
import pytest

from tests.room import Cast, a_flight, a_lot, a_sample, a_score, a_season, a_taster, scores_of, the_cast
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.assembling.flights import said_preference, said_triangles
from wetleaf.findings.book import FlightPage, SeasonBook
from wetleaf.findings.readings.trials import PreferenceRead, TriangleRead
from wetleaf.lots.models import Sample, Season
from wetleaf.sheets.models import Preference, Trial, TrialCup

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


# --- trials ---


def trials_page(season: Season) -> FlightPage:
    return next(page for page in book_of(season).flights if page.trials or page.preferences)


def serve_triangles(cast: Cast, one: Sample, other: Sample, answers: list[bool | None]) -> None:
    for right in answers:
        trial = Trial.objects.create(taster=cast.taster, correct=right)
        for position, cup in enumerate((one, other, one), start=1):
            TrialCup.objects.create(trial=trial, sample=cup, position=position)


def test_triangles_are_said_with_their_exact_chance_and_whose_they_are() -> None:
    season, cast = a_season(), the_cast()
    one, other, *_ = six_samples(season)
    serve_triangles(cast, one, other, [True] * 9 + [False] * 3 + [None])

    page = trials_page(season)

    # FAO V7180E, Appendix A: 8 of 12 right are needed at 5 %; 9 of 12 has an exact chance of 0.0039.
    assert page.trials == (
        "LU-00 and LU-01: 9 of 12 triangles picked right (4.0 by guessing, exact p 0.0039); "
        "Mirel can tell them apart: yes. One answer could not be used.",
    )
    assert page.held_on is None
    assert page.grounds[0].question == "Can Mirel tell LU-00 and LU-01 apart?"


def test_too_few_right_picks_are_not_called_the_same() -> None:
    season, cast = a_season(), the_cast()
    one, other, *_ = six_samples(season)
    serve_triangles(cast, one, other, [True] * 2 + [False] * 4)

    assert trials_page(season).trials[0].endswith("whether Mirel can tell them apart: can't tell yet.")


def test_preferences_are_counted_both_ways_with_ties_apart() -> None:
    season, cast = a_season(), the_cast()
    one, other, *_ = six_samples(season)
    for winner, tie in [(one, False)] * 9 + [(other, False)] + [(None, True)] * 2 + [(None, False)]:
        Preference.objects.create(taster=cast.taster, first=other, second=one, winner=winner, tie=tie)

    # 9 of 10, two-sided: 2 * (10 + 1) / 1024 = 0.0215
    assert trials_page(season).preferences == (
        "LU-00 or LU-01: 9 for LU-00, 1 for LU-01, two ties not counted (exact p 0.021, two-sided); "
        "Mirel prefers LU-00: yes. One answer could not be used.",
    )


def test_nothing_usable_is_said_plainly() -> None:
    triangle = TriangleRead(("A", "B"), 0, 0, 2, (), None, "can't tell yet", "")
    preference = PreferenceRead(("A", "B"), (0, 0), 1, 0, ("Ann",), None, "can't tell yet", "")

    assert said_triangles(triangle) == "A and B: no triangle could be used."
    assert said_preference(preference) == "A or B: nobody preferred either."
