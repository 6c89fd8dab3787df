"""ODS to grids, on the schema of OpenDocument 1.3 part 3 (ISO/IEC 26300). Repeated empty cells
cost nothing.
"""

import datetime as dt
import re

from wetleaf.lots.workbooks.containers import MOST_CELLS, MOST_COLUMNS, Archive, damaged, too_many
from wetleaf.lots.workbooks.grid import Grid, GridCell, Value, Workbook
from wetleaf.lots.workbooks.safe_xml import stream


def open_ods(archive: Archive) -> Workbook:
    """Read every sheet of an ODS archive."""
    reader = _ContentReader(archive.name)
    stream(archive.name, archive.read("content.xml"), reader.start, reader.end, reader.text)
    if not reader.grids:
        raise damaged(archive.name, "it has no sheet")
    return Workbook("ods", reader.grids, date_formats=frozenset(reader.shown_dates))


def _short(attributes: dict[str, str]) -> dict[str, str]:
    return {
        name.rpartition(":")[2]: value for name, value in attributes.items() if not name.startswith("calcext")
    }


class _ContentReader:
    """Walks content.xml once; a cell is kept when it closes, as often as it says it is repeated."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.grids: list[Grid] = []
        self.hidden_styles: set[str] = set()
        self.style = ""
        self.depth_of_note = 0
        self.cell: dict[str, str] | None = None
        self.paragraphs: list[str] = []
        self.note: list[str] = []
        self.table: dict[str, str] = {}
        self.total = 0
        self.shown_dates: set[str] = set()  # dates as the sheet shows them, for the order of day and month
        self._new_table({})

    def _new_table(self, attributes: dict[str, str]) -> None:
        self.table = attributes
        self.cells: dict[tuple[int, int], GridCell] = {}
        self.merged: list[tuple[int, int, int, int]] = []
        self.comments: dict[tuple[int, int], str] = {}
        self.hidden_columns: set[int] = set()
        self.row = self.column = self.next_column = 0
        self.row_repeat = 1
        self.row_cells: list[tuple[int, GridCell]] = []

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == "style":
            self.style = _short(attributes).get("name", "")
        elif tag == "table-properties" and _short(attributes).get("display") == "false":
            self.hidden_styles.add(self.style)
        elif tag == "table":
            self._new_table(_short(attributes))
        elif tag == "table-column":
            self._column(_short(attributes))
        elif tag == "table-row":
            self.row += 1
            self.column = 0
            self.row_cells = []
            self.row_repeat = int(_short(attributes).get("number-rows-repeated", "1"))
        elif tag in ("table-cell", "covered-table-cell"):
            self.cell, self.paragraphs, self.note = dict(attributes), [], []
        elif tag == "annotation":
            self.depth_of_note += 1
        else:
            self._text_tag(tag, attributes)

    def _text_tag(self, tag: str, attributes: dict[str, str]) -> None:
        target = self.note if self.depth_of_note else self.paragraphs
        if self.cell is None:
            return
        if tag in ("p", "h"):
            target.append("")
        elif tag == "s" and target:
            target[-1] += " " * min(int(_short(attributes).get("c", "1")), 1000)
        elif tag == "tab" and target:
            target[-1] += "\t"
        elif tag == "line-break" and target:
            target[-1] += "\n"

    def _column(self, attributes: dict[str, str]) -> None:
        repeat = int(attributes.get("number-columns-repeated", "1"))
        if attributes.get("visibility") in ("collapse", "filter"):
            last = min(self.next_column + repeat, MOST_COLUMNS)
            self.hidden_columns.update(range(self.next_column + 1, last + 1))
        self.next_column += repeat

    def text(self, data: str) -> None:
        target = self.note if self.depth_of_note else self.paragraphs
        if self.cell is not None and target:
            target[-1] += data

    def end(self, tag: str) -> None:
        if tag == "annotation":
            self.depth_of_note -= 1
        elif tag in ("table-cell", "covered-table-cell") and self.cell is not None:
            self._close_cell(_short(self.cell), self.cell.get("calcext:value-type", ""))
            self.cell = None
        elif tag == "table-row":
            self._repeat_row()
        elif tag == "table":
            self._close_table()

    def _close_cell(self, attributes: dict[str, str], extended: str) -> None:
        repeat = int(attributes.get("number-columns-repeated", "1"))
        kind = attributes.get("value-type", "")
        text = "\n".join(self.paragraphs)
        error = extended == "error" or bool(
            re.fullmatch(r"#[A-Z/0]+[!?]?|Err:\d+", text) and "formula" in attributes
        )
        if kind == "date" and len(self.shown_dates) < 500:
            self.shown_dates.add(text)
        value: Value = text if error else _value(kind, attributes, text)
        formula = re.sub(r"^(?:\w+:)?=", "=", attributes.get("formula", ""))
        if value not in (None, "") or formula:
            self._keep(GridCell(value, formula, error, kind == "percentage"), repeat)
        self._span(attributes)
        if self.note:
            # The author and date of an annotation are not paragraphs, so only its words are here.
            self.comments[self.row, self.column + 1] = "\n".join(self.note).strip()
        self.column += repeat

    def _keep(self, cell: GridCell, repeat: int) -> None:
        if self.column + repeat > MOST_COLUMNS:
            raise too_many(self.file, "columns", MOST_COLUMNS)
        self.total += repeat
        if self.total > MOST_CELLS:
            raise too_many(self.file, "cells", MOST_CELLS)
        for column in range(self.column + 1, self.column + repeat + 1):
            self.cells[self.row, column] = cell
            self.row_cells.append((column, cell))

    def _span(self, attributes: dict[str, str]) -> None:
        rows, columns = (int(attributes.get(f"number-{what}-spanned", "1")) for what in ("rows", "columns"))
        if rows > 1 or columns > 1:
            first = (self.row, self.column + 1)
            self.merged.append((*first, self.row + rows - 1, self.column + columns))

    def _repeat_row(self) -> None:
        if self.row_repeat > 1:
            filled = self.row_cells
            if len(filled) * self.row_repeat + self.total > MOST_CELLS:
                raise too_many(self.file, "cells", MOST_CELLS)
            for row in range(self.row + 1, self.row + self.row_repeat) if filled else ():
                self.cells.update({(row, column): cell for column, cell in filled})
            self.total += len(filled) * (self.row_repeat - 1)
            self.row += self.row_repeat - 1
        self.row_repeat = 1

    def _close_table(self) -> None:
        hidden = self.table.get("style-name", "") in self.hidden_styles
        name = self.table.get("name", "")
        columns = frozenset(self.hidden_columns)
        self.grids.append(Grid(name, self.cells, self.merged, hidden, columns, self.comments))


def _value(kind: str, attributes: dict[str, str], text: str) -> Value:
    if kind in ("float", "percentage", "currency"):
        try:
            return float(attributes.get("value", ""))
        except ValueError:
            return text
    if kind == "date":
        return _date(attributes.get("date-value", ""), text)
    if kind == "time":
        found = re.fullmatch(r"PT(\d+)H(\d+)M(\d+)(?:[.,]\d+)?S", attributes.get("time-value", ""))
        return dt.time(int(found[1]) % 24, int(found[2]), int(found[3])) if found else text
    if kind == "boolean":
        return attributes.get("boolean-value") == "true"
    return attributes.get("string-value") or text or None


def _date(iso: str, text: str) -> Value:
    try:
        if "T" in iso and not iso.endswith("T00:00:00"):
            return dt.datetime.fromisoformat(iso)
        return dt.date.fromisoformat(iso[:10])
    except ValueError:
        return text
