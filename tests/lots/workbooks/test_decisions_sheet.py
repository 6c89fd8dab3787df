"""A sheet of decisions: a word or a step of each lot, why, kilos, a price, a day."""

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
HEADS = ["Lot", "Decided", "Why", "Kilos", "Price", "Date"]


def test_a_sheet_of_decisions_is_read(read: Read, lots: Rows) -> None:
    said = [["QP-1", "Keep", "clean", 12.5, "1200 NT$/jin", dt.date(2025, 5, 20)], ["QP-2", "Taste again"]]

    book = read({"Lots": lots, "Decisions": [HEADS, *said]})

    assert book.roles["Decisions"] == "decisions"
    assert [(d.lot, d.said, d.why, d.kilos, d.price, d.on) for d in book.decisions] == [
        ("QP-1", "keep", "clean", Decimal("12.5"), "1200 NT$/jin", dt.date(2025, 5, 20)),
        ("QP-2", "taste again", "", None, "", None),
    ]
    assert (len(book.lots), book.verdicts) == (4, ())


def test_what_is_no_decision_no_weight_and_no_price_is_named(read: Read, lots: Rows) -> None:
    said = [["QP-1", "a sack"], ["QP-2", "keep", "good", "some", "cheap"], ["QP-3", "no", "", -2]]

    book = read({"Lots": lots, "Decisions": [HEADS, *said]})

    assert [(d.lot, d.kilos, d.price) for d in book.decisions] == [("QP-2", None, ""), ("QP-3", None, "")]
    assert [(p.cell, p.kind) for p in book.problems if p.sheet == "Decisions"] == [
        ("B2", "unknown_verdict"),
        ("D3", "not_understood"),
        ("E3", "not_understood"),
        ("D4", "not_understood"),
    ]


def test_a_first_pass_with_a_decision_column_stays_a_first_pass(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "First": [["Lot", "Decision", "Words"], ["QP-1", "keep", "plum"]]})

    assert book.decisions == ()
    assert [(v.sample, v.verdict) for v in book.verdicts] == [("QP-1", "keep")]
