"""`wetleaf difference`: counts or a plain file in, words or JSON out, bad input refused in one line."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from wetleaf.cli.main import app
from wetleaf.numerics.differences import METHODS, TWO_KIND_METHODS
from wetleaf.trade.errors import BadInput

TRIALS = "taster,correct\n" + "".join(
    f"{taster},{right}\n"
    for taster, right in zip(["Wren", "Ottil"] * 5, [1, 1, 0, 1, 1, 1, 1, 1, 1, 1], strict=True)
)
SEVERAL = """Taster;Method;Right
Wren;triangle;yes
Wren;Triangle;no
Ottil;2-AFC;yes
Wren;2afc;true
Ottil;tetrad;1
"""


def said(*options: str) -> str:
    result = CliRunner().invoke(app, ["difference", *options], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


def said_json(*options: str) -> dict[str, Any]:
    def no_nan(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(said(*options, "--json"), parse_constant=no_nan)


def refusal(*options: str) -> str:
    with pytest.raises(BadInput) as refused:
        CliRunner().invoke(app, ["difference", *options], catch_exceptions=False)
    return str(refused.value)


def written(folder: Path, text: str) -> str:
    path = folder / "trials.csv"
    path.write_text(text, "utf-8")
    return str(path)


def test_a_score_gives_every_number_the_contract_names() -> None:
    found = said_json("score", "--method", "triangle", "--correct", "14", "--trials", "24")

    assert set(found) >= {
        "p_value",
        "proportion",
        "discriminators",
        "d_prime",
        "se",
        "low",
        "high",
        "answer",
        "would_have_found",
    }
    assert set(found["would_have_found"]) == {"d_prime", "power"}
    assert found["answer"] == "yes"
    assert found["p_value"] == pytest.approx(0.01034, abs=1e-5)
    assert found["proportion"] == pytest.approx(14 / 24)
    assert found["discriminators"] == pytest.approx(0.375)


def test_a_plan_gives_every_number_the_contract_names() -> None:
    options = ["--method", "tetrad", "--d-prime", "1", "--power", "0.9", "--alpha", "0.05"]

    found = said_json("plan", *options)
    similar = said_json("plan", *options, "--similar")

    assert set(found) >= {"trials", "critical", "power", "brews", "cups", "grams"}
    assert (found["trials"], found["critical"]) == (89, 38)
    assert found["cups"] == found["brews"] == 4 * 89
    assert found["grams"] == 3 * 4 * 89
    assert similar["similar"]
    assert similar["power"] >= 0.9


def test_all_right_has_no_end_and_is_still_json() -> None:
    found = said_json("score", "--method", "triangle", "--correct", "12", "--trials", "12")

    assert found["d_prime"] is None
    assert found["high"] is None
    assert found["low"] > 2


def test_no_needs_tolerable() -> None:
    counts = ["--method", "2-afc", "--correct", "10", "--trials", "20"]

    assert said_json("score", *counts)["answer"] == "can't tell"
    assert said_json("score", *counts, "--tolerable", "1.5")["answer"] == "no"
    assert said_json("score", *counts, "--tolerable-discriminators", "0.7")["answer"] == "no"


def test_more_trials_come_only_from_a_plan() -> None:
    counts = ["--method", "triangle", "--correct", "12", "--trials", "24"]

    alone = said_json("score", *counts)
    on_the_way = said_json("score", *counts, "--planned", "36")

    assert alone["more_trials"] is None
    assert on_the_way["more_trials"] == 12
    assert "Taste on as planned" in said("score", *counts, "--planned", "36")


def test_an_extended_test_is_labelled_and_its_error_recomputed() -> None:
    options = ["--method", "triangle", "--correct", "15", "--trials", "30", "--looks", "12,18,24"]

    found = said_json("score", *options)

    assert found["extended"]
    assert found["rule"]["plain_error"] == pytest.approx(0.0737, abs=1e-4)
    assert found["answer"] == "can't tell"
    assert "EXTENDED" in said("score", *options)


def test_a_file_is_judged_taster_by_taster(tmp_path: Path) -> None:
    found = said_json("score", "--file", written(tmp_path, TRIALS), "--method", "triangle")

    assert (found["correct"], found["trials"]) == (9, 10)
    assert [one["taster"] for one in found["tasters"]] == ["Ottil", "Wren"]
    assert found["claim"].startswith("These two tasters only")
    assert found["dispersion"] is None
    assert "below 8" in found["why_no_dispersion"]


def test_a_file_of_several_methods_is_pooled_on_one_scale(tmp_path: Path) -> None:
    found = said_json("score", "--file", written(tmp_path, SEVERAL), "--tolerable", "3")

    assert found["method"] == "several"
    assert {one["method"]: (one["correct"], one["trials"]) for one in found["methods"]} == {
        "triangle": (1, 2),
        "2-afc": (2, 2),
        "tetrad": (1, 1),
    }
    assert 0 < found["p_value"] < 0.2
    assert found["p_agree"] is not None


def test_a_file_of_eight_tasters_shows_their_spread(tmp_path: Path) -> None:
    rows = "".join(f"t{taster},{int(trial < 2 + taster)}\n" for taster in range(9) for trial in range(10))

    first, again = (
        said_json("score", "--file", written(tmp_path, f"taster,correct\n{rows}"), "--method", "triangle")
        for _ in range(2)
    )

    assert first["dispersion"]["gamma"] > 0
    assert first == again


def test_next_follows_the_trials_in_order(tmp_path: Path) -> None:
    file = written(tmp_path, TRIALS)

    found = said_json("next", file, "--method", "2-afc", "--d-prime", "1.5")

    assert found["decision"] == "stop yes"
    assert found["answer"] == "yes"
    assert [state["trial"] for state in found["states"]] == list(range(1, found["trials"] + 1))
    assert found["exact"]["false_yes"] <= 0.05
    assert found["exact"]["false_no"] <= 0.1
    assert found["wald"]["expected_at_size"] > 1
    assert found["unused"] == 10 - found["trials"]


def test_next_asks_for_one_more_while_it_is_open(tmp_path: Path) -> None:
    found = said_json("next", written(tmp_path, TRIALS), "--method", "triangle", "--d-prime", "1")

    assert found["decision"] == "one more"
    assert found["answer"] == "can't tell"


def test_next_without_a_declared_size_never_says_no(tmp_path: Path) -> None:
    wrong = written(tmp_path, "correct\n" + "0\n" * 40)

    undeclared = said_json("next", wrong)
    declared = said_json("next", wrong, "--d-prime", "1.5")

    assert (undeclared["decision"], undeclared["answer"]) == ("stop no", "can't tell")
    assert (declared["decision"], declared["answer"]) == ("stop no", "no")
    assert any("No size was declared" in note for note in undeclared["notes"])
    assert any("No method was named" in note for note in undeclared["notes"])


def test_same_different_and_a_not_a_take_hits_and_false_alarms() -> None:
    for method in ("same-different", "a-not-a"):
        found = said_json("score", "--method", method, "--hits", "16/20", "--false-alarms", "6/20")

        assert found["answer"] == "yes"
        assert found["p_value"] == pytest.approx(0.0018205, abs=1e-6)


def test_a_plan_with_looks_lists_them_and_shared_brews_save_leaf() -> None:
    own = said_json("plan", "--method", "triangle", "--d-prime", "2", "--looks", "3", "--tasters", "3")
    shared = said_json(
        "plan", "--method", "triangle", "--d-prime", "2", "--looks", "3", "--tasters", "3", "--shared-brews"
    )

    assert len(own["looks"]) == 3
    assert own["looks"][-1]["trials"] == own["trials"]
    assert own["power"] >= 0.8
    assert shared["grams"] == own["grams"] / 3


def test_ten_grams_left_are_told_what_they_can_find() -> None:
    pair = ["plan", "--method", "2-afc", "--d-prime", "2", "--grams-left", "10"]

    usual = said_json(*pair)["leaf_left"]
    lighter = said_json(*pair, "--grams", "1.5")["leaf_left"]

    assert (usual["trials"], usual["critical"], usual["finds"]["d_prime"]) == (3, None, None)
    assert "too few to find any difference" in said(*pair)
    assert (lighter["trials"], lighter["critical"]) == (6, 6)
    assert 2 < lighter["finds"]["d_prime"] < 3


@pytest.mark.parametrize("method", ["2-afc", "triangle", "duo-trio", "tetrad", "3-afc", "two-out-of-five"])
def test_every_method_is_scored_and_planned_in_words(method: str) -> None:
    assert "Can they be told apart?" in said("score", "--method", method, "--correct", "9", "--trials", "12")
    assert "trials" in said("plan", "--method", method, "--d-prime", "1.5")
    assert "trials" in said("plan", "--method", method, "--discriminators", "0.4", "--similar")


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ("score --method triangle --correct 30 --trials 24", "30 right answers of 24"),
        ("score --method triangle --correct 3 --trials -24", "-24 trials"),
        ("score --method pentagon --correct 3 --trials 24", "no method"),
        ("score --method triangle --correct 3 --trials 24 --alpha 0", "alpha = 0"),
        ("score --method triangle --correct 3 --trials 24 --alpha 1e-300", "than any tasting comes"),
        ("score --method triangle --correct 3 --trials 40000 --looks 9", "too many to follow"),
        ("score --method triangle --correct 3 --trials 24 --tolerable 0", "d-prime of 0"),
        ("score --method triangle --correct 3 --trials 24 --power 1", "power = 1"),
        ("score --method triangle --correct 3 --trials 24 --looks 30", "not in order"),
        ("score --method triangle --correct 3 --trials 24 --looks twelve", "no number of trials"),
        ("score --method triangle --correct 3", "--trials is missing"),
        ("score --correct 3 --trials 4", "--method is missing"),
        ("score --method same-different --correct 3 --trials 4", "two kinds of trial"),
        ("score --method same-different --hits 3/4", "--false-alarms"),
        ("score --method a-not-a --hits 5/4 --false-alarms 1/4", "cannot be"),
        ("score --method triangle --hits 3/4 --false-alarms 1/4", "one kind of trial"),
        ("score --method a-not-a --hits 3/4 --false-alarms 1/4 --planned 20", "judged once"),
        ("score --method a-not-a --hits 3/4 --false-alarms 1/4 --trials 8", "twice"),
        ("plan --method triangle --d-prime -1", "d-prime of -1"),
        ("plan --method triangle --d-prime 1 --power 1", "power = 1"),
        ("plan --method triangle", "declared once"),
        ("plan --method triangle --d-prime 1 --tasters 0", "0 tasters"),
        ("plan --method triangle --d-prime 1 --grams three", "no number"),
        ("plan --method triangle --d-prime 1 --grams-left 2", "not enough for one"),
        ("plan --method triangle --d-prime 1 --grams-left -2", "-2 grams left"),
        ("plan --method triangle --d-prime 1 --protocol bucket", "not a way of preparing"),
        ("plan --method triangle --d-prime 1 --looks 3 --similar", "both ways"),
        ("plan --method triangle --d-prime 0.1", "more than anyone tastes"),
        ("plan --method a-not-a --discriminators 0.3", "a-not-a is planned"),
    ],
)
def test_bad_input_is_refused_by_name(options: str, says: str) -> None:
    assert says in refusal(*options.split())


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty"),
        ("taster,correct\n", "no trials in it"),
        ("taster,score\nWren,1\n", "no column 'correct'"),
        ("taster,correct\nWren,maybe\nOttil,\nWren,1\n", "'maybe' in row 2, '' in row 3"),
        ("correct,correct\n1,0\n", "twice"),
        ("method,correct\ntriangle,1\ntetrad,0\n", "one method"),
        ("method,correct\npentagon,1\n", "no method"),
    ],
)
def test_a_file_that_cannot_be_followed_is_refused(tmp_path: Path, text: str, says: str) -> None:
    assert says in refusal("next", written(tmp_path, text))


def test_a_file_and_counts_are_not_judged_together(tmp_path: Path) -> None:
    file = written(tmp_path, TRIALS)

    assert "twice" in refusal("score", "--file", file, "--trials", "10", "--method", "triangle")
    assert "by which method" in refusal("score", "--file", file)
    assert "not a triangle" in refusal("score", "--file", written(tmp_path, SEVERAL), "--method", "triangle")
    assert "without looks" in refusal("score", "--file", written(tmp_path, SEVERAL), "--planned", "9")


def test_a_refusal_leaves_with_exit_code_2_and_no_traceback() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "wetleaf", "difference", "score", "--method", "triangle", "--correct", "9"],
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 2
    assert done.stderr.startswith("wetleaf: --trials is missing")
    assert "Traceback" not in done.stderr


_WHOLE = st.sampled_from(
    ["0", "1", "5", "12", "24", "-3", "1000", "100000", "100001", "9" * 25, "1e5", "nan", ""]
)
_REAL = st.sampled_from(
    ["0", "0.05", "1e-300", "1e-9", "0.5", "0.999999", "1", "-1", "nan", "inf", "3", "10", ""]
)
_METHOD = st.sampled_from([*METHODS, *TWO_KIND_METHODS, "pentagon", ""])


@settings(max_examples=60, deadline=None)
@given(
    what=st.sampled_from(["score", "plan"]),
    method=_METHOD,
    whole=st.fixed_dictionaries({}, optional=dict.fromkeys(("--correct", "--trials", "--looks"), _WHOLE)),
    real=st.fixed_dictionaries({}, optional=dict.fromkeys(("--alpha", "--power"), _REAL)),
    more=st.sampled_from(
        [
            ["score", "--planned"],
            ["score", "--tolerable"],
            ["score", "--hits"],
            ["plan", "--d-prime"],
            ["plan", "--discriminators"],
            ["plan", "--grams-left"],
            ["plan", "--tasters"],
        ]
    ),
    value=st.one_of(_WHOLE, _REAL),
)
def test_nothing_that_is_typed_ends_in_a_traceback(
    what: str, method: str, whole: dict[str, str], real: dict[str, str], more: list[str], value: str
) -> None:
    given_options = {**whole, **real, **({more[1]: value} if more[0] == what else {})}
    if what == "plan":
        given_options = {"--d-prime": "1.5", **{k: v for k, v in given_options.items() if k not in whole}}
    options = [part for option in given_options.items() for part in option]

    result = CliRunner().invoke(app, ["difference", what, "--method", method, *options, "--json"])

    if result.exit_code == 0:
        assert json.loads(result.stdout)["method"] in {**METHODS, **TWO_KIND_METHODS}
    else:
        assert result.exit_code == 2 or isinstance(result.exception, BadInput)
