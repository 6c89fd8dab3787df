"""A remark that nobody signed stays unsigned: when written and read again, and beside repeated names."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import Cell, Note, ReadBook
from wetleaf.lots.workbooks.writing import write_book

Read = Callable[..., ReadBook]
Rows = list[list[Any]]


def _note(text: str, taster: str | None, sample: str) -> Note:
    return Note(Cell("Notes", "A1", text), text, taster, taster or "", sample, sample)


def test_unsigned_remarks_come_back_unsigned(read: Read, lots: Rows, tmp_path: Path) -> None:
    said = (_note("malty", "Pia", "QP-1"), *(_note(f"thin {n}", None, f"QP-{n}") for n in (1, 2, 3, 4)))
    book = replace(read({"Lots": lots}), notes=said)

    write_book(book, tmp_path / "season.xlsx")

    again = read_book(tmp_path / "season.xlsx")
    assert [(n.taster, n.sample, n.text) for n in again.notes] == [(n.taster, n.sample, n.text) for n in said]
    assert [p.kind for p in again.problems if p.sheet == "Notes"] == []


def test_an_empty_cell_beside_repeated_names_is_nobodys(read: Read, lots: Rows) -> None:
    rows = [["Taster", "Lot", "Remarks"], ["Pia", "QP-1", "malty and long"], ["Pia", "QP-2", "thin, sour"]]
    rows += [[None, "QP-3", "good but dear"], [None, "QP-4", "like hay"]]

    book = read({"Lots": lots, "Notes": rows})

    assert [n.taster for n in book.notes] == ["Pia", "Pia", None, None]


def test_a_name_written_once_a_group_holds_on(read: Read, lots: Rows) -> None:
    rows = [["Taster", "Lot", "Remarks"], ["Pia", "QP-1", "malty and long"], [None, "QP-2", "thin, sour"]]
    rows += [["Tom", "QP-1", "good but dear"], [None, "QP-2", "like hay"]]

    book = read({"Lots": lots, "Notes": rows})

    assert [n.taster for n in book.notes] == ["Pia", "Pia", "Tom", "Tom"]
    assert "filled_from_above" in [p.kind for p in book.problems]
