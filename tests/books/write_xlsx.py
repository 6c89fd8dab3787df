"""Write a book as XLSX: openpyxl for the sheets, then the cached results of formulas put in by hand.

openpyxl writes a formula without its result; a merchant's file carries the result, and no reader computes it.
"""

import io
import re
import zipfile
from typing import Any
from xml.sax.saxutils import escape

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from tests.books.canvas import Book, Cell, ErrorValue, Sheet, at, letter


def xlsx_bytes(book: Book) -> bytes:
    """Return the book as the bytes of an XLSX file."""
    workbook = Workbook()
    workbook.remove(workbook.active)
    if book.days_from_1904:
        workbook.epoch = CALENDAR_MAC_1904
    for sheet in book.sheets:
        _fill(workbook.create_sheet(sheet.name), sheet)
    stream = io.BytesIO()
    workbook.save(stream)
    return _with_cached_results(stream.getvalue(), book)


def _fill(worksheet: Any, sheet: Sheet) -> None:
    for (row, column), cell in sheet.cells.items():
        _fill_cell(worksheet.cell(row, column), cell)
    for top, left, bottom, right in sheet.merges:
        worksheet.merge_cells(start_row=top, start_column=left, end_row=bottom, end_column=right)
    for column in sheet.hidden_columns:
        worksheet.column_dimensions[letter(column)].hidden = True
    for row in sheet.hidden_rows:
        worksheet.row_dimensions[row].hidden = True
    if sheet.hidden:
        worksheet.sheet_state = "hidden"


def _fill_cell(target: Any, cell: Cell) -> None:
    target.value = f"={cell.formula}" if cell.formula else cell.value
    if cell.formula is None and isinstance(cell.value, str):
        target.data_type = "s"  # also when the text begins with = or looks like an error
    if cell.number_format:
        target.number_format = cell.number_format
    if cell.comment:
        target.comment = Comment(cell.comment, "buyer")


def _with_cached_results(data: bytes, book: Book) -> bytes:
    source, stream = zipfile.ZipFile(io.BytesIO(data)), io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as target:
        for info in source.infolist():
            content = source.read(info)
            number = re.fullmatch(r"xl/worksheets/sheet(\d+)\.xml", info.filename)
            if number:
                content = _patched(content.decode(), book.sheets[int(number[1]) - 1]).encode()
            target.writestr(info, content)
    return stream.getvalue()


def _patched(xml: str, sheet: Sheet) -> str:
    for (row, column), cell in sheet.cells.items():
        if cell.formula:
            xml = _patch_one(xml, at(row, column), cell)
    return xml


def _patch_one(xml: str, name: str, cell: Cell) -> str:
    kind, shown = _cached(cell.value)
    pattern = rf'<c r="{name}"((?: s="\d+")?)(?: t="\w+")?><f>(.*?)</f><v ?/?>(?:</v>)?</c>'
    made, count = re.subn(
        pattern,
        lambda m: f'<c r="{name}"{m[1]}{kind}><f>{m[2]}</f><v>{shown}</v></c>',
        xml,
    )
    assert count == 1, f"the formula of {name} was not found once but {count} times"
    return made


def _cached(value: Any) -> tuple[str, str]:
    if isinstance(value, ErrorValue):
        return ' t="e"', value.shown
    if isinstance(value, str):
        return ' t="str"', escape(value)
    return "", "" if value is None else repr(value)
