"""Opening a plain table that a command is given: any common encoding and separator, with a header row."""

import csv
import io
import unicodedata
from functools import lru_cache
from pathlib import Path

from wetleaf.trade.errors import BadInput

LARGEST_BYTES = 200_000_000
MOST_COLUMNS = 5_000


def read_table(path: Path, *, holds: str) -> tuple[list[str], list[list[str]]]:
    """Return the header and the rows of a table of any common encoding and separator, without blank rows.

    `holds` is what the table is of, for the words of a refusal. Raises BadInput when the file is missing,
    empty, too large or no text table, or has no rows below its header.
    """
    text = _text(path)
    separator = _separator(text)
    try:
        rows = [
            row
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator)
            if any(map(str.strip, row))
        ]
    except csv.Error as problem:
        raise BadInput(
            f"{path.name}: not a readable table ({problem}).", way_out="Save it as CSV again."
        ) from problem
    if not rows:
        raise BadInput(f"{path.name}: the file is empty.", way_out="Give a CSV with a header row.")
    header = [clean(name) for name in rows[0]]
    if len(header) > MOST_COLUMNS:
        raise BadInput(
            f"{path.name}: {len(header)} columns, more than {MOST_COLUMNS}.", way_out=f"Give {holds} only."
        )
    if len(rows) == 1:
        raise BadInput(
            f"{path.name}: a header but no rows: there are no {holds} in it.", way_out=f"Add the {holds}."
        )
    return header, rows[1:]


def _text(path: Path) -> str:
    if path.is_dir():
        raise BadInput(f"{path} is a folder.", way_out="Name a file.")
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise BadInput(
                f"{path.name}: larger than {LARGEST_BYTES // 1_000_000} MB.", way_out="Split the table."
            )
        data = path.read_bytes()
    except OSError as problem:
        raise BadInput(
            f"{path}: {problem.strerror or problem}.", way_out="Check the file's name."
        ) from problem
    if not data.strip():
        raise BadInput(f"{path.name}: the file is empty.", way_out="Give a CSV with a header row.")
    _refuse_other_kinds(path.name, data)
    from wetleaf.lots.workbooks.opening_csv import decode

    return decode(path.name, data)[1].lstrip("\ufeff")


def _refuse_other_kinds(name: str, data: bytes) -> None:
    start = data[:512].lstrip().lower()
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise BadInput(f"{name}: this is a workbook, not a plain table.", way_out="Save the sheet as CSV.")
    if start.startswith((b"<!doctype", b"<html", b"<?xml")):
        raise BadInput(f"{name}: this is a web page, not a table.", way_out="Download the file itself.")


def _separator(text: str) -> str:
    """Return the separator that cuts the first lines into the same number of cells, and into most."""
    lines = [line for line in text.splitlines()[:50] if line.strip()]
    best, best_score = ",", (0.0, 0)
    for mark in (",", ";", "\t", "|"):
        widths = [len(row) for row in csv.reader(lines, delimiter=mark)]
        if widths and widths[0] > 1:
            alike = sum(width == widths[0] for width in widths) / len(widths)
            best, best_score = max((best, best_score), (mark, (alike, widths[0])), key=lambda found: found[1])
    return best


@lru_cache(maxsize=65536)
def clean(text: str) -> str:
    """Return a cell's text in one Unicode form, without blanks around it.

    >>> clean(" lot\u00a01 ")
    'lot 1'
    """
    return unicodedata.normalize("NFC", text).replace("\u00a0", " ").strip()
