"""Findings are kept once: the same cups add none, new cups add new ones beside the old."""

import re

import pytest

from tests.findings.test_books import a_full_season
from tests.room import a_brew, a_flight, a_score, a_season, the_cast
from wetleaf.findings.actions import record_findings
from wetleaf.findings.models import Finding
from wetleaf.lots.models import Sample
from wetleaf.sheets.models import Trial, TrialCup

pytestmark = pytest.mark.django_db


def test_a_season_s_answers_are_kept_with_digest_method_and_version() -> None:
    season = a_full_season()

    new = record_findings(season)

    kept = list(Finding.objects.filter(season=season))
    assert new == len(kept) > 5
    assert all(re.fullmatch("[0-9a-f]{64}", finding.input_digest) for finding in kept)
    assert {finding.answer for finding in kept} <= {"yes", "no", "can't tell"}
    assert all(finding.method and finding.method_version and finding.result for finding in kept)
    assert {"Which lot is liked best?", "Is it last year's tea?", "Do the lots differ in roast?"} <= {
        finding.question for finding in kept
    }


def test_the_same_season_twice_adds_nothing() -> None:
    season = a_full_season()
    record_findings(season)

    assert record_findings(season) == 0


def test_new_cups_make_new_findings_and_leave_the_old_ones() -> None:
    season, cast = a_full_season(), the_cast()
    before = record_findings(season)
    cup = Sample.objects.get(lot__code="A")
    flight = cup.scores.first().flight  # type: ignore[union-attr]
    a_score(flight, cup, cast.guest, "roast", 5)

    added = record_findings(season)

    assert added > 0
    assert Finding.objects.filter(season=season).count() == before + added


def test_triangles_are_kept_with_their_exact_chance() -> None:
    season, cast = a_full_season(), the_cast()
    one, other = Sample.objects.get(lot__code="A"), Sample.objects.get(lot__code="B")
    for right in (True, True, True, False):
        trial = Trial.objects.create(taster=cast.taster, odd_cup=3, picked=3 if right else 1, correct=right)
        for position, cup in enumerate((one, one, other), start=1):
            TrialCup.objects.create(trial=trial, sample=cup, position=position)

    record_findings(season)

    finding = Finding.objects.get(question="Can they be told apart?")
    assert finding.subject == "A and B"
    # 3 or 4 of 4 right at 1/3: (4 * 2 + 1) / 81 = 1/9
    assert finding.result["p"] == pytest.approx(1 / 9)


def test_a_season_without_cups_has_no_findings() -> None:
    season = a_season()
    a_flight(season)

    assert record_findings(season) == 0


def test_pots_are_part_of_what_a_finding_rests_on() -> None:
    season, cast = a_full_season(), the_cast()
    record_findings(season)
    cup = Sample.objects.get(lot__code="A")
    score = cup.scores.filter(taster=cast.owner, attribute="roast").first()
    assert score is not None
    score.brew = a_brew(score.flight, cup, "2")
    score.save(update_fields=["brew"])

    assert record_findings(season) > 0
