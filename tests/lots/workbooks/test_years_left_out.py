"""A last day without its year is the next such day, and the warning says which; so it is really used."""

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest

from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]


def _book(
    read: Read, until: str, *, harvest: str = "3 May 2026", title: str = "", received: str = ""
) -> ReadBook:
    heads = ["Lot", "Tea", "Maker", "Picked", "Offer until", "Received"]
    rows = [heads, ["QP-1", "Quarry Pond red", "Old Hsieh", harvest, until, received or "12 June 2026"]]
    rows += [["QP-2", "Mist Ridge", "Madam Yeh", "4 May 2026", "20 Dec 2026", "12 June 2026"]]
    return read({"Lots": [[title], *rows] if title else rows})


@pytest.mark.parametrize(
    ("until", "day"),
    [("10 Dec", dt.date(2026, 12, 10)), ("Nov 1", dt.date(2026, 11, 1)), ("1 Feb", dt.date(2027, 2, 1))],
)
def test_the_next_such_day_after_the_arrival_is_taken(read: Read, until: str, day: dt.date) -> None:
    book = _book(read, until)

    assert book.lots[0].offer_until is not None
    assert book.lots[0].offer_until.start == day
    told = [(p.kind, p.severity) for p in book.problems if p.cell == "E2"]
    assert told == [("no_year", "warn")]
    assert str(day) in next(p.why for p in book.problems if p.cell == "E2")


def test_a_sheet_of_last_year_keeps_to_its_year(read: Read) -> None:
    book = _book(read, "10 Dec", harvest="May", title="Spring 2025 buying", received="June")

    until = book.lots[0].offer_until
    assert until is not None
    assert until.start == dt.date(2025, 12, 10)


def test_an_arrival_without_its_year_is_the_last_such_day(read: Read) -> None:
    book = _book(read, "10 Dec 2026", received="20 Nov")

    came = book.lots[0].sample_received
    assert came is not None
    assert came.start == dt.date(2026, 11, 20)


def test_a_picking_date_stays_as_vague_as_it_is_written(read: Read) -> None:
    book = _book(read, "10 Dec", harvest="May")

    assert book.lots[0].harvest is not None
    assert book.lots[0].harvest.year is None
