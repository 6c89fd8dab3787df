"""The workspace is found, made on the first write, or refused; many may write to it at once."""

import os
import sqlite3
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from tests.room import shell

LINE = "Lugu, qingxin, 18 Apr 2026"


@pytest.mark.sqlite
def test_the_first_write_makes_a_workspace_and_later_commands_find_it(tmp_path: Path) -> None:
    folder = tmp_path / "season" / "books"

    added = shell("add", LINE, "--season", "Spring 2026", "--workspace", str(folder))
    found = shell("leaf", "--season", "Spring 2026", workspace=folder)

    assert (added.code, found.out) == (0, "LU-01: never weighed in\n")
    assert (folder / "wetleaf.sqlite3").exists()
    assert (folder / "secret-key").stat().st_mode & 0o077 == 0


@pytest.mark.sqlite
def test_without_a_name_the_workspace_lies_in_the_current_folder(tmp_path: Path) -> None:
    assert shell("add", LINE, "--season", "Spring 2026", folder=tmp_path).code == 0

    assert (tmp_path / "workspace" / "wetleaf.sqlite3").exists()


@pytest.mark.parametrize(
    "command", [("leaf", "--season", "X"), ("backup",), ("export", "--season", "X", "--out", "x.xlsx")]
)
def test_a_command_that_only_reads_is_refused_without_a_workspace(
    tmp_path: Path, command: tuple[str, ...]
) -> None:
    said = shell(*command, workspace=tmp_path / "nowhere")

    assert said.code == 2
    assert said.err.startswith(f"wetleaf: there is no workspace at {tmp_path / 'nowhere'}.")
    assert not (tmp_path / "nowhere").exists()


def test_a_file_is_no_workspace(tmp_path: Path) -> None:
    (tmp_path / "book").write_text("x")

    said = shell("add", LINE, "--season", "X", workspace=tmp_path / "book")

    assert said.code == 2
    assert "is a file, a workspace is a folder" in said.err


def test_a_damaged_database_is_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "wetleaf.sqlite3").write_bytes(b"this is no database" * 500)

    said = shell("leaf", "--season", "X", workspace=tmp_path)

    assert said.code == 2
    assert len(said.err.splitlines()) == 1
    assert "cannot be used: file is not a database" in said.err


def test_odd_settings_are_told_in_one_line(tmp_path: Path) -> None:
    said = subprocess.run(
        [sys.executable, "-m", "wetleaf", "add", LINE, "--season", "X"],
        env={
            "PATH": os.environ["PATH"],
            "WETLEAF_WORKSPACE": str(tmp_path),
            "WETLEAF_TIME_ZONE": "Mars/Base",
        },
        capture_output=True,
        text=True,
        check=False,
    )

    assert said.returncode == 2
    assert said.stderr.startswith("wetleaf: WETLEAF_TIME_ZONE=Mars/Base is not a zone.")


@pytest.mark.sqlite
def test_a_backup_is_whole_and_taken_while_the_database_is_open(tmp_path: Path) -> None:
    shell("add", LINE, "--season", "Spring 2026", workspace=tmp_path)
    with sqlite3.connect(tmp_path / "wetleaf.sqlite3") as writer:
        writer.execute("update lots_lot set name = 'not committed'")

        said = shell("backup", workspace=tmp_path)

        writer.rollback()
    writer.close()
    (copy,) = (tmp_path / "backups").iterdir()
    kept = sqlite3.connect(copy)
    names = kept.execute("select name from lots_lot").fetchall()
    kept.close()
    assert said.out == f"Backed up to {copy}\n"
    assert names == [("Lugu qingxin",)]


@pytest.mark.sqlite
def test_four_first_commands_at_once_make_one_workspace(tmp_path: Path) -> None:
    environment = {name: value for name, value in os.environ.items() if not name.startswith("WETLEAF_")}
    environment.pop("DJANGO_SETTINGS_MODULE", None)
    environment["WETLEAF_WORKSPACE"] = str(tmp_path / "books")
    command = [sys.executable, "-m", "wetleaf", "add", LINE, "--season", "Spring 2026"]

    adding = [subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL) for _ in range(4)]
    codes = [one.wait() for one in adding]

    said = shell("leaf", "--season", "Spring 2026", workspace=tmp_path / "books")
    assert codes == [0, 0, 0, 0]
    assert [line.split(":")[0] for line in said.out.splitlines()] == ["LU-01", "LU-02", "LU-03", "LU-04"]


WRITER = """
    import sys
    from decimal import Decimal
    from pathlib import Path
    from wetleaf.cli.workspace import open_workspace
    open_workspace(Path(sys.argv[1]), writes=True)
    from wetleaf.lots.ledger import receive
    from wetleaf.lots.models import Sample
    sample = Sample.objects.get()
    for _ in range(20):
        receive(sample, Decimal("0.5"))
"""


@pytest.mark.sqlite
def test_eight_processes_write_at_once_and_none_is_lost(tmp_path: Path) -> None:
    shell("add", LINE, "--season", "Spring 2026", workspace=tmp_path)
    environment = {name: value for name, value in os.environ.items() if not name.startswith("WETLEAF_")}
    environment.pop("DJANGO_SETTINGS_MODULE", None)
    command = [sys.executable, "-c", textwrap.dedent(WRITER), str(tmp_path)]

    writers = [subprocess.Popen(command, env=environment) for _ in range(8)]
    codes = [writer.wait() for writer in writers]

    said = shell("leaf", "--season", "Spring 2026", workspace=tmp_path)
    assert codes == [0] * 8
    assert said.out.startswith("LU-01: 80 g left")
    with sqlite3.connect(tmp_path / "wetleaf.sqlite3") as database:
        assert database.execute("pragma journal_mode").fetchone() == ("wal",)
        assert database.execute("select count(*) from lots_leafentry").fetchone() == (160,)
    database.close()
