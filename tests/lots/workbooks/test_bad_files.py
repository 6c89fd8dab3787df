"""Files that must be refused in one clear line, or read with named problems."""

import csv
import io
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook

from wetleaf.lots.workbooks.reading import read_book
from wetleaf.trade.errors import BadInput

DATA = Path(__file__).parent / "data"
EXPECTED = list(
    csv.DictReader(io.StringIO((DATA / "broken_expected.tsv").read_text(encoding="utf-8")), delimiter="\t")
)


def test_the_list_of_broken_files_is_whole() -> None:
    assert len(EXPECTED) == 6


@pytest.mark.parametrize("name", [row["file"] for row in EXPECTED if row["verdict"] == "refuse"])
def test_a_broken_file_is_refused_by_name(name: str) -> None:
    with pytest.raises(BadInput, match=name) as refusal:
        read_book(DATA / name)

    assert "\n" not in str(refusal.value)
    assert refusal.value.way_out


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("b01_cut_short.xlsx", "damaged or incomplete"),
        ("b02_page.xlsx", "HTML"),
        ("b03_empty.csv", "empty"),
        ("b06_only_header.csv", "no rows"),
    ],
)
def test_the_refusal_says_what_the_file_is(name: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        read_book(DATA / name)


def test_a_name_like_a_formula_is_kept_as_text_and_named() -> None:
    book = read_book(DATA / "b04_formula.csv")

    assert [lot.code for lot in book.lots] == ["=1+cmd|' /C calc'!A1", "F-2"]
    assert "A2" in {problem.cell for problem in book.problems}


def test_nan_and_infinity_are_no_scores() -> None:
    book = read_book(DATA / "b05_nan.csv")

    assert [score.value for score in book.scores if score.status == "ok"] == [7.0]
    assert {p.cell for p in book.problems if p.severity == "error"} == {"D2", "D4"}


def _zip(path: Path, parts: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in parts.items():
            out.writestr(name, data)
    return path


def test_a_bomb_is_not_unpacked(tmp_path: Path) -> None:
    bomb = _zip(
        tmp_path / "bomb.xlsx",
        {"xl/workbook.xml": b"<workbook/>", "xl/worksheets/sheet1.xml": b" " * 130_000_000},
    )

    with pytest.raises(BadInput, match="unpacks to more"):
        read_book(bomb)


def test_entities_are_refused(tmp_path: Path) -> None:
    laughs = (
        b'<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "ha"><!ENTITY b "&a;&a;">]><workbook>&b;</workbook>'
    )

    with pytest.raises(BadInput, match="entities"):
        read_book(_zip(tmp_path / "laughs.xlsx", {"xl/workbook.xml": laughs}))


def test_an_old_or_locked_workbook_is_refused(tmp_path: Path) -> None:
    old, locked = tmp_path / "old.xls", tmp_path / "locked.xlsx"
    magic = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
    old.write_bytes(magic + bytes(600))
    locked.write_bytes(magic + bytes(600) + "EncryptedPackage".encode("utf-16-le"))

    with pytest.raises(BadInput, match="old Excel file"):
        read_book(old)
    with pytest.raises(BadInput, match="password"):
        read_book(locked)


def test_a_hundred_thousand_columns_are_refused(tmp_path: Path) -> None:
    wide = tmp_path / "wide.csv"
    wide.write_text(",".join(f"c{n}" for n in range(100_000)), encoding="utf-8")

    with pytest.raises(BadInput, match="columns"):
        read_book(wide)


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no such file"):
        read_book(tmp_path / "none.xlsx")
    with pytest.raises(BadInput, match="folder"):
        read_book(tmp_path)


def test_a_workbook_without_a_table_is_refused(tmp_path: Path) -> None:
    book = Workbook()
    book.active.append(["to do"])
    book.save(tmp_path / "scratch.xlsx")

    with pytest.raises(BadInput, match="no table of lots"):
        read_book(tmp_path / "scratch.xlsx")
