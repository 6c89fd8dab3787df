"""Write one sheet as separated text in any encoding and with any separator."""

import csv
import io
from datetime import date, datetime
from typing import Any

from tests.books.canvas import Book, ErrorValue

NEWLINES = ("\r\n", "\n")


def csv_bytes(
    book: Book, *, encoding: str, separator: str, newline: str, decimal_comma: bool = False
) -> bytes:
    """Return the first sheet as text; a number in a `decimal_comma` file is written with a comma."""
    sheet = book.sheets[0]
    width = max(column for _, column in sheet.cells)
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=separator, lineterminator=newline)
    for row in range(1, sheet.last_row + 1):
        cells = [sheet.cells.get((row, column)) for column in range(1, width + 1)]
        writer.writerow([_text(cell.value if cell else None, decimal_comma) for cell in cells])
    return stream.getvalue().encode(encoding)


def _text(value: Any, decimal_comma: bool) -> str:
    if value is None:
        return ""
    if isinstance(value, ErrorValue):
        return value.shown
    if isinstance(value, datetime | date):
        return value.strftime("%d/%m/%Y")
    if isinstance(value, float):
        text = f"{value:g}" if value != int(value) else str(int(value))
        return text.replace(".", ",") if decimal_comma else text
    return str(value)
