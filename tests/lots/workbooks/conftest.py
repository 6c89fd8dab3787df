"""A small workbook from rows, read back: every tea, maker and taster in these tests is invented."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from wetleaf.lots.workbooks.mapping import Mapping
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import ReadBook

Rows = list[list[Any]]


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., ReadBook]:
    """Write sheets of rows to an XLSX file and read it."""

    def make(
        sheets: dict[str, Rows], mapping: Mapping | None = None, merges: tuple[tuple[str, str], ...] = ()
    ) -> ReadBook:
        book = Workbook()
        book.remove(book.active)
        for name, rows in sheets.items():
            sheet = book.create_sheet(name)
            for row in rows:
                sheet.append(row)
        for name, where in merges:
            book[name].merge_cells(where)
        book.save(tmp_path / "book.xlsx")
        return read_book(tmp_path / "book.xlsx", mapping, today=dt.date(2026, 11, 24))

    return make


@pytest.fixture
def lots() -> Rows:
    """Four lots under heads that everyone knows."""
    return [
        ["Lot", "Tea", "Maker", "Where", "Price (NT$/jin)", "Avail"],
        ["QP-1", "Quarry Pond red", "Old Hsieh", "Yuchi", 1500, "8 kg"],
        ["QP-2", "Quarry Pond late", "Old Hsieh", "Yuchi", 1400, "5 kg"],
        ["QP-3", "Quarry Pond second firing", "Madam Yeh", "Pinglin", 1300, "3 kg"],
        ["QP-4", "Mist Ridge", "Madam Yeh", "Pinglin", 1350, "3 kg"],
    ]
