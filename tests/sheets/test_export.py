"""A season written back as records: importing it again gives the same season; others see less of it."""

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest
from tests.sheets.books import a_full_book, a_row, a_score, codes, corrected

from wetleaf.lots.models import Season
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.sheets.export import season_as_book
from wetleaf.sheets.intake import store_book

NOW = dt.datetime(2026, 5, 13, 9, tzinfo=dt.UTC)


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
    assert shared.comments[0].says.startswith("Left out of this workbook")
