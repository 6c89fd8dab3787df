"""What a workbook tells of cups, remarks, last days and seasons stands on the books as it was told."""

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from wetleaf.lots.models import Fact, Lot, Offer, Producer
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.sheets.intake import store_book
from wetleaf.sheets.models import Remark, Score
from wetleaf.trade.errors import BadInput

NOW = dt.datetime(2026, 11, 25, 9, tzinfo=dt.UTC)
SPRING = "Spring 2026"
Rows = list[list[Any]]
LOTS: Rows = [
    ["Lot", "Tea", "Picked", "Where", "Offer until", "Notes", "Maker says"],
    ["QP-1", "Quarry Pond red", "3 May 2026", "Yuchi", "10 Dec", "thin, but sweet", "organic, old trees"],
    ["QP-2", "Quarry Pond late", "5 May 2026", "Yuchi", "12 Dec", "good in the cup", "hand picked"],
]


def _book(folder: Path, sheets: dict[str, Rows]) -> ReadBook:
    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(folder / "gate.xlsx")
    return read_book(folder / "gate.xlsx", today=NOW.date())


@pytest.mark.django_db
def test_both_cups_of_a_lot_under_two_codes_are_stored(tmp_path: Path) -> None:
    cups = [["cup", "Jo scent", "Mei scent"], ["A", 9, 8], ["B", 4, 4], ["C", 1, 2]]
    key = [["cup", "lot"], ["A", "QP-1"], ["B", "QP-2"], ["C", "QP-1"]]

    store_book(_book(tmp_path, {"Lots": LOTS, "Blind": cups, "Key": key}), season=SPRING, now=NOW)

    held = Score.objects.that_hold().filter(sample__code="QP-1", taster__name="Jo")
    assert list(held.order_by("pk").values_list("brew__label", "value")) == [("A", 9.0), ("C", 1.0)]


@pytest.mark.django_db
def test_a_last_day_without_its_year_is_stored(tmp_path: Path) -> None:
    store_book(_book(tmp_path, {"Lots": LOTS}), season=SPRING, now=NOW)

    assert Offer.objects.get(lot__code="QP-1").valid_until == dt.date(2026, 12, 10)


@pytest.mark.django_db
def test_notes_are_remarks_and_only_the_makers_words_are_claims(tmp_path: Path) -> None:
    store_book(_book(tmp_path, {"Lots": LOTS}), season=SPRING, now=NOW)

    claims = Fact.objects.filter(field="claims").order_by("lot__code").values_list("written", flat=True)
    assert list(claims) == ["organic, old trees", "hand picked"]
    assert set(Remark.objects.values_list("text", flat=True)) == {"thin, but sweet", "good in the cup"}
    assert not Producer.objects.exists()


@pytest.mark.django_db
def test_plain_notes_alone_claim_nothing(tmp_path: Path) -> None:
    store_book(_book(tmp_path, {"Lots": [row[:6] for row in LOTS]}), season=SPRING, now=NOW)

    assert not Fact.objects.filter(field="claims").exists()
    assert Remark.objects.count() == 2


@pytest.mark.django_db
def test_a_sheet_of_last_year_stops_the_import_until_it_is_left_out(tmp_path: Path) -> None:
    old = [LOTS[0], ["OP-1", "Old slope", "3 May 2025", "Lugu", "", "as ever", ""]]
    old += [["OP-2", "Low slope", "5 May 2025", "Lugu", "", "flat", ""]]
    book = _book(tmp_path, {"Lots": LOTS, "last spring 2025": old})

    with pytest.raises(BadInput, match="last spring 2025"):
        store_book(book, season=SPRING, now=NOW)
    assert not Lot.objects.exists()
    store_book(book, season=SPRING, now=NOW, accept=["last spring 2025"])

    assert set(Lot.objects.values_list("code", flat=True)) == {"QP-1", "QP-2"}
    assert set(Remark.objects.values_list("text", flat=True)) == {"thin, but sweet", "good in the cup"}
