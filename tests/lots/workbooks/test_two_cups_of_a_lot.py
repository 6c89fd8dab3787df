"""A lot that was in two cups keeps two scores: under two codes, in two columns, in two tables."""

from collections.abc import Callable
from typing import Any

import pytest

from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
KEY: Rows = [["Cup", "Lot"], ["A", "QP-1"], ["B", "QP-2"], ["C", "QP-1"], ["D", "QP-3"]]


def _cups(book: ReadBook, lot: str) -> list[tuple[str | None, str, str, float | None]]:
    return [(s.taster, s.attribute, s.brew, s.value) for s in book.scores if s.sample == lot]


def test_two_codes_of_a_lot_are_two_pots_where_the_heads_name_the_tasters(read: Read, lots: Rows) -> None:
    cups = [["cup", "Jo scent", "Mei scent", "Jo length", "Mei length"]]
    cups += [["A", 9, 8, 9, 9], ["B", 4, 4, 4, 4], ["C", 1, 2, 1, 1], ["D", 5, 5, 5, 5]]

    book = read({"Lots": lots, "Blind": cups, "Key": KEY})

    assert [cup for cup in _cups(book, "QP-1") if cup[1] == "scent"] == [
        ("Jo", "scent", "A", 9.0),
        ("Mei", "scent", "A", 8.0),
        ("Jo", "scent", "C", 1.0),
        ("Mei", "scent", "C", 2.0),
    ]
    assert {cup[2] for cup in _cups(book, "QP-2")} == {""}
    told = [(p.cell, p.kind, p.severity) for p in book.problems if p.sheet == "Blind"]
    assert told == [("A4", "lot_under_two_codes", "warn")]
    assert "A and C are both QP-1" in next(p.why for p in book.problems if p.sheet == "Blind")


def test_two_codes_of_a_lot_are_the_same_two_pots_for_every_taster(read: Read, lots: Rows) -> None:
    cups = [["Taster", "Cup", "Sweet", "Bitter"]]
    cups += [["Jo", c, n, 3] for c, n in zip("ABCD", (7, 4, 6, 5), strict=True)]
    cups += [["Mei", c, n, 2] for c, n in zip("CDAB", (3, 5, 8, 2), strict=True)]

    book = read({"Lots": lots, "Blind": [*cups, [], ["A = QP-1, B = QP-2, C = QP-1, D = QP-3"]]})

    assert [cup for cup in _cups(book, "QP-1") if cup[1] == "Sweet"] == [
        ("Jo", "Sweet", "A", 7.0),
        ("Jo", "Sweet", "C", 6.0),
        ("Mei", "Sweet", "C", 3.0),
        ("Mei", "Sweet", "A", 8.0),
    ]
    assert {name for score in book.scores if (name := score.taster)} == {"Jo", "Mei"}


@pytest.mark.parametrize("named", [True, False])
def test_a_cup_repeated_on_a_sheet_keeps_both_scores(read: Read, lots: Rows, *, named: bool) -> None:
    heads = ["Code", "Jo sweet", "Mei sweet"] if named else ["Code", "Sweet", "Bitter"]
    cups = [heads, ["QP-1", 7, 3], ["QP-2", 5, 3], ["QP-1", 2, 6], ["QP-3", 4, 4], ["QP-4", 4, 5]]

    book = read({"Lots": lots, "Cups": cups})

    own = [s for s in book.scores if s.sample == "QP-1" and s.taster != "Mei"]
    kept = [(s.replicate, s.value) for s in own if s.attribute.lower() == "sweet"]
    assert kept == [("1", 7.0), ("2", 2.0)]
    assert [(p.cell, p.kind) for p in book.problems if p.kind == "same_cup_twice"] == [
        ("A4", "same_cup_twice")
    ]


def test_two_columns_of_one_head_are_two_cups_and_said_so(read: Read, lots: Rows) -> None:
    cups = [["Taster", "Code", "Sweet", "Bitter", "Sweet"]]
    cups += [["Jo", "QP-1", 7, 3, 2], ["Jo", "QP-2", 5, 3, 5], ["Jo", "QP-3", 4, 4, 4]]

    book = read({"Lots": lots, "Cups": cups})

    kept = [(s.replicate, s.value) for s in book.scores if s.sample == "QP-1" and s.attribute == "Sweet"]
    assert len(set(kept)) == 2
    assert {value for _, value in kept} == {7.0, 2.0}
    assert [(p.cell, p.kind) for p in book.problems if p.sheet == "Cups"] == [("E2", "further_cup")]


def test_a_numbered_pot_with_two_scores_is_an_error(read: Read, lots: Rows) -> None:
    cups = [["Taster", "Code", "Pot", "Sweet", "Bitter"]]
    cups += [
        ["Jo", "QP-1", 1, 7, 3],
        ["Jo", "QP-2", 1, 5, 3],
        ["Jo", "QP-1", 1, 2, 3],
        ["Jo", "QP-3", 1, 4, 4],
    ]

    book = read({"Lots": lots, "Cups": cups})

    assert [(p.cell, p.kind) for p in book.problems if p.severity == "error"] == [("D4", "scored_twice")]


def test_a_key_line_under_the_scores_is_no_row_of_them(read: Read, lots: Rows) -> None:
    cups = [["Cup", "Jo sweet", "Mei sweet"], ["A", 7, 6], ["B", 5, 3], ["C", 2, 2], ["G", 4, 4]]

    book = read({"Lots": lots, "Cups": [*cups, [], ["A = QP-1, B = QP-2, C = QP-1 again, G = QP-66"]]})

    assert [s.sample for s in book.scores if s.taster == "Jo"] == ["QP-1", "QP-2", "QP-1", None]
    errors = [(p.cell, p.kind, p.says) for p in book.problems if p.severity == "error"]
    assert errors == [("A7", "unknown_sample", "QP-66")]
