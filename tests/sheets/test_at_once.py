"""Several who write at the same time: nothing is lost or doubled, and nobody is shown half of an import."""

import datetime as dt
import itertools
import threading
from dataclasses import replace

import pytest
from tests.room import a_season, all_at_once
from tests.sheets.books import a_full_book

from wetleaf.findings.actions import record_findings
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.models import Finding
from wetleaf.findings.readings.seasons import read_season
from wetleaf.lots.actions import new_lot, season_named
from wetleaf.lots.models import Lot, Producer, Season
from wetleaf.lots.one_line import add_lot_in_one_line
from wetleaf.people.actions import the_buyer
from wetleaf.people.models import Taster
from wetleaf.sheets.export import season_as_book
from wetleaf.sheets.intake import store_book
from wetleaf.sheets.models import Score
from wetleaf.trade.errors import BadInput
from wetleaf.trade.onelines import read_line

NOW = dt.datetime(2026, 5, 13, tzinfo=dt.UTC)
LINE = read_line("Lugu, qingxin, 18 Apr 2026, 750 m", today=dt.date(2026, 5, 12))


@pytest.mark.django_db(transaction=True)
def test_eight_lots_typed_at_once_get_eight_codes() -> None:
    failures = all_at_once(lambda: add_lot_in_one_line(season_named("Spring 2026"), LINE))

    assert failures == []
    assert list(Lot.objects.values_list("code", flat=True)) == [f"LU-{number:02}" for number in range(1, 9)]
    assert Season.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_one_code_typed_by_eight_at_once_is_one_lot_and_seven_refusals() -> None:
    season = a_season()

    failures = all_at_once(lambda: new_lot(season, "LU-07", "Stone Basin", producer="Widow Terrace Works"))

    assert [type(failure) for failure in failures] == [BadInput] * 7
    assert Lot.objects.count() == Producer.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_lots_typed_while_a_workbook_is_taken_in_are_all_there() -> None:
    season = season_named("Spring 2026")
    turns = itertools.count()

    def typed_or_taken_in() -> None:
        if next(turns) % 2:
            add_lot_in_one_line(season, LINE)
        else:
            store_book(a_full_book(), season=season.name, now=NOW)

    failures = all_at_once(typed_or_taken_in)

    assert failures == []
    typed = Lot.objects.filter(code__startswith="LU-", source="typed in one line")
    assert len(set(typed.values_list("code", flat=True))) == 4
    assert Score.objects.count() == 4


@pytest.mark.django_db(transaction=True)
def test_one_workbook_taken_into_four_seasons_at_once_knows_its_people_once() -> None:
    book = a_full_book()
    turns = itertools.count(1)

    def take_in() -> None:
        number = next(turns)
        store_book(replace(book, digest=f"{number}" * 64), season=f"Season {number}", now=NOW)

    failures = all_at_once(take_in, people=4)

    assert failures == []
    assert Score.objects.count() == 16
    names = list(Taster.objects.values_list("name", flat=True))
    assert len(names) == len(set(names)) >= 2


@pytest.mark.django_db(transaction=True)
def test_the_buyer_is_made_once_however_many_ask() -> None:
    failures = all_at_once(the_buyer)

    assert failures == []
    assert Taster.objects.filter(is_buyer=True).count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_book_and_an_export_never_see_half_of_an_import() -> None:
    season = season_named("Spring 2026")
    book, taken_in = a_full_book(), threading.Event()
    turns = itertools.count()
    seen: list[tuple[int, int]] = []

    def take_in() -> None:
        try:
            for number in range(6):
                store_book(replace(book, digest=f"{number}" * 64), season=f"Part {number}", now=NOW)
                store_book(replace(book, digest=f"{number}" * 64), season=season.name, now=NOW)
        finally:
            taken_in.set()

    def read() -> None:
        while not taken_in.is_set():
            records = fetch_season(season)
            read_season(records)
            seen.append((len(records.lots), len(records.scores)))
            seen.append((len((exported := season_as_book(season)).lots), len(exported.scores)))

    failures = all_at_once(lambda: take_in() if next(turns) == 0 else read(), people=4)

    assert failures == []
    whole = (len(fetch_season(season).lots), Score.objects.filter(flight__season=season).count())
    assert whole == (3, 4)
    assert seen
    assert set(seen) <= {(0, 0), whole}


@pytest.mark.django_db(transaction=True)
def test_a_book_written_twice_at_once_keeps_each_finding_once() -> None:
    season = season_named("Spring 2026")
    store_book(a_full_book(), season=season.name, now=NOW)

    failures = all_at_once(lambda: record_findings(season), people=4)

    assert failures == []
    kept = list(Finding.objects.values_list("question", "subject", "input_digest"))
    assert kept
    assert len(kept) == len(set(kept))
