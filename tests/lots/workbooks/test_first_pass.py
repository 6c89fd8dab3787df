"""Ticks, likings and words beside lots, under whatever head."""

from collections.abc import Callable
from typing import Any

from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]


def _beside(lots: Rows, head: str, cells: list[Any]) -> Rows:
    return [[*row, cell] for row, cell in zip(lots, [head, *cells], strict=True)]


def test_ticks_and_crosses_under_an_unknown_head_are_verdicts(read: Read, lots: Rows) -> None:
    book = read({"Lots": _beside(lots, "dunno", ["✓", "x", "maybe", None])})

    assert [v.verdict for v in book.verdicts] == ["keep", "no", "maybe"]
    asked = {(p.cell, p.kind) for p in book.problems if p.severity == "warn"}
    assert asked == {("G1", "uncertain_column"), ("G3", "cross_taken_for")}


def test_where_only_crosses_stand_they_are_the_ticks(read: Read, lots: Rows) -> None:
    book = read({"Lots": _beside(lots, "shortlist", ["x", None, "x", None])})

    assert [(v.sample, v.verdict) for v in book.verdicts] == [("QP-1", "keep"), ("QP-3", "keep")]


def test_boxes_ticked_are_verdicts(read: Read, lots: Rows) -> None:
    book = read({"Lots": _beside(lots, "in?", [True, False, True, None])})

    assert [v.verdict for v in book.verdicts] == ["keep", "no", "keep"]


def test_numbers_out_of_ten_under_an_unknown_head_are_likings(read: Read, lots: Rows) -> None:
    book = read({"Lots": _beside(lots, "how nice /10", [7, 3, 5.5, 8])})

    assert [(v.liking, v.scale_high) for v in book.verdicts] == [
        (7.0, 10.0),
        (3.0, 10.0),
        (5.5, 10.0),
        (8.0, 10.0),
    ]


def test_what_was_paid_or_counted_is_not_used_and_says_how_to_map_it(read: Read, lots: Rows) -> None:
    book = read({"Lots": _beside(_beside(lots, "paid", ["yes", "no", "yes", "no"]), "bags", [3, 4, 2, 1])})

    assert book.verdicts == ()
    why = {c.header: c.why for c in book.columns if c.read_as == "unknown"}
    assert set(why) == {"paid", "bags"}
    assert "write verdict for it in a mapping file" in why["paid"]


def test_of_two_columns_alike_neither_is_taken(read: Read, lots: Rows) -> None:
    book = read(
        {"Lots": _beside(_beside(lots, "zig", ["yes", "no", "yes", "no"]), "zag", ["no", "no", "yes", "no"])}
    )

    assert book.verdicts == ()


def test_likings_inside_remarks_are_read(read: Read, lots: Rows) -> None:
    notes = [["Lot", "Notes"], ["QP-1", "8/10 lovely, plum"], ["QP-2", "6.5/10 thin"], ["QP-3", "smoke"]]

    book = read({"Lots": lots, "First": notes})

    assert [(v.sample, v.liking, v.scale_high) for v in book.verdicts] == [
        ("QP-1", 8.0, 10.0),
        ("QP-2", 6.5, 10.0),
    ]
    assert [n.text for n in book.notes] == ["8/10 lovely, plum", "6.5/10 thin", "smoke"]


def test_a_fraction_in_a_remark_is_no_liking(read: Read, lots: Rows) -> None:
    notes = [["Lot", "Notes"], ["QP-1", "brewed at 1/2 strength"], ["QP-2", "steeped 3/4 of the time"]]

    book = read({"Lots": lots, "First": notes})

    assert book.verdicts == ()
