"""Write a book as ODS: a content.xml by hand, with merged cells, formulas and their results."""

import io
import zipfile
from datetime import date, datetime
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from tests.books.canvas import Book, Cell, ErrorValue, Sheet

_NAMESPACES = " ".join(
    f'xmlns:{prefix}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for prefix, name in {
        "office": "office",
        "table": "table",
        "text": "text",
        "style": "style",
        "of": "of",
    }.items()
)
_NAMESPACES += ' xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"'
_MIME = "application/vnd.oasis.opendocument.spreadsheet"


def ods_bytes(book: Book) -> bytes:
    """Return the book as the bytes of an ODS file."""
    tables = "".join(_table(sheet) for sheet in book.sheets)
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {_NAMESPACES} office:version="1.3">'
        f"<office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        '<?xml version="1.0" encoding="UTF-8"?><manifest:manifest manifest:version="1.3" '
        'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{_MIME}"/>'
        '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>'
        "</manifest:manifest>"
    )
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as target:
        target.writestr(zipfile.ZipInfo("mimetype"), _MIME)
        target.writestr("META-INF/manifest.xml", manifest)
        target.writestr("content.xml", content)
    return stream.getvalue()


def _table(sheet: Sheet) -> str:
    width = max((column for _, column in sheet.cells), default=1)
    rows = "".join(_row(sheet, row, width) for row in range(1, sheet.last_row + 1))
    return (
        f"<table:table table:name={quoteattr(sheet.name)}>"
        f'<table:table-column table:number-columns-repeated="{width}"/>{rows}'
        '<table:table-row table:number-rows-repeated="900"><table:table-cell '
        f'table:number-columns-repeated="{width}"/></table:table-row></table:table>'
    )


def _row(sheet: Sheet, row: int, width: int) -> str:
    cells = "".join(_cell(sheet, row, column) for column in range(1, width + 1))
    return f"<table:table-row>{cells}</table:table-row>"


def _cell(sheet: Sheet, row: int, column: int) -> str:
    if any(t <= row <= b and le <= column <= r and (row, column) != (t, le) for t, le, b, r in sheet.merges):
        return "<table:covered-table-cell/>"
    cell = sheet.cells.get((row, column), Cell())
    formula = f" table:formula={quoteattr('of:=' + cell.formula)}" if cell.formula else ""
    shown = _percent(cell.value) if cell.number_format == "0%" else _value(cell.value)
    return f"<table:table-cell{_span(sheet, row, column)}{formula}{shown}</table:table-cell>"


def _span(sheet: Sheet, row: int, column: int) -> str:
    for top, left, bottom, right in sheet.merges:
        if (top, left) == (row, column):
            down, across = bottom - top + 1, right - left + 1
            return f' table:number-rows-spanned="{down}" table:number-columns-spanned="{across}"'
    return ""


def _value(value: Any) -> str:
    if value is None:
        return ">"
    if isinstance(value, ErrorValue):
        kind = 'office:value-type="string" office:string-value="" calcext:value-type="error"'
        return f" {kind}><text:p>{value.shown}</text:p>"
    if isinstance(value, datetime | date):
        day = value.strftime("%Y-%m-%d")
        return f' office:value-type="date" office:date-value="{day}"><text:p>{value:%d/%m/%Y}</text:p>'
    if isinstance(value, int | float):
        return f' office:value-type="float" office:value="{value}"><text:p>{value}</text:p>'
    return f' office:value-type="string"><text:p>{_spaced(value)}</text:p>'


def _percent(share: float) -> str:
    return f' office:value-type="percentage" office:value="{share}"><text:p>{share:.0%}</text:p>'


def _spaced(text: str) -> str:
    """Leading, trailing and repeated spaces have their own mark in this format."""
    made = escape(text)
    body = made.strip(" ")
    lead, trail = len(made) - len(made.lstrip(" ")), len(made) - len(made.rstrip(" "))
    return "<text:s/>" * lead + body + "<text:s/>" * trail
