"""Tasters side by side over the columns, in the ways in which buyers write them."""

from collections.abc import Callable
from typing import Any

import pytest

from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
CUPS: Rows = [["QP-1", 5, 6, 7, 8], ["QP-2", 4, 5, 6, 7], ["QP-3", 3, 4, 5, 6]]


def _first_cup(book: ReadBook) -> set[tuple[str | None, str, float | None]]:
    return {(s.taster, s.attribute, s.value) for s in book.scores if s.sample == "QP-1"}


@pytest.mark.parametrize(
    "heads",
    [
        ["Lot", "me: scent", "me: body", "Jo: scent", "Jo: body"],
        ["Lot", "scent (me)", "body (me)", "scent (Jo)", "body (Jo)"],
        ["Lot", "me scent", "me body", "Jo scent", "Jo body"],
        ["Lot", "me - scent", "me - body", "Jo - scent", "Jo - body"],
        ["Lot", "me: scent /10", "me: body /10", "Jo: scent /10", "Jo: body /10"],
    ],
)
def test_a_head_names_who_and_what(read: Read, lots: Rows, heads: list[str]) -> None:
    book = read({"Lots": lots, "Cups": [heads, *CUPS]})

    assert _first_cup(book) == {
        ("me", "scent", 5.0),
        ("me", "body", 6.0),
        ("Jo", "scent", 7.0),
        ("Jo", "body", 8.0),
    }
    assert [p.kind for p in book.problems if p.kind == "no_taster"] == []


def test_a_row_of_tasters_stands_over_a_row_of_attributes(read: Read, lots: Rows) -> None:
    heads = [[None, "Jo", None, "Mei", None], ["Lot", "scent", "body", "scent", "body"]]

    book = read({"Lots": lots, "Cups": [*heads, *CUPS]}, merges=(("Cups", "B1:C1"), ("Cups", "D1:E1")))

    assert _first_cup(book) == {
        ("Jo", "scent", 5.0),
        ("Jo", "body", 6.0),
        ("Mei", "scent", 7.0),
        ("Mei", "body", 8.0),
    }
    assert {score.stage for score in book.scores} == {""}


def test_attributes_stand_over_a_row_of_tasters(read: Read, lots: Rows) -> None:
    heads = [[None, "Scent", None, "Body", None], ["Lot", "Jo", "Mei", "Jo", "Mei"]]

    book = read({"Lots": lots, "Cups": [*heads, *CUPS]})

    assert _first_cup(book) == {
        ("Jo", "Scent", 5.0),
        ("Mei", "Scent", 6.0),
        ("Jo", "Body", 7.0),
        ("Mei", "Body", 8.0),
    }


def test_a_group_row_of_known_words_is_not_taken_for_the_header(read: Read, lots: Rows) -> None:
    groups = [None, None, "Dry leaf", "Aroma", "Taste", None, "Finish"]
    heads = ["Tea code", "Person", "Appearance", "Green", "Body", "Umami", "Length"]
    cups = [["QP-1", "Jo", 7, 2, 4, 8, 8], ["QP-2", "Jo", 6, 4, 5, 2, 7], ["QP-3", "Jo", 1, 6, 3, 1, 3]]

    book = read({"Lots": lots, "Cups": [groups, heads, *cups]}, merges=(("Cups", "E1:F1"),))

    assert [(s.attribute, s.value) for s in book.scores if s.sample == "QP-1"] == [
        ("Appearance", 7.0),
        ("Green", 2.0),
        ("Body", 4.0),
        ("Umami", 8.0),
        ("Length", 8.0),
    ]
    assert {score.taster for score in book.scores} == {"Jo"}


def test_two_tables_under_attributes_over_tasters_are_both_read(read: Read, lots: Rows) -> None:
    first = [[None, "Scent", None, "Body", None], ["Lot", "Jo", "Mei", "Jo", "Mei"], *CUPS]
    second = [[None, "Nice", None, "Malt", None], ["Lot", "Jo", "Mei", "Jo", "Mei"], *CUPS]

    book = read({"Lots": lots, "Cups": [*first, [], [], *second]})

    assert {s.attribute for s in book.scores} == {"Scent", "Body", "Nice", "Malt"}
    assert len(book.scores) == 24


def test_a_table_of_tasters_above_one_with_known_heads_is_read_too(read: Read, lots: Rows) -> None:
    first = [[None, "Scent", None, "Body", None], ["Lot", "Jo", "Mei", "Jo", "Mei"], *CUPS]
    second = [["Sample", "Jo Malt", "Mei Malt", "Jo roast", "Mei roast"], *CUPS]

    book = read({"Lots": lots, "Cups": [*first, [], *second]})

    assert {s.attribute for s in book.scores} == {"Scent", "Body", "Malt", "roast"}


def test_stages_over_attributes_are_no_tasters(read: Read, lots: Rows) -> None:
    heads = [[None, "Dry leaf", None, "Liquor", None], ["Lot", "Aroma", "Colour", "Aroma", "Colour"]]

    book = read({"Lots": lots, "Cups": [*heads, *CUPS]}, merges=(("Cups", "B1:C1"), ("Cups", "D1:E1")))

    assert {(s.taster, s.stage) for s in book.scores} == {(None, "Dry leaf"), (None, "Liquor")}


def test_currencies_beside_a_price_are_no_tasters(read: Read, lots: Rows) -> None:
    priced = [[*row, 5 + n, 6 + n] for n, row in enumerate(lots)]
    priced[0][-2:] = ["sold at (GBP)", "sold at (EUR)"]

    book = read({"Lots": priced})

    assert book.scores == ()


def test_a_table_about_one_attribute_has_tasters_across(read: Read, lots: Rows) -> None:
    table = [["Lot", "Jo", "Mei", "Karl", "me"], *CUPS]

    book = read({"Lots": lots, "Sheet2": [["Sweetness, 0-10"], *table, [], ["Body"], *table]})

    assert {(s.taster, s.attribute) for s in book.scores} == {
        (who, what) for who in ("Jo", "Mei", "Karl", "me") for what in ("Sweetness", "Body")
    }
    assert len(book.scores) == 24
    assert [p for p in book.problems if p.severity == "error"] == []


def test_sheets_of_one_attribute_each_are_one_sitting(read: Read, lots: Rows) -> None:
    table = [["Lot", "Jo", "Mei", "Karl", "me"], *CUPS]

    book = read({"Lots": lots, "Sweetness": table, "Body": table})

    assert {(s.attribute, s.sitting) for s in book.scores} == {("Sweetness", ""), ("Body", "")}


def test_tea_names_beside_codes_make_no_further_lots(read: Read, lots: Rows) -> None:
    cups = [[*row[:3], 5, 6] for row in lots]
    cups[0][-2:] = ["Jo: roast", "me: roast"]

    book = read({"Lots": lots, "Cups": cups})

    assert [lot.sheet for lot in book.lots] == ["Lots"] * 4
    assert {(s.taster, s.attribute) for s in book.scores} == {("Jo", "roast"), ("me", "roast")}


def test_scores_beside_the_facts_of_lots_are_read(read: Read, lots: Rows) -> None:
    whole = [[*row, 5, 6] for row in lots]
    whole[0][-2:] = ["Jo: scent", "me: scent"]

    book = read({"All": whole})

    assert len(book.lots) == 4
    assert _first_cup(book) == {("Jo", "scent", 5.0), ("me", "scent", 6.0)}
    assert {c.column: c.read_as for c in book.columns if c.column in "GH"} == {"G": "score", "H": "score"}


def test_rows_of_one_cup_are_numbered_as_pots_and_asked_once(read: Read, lots: Rows) -> None:
    cups = [["Taster", "Lot", "Sweet"]] + [
        ["Jo", code, n] for code in ("QP-1", "QP-2", "QP-3") for n in (4, 5)
    ]

    book = read({"Lots": lots, "Cups": cups})

    assert [s.replicate for s in book.scores] == ["1", "2"] * 3
    assert [(p.cell, p.severity) for p in book.problems if p.kind == "repeats_counted"] == [("B1", "warn")]


def test_a_cup_scored_twice_by_itself_is_asked_where_it_stands(read: Read, lots: Rows) -> None:
    cups = [
        ["Taster", "Lot", "Sweet"],
        ["Jo", "QP-1", 4],
        ["Jo", "QP-2", 5],
        ["Jo", "QP-3", 5],
        ["Jo", "QP-1", 9],
    ]

    book = read({"Lots": lots, "Cups": cups})

    asked = [p for p in book.problems if p.kind == "same_cup_twice"]
    assert [(p.cell, p.severity) for p in asked] == [("B5", "warn")]
    assert "B2" in asked[0].why


def test_remarks_beside_scores_are_of_the_taster_their_head_names(read: Read, lots: Rows) -> None:
    cups = [["Lot", "Jo: scent", "Jo: notes", "Mei: scent", "Mei: notes"], ["QP-1", 5, "plum", 6, "smoke"]]

    book = read({"Lots": lots, "Cups": [*cups, ["QP-2", 4, "thin", 6, None], ["QP-3", 5, None, 7, None]]})

    assert [(n.taster, n.sample, n.text) for n in book.notes] == [
        ("Jo", "QP-1", "plum"),
        ("Jo", "QP-2", "thin"),
        ("Mei", "QP-1", "smoke"),
    ]
    assert {s.attribute for s in book.scores} == {"scent"}


def test_a_price_and_our_markup_are_no_tasters(read: Read, lots: Rows) -> None:
    priced = [[*row[:4], 60 + n, 41 + n] for n, row in enumerate(lots)]
    priced[0][-2:] = ["FOB/lb (US$)", "our markup %"]

    book = read({"Lots": priced})

    assert [lot.markup for lot in book.lots] == [42, 43, 44, 45]
    assert [lot.price.amount for lot in book.lots if lot.price] == [61, 62, 63, 64]
    assert book.scores == ()
