"""Makers of bad files, and what must hold for each: the exit code, words that must show, never a traceback.

Every file is made by hand or by the standard library; the large ones are streams and stay small on disk.
"""

import io
import random
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from openpyxl import Workbook

SECONDS, MEGABYTES = 5.0, 500.0


@dataclass(frozen=True)
class BrokenFile:
    """A bad file: how it is made, the exit code, and words of which one must show in what is printed."""

    name: str
    make: Callable[[], bytes]
    exit_code: int
    one_of: tuple[str, ...] = ()
    lots: int | None = None

    def write(self, folder: Path) -> Path:
        """Write the file and return its path."""
        path = folder / self.name
        path.write_bytes(self.make())
        return path


_TYPES = """<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.\
spreadsheetml.sheet.main+xml"/>
<Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.\
spreadsheetml.worksheet+xml"/></Types>"""
_ROOT_RELS = """<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" \
Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" \
Target="xl/workbook.xml"/></Relationships>"""
_BOOK = """<?xml version="1.0" encoding="UTF-8"?>
<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" \
xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>\
<sheet name="Lots" sheetId="1" r:id="rId1"/></sheets></workbook>"""
_BOOK_RELS = """<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" \
Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" \
Target="worksheets/sheet1.xml"/>{more}</Relationships>"""
_STRINGS_REL = """<Relationship Id="rId2" \
Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" \
Target="sharedStrings.xml"/>"""
_SHEET_START = """<?xml version="1.0" encoding="UTF-8"?>
<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>"""
_SHEET_END = "</sheetData></worksheet>"
_LOTS = (("Lot", "Tea", "Price GBP/kg"), ("A-1", "Fernlow green", 42), ("A-2", "Fernlow red", 38))


def _text_cells(row: int, values: tuple[object, ...]) -> str:
    cells = "".join(
        f'<c r="{chr(65 + n)}{row}"><v>{value}</v></c>'
        if isinstance(value, int)
        else f'<c r="{chr(65 + n)}{row}" t="inlineStr"><is><t>{value}</t></is></c>'
        for n, value in enumerate(values)
    )
    return f'<row r="{row}">{cells}</row>'


_LOT_ROWS = "".join(_text_cells(row, values) for row, values in enumerate(_LOTS, start=1))


def _xlsx(sheet_parts: Iterator[bytes], strings: Iterator[bytes] | None = None) -> bytes:
    """Zip a minimal workbook whose sheet and shared strings come as streams."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as target:
        target.writestr("[Content_Types].xml", _TYPES)
        target.writestr("_rels/.rels", _ROOT_RELS)
        target.writestr("xl/workbook.xml", _BOOK)
        target.writestr("xl/_rels/workbook.xml.rels", _BOOK_RELS.format(more=_STRINGS_REL if strings else ""))
        _stream_in(target, "xl/worksheets/sheet1.xml", sheet_parts)
        if strings:
            _stream_in(target, "xl/sharedStrings.xml", strings)
    return stream.getvalue()


def _stream_in(target: zipfile.ZipFile, name: str, parts: Iterator[bytes]) -> None:
    with target.open(name, "w", force_zip64=True) as member:
        for part in parts:
            member.write(part)


def _sheet(*inner: bytes) -> Iterator[bytes]:
    yield _SHEET_START.encode()
    yield from inner
    yield _SHEET_END.encode()


def good_xlsx() -> bytes:
    """Return a small sound workbook of two lots."""
    workbook = Workbook()
    for values in _LOTS:
        workbook.active.append(values)
    stream = io.BytesIO()
    workbook.save(stream)
    return stream.getvalue()


def truncated() -> bytes:
    """A workbook cut off in the middle."""
    data = good_xlsx()
    return data[: len(data) * 6 // 10]


def password_protected() -> bytes:
    """The container of an encrypted workbook: a compound file with the streams every such file has."""
    return _compound_file(("EncryptionInfo", "EncryptedPackage"))


def legacy_xls() -> bytes:
    """The container of a workbook of the nineties."""
    return _compound_file(("Workbook",))


def _compound_file(streams: tuple[str, ...]) -> bytes:
    """Return a minimal compound file (MS-CFB): header, a table sector, a directory sector, data."""
    header = (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
        + bytes(16)
        + b"\x3e\x00\x03\x00\xfe\xff\x09\x00\x06\x00"
        + bytes(6)
    )
    numbers = (0, 1, 1, 0, 4096, 0xFFFFFFFE, 0, 0xFFFFFFFE, 0, 0)
    header += b"".join(number.to_bytes(4, "little") for number in numbers) + b"\xff" * 432
    chain = (0xFFFFFFFD, 0xFFFFFFFE, 0xFFFFFFFE)
    table = b"".join(number.to_bytes(4, "little") for number in chain).ljust(512, b"\xff")
    entries = [_entry("Root Entry", 5, child=1)]
    entries += [
        _entry(name, 2, right=n + 2 if n + 1 < len(streams) else -1) for n, name in enumerate(streams)
    ]
    directory = b"".join(entries).ljust(512, b"\0")
    return header[:512] + table + directory + random.Random(7).randbytes(4096)


def _entry(name: str, kind: int, *, child: int = -1, right: int = -1) -> bytes:
    """Return one directory entry of 128 bytes."""
    text = name.encode("utf-16-le") + b"\0\0"
    entry = text.ljust(64, b"\0") + len(text).to_bytes(2, "little") + bytes((kind, 1))
    for number in (-1, right, child):
        entry += (number & 0xFFFFFFFF).to_bytes(4, "little")
    entry += bytes(36) + (2).to_bytes(4, "little") + (4096).to_bytes(8, "little")
    return entry.ljust(128, b"\0")


def html_page() -> bytes:
    """A web page that a portal named .xlsx."""
    return (
        b"<!DOCTYPE html><html><body><table><tr><td>Lot</td></tr><tr><td>A-1</td></tr></table></body></html>"
    )


def bomb_of_spaces() -> bytes:
    """A sheet of 600 MB of spaces between two rows."""
    return _xlsx(_sheet(_LOT_ROWS.encode(), *_repeated(b" " * 1_000_000, 600)))


def bomb_of_rows() -> bytes:
    """A sheet of 500 MB of small number cells, the same row again and again."""
    row = b"<row><c><v>0</v></c><c><v>0</v></c><c><v>0</v></c></row>" * 10_000
    return _xlsx(_sheet(_LOT_ROWS.encode(), *_repeated(row, 900)))


def bomb_of_strings() -> bytes:
    """Shared strings of 600 MB behind a small sheet."""
    start = b'<?xml version="1.0"?><sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    strings = iter([start, b"<si><t>", *_repeated(b"0" * 1_000_000, 600), b"</t></si></sst>"])
    return _xlsx(_sheet(b'<row r="1"><c r="A1" t="s"><v>0</v></c></row>', _LOT_ROWS.encode()), strings)


def _repeated(block: bytes, times: int) -> list[bytes]:
    return [block] * times


def bomb_in_ods() -> bytes:
    """An ODS whose one row says it is repeated a million times, and its one cell 16,000 times."""
    names = "urn:oasis:names:tc:opendocument:xmlns"
    content = (
        f'<?xml version="1.0"?><office:document-content xmlns:office="{names}:office:1.0" '
        f'xmlns:table="{names}:table:1.0" xmlns:text="{names}:text:1.0"><office:body><office:spreadsheet>'
        '<table:table table:name="Lots"><table:table-row table:number-rows-repeated="1000000">'
        '<table:table-cell table:number-columns-repeated="16000" office:value-type="string">'
        "<text:p>Lot</text:p></table:table-cell></table:table-row></table:table></office:spreadsheet></office:body>"
        "</office:document-content>"
    )
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as target:
        target.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        target.writestr("content.xml", content)
    return stream.getvalue()


def wide_xlsx() -> bytes:
    """A sheet whose header row has 100,000 cells."""
    cells = "".join(f'<c t="inlineStr"><is><t>h{n}</t></is></c>' for n in range(100_000))
    return _xlsx(_sheet(f'<row r="1">{cells}</row>'.encode(), _text_cells(2, ("A-1", "Fernlow", 3)).encode()))


def far_cell_xlsx() -> bytes:
    """Two lots, and one cell in the last corner of the sheet: a full grid would not fit in memory."""
    far = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
    return _xlsx(_sheet(_LOT_ROWS.encode(), far))


def wide_csv() -> bytes:
    """A text file of 100,000 columns."""
    return (",".join(f"h{n}" for n in range(100_000)) + "\n" + ",".join(["1"] * 100_000) + "\n").encode()


def empty_formatted_rows() -> bytes:
    """Two lots above a million empty rows that carry a format, as a careless click leaves behind."""
    rows = [
        "".join(f'<row r="{n}" spans="1:3" ht="15"/>' for n in range(start, start + 10_000)).encode()
        for start in range(4, 1_000_000, 10_000)
    ]
    return _xlsx(_sheet(_LOT_ROWS.encode(), *rows))


def billion_laughs() -> bytes:
    """Entities that expand tenfold nine times, in a cell."""
    levels = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
    sheet = (
        f'<?xml version="1.0"?><!DOCTYPE worksheet [<!ENTITY l0 "ha">{levels}]>'
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        '<row r="1"><c r="A1" t="inlineStr"><is><t>&l9;</t></is></c></row></sheetData></worksheet>'
    )
    return _xlsx(iter([sheet.encode()]))


def outside_entity() -> bytes:
    """An entity that asks for a file of this machine."""
    sheet = (
        '<?xml version="1.0"?><!DOCTYPE worksheet [<!ENTITY f SYSTEM "file:///etc/passwd">]>'
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        f"{_text_cells(1, ('Lot', 'Tea', 'Price GBP/kg'))}"
        '<row r="2"><c r="A2" t="inlineStr"><is><t>&f;</t></is></c></row></sheetData></worksheet>'
    )
    return _xlsx(iter([sheet.encode()]))


def path_traversal() -> bytes:
    """A sound workbook with one more member that would be written outside."""
    stream = io.BytesIO(good_xlsx())
    with zipfile.ZipFile(stream, "a") as target:
        target.writestr("../../../../tmp/wetleaf_was_here.txt", "outside")
    return stream.getvalue()


def zip_without_workbook() -> bytes:
    """A folder of photographs, zipped, named .xlsx."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as target:
        target.writestr("photos/tea.jpg", b"\xff\xd8\xff" + bytes(500))
    return stream.getvalue()


def broken_member() -> bytes:
    """A workbook whose sheet does not match its checksum."""
    data = bytearray(_xlsx(_sheet(_LOT_ROWS.encode())))
    place = data.index(b"xl/worksheets/sheet1.xml") + 80
    data[place : place + 12] = bytes(12)
    return bytes(data)


def csv_with_nul() -> bytes:
    """A text file with NUL bytes in a name."""
    return b"Lot,Tea,Price GBP/kg\nA-1,Fern\x00low,12\nA-2,Fernlow red,13\n"


def csv_of_one_line() -> bytes:
    """Fifty megabytes without a line end or a separator."""
    return b"lot" * (50_000_000 // 3)


def csv_unclosed_quote() -> bytes:
    """A quote that is opened in the first lot and never closed."""
    return b'Lot,Tea,Price GBP/kg\nA-1,"Fernlow,12\nA-2,Fernlow red,13\n' * 3


def random_bytes() -> bytes:
    """Bytes without any meaning."""
    return random.Random(11).randbytes(40_000)


def formulas_as_names() -> bytes:
    """Names that would act as formulas in a spreadsheet."""
    lines = ["Lot,Tea,Price GBP/kg", "A-1,=cmd|' /C calc'!A1,12", "A-2,+Fernlow,13", "A-3,-Fernlow,14"]
    lines += ["A-4,@SUM(1+1),15", 'A-5,"\tFernlow",16']
    return ("\n".join(lines) + "\n").encode()


BROKEN: tuple[BrokenFile, ...] = (
    BrokenFile("truncated.xlsx", truncated, 2, ("damaged", "incomplete", "cut")),
    BrokenFile("password.xlsx", password_protected, 2, ("password", "encrypted", "protected")),
    BrokenFile("old.xls", legacy_xls, 2, ("xls",)),
    BrokenFile("old_named_new.xlsx", legacy_xls, 2, ("xls", "old")),
    BrokenFile("page.xlsx", html_page, 2, ("html", "web page")),
    BrokenFile("bomb_of_spaces.xlsx", bomb_of_spaces, 2, ("large", "big", "MB", "unpack")),
    BrokenFile("bomb_of_rows.xlsx", bomb_of_rows, 2, ("large", "big", "MB", "unpack", "rows")),
    BrokenFile("bomb_of_strings.xlsx", bomb_of_strings, 2, ("large", "big", "MB", "unpack")),
    BrokenFile("bomb.ods", bomb_in_ods, 2, ("large", "big", "MB", "columns", "rows", "cells")),
    BrokenFile("wide.xlsx", wide_xlsx, 2, ("columns",)),
    BrokenFile("wide.csv", wide_csv, 2, ("columns",)),
    BrokenFile("far_cell.xlsx", far_cell_xlsx, -1),
    BrokenFile("formatted_rows.xlsx", empty_formatted_rows, 0, lots=2),
    BrokenFile("laughs.xlsx", billion_laughs, 2),
    BrokenFile("outside.xlsx", outside_entity, 2),
    BrokenFile("traversal.xlsx", path_traversal, -1),
    BrokenFile("photos.xlsx", zip_without_workbook, 2, ("workbook", "not an xlsx", "xlsx")),
    BrokenFile("checksum.xlsx", broken_member, 2, ("damaged", "incomplete", "cut")),
    BrokenFile("empty.xlsx", bytes, 2, ("empty",)),
    BrokenFile("empty.csv", bytes, 2, ("empty",)),
    BrokenFile("blank_lines.csv", lambda: b"\n\n  \n,,,\n", 2, ("empty", "no rows", "nothing")),
    BrokenFile("only_header.csv", lambda: b"Lot,Tea,Price GBP/kg\n", 2, ("no rows", "no lots")),
    BrokenFile("nul.csv", csv_with_nul, -1),
    BrokenFile("one_line.csv", csv_of_one_line, 2),
    BrokenFile("unclosed.csv", csv_unclosed_quote, -1),
    BrokenFile("noise.csv", random_bytes, 2),
    BrokenFile("noise.ods", random_bytes, 2),
    BrokenFile("noise.xlsx", random_bytes, 2),
    BrokenFile("formulas.csv", formulas_as_names, -1, ("B2",), lots=5),
)
"""Every bad file. Exit code -1: reading it (0) and refusing it (2) are both right, a crash is not."""
