"""`wetleaf backup`: a copy that is a whole workspace again when it is put in the place of the database."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import openpyxl
import pytest
from tests.room import shell

from wetleaf.cli.backup import copy_database
from wetleaf.trade.errors import BadInput

DATA = Path(__file__).parents[1] / "lots" / "workbooks" / "data"
SEASON = "Spring 2025"

pytestmark = pytest.mark.sqlite


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workspace with a whole season, a withdrawn lot, a made one and a decision."""
    folder = tmp_path_factory.mktemp("books") / "tea"
    book = str(DATA / "dev_spring_buying_2025.xlsx")
    for command in [
        ("import", book, "--season", SEASON, "--accept", "all"),
        ("add", "Lugu, qingxin, 18 Apr 2025, 750 m", "--season", SEASON),
        ("lot", "make", "re-roast", "LU-01b", "--season", SEASON, "--from", "LU-01=600 g", "--out", "570 g"),
        ("leaf", "LU-01b", "--season", SEASON, "--received", "25"),
        ("decide", "LU-01b", "keep", "--season", SEASON, "--why", "even", "--kilos", "12.5"),
        ("add", "Pinglin, 2 Apr 2025", "--season", SEASON),
        ("lot", "withdraw", "PI-01", "--season", SEASON, "--reason", "typed twice"),
    ]:
        done = shell(*command, workspace=folder)
        assert done.code == 0, done.err
    return folder


def _rows(database: Path) -> list[str]:
    with closing(sqlite3.connect(database)) as read:
        return list(read.iterdump())


def test_the_copy_opened_as_a_workspace_is_the_same_season(season: Path, tmp_path: Path) -> None:
    assert shell("backup", workspace=season).code == 0
    (copy,) = (season / "backups").iterdir()
    restored = tmp_path / "restored"
    restored.mkdir()
    shutil.copy(copy, restored / "wetleaf.sqlite3")

    before, after = _told(season, tmp_path / "before"), _told(restored, tmp_path / "after")

    assert after == before
    assert "LU-01b: 25 g left" in after["leaf"]
    assert "PI-01" in after["withdrawn"]
    assert "<b>keep</b>, 12.5 kg" in after["book"]


def _told(workspace: Path, out: Path) -> dict[str, str]:
    """What a workspace says of its season: leaf, what is withdrawn, the book, every cell of the export."""
    out.mkdir()
    page, workbook = out / "book.html", out / "book.xlsx"
    commands = {
        "leaf": ("leaf",),
        "withdrawn": ("lot", "withdrawn"),
        "export": ("export", "--out", str(workbook)),
        "page": ("book", "--private", "--out", str(page)),
    }
    said = {name: shell(*words, "--season", SEASON, workspace=workspace) for name, words in commands.items()}
    assert [one.code for one in said.values()] == [0, 0, 0, 0]
    cells = [[list(row) for row in sheet.values] for sheet in openpyxl.load_workbook(workbook)]
    return {
        "leaf": said["leaf"].out,
        "withdrawn": said["withdrawn"].out,
        "book": page.read_text("utf-8"),
        "cells": repr(cells),
    }


def test_every_row_of_every_table_is_in_the_copy(season: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite3"

    copy_database(season / "wetleaf.sqlite3", copy)

    rows = _rows(copy)
    assert len(rows) > 500
    assert rows == _rows(season / "wetleaf.sqlite3")


def test_a_copy_that_cannot_be_written_is_told_in_one_line(season: Path, tmp_path: Path) -> None:
    in_the_way = tmp_path / "copy.sqlite3"
    in_the_way.mkdir()

    with pytest.raises(BadInput, match="cannot be written"):
        copy_database(season / "wetleaf.sqlite3", in_the_way)

    assert list(tmp_path.iterdir()) == [in_the_way]


def test_a_damaged_database_is_not_taken_for_a_backup(season: Path, tmp_path: Path) -> None:
    damaged = tmp_path / "damaged.sqlite3"
    copy_database(season / "wetleaf.sqlite3", damaged)
    content = bytearray(damaged.read_bytes())
    content[4096 * 3 : 4096 * 9] = b"\xff" * (4096 * 6)
    damaged.write_bytes(content)

    with pytest.raises(BadInput, match=r"damaged|malformed"):
        copy_database(damaged, tmp_path / "copy.sqlite3")

    assert not (tmp_path / "copy.sqlite3").exists()
