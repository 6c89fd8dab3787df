"""What stands above the lots holds for them: a currency in a title, a class in the row of a section."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from wetleaf.lots.workbooks.as_text import book_as_text
from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
HEADS = ["Lot", "Tea", "Maker", "Where", "Asking", "Sample wt", "Date rec'd", "Closing date"]
FIRST = ["GP-1", "Gate red", "Old Hsieh", "Yuchi", 1500, "25 g", "2 May 2026", "30 Nov 2026"]
SECOND = ["GP-2", "Gate late", "Old Hsieh", "Yuchi", 1400, "16 g", "3 May 2026", "1 Dec 2026"]


def test_a_title_gives_bare_prices_their_currency_and_weight(read: Read) -> None:
    book = read({"Teas": [["NT$ prices per jin unless it says otherwise"], [], HEADS, FIRST, SECOND]})

    price = book.lots[0].price
    assert price is not None
    assert (price.currency, price.per_g, price.per_kg) == ("TWD", Decimal(600), Decimal(2500))
    assert [(p.cell, p.severity) for p in book.problems if p.kind == "unit_from_title"] == [("E3", "info")]
    assert not {p.kind for p in book.problems} & {"no_currency", "no_price_weight"}


def test_a_title_that_speaks_of_no_prices_gives_none(read: Read) -> None:
    book = read({"Teas": [["Spent NT$ 9000 per visit"], [], HEADS, FIRST, SECOND]})

    assert book.lots[0].price is not None
    assert book.lots[0].price.currency is None


def test_rows_of_sections_give_the_class_of_the_lots_below(read: Read) -> None:
    book = read(
        {"Teas": [HEADS, ["GREEN"], FIRST, ["ROCK"], SECOND, ["From the coast"], ["GP-3", *FIRST[1:]]]}
    )

    assert [lot.facts.get("tea_class") for lot in book.lots] == ["green", "oolong", None]
    told = [(p.cell, p.severity) for p in book.problems if p.kind == "section_of_class"]
    assert told == [("A2", "info"), ("A4", "info")]


def test_the_grams_of_a_sample_its_arrival_and_the_closing_date_are_known_heads(read: Read) -> None:
    book = read({"Teas": [HEADS, FIRST, SECOND]})

    lot = book.lots[0]
    assert (lot.sample_grams, lot.avail_grams) == (Decimal(25), None)
    assert lot.sample_received is not None
    assert lot.offer_until is not None
    assert not [p for p in book.problems if p.kind == "uncertain_column"]


def test_a_sheet_of_lots_and_scores_tells_its_columns_once(read: Read, lots: Rows) -> None:
    more = [["Jo: sweet", "Mei: sweet"], [7, 6], [5, 4], [3, 3], [4, 5]]

    book = read({"Sheet1": [[*row, *cells] for row, cells in zip(lots, more, strict=True)]})

    assert [report.role for report in book.sheets] == ["lots", "scores_wide"]
    assert book_as_text(book).count("is producer") == 1
