"""`wetleaf design`: a flight or difference tests laid out, in words or as JSON; bad input refused."""

import json
import subprocess
import sys
from typing import Any

import pytest
from typer.testing import CliRunner

from wetleaf.cli.main import app
from wetleaf.trade.errors import BadInput


def design(*options: str) -> str:
    result = CliRunner().invoke(app, ["design", *options], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


def design_json(*options: str) -> dict[str, Any]:
    def no_nan(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(design(*options, "--json"), parse_constant=no_nan)


def test_a_flight_as_json_holds_brews_cups_balance_efficiency_and_cost() -> None:
    found = design_json("6", "--tasters", "Wren,Ottil,Sable", "--replicates", "2", "--class", "black")

    assert found["teas"] == ["A", "B", "C", "D", "E", "F"]
    assert found["tasters"] == ["Wren", "Ottil", "Sable"]
    assert len(found["brews"]) == 12
    assert len(found["cups"]) == 36
    assert set(found["cups"][0]) == {
        "sitting", "taster", "position", "minute", "code", "brew", "sample", "replicate", "bridge",
    }  # fmt: skip
    assert found["balance"]["way"] == "row"
    assert found["beside"]["way"] == "private"
    assert found["beside"]["unevenness"] == pytest.approx(0, abs=1e-12)
    assert found["efficiency"]["kind"] == "complete"
    assert found["cost"]["grams"] == 36
    assert found["cost"]["leaf"][0] == {
        "sample": "A", "brews": 2, "grams": 6, "grams_left": None, "short_grams": 0,
    }  # fmt: skip


def test_the_same_draw_prints_the_same_and_another_draw_another() -> None:
    assert design("6", "--draw", "7") == design("6", "--draw", "7")
    assert design("6", "--draw", "7") != design("6", "--draw", "8")


def test_the_table_shows_the_row_the_walks_the_balance_and_the_caution() -> None:
    shown = design("Crane Step,Low Mist,Third Terrace,East Wall", "--tasters", "Wren,Ottil")

    lines = shown.splitlines()
    assert lines[2].startswith("Sitting 1: 4 brews, 4 cups each")
    assert lines[3].split() == ["bowl", "code", "tea", "brew", "water", "poured"]
    assert sum("Crane Step" in line for line in lines[4:8]) == 1
    codes = {line.split()[1] for line in lines[4:8]}
    wren = next(line for line in lines if line.startswith("  Wren"))
    assert set(wren.split()[-4:]) == codes
    assert "one row for all" in shown
    assert "private orders, for comparison" in shown
    assert "scalds at once" in shown


def test_with_a_code_for_each_cup_the_one_who_pours_is_told_which_vessel_fills_it() -> None:
    asked = ("4", "--tasters", "2", "--orders", "private", "--codes", "cup")
    vessels = {cup["code"]: cup["brew"].split(".")[1] for cup in design_json(*asked)["cups"]}

    shown = design(*asked)

    told = dict(cell.split("/") for line in shown.splitlines() for cell in line.split() if cell[3:4] == "/")
    assert len(told) == 8
    assert told == vessels


def test_a_part_for_each_taster_is_served_in_private_without_being_asked() -> None:
    found = design_json("13", "--tasters", "13", "--per-taster", "4")

    assert found["efficiency"]["kind"] == "balanced"
    assert found["balance"]["way"] == "private"
    assert found["beside"] is None


def test_a_difference_test_as_json_holds_orders_and_their_balance() -> None:
    found = design_json("old,new", "--test", "triangle", "--tasters", "Wren,Ottil", "--trials", "6")

    assert found["method"] == "triangle"
    assert {taster: sorted(orders) for taster, orders in found["orders"].items()} == {
        "Wren": ["AAB", "ABA", "ABB", "BAA", "BAB", "BBA"],
        "Ottil": ["AAB", "ABA", "ABB", "BAA", "BAB", "BBA"],
    }
    assert found["balance"]["variance"] == 0
    assert found["cost"]["brews"] == 36


def test_shared_pots_of_a_difference_test_cost_fewer_brews() -> None:
    asked = ("old,new", "--test", "2-afc", "--tasters", "4", "--trials", "4")

    assert design_json(*asked)["cost"]["brews"] == 32
    assert design_json(*asked, "--shared-brews")["cost"]["brews"] == 8


def test_a_difference_test_in_words_names_the_teas_behind_the_letters() -> None:
    shown = design("old,new", "--test", "a-not-a", "--trials", "4")

    assert "A is old, B is new" in shown
    assert "known" in shown


def test_leaf_left_and_codes_of_last_week_are_minded() -> None:
    first = design_json("4")
    last_week = ",".join(brew["code"] for brew in first["brews"])

    again = design_json("4", "--not-codes", last_week, "--grams-left", "A=2,5", "--grams-left", "B=9")

    assert not {brew["code"] for brew in again["brews"]} & set(last_week.split(","))
    assert again["cost"]["leaf"][0]["short_grams"] == 0.5
    assert any("A needs 3 g and has 2.5 g left" in note for note in again["notes"])


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["1"], "One sample"),
        (["0"], "0 samples cannot be laid out"),
        (["-5"], "-5 samples"),
        ([""], "No sample is named"),
        (["A,B,A"], "The sample 'A' is named twice"),
        (["5", "--tasters", "0"], "0 tasters"),
        (["5", "--tasters", "Wren,Wren"], "The taster 'Wren' is named twice"),
        (["5", "--replicates", "-1"], "-1 replicates"),
        (["5", "--limit", "1"], "compares nothing"),
        (["5", "--limit", "2", "--bridge", "x", "--bridge", "y"], "2 bridge cups leave no place"),
        (["5", "--orders", "ring"], "'ring' is not a way of serving"),
        (["5", "--grams-left", "A"], "'A' says no grams"),
        (["5", "--grams-left", "A=many"], "'A=many' says no grams"),
        (["5", "--not-codes", "7"], "'7' is not a code"),
        (["5", "--draw", "-1"], "A draw of number -1"),
        (["5", "--trials", "3"], "--trials belongs to a difference test"),
        (["5", "--test", "triangle", "--trials", "3"], "5 samples are more than 2"),
        (["2", "--test", "triangle"], "How many trials of triangle is not said"),
        (["2", "--test", "sniff", "--trials", "3"], "'sniff' is no method"),
        (["2", "--test", "triangle", "--trials", "3", "--bridge", "x"], "--bridge belongs to a flight"),
        (
            ["60", "--tasters", "12", "--replicates", "2", "--orders", "private", "--codes", "cup"],
            "1440 codes",
        ),
    ],
)
def test_what_cannot_be_laid_out_is_refused_by_name(options: list[str], says: str) -> None:
    samples, *rest = options

    with pytest.raises(BadInput, match=says):
        CliRunner().invoke(app, ["design", *rest, "--", samples], catch_exceptions=False)


def test_a_refusal_is_one_line_and_exit_code_two() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "wetleaf", "design", "5", "--limit", "1"],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip

    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.splitlines() == [
        "wetleaf: A sitting of at most 1 cups compares nothing. Let a sitting take two cups or more."
    ]
