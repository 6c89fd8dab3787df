"""Bad files: one clear line and exit code 2, or a sound reading; quick, small, never a traceback."""

from pathlib import Path

import pytest

from tests.books.broken import BROKEN, BrokenFile
from tests.books.command import run_import
from tests.books.try_broken import faults


@pytest.mark.parametrize("bad", BROKEN, ids=[bad.name for bad in BROKEN])
def test_a_bad_file_is_met_with_one_clear_line(bad: BrokenFile, tmp_path: Path) -> None:
    path = bad.write(tmp_path)

    run = run_import(path, "--dry-run", "--json")

    assert faults(bad, run) == []


def test_a_file_that_would_be_written_outside_is_not_written(tmp_path: Path) -> None:
    bad = next(bad for bad in BROKEN if bad.name == "traversal.xlsx")
    run_import(bad.write(tmp_path), "--dry-run", "--json")

    written = sorted(path.name for path in tmp_path.rglob("*wetleaf_was_here*"))

    assert written == []
    assert not Path("/tmp/wetleaf_was_here.txt").exists()
