"""The look at a file before it is opened: is it what it says, is it whole, is it of a bearable size?

Every refusal is a `BadInput` that names the file, what it is, and the way out. Nothing is unpacked
here beyond the names and sizes that the archive's list declares; what is unpacked later is counted
as it comes.
"""

import zipfile
from pathlib import Path
from typing import Literal

from wetleaf.trade.errors import BadInput

Kind = Literal["xlsx", "ods", "csv"]
MOST_FILE_BYTES = 50_000_000
MOST_UNPACKED_BYTES = 120_000_000
MOST_MEMBERS = 5_000
WORST_RATIO = 300  # a sheet of repeated words packs about 20:1; a bomb packs 1000:1
MOST_CELLS = 600_000
MOST_COLUMNS = 1_000
MOST_ROWS = 200_000

_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_SHEET_ENDINGS = {".xlsx", ".xlsm", ".ods", ".xls", ".xltx", ".xlsb", ".ots"}


def read_bytes(path: Path) -> bytes:
    """Read a file that exists, is not empty and is not too large."""
    if not path.exists():
        raise BadInput(f"{path.name}: there is no such file.", way_out="Check the name and the folder.")
    if path.is_dir():
        raise BadInput(f"{path.name}: this is a folder, not a file.", way_out="Name one workbook in it.")
    size = path.stat().st_size
    if size == 0:
        raise BadInput(
            f"{path.name}: the file is empty (0 bytes).", way_out="Save or copy it again and retry."
        )
    if size > MOST_FILE_BYTES:
        raise BadInput(
            f"{path.name}: the file has {size / 1e6:.0f} MB, the most that is read is {MOST_FILE_BYTES / 1e6:.0f} MB.",  # noqa: E501
            way_out="Save the sheets that matter to a new workbook, without pictures.",
        )
    try:
        return path.read_bytes()
    except OSError as trouble:
        raise BadInput(f"{path.name}: the file cannot be read ({trouble.strerror}).") from trouble


def kind_of(name: str, data: bytes) -> Kind:
    """Tell what a file is by its first bytes, or refuse it by name; its ending only tells a text
    from a workbook.
    """
    start = data[:4096].lstrip(b"\xef\xbb\xbf \r\n\t")
    if data.startswith(b"PK"):
        return "xlsx"  # or ODS: `open_archive` tells
    if data.startswith(_OLE):
        raise _ole_refusal(name, data)
    if start.startswith(b"%PDF"):
        raise BadInput(
            f"{name}: this is a PDF, not a workbook.", way_out="Ask for the list as XLSX, ODS or CSV."
        )
    if _is_web_page(start):
        raise BadInput(
            f"{name}: this is a web page (HTML), not an xlsx, ods or csv file.",
            way_out="Open it in a spreadsheet program and save it as XLSX.",
        )
    ending = Path(name).suffix.casefold()
    if ending in _SHEET_ENDINGS:
        what = "plain text" if _looks_like_text(data) else "neither a workbook nor text"
        raise BadInput(
            f"{name}: this is {what}, not a workbook, although its name ends in {ending}.",
            way_out="Save it as XLSX, or rename it to .csv if it is a table in text.",
        )
    return "csv"


def _ole_refusal(name: str, data: bytes) -> BadInput:
    if _ENCRYPTED in data:
        return BadInput(
            f"{name}: the workbook is protected by a password.",
            way_out="Open it, take the password off, save it, and retry.",
        )
    return BadInput(
        f"{name}: this is an old Excel file (.xls), which is not read.",
        way_out="Open it and save it as XLSX.",
    )


def _is_web_page(start: bytes) -> bool:
    head = start[:1500].lower()
    return head.startswith((b"<!doctype html", b"<html", b"<table", b"<head", b"<body")) or (
        head.startswith(b"<") and (b"<html" in head or b"<table" in head)
    )


def _looks_like_text(data: bytes) -> bool:
    sample = data[:2000]
    return b"\0" not in sample and sum(b < 9 for b in sample) == 0


class Archive:
    """An opened zip whose list has been checked; members are unpacked one by one, within what is
    left to unpack.
    """

    def __init__(self, name: str, zipped: zipfile.ZipFile) -> None:
        self.name = name
        self._zip = zipped
        self._left = MOST_UNPACKED_BYTES
        self.members = {info.filename: info for info in zipped.infolist()}

    def has(self, member: str) -> bool:
        """Say whether the archive lists a member."""
        return member in self.members

    def read(self, member: str) -> bytes:
        """Unpack one member, never more than is left to unpack, whatever size it declares."""
        try:
            with self._zip.open(member) as stream:
                data = stream.read(self._left + 1)
        except KeyError as missing:
            raise damaged(self.name, f"its part {member} is missing") from missing
        except (zipfile.BadZipFile, EOFError, OSError, ValueError, NotImplementedError) as trouble:
            raise damaged(self.name, f"its part {member} cannot be unpacked") from trouble
        except Exception as trouble:  # zlib.error and lzma errors share no base
            raise damaged(self.name, f"its part {member} cannot be unpacked") from trouble
        self._left -= len(data)
        if self._left < 0:
            raise bomb(self.name)
        return data


def damaged(name: str, how: str) -> BadInput:
    """Word the refusal of a file that is cut short or broken."""
    return BadInput(
        f"{name}: the workbook is damaged or incomplete: {how}.",
        way_out="Copy or download it again, or open and save it anew.",
    )


def bomb(name: str) -> BadInput:
    """Word the refusal of a file that unpacks to far more than it should."""
    return BadInput(
        f"{name}: the workbook unpacks to more than {MOST_UNPACKED_BYTES / 1e6:.0f} MB, so it is not opened.",
        way_out="Save the sheets that matter to a new workbook.",
    )


def too_many(name: str, what: str, most: int) -> BadInput:
    """Word the refusal of a file with more cells, rows or columns than any price list has."""
    return BadInput(
        f"{name}: a sheet has more than {most:,} {what}, so it is not read.",
        way_out="Save the cells that matter to a new workbook; delete empty formatted ones.",
    )


def open_archive(path: Path) -> tuple[Kind, Archive]:
    """Open a zipped workbook and tell XLSX from ODS; refuse what is cut short, locked, a bomb or
    another thing.
    """
    try:
        zipped = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, EOFError, OSError, ValueError, NotImplementedError) as trouble:
        raise damaged(path.name, "the file breaks off before its end") from trouble
    _check_list(path.name, zipped.infolist())
    archive = Archive(path.name, zipped)
    if archive.has("xl/workbook.xml") or any(m.endswith("workbook.xml") for m in archive.members):
        return "xlsx", archive
    if archive.has("xl/workbook.bin"):
        raise BadInput(f"{path.name}: this is a binary workbook (.xlsb).", way_out="Save it as XLSX.")
    if archive.has("content.xml"):
        _check_ods(archive)
        return "ods", archive
    raise BadInput(
        f"{path.name}: this is a zip archive with no workbook in it.",
        way_out="Save the list as XLSX, ODS or CSV.",
    )


def _check_list(name: str, members: list[zipfile.ZipInfo]) -> None:
    if len(members) > MOST_MEMBERS or sum(m.file_size for m in members) > MOST_UNPACKED_BYTES * 2:
        raise bomb(name)
    for member in members:
        if member.flag_bits & 0x1:
            raise BadInput(f"{name}: the file is protected by a password.", way_out="Save it without one.")
        large = member.file_size > 5_000_000
        if large and member.file_size > WORST_RATIO * max(member.compress_size, 1):
            raise bomb(name)


def _check_ods(archive: Archive) -> None:
    kind = archive.read("mimetype").decode("ascii", "replace") if archive.has("mimetype") else ""
    if kind and "spreadsheet" not in kind:
        raise BadInput(f"{archive.name}: this is a text or a drawing ({kind.strip()}), not a workbook.")
    if archive.has("META-INF/manifest.xml") and b"encryption-data" in archive.read("META-INF/manifest.xml"):
        raise BadInput(
            f"{archive.name}: the workbook is protected by a password.",
            way_out="Open it, take the password off, save it, and retry.",
        )
