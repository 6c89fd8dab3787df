"""`wetleaf profile`: any plain file in, words or JSON out, bad input refused in one line."""

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from wetleaf.cli.main import app
from wetleaf.trade.errors import BadInput

LONG = """lot,taster,attribute,replicate,score
A,Ada,Sweet,1,2.0
B,Ada,Sweet,1,5.0
A,Bo,Sweet,1,1.0
B,Bo,Sweet,1,4.5
A,Cy,Sweet,1,2.5
B,Cy,Sweet,1,5.5
A,Ada,Sour,1,3.0
B,Ada,Sour,1,n/a
A,Bo,Sour,1,NaN
B,Bo,Sour,1,3.5
A,Cy,Sour,1,inf
B,Cy,Sour,1,3.0
"""
AS_LONG = ["--lot", "lot", "--taster", "taster", "--attribute", "attribute", "--score", "score"]
WIDE = "Lot;Verkoster;Süße;Säure;Notiz\nA;Ada;2,0;3;fein\nB;Ada;5,5;3,5;\nA;Bo;1,0;2;\nB;Bo;4,0;2,5;grün\n"
AS_WIDE = ["--lot", "Lot", "--taster", "Verkoster"]


def profile(path: Path, *options: str) -> str:
    result = CliRunner().invoke(app, ["profile", str(path), *options], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


def profile_json(path: Path, *options: str) -> dict[str, Any]:
    def no_nan(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(profile(path, *options, "--json"), parse_constant=no_nan)


def refusal(path: Path, *options: str) -> str:
    with pytest.raises(BadInput) as refused:
        CliRunner().invoke(app, ["profile", str(path), *options], catch_exceptions=False)
    return str(refused.value)


def test_a_long_table_gives_every_number_the_contract_names(tmp_path: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text(LONG)

    found = profile_json(path, *AS_LONG, "--replicate", "replicate", "--baseline", "A")

    assert found["panel"]["weights"] is None
    assert set(found["scale_use"]) == {"Sweet", "Sour"}
    sweet = found["attributes"]["Sweet"]
    assert set(sweet["variance_lots_random"]) == {"lot", "taster", "taster:lot", "residual"}
    assert set(sweet) >= {
        "f",
        "df1",
        "df2",
        "p",
        "variance",
        "means",
        "pairs",
        "against",
        "model",
        "decision",
        "warnings",
    }
    assert set(sweet["variance"]) >= {"taster", "taster:lot", "residual"}
    assert sweet["means"]["B"]["mean"] == pytest.approx(5.0)
    assert sweet["pairs"][0]["a"] == "A"
    assert sweet["pairs"][0]["difference"] == pytest.approx(-19 / 6)
    assert sweet["against"][0]["lot"] == "B"
    assert sweet["decision"]["answer"] == "yes"
    assert sweet["decision"]["df2"] == pytest.approx(2)


def test_text_that_is_no_number_is_missing_and_named(tmp_path: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text(LONG)

    found = profile_json(path, *AS_LONG)

    said = " ".join(found["warnings"])
    assert all(word in said for word in ("'n/a' in row 9", "'NaN' in row 10", "'inf' in row 12"))
    assert found["attributes"]["Sour"]["n"] == 3


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_wide_table_is_read_in_any_common_encoding_with_decimal_commas(
    tmp_path: Path, encoding: str
) -> None:
    path = tmp_path / "scores.csv"
    path.write_bytes(WIDE.encode(encoding))

    found = profile_json(path, *AS_WIDE)

    assert list(found["attributes"]) == ["Süße", "Säure"]
    assert found["attributes"]["Süße"]["means"]["B"]["mean"] == pytest.approx(4.75)
    assert any("Notiz" in warning for warning in found["warnings"])


def test_the_asked_columns_alone_are_read(tmp_path: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text(WIDE)

    found = profile_json(path, *AS_WIDE, "--attributes", "Säure")

    assert list(found["attributes"]) == ["Säure"]


def test_words_answer_the_question_first(tmp_path: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text(LONG)

    said = profile(path, *AS_LONG, "--tolerance", "1")

    assert said.startswith("Sweet\n  Do the lots differ? yes")
    assert "B  5.00 (" in said


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "empty"),
        (b"lot,taster,attribute,score\n", "no rows"),
        (b"<!DOCTYPE html><html></html>", "web page"),
        (b"PK\x03\x04rest", "workbook"),
        (b"lot,taster,attribute,score\nA,Ada,Sweet,NaN\n", "no score"),
        (b"lot,taster,attribute,score\n,,Sweet,3\n", "no row names"),
        (b"lot,taster\nA,B\n", "--attribute.*Its columns are: lot, taster"),
    ],
)
def test_a_file_that_will_not_do_is_refused_with_the_reason(tmp_path: Path, content: bytes, why: str) -> None:
    path = tmp_path / "scores.csv"
    path.write_bytes(content)

    said = refusal(path, *AS_LONG)

    assert re.search(why, said), said


def test_a_wrong_column_leaves_with_code_two_and_the_columns_that_exist(tmp_path: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text(LONG)
    command = [sys.executable, "-m", "wetleaf", "profile", str(path), "--lot", "tea", "--taster", "taster"]

    left = subprocess.run(command, capture_output=True, text=True, check=False)

    assert left.returncode == 2
    assert "'tea' is not in scores.csv" in left.stderr
    assert "lot, taster, attribute, replicate, score" in left.stderr
    assert "Traceback" not in left.stderr


def test_a_baseline_that_is_no_lot_is_refused_with_the_lots(tmp_path: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text(LONG)

    assert "Its lots are: A, B" in refusal(path, *AS_LONG, "--baseline", "Q")


def test_cups_that_stand_twice_are_named(tmp_path: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text(LONG + "A,Ada,Sweet,1,2.2\n")

    found = profile_json(path, *AS_LONG, "--replicate", "replicate")

    assert any("A / Ada / 1" in warning for warning in found["warnings"])


@pytest.mark.parametrize(
    "options",
    [
        ["--lot", "lot", "--taster", "lot", "--attribute", "attribute", "--score", "score"],
        ["--lot", "lot", "--taster", "taster", "--attribute", "score", "--score", "score"],
        [*AS_LONG, "--sitting", "taster"],
        ["--lot", "lot", "--taster", "taster", "--attributes", "score,taster"],
    ],
)
def test_one_column_given_for_two_things_is_refused(tmp_path: Path, options: list[str]) -> None:
    path = tmp_path / "scores.csv"
    path.write_text(LONG)

    assert re.search("The column '.*' is given as --.* and as --", refusal(path, *options))


def test_cups_whose_pots_are_not_named_are_said_to_count_as_pots_of_their_own(tmp_path: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text(WIDE)

    said = profile(path, *AS_WIDE)

    assert "Cups are taken as poured from pots of their own, since no pot is named." in said
    assert "name the pot (brew) of every cup" in said
    assert "--brew COLUMN" in said
