"""The kind of a sample, an arrival or a kept one, goes out with a season and comes back with it."""

import datetime as dt
from pathlib import Path

import pytest
from tests.room import a_flight, a_lot, a_sample, a_season, scores_of, the_cast

from wetleaf.lots.models import Sample, Season
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.lots.workbooks.writing import write_book
from wetleaf.sheets.export import season_as_book
from wetleaf.sheets.intake import store_book
from wetleaf.sheets.models import Score

NOW = dt.datetime(2026, 5, 13, 9, tzinfo=dt.UTC)
TODAY = dt.date(2026, 11, 24)
Told = set[tuple[str, str, str, str]]


def two_seasons() -> None:
    """In spring an offer, an arrival, a trial and a kept sample are scored, and one kept since autumn."""
    spring, autumn = a_season("Spring 2026"), a_season("Autumn 2025")
    spring.before = autumn
    spring.save()
    lot = a_lot(spring, "LU-07", grade="first", garden_mark="hill")
    other = a_lot(spring, "LU-08", "Quiet Mill Oolong", grade="first", garden_mark="hill")
    old = a_lot(autumn, "AW-3", "Late Mill Oolong", grade="first", garden_mark="hill")
    samples = (
        a_sample(lot),
        of_kind(a_sample(lot, "LU-07/ship", grams=50), Sample.Kind.ARRIVAL),
        of_kind(a_sample(lot, "LU-07 fired again"), Sample.Kind.ROAST_TRIAL),
        of_kind(a_sample(other), Sample.Kind.KEPT),
        of_kind(a_sample(old, "shelf 4"), Sample.Kind.KEPT),
    )
    scores_of(a_flight(spring), the_cast().taster, {cup: {"roast": 4 + n} for n, cup in enumerate(samples)})


def of_kind(sample: Sample, kind: str) -> Sample:
    sample.kind = kind
    sample.save()
    return sample


def there_and_back(book: ReadBook, folder: Path, season: str, before: str | None = None) -> ReadBook:
    """Write a book to a file, store what is read of it as another season, and export that."""
    write_book(book, folder / f"{season}.xlsx")
    read = read_book(folder / f"{season}.xlsx", today=TODAY)
    intake = store_book(read, season=season, before=before, now=NOW)
    assert intake.left_out == 0
    return season_as_book(Season.objects.get(name=season))


def kinds(season: str) -> Told:
    samples = Sample.objects.filter(lot__season__name__in=[season, "Autumn 2025"])
    return {(s.lot.season.name.replace(season, "this"), s.lot.code, s.code, s.kind) for s in samples}


@pytest.mark.django_db
def test_export_import_export_keeps_the_kind_of_every_sample(tmp_path: Path) -> None:
    two_seasons()
    before, first = kinds("Spring 2026"), season_as_book(Season.objects.get(name="Spring 2026"))

    again = there_and_back(first, tmp_path, "Again", "Autumn 2025")

    assert before == {
        ("this", "LU-07", "LU-07", "offer"),
        ("this", "LU-07", "LU-07/ship", "arrival"),
        ("this", "LU-07", "LU-07 fired again", "roast trial"),
        ("this", "LU-08", "LU-08", "kept"),
        ("Autumn 2025", "AW-3", "shelf 4", "kept"),
    }
    assert kinds("Again") == before
    told = [{(s.code, s.kind, s.of_lot, s.of_season) for s in book.samples} for book in (first, again)]
    assert told[0] == told[1]


@pytest.mark.django_db
def test_the_scores_and_the_leaf_come_back_with_the_sample_they_were_of(tmp_path: Path) -> None:
    two_seasons()
    first = season_as_book(Season.objects.get(name="Spring 2026"))

    again = there_and_back(first, tmp_path, "Again", "Autumn 2025")

    held = Score.objects.filter(flight__season__name="Again")
    assert set(held.values_list("sample__code", "sample__kind", "value")) == {
        ("LU-07", "offer", 4.0),
        ("LU-07/ship", "arrival", 5.0),
        ("LU-07 fired again", "roast trial", 6.0),
        ("LU-08", "kept", 7.0),
        ("shelf 4", "kept", 8.0),
    }
    assert [(entry.sample, int(entry.grams)) for entry in again.ledger] == [("LU-07/ship", 50)]


@pytest.mark.django_db
def test_a_kept_sample_of_its_lots_code_does_not_take_the_scores_of_the_offer(tmp_path: Path) -> None:
    lot = a_lot(a_season("Spring 2026"), "LU-07", grade="first", garden_mark="hill")
    offer, _kept = a_sample(lot), of_kind(Sample(lot=lot, code="LU-07"), Sample.Kind.KEPT)
    scores_of(a_flight(lot.season), the_cast().taster, {offer: {"roast": 4}})

    there_and_back(season_as_book(lot.season), tmp_path, "Again")

    assert kinds("Again") == {("this", "LU-07", "LU-07", "offer"), ("this", "LU-07", "LU-07", "kept")}
    held = Score.objects.filter(flight__season__name="Again")
    assert [score.sample.kind for score in held] == ["offer"]


@pytest.mark.django_db
def test_the_day_an_arrival_sample_came_goes_out_and_comes_back(tmp_path: Path) -> None:
    two_seasons()
    arrival = Sample.objects.get(code="LU-07/ship")
    arrival.received_on = dt.date(2026, 5, 2)
    arrival.save()
    first = season_as_book(Season.objects.get(name="Spring 2026"))

    again = there_and_back(first, tmp_path, "Again", "Autumn 2025")

    days = {sample.code: sample.received_on for sample in again.samples}
    assert days["LU-07/ship"] == dt.date(2026, 5, 2)
    assert days["LU-07"] is None
