"""Whatever a command is given wrongly: one line, what and the way out, exit code 2, never a traceback."""

import socket
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import OperationalError
from tests.room import Ran, a_lot, a_sample, a_season, command, shell

from wetleaf.cli.refusals import refusal_of
from wetleaf.cli.writing import write_whole
from wetleaf.lots.models import LeafEntry
from wetleaf.trade.errors import BadInput

FULL = Path("/dev/full")
needs_a_full_disk = pytest.mark.skipif(not FULL.exists(), reason="this system has no /dev/full")


def is_one_line(said: Ran) -> bool:
    return said.code == 2 and said.err.startswith("wetleaf: ") and len(said.err.splitlines()) == 1


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (["book", "--season", "Spring 2026"], "Missing option '--out'"),
        (["book", "--season", "1999", "--out", "b.html"], "no season '1999'"),
        (["book", "--season", "Spring 2026", "--out", "/nowhere/b.html"], "No such file or directory"),
        (["book", "--season", "Spring 2026", "--out", "/"], "Is a directory"),
        (["export", "--season", "1999", "--out", "b.xlsx"], "no season '1999'"),
        (["export", "--season", "Spring 2026", "--out", "b.ods"], "does not end in .xlsx"),
        (["export", "--season", "Spring 2026", "--out", "/nowhere/b.xlsx"], "No such file or directory"),
        (["template", "/nowhere/b.xlsx"], "No such file or directory"),
        (["import", "nowhere.xlsx"], "there is no such file"),
        (["import", "/"], "this is a folder"),
        (["import"], "Missing argument"),
        (["profile", "nowhere.csv", "--lot", "a", "--taster", "b"], "No such file"),
        (["add", "", "--season", "Spring 2026"], "says nothing of a tea"),
        (["add", "Lugu, qingxin", "--season", " "], "a season needs a name"),
        (["leaf", "--season", "1999"], "no season '1999'"),
        (["leaf", "XX", "--season", "Spring 2026", "--brewed", "1"], "no lot 'XX'"),
        (["leaf", "LU-07", "--season", "Spring 2026", "--on", "yesterday"], "'yesterday' does not match"),
        (["leaf", "LU-07", "--season", "Spring 2026", "--brewed", "-3"], "-3 brews"),
        (["leaf", "LU-07", "--season", "Spring 2026", "--brewed", "9" * 20], "more than a ledger"),
        (["leaf", "LU-07", "--season", "Spring 2026", "--received", "NaN"], "not a weight in grams"),
        (["leaf", "LU-07", "--season", "Spring 2026", "--received", "1e30"], "more than a ledger"),
        (["leaf", "LU-07", "--season", "Spring 2026", "--left", "1e20"], "more than a ledger"),
        (
            ["leaf", "LU-07", "--season", "Spring 2026", "--brewed", "1", "--grams-each", "1e-9"],
            "not a weight",
        ),
        (["serve", "--port", "0"], "'--port'"),
        (["serve", "--port", "seven"], "'--port'"),
        (["demo", "--workbooks", "/nowhere"], "is not a folder"),
        (["nonsense"], "No such command 'nonsense'"),
        (["leaf", "--nonsense"], "No such option"),
    ],
)
def test_bad_arguments_are_one_line_and_change_nothing(arguments: list[str], why: str) -> None:
    a_sample(a_lot(a_season("Spring 2026")), grams=25)

    said = command(*arguments)

    assert is_one_line(said), said
    assert why in said.err
    assert LeafEntry.objects.count() == 1


def test_the_bare_command_shows_its_help_and_no_complaint() -> None:
    said = command()

    assert said.code == 2
    assert "import" in said.out
    assert said.err == ""


@pytest.mark.parametrize("arguments", [("serve",), ("book", "--season", "X", "--out", "b.html")])
def test_without_a_workspace_nothing_is_made_and_the_way_to_one_is_said(
    tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    said = shell(*arguments, workspace=tmp_path / "nope", folder=tmp_path)

    assert is_one_line(said), said
    assert f"there is no workspace at {tmp_path / 'nope'}" in said.err
    assert "wetleaf import BOOK" in said.err
    assert list(tmp_path.iterdir()) == []


def test_a_folder_of_other_things_is_not_served_and_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "letters.txt").write_text("other things")

    said = shell("serve", workspace=tmp_path)

    assert is_one_line(said), said
    assert [file.name for file in tmp_path.iterdir()] == ["letters.txt"]


def test_reading_leaves_a_folder_without_books_as_it_is(tmp_path: Path) -> None:
    said = shell("leaf", "--season", "X", workspace=tmp_path)

    assert is_one_line(said), said
    assert list(tmp_path.iterdir()) == []


def test_a_taken_port_is_one_line(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()

        said = shell("serve", "--port", str(taken.getsockname()[1]), workspace=tmp_path)

    assert is_one_line(said), said
    assert "Choose another with --port" in said.err


def test_a_workspace_that_cannot_be_made_is_one_line() -> None:
    said = shell("add", "Lugu, qingxin", "--season", "X", workspace=Path("/proc/nope"))

    assert is_one_line(said), said
    assert "cannot be made" in said.err


@needs_a_full_disk
@pytest.mark.django_db
def test_a_full_disk_is_one_line_for_book_and_workbook(tmp_path: Path) -> None:
    a_lot(a_season("Spring 2026"))
    for name in ("full.html", "full.xlsx"):
        (tmp_path / name).symlink_to(FULL)

    book = command("book", "--season", "Spring 2026", "--out", str(tmp_path / "full.html"))
    workbook = command("export", "--season", "Spring 2026", "--out", str(tmp_path / "full.xlsx"))

    assert is_one_line(book), book
    assert is_one_line(workbook), workbook
    assert "No space left on device" in book.err
    assert "No space left on device" in workbook.err


@needs_a_full_disk
def test_output_that_cannot_be_printed_is_one_line() -> None:
    with FULL.open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "wetleaf", "--version"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )

    assert done.returncode == 2
    assert done.stderr.splitlines() == [
        "wetleaf: what is to be printed cannot be written: No space left on device. "
        "Look at its name, its rights and the room on the disk."
    ]


def test_a_busy_database_is_told_as_such() -> None:
    refusal = refusal_of(OperationalError("database is locked"))

    assert refusal is not None
    assert str(refusal).startswith("the database is busy: another command has held it too long")


def test_what_is_our_own_fault_stays_loud() -> None:
    assert refusal_of(ZeroDivisionError("a slip of ours")) is None
    assert refusal_of(KeyError("a slip of ours")) is None


# The file that is written


def test_a_file_is_replaced_whole_and_keeps_its_rights(tmp_path: Path) -> None:
    out = tmp_path / "book.html"
    out.write_text("the older book")
    out.chmod(0o640)

    write_whole(out, b"the newer book")

    assert out.read_bytes() == b"the newer book"
    assert out.stat().st_mode & 0o777 == 0o640
    assert [file.name for file in tmp_path.iterdir()] == ["book.html"]


def test_an_older_file_outlives_a_write_that_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "book.html"
    out.write_text("the older book")

    def no_room(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", no_room)

    with pytest.raises(BadInput, match="No space left on device"):
        write_whole(out, b"half of the newer")

    assert out.read_text() == "the older book"
    assert [file.name for file in tmp_path.iterdir()] == ["book.html"]


@pytest.mark.skipif(not Path("/dev/stdout").exists(), reason="this system has no /dev/stdout")
def test_a_book_may_be_written_to_a_device() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from pathlib import Path; from wetleaf.cli.writing import write_whole; "
         "write_whole(Path('/dev/stdout'), b'through')"],
        stdout=subprocess.PIPE, check=True,
    )  # fmt: skip

    assert done.stdout == b"through"
