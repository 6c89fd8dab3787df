"""A withdrawn lot and the workbooks that name it: not brought back, not in an export, and always said."""

import datetime as dt
from dataclasses import replace

import pytest
from tests.room import a_lot, a_sample, a_season
from tests.sheets.books import a_full_book

from wetleaf.findings.actions import record_findings
from wetleaf.findings.assembling.books import assemble_season_book
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.opening import open_book
from wetleaf.lots.models import DroppedCell, Lot, Season
from wetleaf.lots.withdrawals import restore_lot, withdraw_lot
from wetleaf.sheets.export import season_as_book
from wetleaf.sheets.intake import store_book
from wetleaf.sheets.known_codes import with_known_codes
from wetleaf.sheets.models import Score

NOW = dt.datetime(2026, 5, 13, tzinfo=dt.UTC)
ON = dt.date(2026, 5, 20)
SPRING = "Spring 2026"


def a_season_with_a_scored_lot() -> tuple[Season, Lot]:
    """A season taken in, and a lot of it that was scored and that no other was made from."""
    store_book(a_full_book(), season=SPRING, now=NOW)
    season = Season.objects.get(name=SPRING)
    scored = Lot.objects.filter(samples__scores__isnull=False, children_made__isnull=True).distinct()
    return season, scored[0]


def a_season_with_one_withdrawn() -> tuple[Season, Lot]:
    season, lot = a_season_with_a_scored_lot()
    withdraw_lot(lot, "imported by mistake")
    return season, lot


@pytest.mark.django_db
def test_the_book_knows_nothing_of_it() -> None:
    season, lot = a_season_with_one_withdrawn()
    others = Lot.objects.that_stand().filter(season=season).count()

    book = assemble_season_book(season, shown_private=True, made_on=ON)

    assert others > 0
    assert len(book.lots) == others
    assert lot.code not in [page.code for page in book.lots]
    assert all(lot.code not in flight.lots for flight in book.flights)


@pytest.mark.django_db
def test_no_row_of_it_reaches_the_readings_and_all_of_the_others_do() -> None:
    season, lot = a_season_with_a_scored_lot()
    whole = fetch_season(season)
    mine = {sample.pk for sample in whole.samples if sample.lot == lot.pk}

    withdraw_lot(lot, "imported by mistake")
    left = fetch_season(season)

    assert mine
    assert left.scores == tuple(row for row in whole.scores if row.sample not in mine)
    assert left.verdicts == tuple(row for row in whole.verdicts if row.sample not in mine)
    assert left.remarks == tuple(row for row in whole.remarks if row.sample not in mine)
    assert all(mine.isdisjoint(trial.cups) for trial in left.trials)
    assert all(mine.isdisjoint((one.first, one.second)) for one in left.preferences)
    assert lot.pk not in left.facts
    assert lot.pk not in left.offers
    record_findings(season)


@pytest.mark.django_db
def test_restored_it_is_in_the_book_as_before() -> None:
    season, lot = a_season_with_a_scored_lot()
    before = fetch_season(season)

    withdraw_lot(lot, "imported by mistake")
    restore_lot(lot)

    assert fetch_season(season) == before


@pytest.mark.django_db
def test_a_page_that_was_kept_is_put_together_again() -> None:
    season, lot = a_season_with_a_scored_lot()
    before = len(open_book(season, shown_private=False, on=ON).lots)

    withdraw_lot(lot, "imported by mistake")
    without = len(open_book(season, shown_private=False, on=ON).lots)
    restore_lot(lot)

    assert (before - without, len(open_book(season, shown_private=False, on=ON).lots)) == (1, before)


@pytest.mark.django_db
def test_an_export_leaves_it_out_with_everything_said_of_it() -> None:
    season, lot = a_season_with_one_withdrawn()
    codes = set(lot.samples.values_list("code", flat=True)) | {lot.code}

    book = season_as_book(season)

    named = [row.code for row in book.lots] + [sample.code for sample in book.samples]
    said = [one.sample for one in (*book.scores, *book.notes, *book.verdicts, *book.ledger) if one.sample]
    said += [code for one in book.preferences for code in (one.a, one.b)]
    said += [code for one in book.triangles for code in one.cups] + [one.lot for one in book.retastes]
    assert named
    assert said
    assert codes.isdisjoint(named)
    assert codes.isdisjoint(said)


@pytest.mark.django_db
def test_the_same_file_again_does_not_bring_it_back_and_says_so() -> None:
    _, lot = a_season_with_one_withdrawn()

    again = store_book(a_full_book(), season=SPRING, now=NOW)

    assert not again.changed
    assert again.withdrawn == (lot.code,)
    assert again.says.endswith(f"{lot.code} was withdrawn and stays so: wetleaf lot restore brings it back.")
    assert lot not in Lot.objects.that_stand()
    assert Season.objects.count() == 1


@pytest.mark.django_db
def test_a_corrected_file_adds_to_it_in_the_background_and_says_so() -> None:
    _, lot = a_season_with_one_withdrawn()
    lots, scores = Lot.objects.count(), Score.objects.count()

    again = store_book(replace(a_full_book(), digest="c" * 64), season=SPRING, now=NOW)

    assert again.changed
    assert again.withdrawn == (lot.code,)
    assert "was withdrawn and stays so" in again.says
    assert (Lot.objects.count(), Score.objects.count()) == (lots, scores)
    assert lot not in Lot.objects.that_stand()
    noted = DroppedCell.objects.get(kind="withdrawn")
    assert noted.says == lot.code


@pytest.mark.django_db
def test_a_withdrawn_lot_of_another_season_gives_no_meaning_to_a_code() -> None:
    last = a_season("Spring 2025")
    a_season(SPRING, before=last)
    old = a_lot(last, "OLD-1")
    a_sample(old)
    book = a_full_book()
    unknown = replace(book.problems[0], kind="unknown_sample", says="OLD-1") if book.problems else None
    assert unknown is not None
    asking = replace(book, problems=(unknown,))

    known = with_known_codes(asking, season=SPRING).problems[0].kind
    withdraw_lot(old, "a mistake")

    assert known == "known_sample"
    assert with_known_codes(asking, season=SPRING).problems[0].kind == "unknown_sample"
