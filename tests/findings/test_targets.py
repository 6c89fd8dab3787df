"""Is it what its line should be: means held against the target's values and tolerances."""

import datetime as dt

import pytest

from tests.findings.two_years import Years, pour
from tests.room import a_flight, scores_of
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.readings.seasons import read_season
from wetleaf.findings.readings.targets import TargetRead
from wetleaf.lots.models import Target

pytestmark = pytest.mark.django_db


def target_of(years: Years, code: str) -> TargetRead | None:
    read = read_season(fetch_season(years.now))
    return read.targets.get(next(lot.pk for lot in read.records.lots if lot.code == code))


def a_scored_line(*, wanted: float | None, tolerance: float | None) -> Years:
    years = Years()
    Target.objects.create(line=years.line, attribute="Roast", value=wanted, tolerance=tolerance)
    cups = {
        years.a_cup("NEW"): {"roast": 4.0, "body": 4.0},
        years.a_cup("B"): {"roast": 7.0, "body": 3.0},
        years.a_cup("C"): {"roast": 2.0, "body": 3.5},
    }
    pour(a_flight(years.now), years.tasters, cups, 3, noise=0.2)
    return years


def test_a_lot_inside_its_tolerance_is_what_the_line_should_be() -> None:
    found = target_of(a_scored_line(wanted=4.3, tolerance=1), "NEW")

    assert found is not None
    assert (found.answer, found.inside) == ("yes", ("roast",))
    assert found.bands["roast"] == pytest.approx((3.3, 5.3))


def test_a_lot_clearly_off_is_not() -> None:
    found = target_of(a_scored_line(wanted=4.3, tolerance=1), "B")

    assert found is not None
    assert (found.answer, found.outside, found.why) == ("no", ("roast",), "off its target: roast")


def test_without_a_tolerance_it_can_be_off_but_never_inside() -> None:
    inside = target_of(a_scored_line(wanted=4.3, tolerance=None), "NEW")

    assert inside is not None
    assert inside.answer == "can't tell yet"
    assert inside.bands == {}


def test_a_tolerance_alone_is_no_target() -> None:
    assert target_of(a_scored_line(wanted=None, tolerance=1), "NEW") is None


def test_the_latest_target_holds() -> None:
    years = a_scored_line(wanted=9, tolerance=0.5)
    Target.objects.create(line=years.line, attribute="Roast", value=4.3, tolerance=1)

    found = target_of(years, "NEW")

    assert found is not None
    assert found.answer == "yes"


def test_a_band_goes_no_further_than_the_scale_and_the_answer_says_whose_scale_it_is() -> None:
    book = assemble_season_book(
        a_scored_line(wanted=0.8, tolerance=1).now, shown_private=True, made_on=dt.date(2026, 6, 4)
    )

    lot = next(lot for lot in book.lots if lot.code == "C")
    assert lot.profile is not None
    (roast,) = [row for row in lot.profile.rows if row.attribute == "roast"]
    assert (roast.band_low, roast.band_high) == (0, pytest.approx(1.8))
    assert "these tasters' own use of the scale" in lot.target.beside[0]


def test_one_pot_that_nobody_named_is_about_that_pot_and_not_about_the_lot() -> None:
    years = Years()
    Target.objects.create(line=years.line, attribute="Roast", value=4.3, tolerance=1)
    flight = a_flight(years.now)
    cups = {years.a_cup("NEW"): [7.0], years.a_cup("B"): [4.0, 4.2], years.a_cup("C"): [2.0, 2.1]}
    for place, taster in enumerate(years.tasters):
        sheet = {cup: {"roast": [value + place * 0.1 for value in values]} for cup, values in cups.items()}
        scores_of(flight, taster, sheet)

    found = target_of(years, "NEW")

    assert found is not None
    assert (found.answer, found.inside, found.outside) == ("can't tell yet", (), ())
    assert "one pot" in found.why
