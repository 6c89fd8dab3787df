"""Is it last year's tea? Through a kept sample, through a bridge tea, or not at all."""

import pytest

from tests.findings.two_years import Years, pour
from tests.room import a_flight, a_line, a_lot, a_sample, scores_of
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.readings.seasons import read_season
from wetleaf.findings.readings.years import ONLY_TWO, YearsRead
from wetleaf.lots.models import Sample, Season

pytestmark = pytest.mark.django_db


def years_of(season: Season, code: str) -> YearsRead | None:
    read = read_season(fetch_season(season))
    lot = next(lot for lot in read.records.lots if lot.code == code)
    return read.years.get(lot.pk)


def known_years(season: Season, code: str) -> YearsRead:
    years = years_of(season, code)
    assert years is not None
    return years


def test_a_tea_that_drifted_is_not_last_years_and_what_moved_is_named() -> None:
    years = Years(tolerance=1)
    cups = {
        years.kept: {"roast": 2.0, "body": 4.0},
        years.a_cup("NEW"): {"roast": 5.0, "body": 4.0},
        years.a_cup("B"): {"roast": 3.0, "body": 3.0},
    }
    pour(a_flight(years.now), years.tasters, cups, 3, noise=0.3)

    found = known_years(years.now, "NEW")

    assert found.answer == "no"
    assert [change.label for change in found.moved] == ["roast"]
    (roast,) = found.moved
    assert roast.low is not None
    assert roast.high is not None
    assert 2 < roast.low < 3 < roast.high < 4
    assert found.how_met == "OLD was served beside it, blind, in 12 May"


def test_a_tea_within_its_declared_tolerance_is_last_years() -> None:
    years = Years(tolerance=1.5)
    same = {"roast": 4.0, "body": 4.0}
    cups = {years.kept: same, years.a_cup("NEW"): same, years.a_cup("B"): {"roast": 6.0, "body": 2.0}}
    pour(a_flight(years.now), years.tasters, cups, 3, noise=0.2)

    found = known_years(years.now, "NEW")

    assert found.answer == "yes"
    assert all(change.answer == "no" for change in found.changes)


def test_what_only_one_of_the_two_was_scored_on_is_never_taken_for_unmoved() -> None:
    years = Years(tolerance=1.5)
    same = {"roast": 4.0, "body": 4.0}
    cups = {
        years.kept: {**same, "smoke": 3.0},
        years.a_cup("NEW"): same,
        years.a_cup("B"): {"roast": 6.0, "body": 2.0, "smoke": 1.0},
    }
    pour(a_flight(years.now), years.tasters, cups, 3, noise=0.2)

    found = known_years(years.now, "NEW")

    assert found.answer == "can't tell yet"
    assert "smoke" in found.why


def test_without_a_tolerance_the_answer_is_never_that_it_is_the_same() -> None:
    years = Years()
    same = {"roast": 4.0, "body": 4.0}
    cups = {years.kept: same, years.a_cup("NEW"): same, years.a_cup("B"): {"roast": 6.0, "body": 2.0}}
    pour(a_flight(years.now), years.tasters, cups, 3, noise=0.2)

    found = known_years(years.now, "NEW")

    assert found.answer == "can't tell yet"
    assert "without a tolerance" in found.why


def test_with_two_tasters_a_change_is_said_to_rest_on_how_far_they_differ_over_all_lots() -> None:
    years = Years(tolerance=1)
    cups = {
        years.kept: {"roast": 2.0, "body": 4.0},
        years.a_cup("NEW"): {"roast": 6.0, "body": 4.0},
        years.a_cup("B"): {"roast": 3.0, "body": 3.0},
    }
    pour(a_flight(years.now), years.tasters[:2], cups, 3, noise=0.2)

    found = known_years(years.now, "NEW")

    assert (found.answer, found.resting) == ("no", (ONLY_TWO,))


def test_one_pot_each_is_about_the_pots_and_claims_nothing_of_the_teas() -> None:
    years = Years(tolerance=1)
    cups = {
        years.kept: {"roast": 2.0, "body": 4.0},
        years.a_cup("NEW"): {"roast": 6.0, "body": 4.3},
        years.a_cup("B"): {"roast": 3.0, "body": 3.0},
    }
    pour(a_flight(years.now), years.tasters, cups, 1, noise=0.2)

    found = known_years(years.now, "NEW")

    assert found.answer == "can't tell yet"
    assert "these two pots" in found.why
    assert {change.answer for change in found.changes} == {"can't tell yet"}


def test_cups_of_one_pot_that_nobody_told_apart_are_about_that_pot_too() -> None:
    years = Years(tolerance=1)
    cups = {
        years.kept: [2, 2.2],
        years.a_cup("NEW"): [6],
        years.a_cup("B"): [3, 3.4],
        years.a_cup("C"): [5, 5.1],
    }
    flight = a_flight(years.now)
    for place, taster in enumerate(years.tasters):
        sheet = {cup: {"roast": [value + place * 0.1 for value in values]} for cup, values in cups.items()}
        scores_of(flight, taster, sheet)

    found = known_years(years.now, "NEW")

    assert (found.answer, found.moved) == ("can't tell yet", ())
    assert "these two pots" in found.why


def test_two_years_that_never_met_can_only_be_read_in_words() -> None:
    years = Years(tolerance=1)
    fresh = a_sample(years.old)
    pour(a_flight(years.last, "then"), years.tasters, {fresh: {"roast": 4.0}}, 2, noise=0.2)
    pour(a_flight(years.now, "now"), years.tasters, {years.a_cup("NEW"): {"roast": 4.0}}, 2, noise=0.2)

    found = known_years(years.now, "NEW")

    assert (found.answer, found.profile, found.changes) == ("can't tell yet", None, ())
    assert (
        found.why
        == "the two were never served together and no tea ties their flights; a kept sample is there"
    )


def test_another_tea_served_in_both_years_ties_them() -> None:
    years = Years(tolerance=1.5)
    bridge_lot = a_lot(years.last, "BRIDGE", "A tea that holds", roast="heavy")
    bridge_fresh = a_sample(bridge_lot)
    bridge_kept = Sample.objects.create(lot=bridge_lot, code="BRIDGE", kind="kept")
    then = {a_sample(years.old): {"roast": 3.0}, bridge_fresh: {"roast": 5.0}}
    # The day was warm: everything scored 2 higher; the bridge shows it, so the new tea is 2 stronger, not 4.
    now = {years.a_cup("NEW"): {"roast": 7.0}, bridge_kept: {"roast": 7.0}}
    pour(a_flight(years.last, "then"), years.tasters, then, 3, noise=0.2)
    pour(a_flight(years.now, "now"), years.tasters, now, 3, noise=0.2)

    found = known_years(years.now, "NEW")

    assert found.profile is not None
    assert found.changes[0].difference == pytest.approx(2.0, abs=0.4)
    assert found.how_met == "the two flights are tied by other teas (BRIDGE), blind"


def a_bridge(years: Years, roast: str) -> tuple[Sample, Sample]:
    """A tea of another line, fresh last year and kept in a cupboard for this: it holds if heavily roasted."""
    lot = a_lot(
        years.last, "BRIDGE", "A tea of another line", roast=roast, harvest="20 Apr 2025", kept="cupboard"
    )
    return a_sample(lot), Sample.objects.create(lot=lot, code="BRIDGE", kind="kept")


def two_sittings(years: Years, bridge: tuple[Sample, Sample]) -> None:
    """Fresh OLD had 3 of roast and NEW has 3, but the kept OLD lost 2 of it; the day scored 1 higher."""
    then = {a_sample(years.old): {"roast": 3.0}, bridge[0]: {"roast": 5.0}}
    now = {years.a_cup("NEW"): {"roast": 4.0}, years.kept: {"roast": 2.0}, bridge[1]: {"roast": 6.0}}
    pour(a_flight(years.last, "then"), years.tasters, then, 3, noise=0.2)
    pour(a_flight(years.now, "now"), years.tasters, now, 3, noise=0.2)


def test_a_tea_that_holds_ties_the_years_where_the_kept_sample_has_faded() -> None:
    years = Years(tolerance=1.5, kept="in the cupboard")
    two_sittings(years, a_bridge(years, "heavy"))

    found = known_years(years.now, "NEW")

    assert found.answer == "yes"
    assert found.changes[0].difference == pytest.approx(0.0, abs=0.4)
    assert (found.faded, [one.lot.code for one in found.left_out]) == ((), ["OLD"])
    assert found.how_met == "the two flights are tied by other teas (BRIDGE), blind"


def test_a_tie_that_fades_itself_answers_nothing() -> None:
    years = Years(tolerance=1.5, kept="in the cupboard")
    two_sittings(years, a_bridge(years, "none"))

    found = known_years(years.now, "NEW")

    assert found.answer == "can't tell yet"
    assert {one.lot.code for one in found.faded} == {"OLD", "BRIDGE"}


def test_a_faded_sample_that_ties_nothing_spoils_no_answer() -> None:
    years = Years(tolerance=1.5)
    _, kept = a_bridge(years, "none")
    same = {"roast": 4.0, "body": 4.0}
    cups = {years.kept: same, years.a_cup("NEW"): same, kept: {"roast": 6.0, "body": 2.0}}
    pour(a_flight(years.now), years.tasters, cups, 3, noise=0.2)

    found = known_years(years.now, "NEW")

    assert (found.answer, found.faded, found.left_out) == ("yes", (), ())


def test_a_lot_is_held_against_the_same_tea_before_the_other_one_of_its_line() -> None:
    years = Years(tolerance=1.5)
    cloud = a_lot(years.last, "CD-25", "Cloud Door 2025", producer="Cloud Door estate", line=years.line)
    now = a_lot(years.now, "CD-26", "Cloud door 2026", producer="Cloud Door estate", line=years.line)
    other = a_lot(years.now, "XX-26", "Another door", producer="Somebody else", line=years.line)
    fresh = a_sample(years.old)
    then = {a_sample(cloud): {"roast": 6.0}, fresh: {"roast": 3.0}}
    pour(a_flight(years.last, "then"), years.tasters, then, 3, noise=0.2)
    cups = {a_sample(now): {"roast": 6.0}, years.kept: {"roast": 3.0}, a_sample(other): {"roast": 3.0}}
    pour(a_flight(years.now, "now"), years.tasters, cups, 3, noise=0.2)

    found = known_years(years.now, "CD-26")

    assert (found.before.code, found.answer, found.tea_before) == ("CD-25", "yes", "Cloud Door 2025")
    assert known_years(years.now, "XX-26").before.code == "OLD"


def test_the_same_tea_that_was_never_scored_gives_way_to_the_one_of_its_line() -> None:
    years = Years(tolerance=1.5)
    a_lot(years.last, "CD-25", "Cloud Door", producer="Cloud Door estate", line=years.line)
    now = a_sample(a_lot(years.now, "CD-26", "Cloud Door", producer="Cloud Door estate", line=years.line))
    pour(a_flight(years.now), years.tasters, {now: {"roast": 6.0}, years.kept: {"roast": 3.0}}, 3, noise=0.2)

    assert known_years(years.now, "CD-26").before.code == "OLD"


def test_open_and_blind_cups_do_not_tie_two_years() -> None:
    years = Years(tolerance=1)
    new = years.a_cup("NEW")
    scores_of(a_flight(years.now, "blind"), years.cast.taster, {new: {"roast": [4, 4]}})
    scores_of(a_flight(years.now, "open", blind=False), years.cast.taster, {years.kept: {"roast": [4, 4]}})

    assert known_years(years.now, "NEW").profile is None


def test_a_line_that_is_new_has_no_last_year() -> None:
    years = Years()
    a_lot(years.now, "NEW", line=a_line("Another line"))
    a_lot(years.now, "LOOSE", "Another tea")

    assert years_of(years.now, "NEW") is None
    assert years_of(years.now, "LOOSE") is None


def test_the_same_makers_tea_of_the_same_name_is_last_years_where_no_line_is_named() -> None:
    years = Years()
    a_lot(years.last, "CD-25", "Cloud Door", producer="Cloud Door estate")
    a_lot(years.now, "CD-26", "Cloud door", producer="Cloud Door estate")
    a_lot(years.now, "XX-26", "Cloud Door", producer="Somebody else")

    assert known_years(years.now, "CD-26").before.code == "CD-25"
    assert years_of(years.now, "XX-26") is None


def test_of_several_teas_of_the_line_the_kept_one_is_last_years() -> None:
    years = Years()
    a_lot(years.last, "AAA", line=years.line)
    a_lot(years.now, "NEW", line=years.line)

    assert known_years(years.now, "NEW").before.code == "OLD"
