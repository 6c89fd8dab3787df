"""Rows pasted twice and one taster under two names are asked about; honest second cups are not."""

import datetime as dt
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from wetleaf.lots.workbooks.mapping import Mapping
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import Problem, ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
HEADS = ["Taster", "Lot", "Scent", "Sweet", "Bitter", "Length"]
KINDS = ("copied_cups", "copied_taster", "cups_told_twice")
CODES = tuple(f"QP-{number}" for number in range(1, 9))


@pytest.fixture
def lots() -> Rows:
    """Eight invented lots."""
    heads = ["Lot", "Tea", "Maker", "Price (NT$/jin)", "Avail"]
    return [heads, *([code, f"Quarry Pond {code}", "Old Hsieh", 1500, "8 kg"] for code in CODES)]


def _asked(book: ReadBook) -> list[Problem]:
    return [p for p in book.problems if p.kind in KINDS]


def _cup(rng: random.Random, middle: float, *, steady: float = 0.9) -> list[int]:
    return [min(10, max(0, round(rng.gauss(middle, steady)))) for _ in range(4)]


def _rows(seed: int, tasters: tuple[str, ...] = ("Jo", "Mei"), pots: int = 1) -> Rows:
    """Honest cups: each lot has its own middle, each pot its own errors."""
    rng = random.Random(seed)
    middles = {code: rng.gauss(6, 1.5) for code in CODES}
    return [
        [taster, code, *_cup(rng, middles[code])] for _ in range(pots) for taster in tasters for code in CODES
    ]


def test_rows_pasted_twice_are_asked_about_in_one_block(read: Read, lots: Rows) -> None:
    rows = _rows(1)

    book = read({"Lots": lots, "Cups": [HEADS, *rows, *rows]})

    (asked,) = _asked(book)
    assert (asked.sheet, asked.cell, asked.kind, asked.severity) == ("Cups", "C18", "copied_cups", "warn")
    assert "these 16 cups (C18 to F33) repeat C2 to F17: pasted twice?" in asked.why
    assert '--accept "Cups!C18"' in asked.do


def test_each_row_pasted_under_itself_beside_honest_second_pots_is_asked_about(
    read: Read, lots: Rows
) -> None:
    rows = _rows(2, pots=2)

    book = read({"Lots": lots, "Cups": [HEADS, *(row for one in rows for row in (one, one))]})

    told = [problem.cell for problem in _asked(book)]
    assert told[0] == "C3"
    assert {problem.kind for problem in _asked(book)} == {"copied_cups"}


def test_pasted_rows_are_found_though_their_pots_were_numbered(read: Read, lots: Rows) -> None:
    rows = _rows(3)
    numbered = [[*HEADS, "Pot"], *([*row, 1] for row in rows), *([*row, 2] for row in rows)]

    book = read({"Lots": lots, "Cups": numbered})

    assert [problem.cell for problem in _asked(book)] == ["C18"]


def test_a_row_repeated_with_its_pot_is_the_same_cup(read: Read, lots: Rows) -> None:
    rows = [[*row, 1] for row in _rows(4)]

    book = read({"Lots": lots, "Cups": [[*HEADS, "Pot"], *rows, *rows[:2]]})

    assert [(p.kind, p.cell) for p in _asked(book)] == [("cups_told_twice", "C18")]
    assert "8 scores (C18 to F19) repeat C2 to F3, of the same pots: they count once" in _asked(book)[0].why


def test_a_few_rows_pasted_among_honest_second_pots_are_the_only_ones_named(read: Read, lots: Rows) -> None:
    rows = _rows(5, pots=2)

    book = read({"Lots": lots, "Cups": [HEADS, *rows, *rows[:8]]})

    assert [problem.cell for problem in _asked(book)] == ["C34"]
    assert "(C34 to F41) repeat C2 to F9" in _asked(book)[0].why


def test_long_tables_are_asked_about_too(read: Read, lots: Rows) -> None:
    long = [
        [taster, code, attribute, value]
        for taster, code, *values in _rows(6)
        for attribute, value in zip(HEADS[2:], values, strict=True)
    ]

    book = read({"Lots": lots, "Cups": [["Taster", "Lot", "Attribute", "Score"], *long, *long]})

    assert [(p.kind, p.cell) for p in _asked(book)] == [("copied_cups", "D66")]


def test_a_sheet_on_its_side_is_named_by_its_own_cells(read: Read, lots: Rows) -> None:
    rows = [row for row in _rows(6) if row[0] == "Jo"]
    turned = [
        list(column) for column in zip(*([code, *values] for _, code, *values in rows * 2), strict=True)
    ]
    sheet = [[head, *values] for head, values in zip(("", *HEADS[2:]), turned, strict=True)]

    book = read({"Lots": lots, "Jo": sheet})

    assert len(book.scores) == 64
    assert [(p.kind, p.cell) for p in _asked(book)] == [("copied_cups", "J2")]
    assert "(J2 to Q5) repeat B2 to I5" in _asked(book)[0].why


def test_likings_pasted_twice_are_asked_about_too(read: Read, lots: Rows) -> None:
    rng = random.Random(7)
    rows = [[taster, code, rng.randint(1, 9)] for taster in ("Jo", "Mei", "Ana") for code in CODES]
    heads = ["Taster", "Lot", "Liking"]

    twice = read({"Lots": lots, "Likings": [heads, *rows, *rows]})
    honest = read({"Lots": lots, "Likings": [heads, *rows]})

    assert twice.verdicts
    assert not twice.scores
    assert [(p.kind, p.cell) for p in _asked(twice)] == [("copied_cups", "C26")]
    assert _asked(honest) == []


def test_one_number_a_cup_is_asked_about_only_when_many_are_repeated(read: Read, lots: Rows) -> None:
    rng = random.Random(7)
    rows = [[taster, code, rng.randint(1, 9)] for taster in ("Jo", "Mei", "Ana") for code in CODES]
    heads = ["Taster", "Lot", "Sweet"]

    many = read({"Lots": lots, "Cups": [heads, *rows, *rows]})
    few = read({"Lots": lots, "Cups": [heads, *rows, *rows[:3]]})

    assert [(p.kind, p.cell) for p in _asked(many)] == [("copied_cups", "C26")]
    assert _asked(few) == []


def test_a_csv_is_asked_about_by_its_cells(tmp_path: Path) -> None:
    rows = [HEADS, *_rows(1), *_rows(1)]
    (tmp_path / "cups.csv").write_text("\n".join(",".join(map(str, row)) for row in rows) + "\n")

    book = read_book(tmp_path / "cups.csv", today=dt.date(2026, 11, 24))

    assert [(p.sheet, p.cell) for p in _asked(book)] == [(None, "C18")]
    assert '--accept "C18"' in _asked(book)[0].do


def test_a_taster_under_two_names_is_asked_about(read: Read, lots: Rows) -> None:
    rows = _rows(8)
    again = [["Josephine", *row[1:]] for row in rows if row[0] == "Jo"]

    book = read({"Lots": lots, "Cups": [HEADS, *rows, *again]})

    (asked,) = _asked(book)
    assert (asked.cell, asked.kind, asked.severity) == ("C18", "copied_taster", "warn")
    assert "Josephine's 32 scores (C18 to F25) all equal Jo's (C2 to F9)" in asked.why


def test_two_names_that_a_mapping_joins_are_one_taster(read: Read, lots: Rows) -> None:
    rows = _rows(8)
    again = [["Josephine", *row[1:]] for row in rows if row[0] == "Jo"]

    book = read({"Lots": lots, "Cups": [HEADS, *rows, *again]}, Mapping(tasters={"Josephine": "Jo"}))

    assert [problem.kind for problem in _asked(book)] == ["copied_cups"]


def test_tasters_who_give_every_lot_the_same_are_not_asked_about(read: Read, lots: Rows) -> None:
    flat = [[taster, code, 5, 5, 5, 5] for taster in ("Jo", "Mei") for code in CODES]

    book = read({"Lots": lots, "Cups": [HEADS, *flat, *flat]})

    assert _asked(book) == []


@pytest.mark.parametrize("seed", range(8))
def test_honest_second_pots_are_not_asked_about(read: Read, lots: Rows, *, seed: int) -> None:
    book = read({"Lots": lots, "Cups": [HEADS, *_rows(seed, ("Jo", "Mei", "Ana"), pots=3)]})

    assert _asked(book) == []
