"""Verdicts and likings of several tasters side by side are first passes by these tasters, never scores."""

from collections.abc import Callable
from typing import Any

import pytest

from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
SAID: Rows = [["QP-1", "yes", "no"], ["QP-2", "maybe", "yes"], ["QP-3", "no", "no"]]
LIKED: Rows = [["QP-1", 7, 6], ["QP-2", 5, 8], ["QP-3", 3, 4]]


def _first_pass(
    book: ReadBook,
) -> list[tuple[str | None, str | None, str | None, float | None, float | None]]:
    return [(v.sample, v.taster, v.verdict, v.liking, v.scale_high) for v in book.verdicts][:3]


@pytest.mark.parametrize(
    "heads",
    [
        ["Code", "Jo ok?", "Mei ok?"],
        ["Code", "Jo's verdict", "Mei's verdict"],
        ["Code", "ok? (Jo)", "ok? (Mei)"],
        ["Code", "Jo", "Mei"],
    ],
)
def test_yes_and_no_under_names_are_verdicts_by_these_tasters(
    read: Read, lots: Rows, heads: list[str]
) -> None:
    book = read({"Lots": lots, "First": [heads, *SAID]})

    assert book.roles["First"] == "verdicts"
    assert _first_pass(book) == [
        ("QP-1", "Jo", "keep", None, None),
        ("QP-1", "Mei", "no", None, None),
        ("QP-2", "Jo", "maybe", None, None),
    ]
    assert len(book.verdicts) == 6
    assert book.scores == ()


def test_numbers_under_a_name_and_a_scale_are_likings(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "First": [["Code", "Jo /10", "Mei /10"], *LIKED]})

    assert _first_pass(book) == [
        ("QP-1", "Jo", None, 7.0, 10.0),
        ("QP-1", "Mei", None, 6.0, 10.0),
        ("QP-2", "Jo", None, 5.0, 10.0),
    ]
    assert book.scores == ()


def test_names_that_no_other_table_tells_are_asked(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "First": [["Code", "Jo /10", "Mei /10"], *LIKED]})

    assert [(p.cell, p.kind) for p in book.problems if p.sheet == "First"] == [
        ("B1", "uncertain_column"),
        ("C1", "uncertain_column"),
    ]


def test_names_that_another_table_tells_are_not_asked(read: Read, lots: Rows) -> None:
    scored = [["Taster", "Lot", "Sweet", "Bitter"], ["Jo", "QP-1", 5, 6], ["Mei", "QP-2", 5, 4]]

    book = read({"Lots": lots, "Cups": scored, "First": [["Code", "Jo ok?", "Mei ok?"], *SAID]})

    assert len(book.verdicts) == 6
    assert [p for p in book.problems if p.sheet == "First"] == []


def test_a_verdict_and_a_liking_of_one_taster_are_one_record(read: Read, lots: Rows) -> None:
    heads = ["Jo ok?", "Mei ok?", "Jo /10", "Mei /10"]
    beside = [[*lots[0], *heads], *([*lot, "yes", "no", 8, 3] for lot in lots[1:])]

    book = read({"Lots": beside})

    assert len(book.lots) == 4
    assert _first_pass(book)[:2] == [("QP-1", "Jo", "keep", 8.0, 10.0), ("QP-1", "Mei", "no", 3.0, 10.0)]
    assert len(book.verdicts) == 8


def test_numbers_under_names_stay_scores_where_a_title_says_of_what(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "Cups": [["Sweetness"], ["Code", "Jo /10", "Mei /10"], *LIKED]})

    assert book.verdicts == ()
    assert {(s.taster, s.attribute) for s in book.scores} == {("Jo", "Sweetness"), ("Mei", "Sweetness")}


def test_likings_under_names_with_a_title_are_scores_of_liking(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "Cups": [["liking 0-10"], ["Code", "Jo", "Mei"], *LIKED]})

    assert {(s.taster, s.attribute) for s in book.scores} == {("Jo", "liking"), ("Mei", "liking")}


def test_papers_and_certificates_are_no_tasters(read: Read, lots: Rows) -> None:
    papers = [[*lots[0], "Organic ok?", "Invoice sent"], *([*lot, "yes", "no"] for lot in lots[1:])]

    book = read({"Lots": papers})

    assert [v.taster for v in book.verdicts if v.taster] == []


def test_ticks_under_heads_that_nobody_knows_are_not_dropped_without_a_word(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "Sheet2": [["", "zing", "pluck"], *SAID]})

    assert book.verdicts == ()
    assert [(p.sheet, p.kind) for p in book.problems] == [("Sheet2", "table_not_read")]
