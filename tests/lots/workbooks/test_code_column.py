"""Which column of a lots table is taken for the code when its head is not known; every list is invented."""

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import ReadBook

TEAS = ("Quarry Pond red", "Quarry Pond late", "Ferry Lane second firing", "Old Kiln evening")
MAKERS = ("Old Hsieh", "Madam Yeh", "Old Hsieh", "Madam Yeh")
PRICES = (1500, 1400, 1300, 1650)


def read(tmp_path: Path, heads: list[str], *columns: tuple[Any, ...]) -> ReadBook:
    book = Workbook()
    book.active.title = "Offers"
    book.active.append(heads)
    for row in zip(*columns, strict=True):
        book.active.append(row)
    book.save(tmp_path / "offers.xlsx")
    return read_book(tmp_path / "offers.xlsx", today=dt.date(2026, 11, 24))


def the_code(book: ReadBook) -> str | None:
    return next((column.column for column in book.columns if column.read_as == "code"), None)


@pytest.mark.parametrize(
    "codes",
    [
        (7, 12, 31, 44),
        (1, 2, 3, 4),
        ("7a", "7b", "12", "31"),
        ("QP/1", "QP/2", "FL/7", "OK/3"),
        ("A", "B", "C", "D"),
        ("2026-A1", "2026-A2", "2026-B1", "2026-C4"),
    ],
)
def test_short_values_that_tell_the_rows_apart_are_the_code_where_no_other_is(
    tmp_path: Path, codes: tuple[Any, ...]
) -> None:
    heads = ["Zettel", "Tea", "Maker", "Price (NT$/jin)"]

    book = read(tmp_path, heads, codes, TEAS, MAKERS, PRICES)

    assert [lot.code for lot in book.lots] == [str(code) for code in codes]
    asked = [problem for problem in book.problems if problem.kind == "uncertain_column"]
    assert [(problem.cell, "read as code" in problem.why) for problem in asked] == [("A1", True)]


@pytest.mark.parametrize(
    ("head", "values"),
    [
        ("Asked", (1500, 1420, 1310, 1650)),  # whole tens: prices
        ("How far up", (700, 1200, 950, 1450)),  # elevations
        ("Since", (2019, 2021, 2023, 2024)),  # years
        ("Chests", (3, 3, 5, 4)),  # counts return
        ("Chests", (3, None, 5, 4)),  # a gap
        ("Bundle kg", (3, 9, 5, 4)),  # the head says a weight
        ("Worth €", (31, 97, 55, 42)),  # the head says money
        ("Worth", ("31.5", "97.2", "55.1", "42.9")),  # parts of a whole
        ("Bush", ("Qingxin", "Jin Xuan", "Tie Guan Yin", "Si Ji Chun")),
        ("Bundle", ("3 kg", "9 kg", "5 kg", "4 kg")),
    ],
)
def test_what_is_measured_counted_or_asked_is_never_the_code(
    tmp_path: Path, head: str, values: tuple[Any, ...]
) -> None:
    heads = [head, "Tea", "Maker", "Price (NT$/jin)"]

    book = read(tmp_path, heads, values, TEAS, MAKERS, PRICES)

    assert [lot.code for lot in book.lots] == [None] * 4
    assert the_code(book) is None


def test_a_column_right_of_the_tea_or_beside_a_known_code_is_left_alone(tmp_path: Path) -> None:
    right = read(tmp_path, ["Tea", "Maker", "Chests", "Price (NT$/jin)"], TEAS, MAKERS, (3, 9, 5, 4), PRICES)
    heads = ["Chests", "Lot", "Tea", "Price (NT$/jin)"]
    beside = read(tmp_path, heads, (3, 9, 5, 4), ("Q1", "Q2", "F7", "K3"), TEAS, PRICES)

    assert the_code(right) is None
    assert the_code(beside) == "B"


def test_two_columns_that_could_both_be_the_code_are_left_to_the_reader(tmp_path: Path) -> None:
    heads = ["Zettel", "Fach", "Tea", "Price (NT$/jin)"]

    book = read(tmp_path, heads, (7, 12, 31, 44), (3, 9, 5, 4), TEAS, PRICES)

    assert the_code(book) is None
