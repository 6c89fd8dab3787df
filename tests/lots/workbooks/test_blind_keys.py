"""Scores under blind codes are joined to lots by the key, wherever it stands."""

from collections.abc import Callable
from typing import Any

import pytest

from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
CUPS: Rows = [["Taster", "Code", "Sweet", "Bitter"], ["Jo", 417, 5, 6], ["Jo", 522, 5, 3], ["Mei", 638, 4, 2]]
KEY: Rows = [["Code", "Lot"], [417, "QP-1"], [522, "QP-2"], [638, "QP-3"]]


def _samples(book: ReadBook) -> list[str | None]:
    return [score.sample for score in book.scores if score.attribute == "Sweet"]


def _errors(book: ReadBook) -> list[tuple[str | None, str | None, str]]:
    return [(p.sheet, p.cell, p.kind) for p in book.problems if p.severity == "error"]


@pytest.mark.parametrize("first", [True, False])
def test_a_key_on_a_sheet_of_its_own_is_read(read: Read, lots: Rows, *, first: bool) -> None:
    sheets = {"Key": KEY, "Lots": lots, "Cups": CUPS} if first else {"Lots": lots, "Cups": CUPS, "Key": KEY}

    book = read(sheets)

    assert book.roles["Key"] == "key"
    assert _samples(book) == ["QP-1", "QP-2", "QP-3"]
    assert [s.sample_raw for s in book.scores][::2] == ["417", "522", "638"]
    assert _errors(book) == []


def test_a_code_that_the_key_leaves_out_is_named(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "Cups": [*CUPS, ["Mei", 999, 4, 2]], "Key": KEY})

    assert _samples(book)[-1] is None
    assert _errors(book) == [("Cups", "B5", "unknown_sample")]
    assert "key" in next(p.why for p in book.problems if p.cell == "B5")


def test_a_key_may_be_written_in_a_line(read: Read, lots: Rows) -> None:
    cups = [
        ["A = QP-1, B = QP-2"],
        ["Taster", "Cup", "Sweet", "Bitter"],
        ["Jo", "A", 5, 3],
        ["Jo", "B", 4, 2],
    ]

    book = read({"Lots": lots, "Cups": cups})

    assert _samples(book) == ["QP-1", "QP-2"]


def test_a_slash_in_a_code_does_not_end_it_in_a_line(read: Read, lots: Rows) -> None:
    slashed = [lots[0], *([code.replace("-", "/"), *rest] for code, *rest in lots[1:])]
    cups = [["A = QP/1, B = QP/2 / C = QP/3"], ["Taster", "Cup", "Sweet", "Bitter"]]
    cups += [["Jo", "A", 5, 3], ["Jo", "B", 4, 2], ["Jo", "C", 4, 2]]

    book = read({"Lots": slashed, "Cups": cups})

    assert _samples(book) == ["QP/1", "QP/2", "QP/3"]


def test_a_code_in_another_case_than_the_key_is_joined_and_asked(read: Read, lots: Rows) -> None:
    cups = [["Taster", "Cup", "Sweet", "Bitter"], ["Jo", "a", 5, 3], ["Jo", "B", 4, 2], ["Mei", "A", 4, 2]]

    book = read({"Lots": lots, "Cups": cups, "Key": [["Cup", "Lot"], ["A", "QP-1"], ["B", "QP-2"]]})

    assert _samples(book) == ["QP-1", "QP-2", "QP-1"]
    assert [(p.cell, p.kind, p.severity) for p in book.problems if p.sheet == "Cups"] == [
        ("B2", "sample_alias", "warn")
    ]


def test_a_key_right_of_a_score_table_is_no_part_of_its_head(read: Read, lots: Rows) -> None:
    cups = [
        ["second day", None, None, None, None, "Cup", "Is"],
        [None, None, None, None, None, "A", "QP-1"],
        ["Cup", "Who", "Attr.", "Points (0-100)", None, "B", "QP-2"],
        ["A", "Mei", "Sweet", 60],
        ["B", "Mei", "Sweet", 40],
        ["A", "Jo", "Sweet", 50],
    ]

    book = read({"Lots": lots, "Cups": cups})

    assert [(s.sample, s.taster, s.value) for s in book.scores] == [
        ("QP-1", "Mei", 60.0),
        ("QP-2", "Mei", 40.0),
        ("QP-1", "Jo", 50.0),
    ]


def test_a_key_may_stand_beside_the_lots(read: Read, lots: Rows) -> None:
    codes = ["Under", 417, 522, 638, 744]
    listed = [[*row, code] for row, code in zip(lots, codes, strict=True)]

    book = read({"Lots": listed, "Cups": CUPS})

    assert _samples(book) == ["QP-1", "QP-2", "QP-3"]


def test_a_key_may_name_the_tea(read: Read, lots: Rows) -> None:
    key = [["Code", "Tea"], *([code, row[1]] for code, row in zip((417, 522, 638), lots[1:], strict=False))]

    book = read({"Lots": lots, "Cups": CUPS, "Key": key})

    assert len(book.lots) == 4
    assert _samples(book) == ["QP-1", "QP-2", "QP-3"]


def test_codes_of_several_sittings_are_told_apart(read: Read, lots: Rows) -> None:
    key = [
        ["Flight", "Code", "Lot"],
        ["A", 417, "QP-1"],
        ["A", 522, "QP-2"],
        ["B", 417, "QP-3"],
        ["B", 522, "QP-4"],
    ]
    cups = [
        ["Flight", "Taster", "Code", "Sweet"],
        ["A", "Jo", 417, 5],
        ["A", "Jo", 522, 5],
        ["B", "Jo", 417, 4],
    ]

    book = read({"Lots": lots, "Cups": cups, "Key": key})

    assert _samples(book) == ["QP-1", "QP-2", "QP-3"]


def test_a_code_given_to_two_lots_is_an_error_at_the_key(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "Cups": CUPS, "Key": [*KEY, [417, "QP-4"]]})

    assert _samples(book) == [None, "QP-2", "QP-3"]
    assert _errors(book) == [("Key", "B5", "blind_code_twice")]


def test_a_first_pass_of_codes_and_likings_is_no_key(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "Pass": [["Lot", "how nice /10"], ["QP-1", 7], ["QP-2", 3], ["QP-3", 5]]})

    assert book.roles["Pass"] == "verdicts"
    assert [v.liking for v in book.verdicts] == [7.0, 3.0, 5.0]
