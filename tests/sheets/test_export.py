"""A season written back as records: importing it again gives the same season; others see less of it."""

import datetime as dt
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from tests.room import a_season, command
from tests.sheets.books import a_full_book, a_row, a_score, codes, corrected

from wetleaf.demo.workbooks import write_workbooks
from wetleaf.lots.models import Season
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.lots.workbooks.writing import write_book
from wetleaf.sheets.export import season_as_book
from wetleaf.sheets.intake import store_book

NOW = dt.datetime(2026, 5, 13, 9, tzinfo=dt.UTC)
TODAY = dt.date(2026, 11, 24)


def without_places(book: ReadBook) -> dict[str, Any]:
    """What a book tells, apart from where in which file it stood."""
    told = {}
    for kind in ("lots", "samples", "sittings", "scores", "notes", "verdicts", "preferences", "triangles",
                 "retastes", "ledger", "lines"):  # fmt: skip
        told[kind] = [_without_place(record) for record in getattr(book, kind)]
    return told | {"aliases": {name: sorted(written) for name, written in book.taster_aliases.items()}}


def _without_place(record: Any) -> Any:
    if hasattr(record, "cells"):
        says = {name: cell.says for name, cell in record.cells.items()}
        return replace(record, cells={}, row=0), says
    if hasattr(record, "row"):
        return replace(record, cell=None, row=0)
    return replace(record, cell=None) if hasattr(record, "cell") else record


def what_it_tells(book: ReadBook) -> dict[str, Any]:
    """What a book tells, apart from places and from how a reading was spelled, "4,600 ft" or "4600 ft"."""
    told = without_places(book)
    told["lots"] = [_plain_lot(lot) for lot, _ in told["lots"]]
    told["aliases"] = {}
    return told


def _plain_lot(lot: Any) -> Any:
    if lot.elev is not None:
        return replace(lot, elev=replace(lot.elev, unit_written=lot.elev.unit_written.split()[0]))
    return lot


@pytest.mark.django_db
def test_export_import_export_gives_the_same_season() -> None:
    store_book(a_full_book(), season="Spring 2026", now=NOW)
    first = season_as_book(Season.objects.get(name="Spring 2026"))

    store_book(replace(first, digest="c" * 64), season="Again", now=NOW)

    again = season_as_book(Season.objects.get(name="Again"))
    assert len(first.scores) == 4
    assert without_places(again) == without_places(first)


@pytest.mark.django_db
def test_an_export_tells_what_the_workbook_told() -> None:
    book = a_full_book()
    store_book(book, season="Spring 2026", now=NOW)

    exported = season_as_book(Season.objects.get())

    first, told = exported.lots[0], book.lots[0]
    fields = (
        "code name producer region elev harvest cv ox roast price moq_grams avail_grams offer_until "
        "sample_received markup claims"
    )
    for field in fields.split():
        assert getattr(first, field) == getattr(told, field), field
    assert dict(first.facts) == dict(told.facts)
    assert exported.lots[2].facts == {"parent": "LU-07", "making": "re-roast"}
    assert [(s.sample, s.taster, s.value, s.status, s.lower) for s in exported.scores] == [
        ("LU-07", "Mirel", 5.0, "ok", None),
        ("LU-08", "Mirel", 6.0, "ok", None),
        ("LU-07", "Jonas", None, "censored", 9.0),
        ("LU-08", "Jonas", None, "missing", None),
    ]
    assert [(entry.sample, int(entry.grams)) for entry in exported.ledger] == [("LU-07", 25), ("LU-07", -9)]
    assert [line.attribute for line in exported.lines] == ["", "roast"]


@pytest.mark.django_db
def test_only_the_answer_that_holds_is_exported() -> None:
    book = a_full_book()
    store_book(book, season="Spring 2026", now=NOW)
    store_book(corrected(book, scores=(a_score("LU-07", "Mirel", 7, 4),)), season="Spring 2026", now=NOW)

    exported = season_as_book(Season.objects.get())

    held = [s.value for s in exported.scores if (s.sample, s.taster) == ("LU-07", "Mirel")]
    assert held == [7.0]


@pytest.mark.django_db
def test_an_export_for_others_keeps_maker_contact_place_and_price_back() -> None:
    row = a_row(
        "LU-07",
        5,
        "Widow Terrace Works spring",
        producer="Widow Terrace Works",
        region="Widow Terrace, Lugu, Nantou",
        price=a_full_book().lots[0].price,
        claims="the pride of widow terrace works",
        facts={"contact": "line: widow", "deposit": "30 %", "invoice": "WT-3", "grade": "first"},
    )
    book = replace(a_full_book(), lots=(row,), samples=codes((row,)), scores=(), notes=(), verdicts=(),
                   preferences=(), triangles=(), retastes=(), ledger=())  # fmt: skip
    store_book(book, season="Spring 2026", now=NOW)
    whole = repr(season_as_book(Season.objects.get()))

    shared = season_as_book(Season.objects.get(), shared=True)

    told = repr(shared).lower()
    secrets = ("widow", "30 %", "wt-3", "1200")
    assert all(secret in whole.lower() for secret in secrets)
    assert [secret for secret in secrets if secret in told] == []
    assert shared.lots[0].region == "Lugu, Nantou"
    assert shared.lots[0].facts["grade"] == "first"
    assert shared.season.startswith("Spring 2026. Left out of this workbook")


def demo_season(folder: Path) -> None:
    """The two invented years of the demo, imported as a person would."""
    last, this = write_workbooks(folder)
    store_book(read_book(last, today=TODAY), season="2025", now=NOW, accept=["all"])
    store_book(read_book(this, today=TODAY), season="2026", before="2025", now=NOW, accept=["all"])


@pytest.mark.django_db
def test_a_season_goes_through_a_real_workbook_and_comes_back_the_same(tmp_path: Path) -> None:
    demo_season(tmp_path)
    before = {year: season_as_book(Season.objects.get(name=year)) for year in ("2025", "2026")}
    for year, book in before.items():
        write_book(book, tmp_path / f"{year}.xlsx")
    Season.objects.all().delete()

    for year, earlier in (("2025", None), ("2026", "2025")):
        intake = store_book(
            read_book(tmp_path / f"{year}.xlsx", today=TODAY), season=year, before=earlier, now=NOW
        )
        assert intake.left_out == 0

    for year, book in before.items():
        after = season_as_book(Season.objects.get(name=year))
        for kind, told in what_it_tells(book).items():
            assert what_it_tells(after)[kind] == told, (year, kind)


@pytest.mark.django_db
def test_the_file_for_others_says_what_is_left_out_and_can_be_read(tmp_path: Path) -> None:
    demo_season(tmp_path)
    private = {lot.producer for lot in season_as_book(Season.objects.get(name="2026")).lots if lot.producer}

    said = command("export", "--season", "2026", "--out", str(tmp_path / "shared.xlsx"), "--shared")

    read = read_book(tmp_path / "shared.xlsx", today=TODAY)
    with zipfile.ZipFile(tmp_path / "shared.xlsx") as parts:
        text = "".join(parts.read(name).decode("utf-8", "replace") for name in parts.namelist())
    assert said.code == 0
    assert private
    assert [name for name in private if name in text] == []
    assert "Left out of this workbook, which was written for others" in text
    assert {lot.price for lot in read.lots} == {None}
    assert len(read.lots) == Season.objects.get(name="2026").lots.count()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (("--season", "1998", "--out", "x.xlsx"), "there is no season '1998'"),
        (("--season", "2026", "--out", "x.csv"), "does not end in .xlsx"),
        (("--season", "2026", "--out", "/nowhere/x.xlsx"), "cannot be written"),
    ],
)
def test_an_export_that_cannot_be_is_refused(arguments: tuple[str, ...], why: str) -> None:
    a_season("2026")

    said = command("export", *arguments)

    assert said.code == 2
    assert why in said.err
