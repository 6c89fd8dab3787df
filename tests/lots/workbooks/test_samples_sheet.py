"""The list of samples, and the column of a lots sheet that says of what kind the sample is; all invented."""

import datetime as dt
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.lots.workbooks.writing import write_book

LOTS = [
    ["Lot", "Tea", "Maker", "Price (NT$/jin)", "Sample kind"],
    ["QP-1", "Quarry Pond red", "Old Hsieh", 1500, "Arrival sample"],
    ["QP-2", "Quarry Pond late", "Old Hsieh", 1400, None],
    ["QP-3", "Ferry Lane red", "Madam Yeh", 1300, "blue box"],
]
SCORES = [["Taster", "Cup", "Sweet", "Bitter"], ["Mei", "QP-1", 5, 6], ["Mei", "QP-2", 4, 6]]


def read(tmp_path: Path, **sheets: list[list[Any]]) -> ReadBook:
    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(tmp_path / "book.xlsx")
    return read_book(tmp_path / "book.xlsx", today=dt.date(2026, 11, 24))


def test_a_lots_row_may_say_the_kind_of_its_sample(tmp_path: Path) -> None:
    book = read(tmp_path, Lots=LOTS, Scores=SCORES)

    assert {(s.code, s.kind) for s in book.samples} == {("QP-1", "arrival"), ("QP-2", "offer")}
    assert [(p.cell, p.severity) for p in book.problems if p.kind == "sample_kind_unknown"] == [
        ("E4", "warn")
    ]


def test_a_list_of_samples_says_codes_lots_kinds_and_seasons(tmp_path: Path) -> None:
    listed = [
        ["Sample", "Lot", "Kind", "Season"],
        ["QP-2/a", "QP-2", "PRE SHIPMENT", None],
        ["QP-9", None, "kept", "Autumn 2024"],
        ["QP-3", None, "in a tin", None],
    ]
    scores = [*SCORES, ["Mei", "QP-2/a", 7, 2], ["Mei", "QP-9", 7, 3]]

    book = read(tmp_path, Lots=LOTS, Packets=listed, Scores=scores)

    assert book.roles["Packets"] == "samples"
    found = {s.code: (s.kind, s.lots, s.of_lot, s.of_season) for s in book.samples}
    assert found["QP-2/a"] == ("pre-shipment", (("Lots", 3),), "", "")
    assert found["QP-9"] == ("kept", (), "QP-9", "Autumn 2024")
    assert found["QP-3"][0] == "offer"
    assert [p.kind for p in book.problems if p.severity == "error"] == []
    unknown = [(p.sheet, p.cell) for p in book.problems if p.kind == "sample_kind_unknown"]
    assert unknown == [("Lots", "E4"), ("Packets", "C4")]


def test_a_list_of_samples_says_when_each_arrived_and_is_written_back_so(tmp_path: Path) -> None:
    listed = [
        ["Sample", "Lot", "Kind", "Received"],
        ["QP-1/a", "QP-1", "arrival", dt.datetime(2026, 10, 3)],  # noqa: DTZ001
        ["QP-2/k", "QP-2", "kept", None],
    ]
    book = read(tmp_path, Lots=LOTS, Packets=listed)

    write_book(book, tmp_path / "again.xlsx")
    again = read_book(tmp_path / "again.xlsx", today=dt.date(2026, 11, 24))

    for one in (book, again):
        found = {s.code: s.received_on for s in one.samples}
        assert found["QP-1/a"] == dt.date(2026, 10, 3)
        assert found["QP-2/k"] is None


def test_two_samples_of_one_code_are_asked(tmp_path: Path) -> None:
    listed = [["Sample", "Lot", "Kind"], ["QP-1", "QP-1", "offer"], ["QP-1", "QP-1", "arrival"]]

    book = read(tmp_path, Lots=LOTS, Packets=listed, Scores=SCORES)

    asked = [p for p in book.problems if p.kind == "sample_code_twice"]
    assert [(p.sheet, p.cell, p.severity) for p in asked] == [("Packets", "A3", "warn")]
    assert "A2" in asked[0].why
