"""Remarks in a buyer's list are theirs, unless the head says that the maker speaks; makers are names."""

from collections.abc import Callable
from typing import Any

import pytest

from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
SAID = ("thin, a bit sour", "good in the cup", "hay and honey", "flat")
TOLD = ("organic, old trees", "hand picked, small lot", "organic, old trees", "charcoal fired")


def _with(lots: Rows, **columns: tuple[str, ...]) -> Rows:
    heads = {name: name.replace("_", " ") for name in columns}
    more = zip(*columns.values(), strict=True)
    rest = [[*row, *cells] for row, cells in zip(lots[1:], more, strict=True)]
    return [[*lots[0], *heads.values()], *rest]


@pytest.mark.parametrize("head", ["notes", "remarks", "comments", "Bemerkung"])
def test_plain_remarks_are_the_buyers(read: Read, lots: Rows, head: str) -> None:
    book = read({"Lots": _with(lots, **{head: SAID})})

    assert [note.text for note in book.notes] == list(SAID)
    assert all(lot.claims_are_ours for lot in book.lots)


@pytest.mark.parametrize("head", ["maker says", "claimed", "notes from maker", "remarks from maker"])
def test_what_the_maker_says_is_a_claim_and_no_producer(read: Read, lots: Rows, head: str) -> None:
    book = read({"Lots": _with([[*r[:2], *r[3:]] for r in lots], **{head: TOLD})})

    assert [lot.claims for lot in book.lots] == list(TOLD)
    assert {lot.producer for lot in book.lots} == {None}
    assert not any(lot.claims_are_ours for lot in book.lots)
    assert book.notes == ()


def test_my_notes_plain_notes_and_the_makers_stand_side_by_side(read: Read, lots: Rows) -> None:
    rows = _with(lots, my_notes=SAID, notes=("a", "b b", "c c", "d d"), remarks_from_maker=TOLD)

    book = read({"Lots": rows})

    assert {lot.producer for lot in book.lots} == {"Old Hsieh", "Madam Yeh"}
    assert [lot.claims for lot in book.lots] == list(TOLD)
    assert [n.text for n in book.notes if n.sample == "QP-1"] == ["thin, a bit sour", "a"]


def test_adjectives_under_a_makers_head_are_no_makers(read: Read, lots: Rows) -> None:
    rows = [[*row] for row in lots]
    for row, text in zip(rows[1:], TOLD[:1] * 4, strict=True):
        row[2] = text

    book = read({"Lots": rows})

    assert {lot.producer for lot in book.lots} == {None}


def test_a_second_column_of_makers_is_asked(read: Read, lots: Rows) -> None:
    book = read({"Lots": _with(lots, supplier=("Red Gate Co", "Red Gate Co", "Hill House", "Hill House"))})

    assert {lot.producer for lot in book.lots} == {"Old Hsieh", "Madam Yeh"}
    asked = [(p.cell, p.severity, p.why) for p in book.problems if p.kind == "column_not_read"]
    assert asked == [("G1", "warn", "both 'Maker' and 'supplier' may name the maker; 'Maker' is used")]
