"""A sheet that the mapping file calls scratch is not read at all: its makers and remarks stay private."""

from collections.abc import Callable
from typing import Any

from wetleaf.lots.workbooks.mapping import Mapping, SheetMapping
from wetleaf.lots.workbooks.records import ReadBook

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
SCRATCH = Mapping({"Old": SheetMapping(role="scratch")})


def test_a_scratch_list_of_lots_is_wholly_unread(read: Read, lots: Rows) -> None:
    old = [["No", "Tea", "Maker"], ["QP-1", "Slope", "Widow Tao, Upper Mill"], ["QP-2", "Terrace", "Old Bao"]]
    cups = [["Taster", "Code", "Sweet", "Bitter"], ["Jo", "QP-1", 7, 3], ["Jo", "QP-2", 5, 3]]

    book = read({"Lots": lots, "Cups": cups, "Old": old}, SCRATCH)

    assert book.roles["Old"] == "scratch"
    assert [lot.sheet for lot in book.lots] == ["Lots"] * 4
    assert book.notes == ()
    assert [p for p in book.problems if p.sheet == "Old"] == []
    assert not any("Widow" in str(record) for record in (book.lots, book.notes, book.verdicts, book.comments))


def test_loose_remarks_of_a_scratch_sheet_are_unread_and_read_without_the_mapping(
    read: Read, lots: Rows
) -> None:
    sheets = {"Lots": lots, "Old": [["QP-1: Old Bao wants cash"], ["QP-2: ring Widow Tao"]]}

    assert len(read(sheets).notes) == 2
    assert read(sheets, SCRATCH).notes == ()


def test_a_key_on_a_scratch_sheet_is_unread(read: Read, lots: Rows) -> None:
    cups = [["Taster", "Cup", "Sweet", "Bitter"], ["Jo", "A", 7, 3], ["Jo", "B", 5, 3]]
    sheets = {"Lots": lots, "Cups": cups, "Old": [["A = QP-1, B = QP-2"]]}

    assert [s.sample for s in read(sheets).scores][::2] == ["QP-1", "QP-2"]
    assert {s.sample for s in read(sheets, SCRATCH).scores} == {None}
