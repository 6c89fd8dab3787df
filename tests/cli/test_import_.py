"""`wetleaf import` as a person runs it."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

DATA = Path(__file__).parents[1] / "lots" / "workbooks" / "data"


def run(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    command = [str(Path(sys.executable).parent / "wetleaf"), *arguments]
    own = {name: value for name, value in os.environ.items() if not name.startswith(("WETLEAF", "DJANGO"))}
    return subprocess.run(command, capture_output=True, text=True, cwd=cwd, check=False, timeout=120, env=own)


def test_a_dry_run_prints_json_and_stores_nothing(tmp_path: Path) -> None:
    done = run("import", str(DATA / "dev_spring_buying_2025.xlsx"), "--dry-run", "--json", cwd=tmp_path)

    data = json.loads(done.stdout)
    assert done.returncode == 0
    assert {
        "columns",
        "lots",
        "samples",
        "scores",
        "notes",
        "preferences",
        "triangles",
        "retastes",
        "problems",
    } <= set(data)
    assert {"sheet", "cell", "says", "why", "do", "severity"} <= set(data["problems"][0])
    assert list(tmp_path.iterdir()) == []


def test_a_dry_run_prints_a_list_with_the_gravest_first(tmp_path: Path) -> None:
    done = run("import", str(DATA / "dev_spring_buying_2025.xlsx"), "--dry-run", cwd=tmp_path)

    assert done.returncode == 0
    assert done.stdout.index("ERROR: 16") < done.stdout.index("WARN: 30") < done.stdout.index("INFO: 19")
    assert "Tasting 12 May!D36 says '12': 12 on a scale from 0 to 10" in done.stdout


@pytest.mark.parametrize(
    "name", ["b01_cut_short.xlsx", "b02_page.xlsx", "b03_empty.csv", "b06_only_header.csv"]
)
def test_a_bad_file_is_one_line_and_exit_code_2(name: str, tmp_path: Path) -> None:
    done = run("import", str(DATA / name), "--dry-run", cwd=tmp_path)

    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1
    assert name in done.stderr


def test_nothing_is_stored_while_a_cell_with_an_error_is_open(tmp_path: Path) -> None:
    done = run("import", str(DATA / "dev_spring_buying_2025.xlsx"), cwd=tmp_path)

    assert done.returncode == 2
    assert "16 cells must be settled" in done.stderr
    assert "Traceback" not in done.stderr


def test_accepting_stores_and_the_same_file_twice_changes_nothing(tmp_path: Path) -> None:
    first = run("import", str(DATA / "dev_spring_buying_2025.xlsx"), "--accept", "all", cwd=tmp_path)
    again = run("import", str(DATA / "dev_spring_buying_2025.xlsx"), "--accept", "all", cwd=tmp_path)

    assert first.returncode == 0, first.stderr
    assert "Spring 2025" in first.stdout
    assert again.returncode == 0
    assert "nothing was changed" in again.stdout


def test_a_mapping_is_remembered_for_the_next_time(tmp_path: Path) -> None:
    shutil.copy(DATA / "dev_cp1252.csv", tmp_path / "list.csv")
    (tmp_path / "map.toml").write_text('[sheets."*"]\ncolumns = { C = "unknown" }\n', encoding="utf-8")

    stored = run(
        "import",
        "list.csv",
        "--mapping",
        "map.toml",
        "--season",
        "Spring 2025",
        "--accept",
        "all",
        cwd=tmp_path,
    )
    later = run("import", "list.csv", "--dry-run", "--json", cwd=tmp_path)

    assert stored.returncode == 0, stored.stderr
    assert "remembered" in later.stderr
    assert all(lot["producer"] is None for lot in json.loads(later.stdout)["lots"])


def test_a_mapping_with_a_slip_is_refused(tmp_path: Path) -> None:
    (tmp_path / "map.toml").write_text('date_order = "sideways"', encoding="utf-8")

    done = run("import", str(DATA / "dev_cp1252.csv"), "--dry-run", "--mapping", "map.toml", cwd=tmp_path)

    assert done.returncode == 2
    assert "sideways" in done.stderr


def test_the_template_can_be_filled_in_and_is_not_overwritten(tmp_path: Path) -> None:
    made = run("template", "season.xlsx", cwd=tmp_path)
    twice = run("template", "season.xlsx", cwd=tmp_path)
    other = run("template", "season.pdf", cwd=tmp_path)

    assert (made.returncode, twice.returncode, other.returncode) == (0, 2, 2)
    assert (tmp_path / "season.xlsx").exists()
