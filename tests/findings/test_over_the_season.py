"""What belongs to no flight: trials of difference, preferences and their ranking, each taster alone."""

import datetime as dt

import pytest

from tests.room import Cast, a_flight, a_line, a_lot, a_sample, a_score, a_season, the_cast
from wetleaf.findings.actions import record_findings
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.assembling.trials import said_preference
from wetleaf.findings.book import FlightPage
from wetleaf.findings.models import Finding
from wetleaf.findings.readings.trials import PreferenceRead
from wetleaf.lots.actions import set_target
from wetleaf.lots.models import Sample, Season
from wetleaf.sheets.models import Preference, Trial, TrialCup, Verdict

pytestmark = pytest.mark.django_db


def over_the_season(season: Season) -> FlightPage:
    book = assemble_season_book(season, shown_private=True, made_on=dt.date(2026, 5, 20))
    return next(page for page in book.flights if page.name == "Over the season")


def some_samples(season: Season, count: int = 2, line: str = "") -> list[Sample]:
    kept_for = a_line(line) if line else None
    return [
        a_sample(a_lot(season, f"LU-{number:02}", f"Tea {number}", line=kept_for)) for number in range(count)
    ]


def serve(cast: Cast, cups: tuple[Sample, ...], answers: list[bool | None]) -> None:
    for right in answers:
        trial = Trial.objects.create(taster=cast.taster, correct=right)
        for position, cup in enumerate(cups, start=1):
            TrialCup.objects.create(trial=trial, sample=cup, position=position)


def prefer(cast: Cast, one: Sample, other: Sample, winner: Sample | None, *, tie: bool = False) -> None:
    Preference.objects.create(taster=cast.taster, first=one, second=other, winner=winner, tie=tie)


# --- difference ---


def test_triangles_are_said_with_their_size_and_whose_they_are() -> None:
    season, cast = a_season(), the_cast()
    one, other = some_samples(season)
    serve(cast, (one, other, one), [True] * 9 + [False] * 3 + [None])

    page = over_the_season(season)

    # FAO V7180E, Appendix A: 8 of 12 right are needed at 5 %; 9 of 12 has an exact chance of 0.0039.
    (pair,) = page.trials
    assert pair.answer.question == "Can Mirel tell LU-00 and LU-01 apart?"
    assert pair.answer.answer == "yes"
    assert pair.counted == "9 of 12 triangles right, 4.0 by guessing (exact p 0.0039)"
    assert pair.tells == ("One answer could not be used.",)
    assert pair.settle == ""
    assert page.say == "One pair is asked about; one has an answer."
    assert page.held_on is None
    assert page.grounds[0].question == "Can Mirel tell LU-00 and LU-01 apart?"


def test_the_size_is_a_d_prime_with_its_interval() -> None:
    season, cast = a_season(), the_cast()
    one, other = some_samples(season)
    serve(cast, (one, one, other), [True] * 21 + [False] * 24)

    (pair,) = over_the_season(season).trials

    # ASTM E2262's delta method for a triangle at 21 of 45, as numerics/differences is held to it: 1.29.
    assert pair.size_said == "1.3 (0.0 to 2.0)"
    assert pair.size is not None
    assert round(pair.size.value, 2) == 1.29


def test_too_few_right_picks_are_not_called_the_same_and_what_would_settle_it_is_said() -> None:
    season, cast = a_season(), the_cast()
    one, other = some_samples(season)
    serve(cast, (one, other, one), [True] * 2 + [False] * 4)

    (pair,) = over_the_season(season).trials

    assert pair.answer.answer == "can't tell yet"
    assert pair.settle.startswith("Say before tasting how large a difference would matter")
    assert "13 fresh directed pairs (26 cups)" in pair.settle
    assert "a second look" in pair.settle


def test_no_is_an_answer_only_where_the_line_declared_a_size() -> None:
    season, cast = a_season(), the_cast()
    one, other = some_samples(season, line="Dong Ding")
    serve(cast, (one, other), [True] * 15 + [False] * 15)

    without = over_the_season(season).trials[0].answer
    set_target(one.lot.line, "d-prime", tolerance=1.5)
    declared = over_the_season(season).trials[0].answer

    assert without.answer == "can't tell yet"
    assert declared.answer == "no"
    assert declared.says == "none as large as the d-prime of 1.5 that the line declares"


def test_triangles_and_directed_pairs_of_two_lots_are_judged_on_one_scale() -> None:
    season, cast = a_season(), the_cast()
    one, other = some_samples(season)
    serve(cast, (one, other, one), [True] * 5 + [False] * 3)
    serve(cast, (one, other), [True] * 7 + [False])

    (pair,) = over_the_season(season).trials

    assert pair.counted.startswith("7 of 8 directed pairs right, 4.0 by guessing and 5 of 8 triangles right")
    assert pair.answer.answer == "yes"


def test_all_right_has_no_upper_end() -> None:
    season, cast = a_season(), the_cast()
    one, other = some_samples(season)
    serve(cast, (one, other, one), [True] * 6)

    (pair,) = over_the_season(season).trials

    assert pair.size_said.startswith("all were right: no end to name (")
    assert pair.size_said.endswith(" and more)")


def test_a_pair_without_a_usable_trial_says_so() -> None:
    season, cast = a_season(), the_cast()
    one, other = some_samples(season)
    serve(cast, (one, other, one), [None, None])

    (pair,) = over_the_season(season).trials

    assert pair.size is None
    assert pair.counted == "no trial could be used"
    assert pair.answer.answer == "can't tell yet"


def test_the_finding_keeps_counts_and_size() -> None:
    season, cast = a_season(), the_cast()
    one, other = some_samples(season)
    serve(cast, (one, other, one), [True] * 9 + [False] * 3)

    record_findings(season)

    kept = Finding.objects.get(question="Can they be told apart?")
    assert kept.answer == "yes"
    assert kept.result["counts"] == {"triangle": [9, 12]}
    assert kept.result["d_prime"][0] == pytest.approx(2.797, abs=0.005)


# --- preference ---


def test_preferences_are_counted_both_ways_with_ties_apart() -> None:
    season, cast = a_season(), the_cast()
    one, other = some_samples(season)
    for winner, tie in [(one, False)] * 9 + [(other, False)] + [(None, True)] * 2 + [(None, False)]:
        prefer(cast, other, one, winner, tie=tie)

    # 9 of 10, two-sided: 2 * (10 + 1) / 1024 = 0.0215
    assert over_the_season(season).preferences == (
        "LU-00 or LU-01: 9 for LU-00, 1 for LU-01, two ties not counted (exact p 0.021, two-sided); "
        "Mirel prefers LU-00: yes. One answer could not be used.",
    )


def test_nobody_preferring_either_is_said_plainly() -> None:
    preference = PreferenceRead(("A", "B"), (0, 0), 1, 0, ("Ann",), None, "can't tell yet", "")

    assert said_preference(preference) == "A or B: nobody preferred either."


def test_lots_of_a_line_that_pairs_join_are_ranked() -> None:
    season, cast = a_season(), the_cast()
    best, middle, last = some_samples(season, 3, line="Dong Ding")
    for _ in range(6):
        prefer(cast, best, middle, best)
        prefer(cast, middle, last, middle)
        prefer(cast, last, best, best)

    (ranked,) = over_the_season(season).ranked

    assert [row.label for row in ranked.rows] == ["LU-00", "LU-01", "LU-02"]
    assert ranked.rows[0].record == "12 won, 0 lost"
    assert sum(row.chance_best for row in ranked.rows) == pytest.approx(1, abs=1e-6)
    assert ranked.rows[0].chance_best > 0.8


def test_two_lots_or_lots_of_no_line_and_class_are_not_ranked_by_pairs() -> None:
    season, cast = a_season(), the_cast()
    one, other, third = (
        a_sample(a_lot(season, code, code, tea_class="")) for code in ("LU-00", "LU-01", "LU-02")
    )
    for winner in (one, other, one):
        prefer(cast, one, other, winner)
        prefer(cast, other, third, other)

    page = over_the_season(season)

    assert page.preferences
    assert page.ranked == ()


# --- one taster alone ---


def test_a_taster_alone_is_steady_from_ten_pairs_that_agree() -> None:
    season, cast = a_season(), the_cast()
    flight = a_flight(season, blind=True)
    for cup, liking in zip(some_samples(season, 10), (1, 9, 2, 8, 3, 7, 4, 6, 5, 9), strict=True):
        for pot, value in (("1", liking), ("2", min(liking + 1, 10))):
            a_score(flight, cup, cast.owner, "Overall", value, replicate=pot)

    (row,) = over_the_season(season).alone

    assert (row.name, row.how, row.pairs) == ("Ilse", "blind, on 0 to 10", 10)
    assert row.strays == "0.7 (0.5 to 1.2)"  # ten differences of 1: sqrt(10 / 2 / 10), chi-squared with 10 df
    assert row.steady.answer == "yes"


def test_few_or_open_pairs_are_shown_and_not_judged_and_two_are_not_shown() -> None:
    season, cast = a_season(), the_cast()
    for cup in some_samples(season, 4):
        Verdict.objects.create(sample=cup, taster=cast.owner, liking=5)
        Verdict.objects.create(sample=cup, taster=cast.owner, liking=6)
    for cup in Sample.objects.all()[:2]:
        Verdict.objects.create(sample=cup, taster=cast.guest, liking=5)
        Verdict.objects.create(sample=cup, taster=cast.guest, liking=5)

    (row,) = over_the_season(season).alone

    assert (row.name, row.how, row.pairs) == ("Ilse", "open or first pass, on 0 to 10", 4)
    assert row.steady.answer == "can't tell yet"
    assert row.says == "Not said to be blind: who knows the tea repeats the answer."


def test_a_third_cup_is_in_no_second_pair() -> None:
    season, cast = a_season(), the_cast()
    flight = a_flight(season, blind=True)
    for cup in some_samples(season, 3):
        for pot in ("1", "2", "3"):
            a_score(flight, cup, cast.owner, "Overall", 4 + int(pot), replicate=pot)

    (row,) = over_the_season(season).alone
    assert (row.pairs, row.says) == (3, "3 of the 10 pairs of repeated cups that it takes.")


def test_a_season_without_any_of_it_has_no_such_page() -> None:
    season, cast = a_season(), the_cast()
    a_score(a_flight(season), some_samples(season)[0], cast.owner, "roast", 4)

    book = assemble_season_book(season, shown_private=True, made_on=dt.date(2026, 5, 20))

    assert [page.name for page in book.flights if page.name == "Over the season"] == []
