"""XLSX to grids: values, formulas with their last values, errors, number formats, merges,
comments, hidden things.

Written on the schema of ECMA-376 part 1, chapter 18 (SpreadsheetML). Fast readers give values
only; a careful one needs to see that a score was a formula or has been turned into a date.
"""

import datetime as dt
import posixpath
import re
from collections.abc import Mapping

from wetleaf.lots.workbooks.containers import (
    MOST_CELLS,
    MOST_COLUMNS,
    MOST_ROWS,
    Archive,
    damaged,
    too_many,
)
from wetleaf.lots.workbooks.grid import Grid, GridCell, Value, Workbook, column_number
from wetleaf.lots.workbooks.safe_xml import nothing, stream
from wetleaf.trade.dates import date_of_serial

# Built-in number formats of ECMA-376 part 1, 18.8.30: dates 14-17 and 22, times 18-21 and 45-47,
# percent 9-10;
# 27-36 and 50-58 are dates in East Asian versions.
_DATE_IDS = frozenset([14, 15, 16, 17, 22, *range(27, 32), 36, *range(50, 59)])
_TIME_IDS = frozenset([18, 19, 20, 21, 32, 33, 34, 35, 45, 46, 47])
_PERCENT_IDS = frozenset([9, 10])
_QUOTED = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]|_.|\*.')
_CELL_NAME = re.compile(r"([A-Z]+)(\d+)")


def open_xlsx(archive: Archive) -> Workbook:
    """Read every sheet of an XLSX archive."""
    main = _main_part(archive)
    folder = posixpath.dirname(main)
    targets = _relations(archive, main)
    sheets, mac_days = _sheets(archive, main)
    strings = _shared_strings(archive, targets, folder)
    formats, codes = _formats(archive, targets, folder)
    grids = []
    for name, relation, hidden in sheets:
        target = targets.get(relation, ("", ""))[0]
        if "worksheet" not in targets.get(relation, ("", ""))[1]:
            continue  # a chart sheet holds no cells
        part = _join(folder, target)
        grids.append(_SheetReader(archive.name, name, strings, formats, mac_days).read(archive, part, hidden))
    if not grids:
        raise damaged(archive.name, "it has no worksheet")
    return Workbook("xlsx", grids, mac_days, frozenset(codes))


def _main_part(archive: Archive) -> str:
    if archive.has("xl/workbook.xml"):
        return "xl/workbook.xml"
    return next(m for m in archive.members if m.endswith("workbook.xml"))


def _join(folder: str, target: str) -> str:
    return (
        target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
    )


def _relations(archive: Archive, part: str) -> dict[str, tuple[str, str]]:
    rels = posixpath.join(posixpath.dirname(part), "_rels", posixpath.basename(part) + ".rels")
    found: dict[str, tuple[str, str]] = {}
    if not archive.has(rels):
        return found

    def start(tag: str, attributes: dict[str, str]) -> None:
        if tag == "Relationship" and attributes.get("TargetMode") != "External":
            found[attributes.get("Id", "")] = (attributes.get("Target", ""), attributes.get("Type", ""))

    stream(archive.name, archive.read(rels), start, nothing, nothing)
    return found


def _sheets(archive: Archive, main: str) -> tuple[list[tuple[str, str, bool]], bool]:
    sheets: list[tuple[str, str, bool]] = []
    mac = [False]

    def start(tag: str, attributes: dict[str, str]) -> None:
        if tag == "sheet":
            relation = next((v for k, v in attributes.items() if k.rpartition(":")[2] == "id"), "")
            sheets.append(
                (attributes.get("name", ""), relation, attributes.get("state", "visible") != "visible")
            )
        elif tag == "workbookPr":
            mac[0] = attributes.get("date1904", "0") in ("1", "true")

    stream(archive.name, archive.read(main), start, nothing, nothing)
    return sheets, mac[0]


def _part_of_kind(targets: Mapping[str, tuple[str, str]], kind: str, folder: str) -> str:
    return next((_join(folder, target) for target, of in targets.values() if of.endswith("/" + kind)), "")


def _shared_strings(archive: Archive, targets: Mapping[str, tuple[str, str]], folder: str) -> list[str]:
    part = _part_of_kind(targets, "sharedStrings", folder)
    strings: list[str] = []
    if not part or not archive.has(part):
        return strings
    pieces: list[str] = []
    state = {"text": False, "phonetic": False}

    def start(tag: str, _attributes: dict[str, str]) -> None:
        if tag == "si":
            pieces.clear()
        elif tag == "rPh":
            state["phonetic"] = True
        elif tag == "t":
            state["text"] = not state["phonetic"]

    def end(tag: str) -> None:
        if tag == "si":
            strings.append(_unescape("".join(pieces)))
        elif tag == "rPh":
            state["phonetic"] = False
        elif tag == "t":
            state["text"] = False

    def text(data: str) -> None:
        if state["text"]:
            pieces.append(data)

    stream(archive.name, archive.read(part), start, end, text)
    return strings


def _formats(
    archive: Archive, targets: Mapping[str, tuple[str, str]], folder: str
) -> tuple[list[str], list[str]]:
    """Tell for each cell style whether it shows a date, a time, a percentage or a plain number."""
    part = _part_of_kind(targets, "styles", folder)
    codes: dict[int, str] = {}
    kinds: list[str] = []
    inside = [False]
    if not part or not archive.has(part):
        return kinds, []

    def start(tag: str, attributes: dict[str, str]) -> None:
        if tag == "numFmt":
            codes[int(attributes.get("numFmtId", "0"))] = attributes.get("formatCode", "")
        elif tag == "cellXfs":
            inside[0] = True
        elif tag == "xf" and inside[0]:
            kinds.append(_format_kind(int(attributes.get("numFmtId", "0")), codes))

    def end(tag: str) -> None:
        if tag == "cellXfs":
            inside[0] = False

    stream(archive.name, archive.read(part), start, end, nothing)
    return kinds, [code for code in codes.values() if _kind_of_code(code) == "date"]


def _format_kind(number: int, codes: Mapping[int, str]) -> str:
    if number in codes:
        return _kind_of_code(codes[number])
    if number in _DATE_IDS:
        return "date"
    if number in _TIME_IDS:
        return "time"
    return "percent" if number in _PERCENT_IDS else ""


def _kind_of_code(code: str) -> str:
    bare = _QUOTED.sub("", code.split(";")[0]).casefold()
    if re.search(r"[yd年日]", bare) or re.search(r"m{3,}", bare):
        return "date"
    if re.search(r"h|s|m", bare) and not re.search(r"[0#?]", bare.replace("0", "", 1)):
        return "time"
    return "percent" if "%" in bare else ""


class _SheetReader:
    """Walks one sheet's XML; keeps as little state as the schema's flat rows allow."""

    def __init__(self, file: str, name: str, strings: list[str], formats: list[str], mac_days: bool) -> None:
        self.file, self.name, self.strings, self.formats, self.mac_days = (
            file,
            name,
            strings,
            formats,
            mac_days,
        )
        self.cells: dict[tuple[int, int], GridCell] = {}
        self.merged: list[tuple[int, int, int, int]] = []
        self.hidden_columns: set[int] = set()
        self.row = self.column = 0
        self.type = self.format = self.formula = self.value = ""
        self.buffer: list[str] | None = None
        self.has_formula = self.phonetic = False
        self.shared: dict[str, str] = {}
        self.shared_key = ""

    def read(self, archive: Archive, part: str, hidden: bool) -> Grid:
        stream(self.file, archive.read(part), self.start, self.end, self.text)
        comments = _comments(archive, part)
        return Grid(self.name, self.cells, self.merged, hidden, frozenset(self.hidden_columns), comments)

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == "c":
            self._open_cell(attributes)
        elif tag == "v":
            self.buffer = []
        elif tag == "t":
            self.buffer = None if self.phonetic else (self.buffer if self.buffer is not None else [])
        elif tag == "f":
            self.buffer, self.has_formula = [], True
            self.shared_key = attributes.get("si", "") if attributes.get("t") == "shared" else ""
        elif tag == "row":
            self.row = int(attributes.get("r", self.row + 1))
            self.column = 0
            if self.row > MOST_ROWS * 6:
                raise too_many(self.file, "rows", MOST_ROWS * 6)
        elif tag == "rPh":
            self.phonetic = True
        elif tag == "mergeCell":
            self._merge(attributes.get("ref", ""))
        elif tag == "col" and attributes.get("hidden") in ("1", "true"):
            last = min(int(attributes.get("max", "0")), MOST_COLUMNS)
            self.hidden_columns.update(range(int(attributes.get("min", "1")), last + 1))

    def _open_cell(self, attributes: dict[str, str]) -> None:
        found = _CELL_NAME.fullmatch(attributes.get("r", ""))
        self.column = column_number(found[1]) if found else self.column + 1
        self.row = int(found[2]) if found else self.row
        self.type = attributes.get("t", "n")
        style = int(attributes.get("s", "0"))
        self.format = self.formats[style] if style < len(self.formats) else ""
        self.value = self.formula = ""
        self.has_formula = False

    def end(self, tag: str) -> None:
        if tag == "v":
            self.value = "".join(self.buffer or ())
            self.buffer = None
        elif tag == "t":
            self.value += "".join(self.buffer or ())
            self.buffer = None
        elif tag == "f":
            self.formula = "".join(self.buffer or ())
            self.buffer = None
            if self.shared_key:
                self.formula = self.formula or self.shared.get(self.shared_key, "")
                self.shared[self.shared_key] = self.formula
        elif tag == "rPh":
            self.phonetic = False
        elif tag == "c":
            self._close_cell()

    def text(self, data: str) -> None:
        if self.buffer is not None:
            self.buffer.append(data)

    def _close_cell(self) -> None:
        value = self._read_value()
        if value is None and not self.has_formula:
            return
        if self.column > MOST_COLUMNS:
            raise too_many(self.file, "columns", MOST_COLUMNS)
        formula = f"={self.formula}" if self.has_formula else ""
        self.cells[self.row, self.column] = GridCell(
            value, formula, self.type == "e", self.format == "percent"
        )
        if len(self.cells) > MOST_CELLS:
            raise too_many(self.file, "cells", MOST_CELLS)

    def _read_value(self) -> Value:
        raw, kind = self.value, self.type
        if kind == "s":
            number = int(raw) if raw.strip().isdigit() else -1
            return self.strings[number] if 0 <= number < len(self.strings) else None
        if kind in ("str", "inlineStr", "e"):
            return _unescape(raw) if raw else None
        if raw == "":
            return None
        if kind == "b":
            return raw.strip() in ("1", "true")
        if kind == "d":
            return _iso_value(raw)
        return self._number(raw)

    def _number(self, raw: str) -> Value:
        try:
            number = float(raw)
        except ValueError:
            return raw
        if number != number or number in (float("inf"), float("-inf")):
            return raw
        if self.format == "date" and -1 < number < 2_958_466:
            return _moment(number, self.mac_days)
        if self.format == "time" and 0 <= number < 1:
            return _time_of(number)
        return number

    def _merge(self, reference: str) -> None:
        found = [_CELL_NAME.fullmatch(end) for end in reference.replace("$", "").split(":")]
        if len(found) == 2 and found[0] and found[1]:
            first, last = found[0], found[1]
            self.merged.append((int(first[2]), column_number(first[1]), int(last[2]), column_number(last[1])))


def _moment(serial: float, mac_days: bool) -> dt.date | dt.time:
    if 0 <= serial < 1 and not mac_days:
        return _time_of(serial)
    day = date_of_serial(serial, mac_days=mac_days)
    seconds = round((serial % 1) * 86400)
    if not seconds:
        return day
    return dt.datetime(day.year, day.month, day.day) + dt.timedelta(seconds=seconds)  # noqa: DTZ001


def _time_of(share: float) -> dt.time:
    seconds = round(share * 86400) % 86400
    return dt.time(seconds // 3600, seconds // 60 % 60, seconds % 60)


def _iso_value(raw: str) -> Value:
    try:
        return dt.date.fromisoformat(raw[:10])
    except ValueError:
        return raw


def _unescape(text: str) -> str:
    """Undo `_x000D_`, the schema's way to keep control characters."""
    if "_x" not in text:
        return text
    return re.sub(r"_x([0-9A-Fa-f]{4})_", lambda found: chr(int(found[1], 16)), text)


def _comments(archive: Archive, part: str) -> dict[tuple[int, int], str]:
    found: dict[tuple[int, int], str] = {}
    for target, kind in _relations(archive, part).values():
        member = _join(posixpath.dirname(part), target)
        if kind.endswith("/comments") and archive.has(member):
            _read_comments(archive, member, found)
    return found


def _read_comments(archive: Archive, member: str, found: dict[tuple[int, int], str]) -> None:
    pieces: list[str] = []
    state = {"ref": "", "text": ""}

    def start(tag: str, attributes: dict[str, str]) -> None:
        if tag == "comment":
            state["ref"] = attributes.get("ref", "")
            pieces.clear()
        elif tag == "t":
            state["text"] = "1"

    def end(tag: str) -> None:
        place = _CELL_NAME.fullmatch(state["ref"])
        if tag == "comment" and place:
            found[int(place[2]), column_number(place[1])] = "".join(pieces).strip()
        elif tag == "t":
            state["text"] = ""

    def text(data: str) -> None:
        if state["text"]:
            pieces.append(data)

    stream(archive.name, archive.read(member), start, end, text)
