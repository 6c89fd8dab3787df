"""What was decided by hand goes into a workbook and comes back; no workbook takes it back."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from tests.room import a_lot, a_season
from tests.sheets.books import a_full_book

from wetleaf.lots.models import DroppedCell, Lot, Season
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.writing import write_book
from wetleaf.sheets.decisions import Decided, decide, last_decision, read_decision
from wetleaf.sheets.export import season_as_book
from wetleaf.sheets.intake import store_book
from wetleaf.sheets.models import Verdict

DAY, LATER = dt.date(2026, 5, 20), dt.date(2026, 5, 25)
KEEP, NO = Decided("keep"), Decided("no")
NOW = dt.datetime(2026, 5, 13, tzinfo=dt.UTC)


def _noted(season: str) -> list[tuple[object, ...]]:
    held = Verdict.objects.that_hold().filter(decided=True, sample__lot__season__name=season)
    fields = ("sample__lot__code", "word", "step", "why", "kilos", "price", "given_on", "taster__is_buyer")
    return list(held.order_by("sample__lot__code").values_list(*fields))


@pytest.mark.django_db
def test_a_season_goes_through_a_workbook_with_what_was_decided(tmp_path: Path) -> None:
    store_book(a_full_book(), season="Spring 2026", now=NOW)
    first, second = Lot.objects.filter(code__in=["LU-07", "LU-08"]).order_by("code")
    decide(first, NO, on=DAY)
    decide(first, KEEP, why="clean, and even", kilos=Decimal("12.5"), price="1200 NT$/jin", on=LATER)
    decide(second, read_decision("taste again"), why="=too young", on=DAY)
    before = _noted("Spring 2026")

    write_book(season_as_book(Season.objects.get()), tmp_path / "season.xlsx")
    intake = store_book(read_book(tmp_path / "season.xlsx", today=LATER), season="Again", now=NOW)

    assert [one[:4] for one in before] == [
        ("LU-07", "keep", "", "clean, and even"),
        ("LU-08", "maybe", "taste_again", "=too young"),
    ]
    assert _noted("Again") == before
    assert intake.added["decisions"] == 2
    assert (
        season_as_book(Season.objects.get(name="Again")).decisions == season_as_book(first.season).decisions
    )


@pytest.mark.django_db
def test_no_workbook_takes_back_what_was_decided(tmp_path: Path) -> None:
    store_book(a_full_book(), season="Spring 2026", now=NOW)
    lot = Lot.objects.get(season__name="Spring 2026", code="LU-07")
    decide(lot, KEEP, why="clean", on=DAY)
    older = season_as_book(lot.season)
    noted = decide(lot, NO, why="too dear", on=LATER)

    again = store_book(replace(older, digest="c" * 64), season="Spring 2026", now=NOW)
    other = replace(older.decisions[0], said="maybe")
    store_book(replace(older, digest="d" * 64, decisions=(other,)), season="Spring 2026", now=NOW)

    assert last_decision(lot) == noted
    assert Verdict.objects.filter(decided=True).count() == 2
    assert "decisions" not in again.added
    dropped = DroppedCell.objects.get(sheet="Decisions")
    assert (dropped.says, dropped.kind) == ("keep", "not_stored")
    assert "no workbook takes back" in dropped.why


@pytest.mark.django_db
def test_a_file_for_others_holds_no_decision() -> None:
    lot = a_lot(a_season())
    decide(lot, KEEP, why="good at 1200", kilos=Decimal(12), price="1200 NT$/jin", on=DAY)

    assert len(season_as_book(lot.season).decisions) == 1
    assert season_as_book(lot.season, shared=True).decisions == ()
