"""What the buyer decided of a lot: a word or step, why, when; a changed mind points to the one before."""

import datetime as dt
from decimal import Decimal

import pytest
from tests.room import a_lot, a_sample, a_season, a_taster, a_verdict, all_at_once
from tests.sheets.books import a_full_book

from wetleaf.findings.assembling.books import assemble_season_book
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.models import Finding
from wetleaf.findings.readings.seasons import read_season
from wetleaf.findings.resting import answers_now
from wetleaf.lots.models import Lot, Sample, Season
from wetleaf.lots.withdrawals import withdraw_lot
from wetleaf.sheets.decisions import (
    Decided,
    decide,
    last_decision,
    read_decision,
    read_kilos,
)
from wetleaf.sheets.export import season_as_book
from wetleaf.sheets.intake import store_book
from wetleaf.sheets.models import Verdict
from wetleaf.trade.errors import BadInput
from wetleaf.trade.stages import NextStep

DAY, LATER = dt.date(2026, 5, 20), dt.date(2026, 5, 25)
KEEP, NO = Decided("keep"), Decided("no")


@pytest.mark.django_db
def test_a_decision_keeps_its_reason_kilos_price_and_day() -> None:
    lot = a_lot(a_season())

    noted = decide(lot, KEEP, why=" clean \n and even ", kilos=Decimal("12.5"), price="1200 NT$/jin", on=DAY)

    noted.refresh_from_db()
    assert (noted.word, noted.decided, noted.why) == ("keep", True, "clean and even")
    assert (noted.kilos, noted.price, noted.given_on) == (Decimal("12.5"), "1200 NT$/jin", DAY)
    assert noted.taster.is_buyer


@pytest.mark.django_db
def test_a_changed_mind_is_a_new_record_that_points_to_the_one_before() -> None:
    lot = a_lot(a_season())

    first = decide(lot, KEEP, on=DAY)
    second = decide(lot, NO, why="too dear", on=LATER)

    assert second.replaces == first
    assert last_decision(lot) == second
    assert Verdict.objects.count() == 2


@pytest.mark.django_db
def test_a_decision_replaces_no_verdict_of_a_cup() -> None:
    sample = a_sample(a_lot(a_season()))
    tasted = a_verdict(sample, a_taster("Ilse", is_buyer=True), "maybe", 6.5)

    noted = decide(sample.lot, KEEP)

    assert noted.replaces is None
    assert tasted in Verdict.objects.that_hold()


@pytest.mark.parametrize(
    ("said", "word", "step"),
    [
        ("KEEP", "keep", ""),
        ("no", "no", ""),
        ("leave", "no", "leave"),
        ("ask", "maybe", "ask"),
        ("ask the producer", "maybe", "ask"),
        ("taste-again", "maybe", "taste_again"),
        ("nothing here stands against buying", "keep", "nothing_against"),
    ],
)
def test_a_decision_is_a_word_or_a_step(said: str, word: str, step: str) -> None:
    assert read_decision(said) == Decided(word, step)


def test_every_step_of_the_one_list_can_be_noted() -> None:
    assert [read_decision(step.value).step for step in NextStep] == [step.name.lower() for step in NextStep]


def test_another_word_is_refused_and_the_words_named() -> None:
    with pytest.raises(BadInput, match=r"'buy' is no decision\. Say one of: keep, maybe, no, nothing"):
        read_decision("buy")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"kilos": Decimal(0)}, "0 kg is not a weight to buy"),
        ({"kilos": Decimal("NaN")}, "NaN kg is not a weight to buy"),
        ({"kilos": Decimal("1e30")}, "is not a weight to buy"),
        ({"price": "cheap"}, "'cheap' is not a price"),
    ],
)
def test_odd_kilos_and_prices_are_refused_and_nothing_noted(said: dict[str, object], why: str) -> None:
    lot = a_lot(a_season())

    with pytest.raises(BadInput, match=why):
        decide(lot, KEEP, **said)  # type: ignore[arg-type]

    assert not Verdict.objects.exists()


def test_kilos_that_are_no_number_are_refused() -> None:
    with pytest.raises(BadInput, match="'a sack' is not a weight in kilos"):
        read_kilos("a sack")


@pytest.mark.django_db
def test_of_a_withdrawn_lot_nothing_is_decided() -> None:
    lot = a_lot(a_season())
    withdraw_lot(lot, "typed twice")

    with pytest.raises(BadInput, match="was withdrawn"):
        decide(lot, KEEP)


@pytest.mark.django_db(transaction=True)
def test_eight_decisions_at_once_are_one_chain() -> None:
    lot = a_lot(a_season())

    failures = all_at_once(lambda: decide(lot, KEEP))

    assert failures == []
    assert Verdict.objects.count() == 8
    assert Verdict.objects.that_hold().count() == 1
    assert Sample.objects.count() == 1


# In the book


@pytest.mark.django_db
def test_the_book_shows_the_last_decision_first_and_takes_its_word() -> None:
    season = a_season()
    lot = a_lot(season)
    decide(lot, KEEP, why="clean", kilos=Decimal(12), price="1200 NT$/jin", on=DAY)
    decide(lot, read_decision("leave"), why="gone to another", on=LATER)

    (page,) = assemble_season_book(season, shown_private=True, made_on=LATER).lots

    assert [(one.when, one.said, one.why, one.replaced) for one in page.noted] == [
        ("25 May", "no (leave)", "gone to another", False),
        ("20 May", "keep", "clean", True),
    ]
    assert (page.noted[1].kilos, page.noted[1].price) == ("12 kg", "1200 NT$/jin")
    assert page.verdict == "no"


@pytest.mark.django_db
def test_a_decision_is_no_tasting() -> None:
    season = a_season()
    lot = a_lot(season)

    decide(lot, NO, why="too dear")

    read = read_season(fetch_season(season))
    assert lot.pk not in read.tasted
    assert read.verdicts[lot.pk] == "no"
    assert read.records.verdicts == ()


@pytest.mark.django_db
def test_a_book_for_others_holds_neither_price_nor_maker() -> None:
    season = a_season()
    lot = a_lot(season, producer="Widow Terrace Works")
    decide(lot, KEEP, why="Widow Terrace Works has 12 kg at NT$ 1,200", price="1200 NT$/jin")

    (page,) = assemble_season_book(season, shown_private=False, made_on=DAY).lots

    (noted,) = page.noted
    assert noted.price == ""
    assert "Widow" not in noted.why
    assert "1,200" not in noted.why


@pytest.mark.django_db
def test_a_decision_keeps_what_the_book_said_with_the_digest_of_its_inputs() -> None:
    now = dt.datetime(2026, 5, 13, tzinfo=dt.UTC)
    store_book(a_full_book(), season="Spring 2026", now=now)
    lot = Lot.objects.get(season=Season.objects.get(name="Spring 2026"), code="LU-07")

    rests_on = answers_now(lot, on=DAY)
    noted = decide(lot, KEEP, rests_on=rests_on, on=DAY)

    noted.refresh_from_db()
    assert noted.rests_on == list(rests_on)
    assert {"question", "answer", "digest"} == set(noted.rests_on[0])
    digests = {one["digest"] for one in noted.rests_on if one["digest"]}
    assert digests <= set(Finding.objects.values_list("input_digest", flat=True))


# Workbooks


@pytest.mark.django_db
def test_a_decision_is_no_verdict_of_the_workbook() -> None:
    store_book(a_full_book(), season="Spring 2026", now=dt.datetime(2026, 5, 13, tzinfo=dt.UTC))
    lot = Lot.objects.get(season__name="Spring 2026", code="LU-07")
    before = season_as_book(lot.season).verdicts

    decide(lot, NO, on=DAY)

    assert season_as_book(lot.season).verdicts == before
