"""`wetleaf rank`: pairs, orders of rows, likings in; how the lots stand, or the next row, out."""

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from wetleaf.cli.main import app
from wetleaf.trade.errors import BadInput

PAIRS = """first,second,preferred,taster
North,Mill,North,Wren
Mill,Pine,Pine,Wren
Pine,North,North,Ottil
Gate,Mill,tie,Ottil
North,Gate,first,Wren
Mill,North,north,Ottil
"""


def rank(tmp_path: Path, text: str, *options: str, command: str = "fit") -> str:
    path = tmp_path / "pairs.csv"
    path.write_text(text, "utf-8")
    result = CliRunner().invoke(app, ["rank", command, str(path), *options], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


def rank_json(tmp_path: Path, text: str, *options: str, command: str = "fit") -> dict[str, Any]:
    def no_nan(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    found = json.loads(rank(tmp_path, text, "--json", *options, command=command), parse_constant=no_nan)
    assert isinstance(found, dict)
    return found


def refusal(tmp_path: Path, text: str, *options: str, command: str = "fit") -> str:
    with pytest.raises(BadInput) as refused:
        rank(tmp_path, text, *options, command=command)
    return str(refused.value)


def test_pairs_are_ranked_with_every_number(tmp_path: Path) -> None:
    found = rank_json(tmp_path, PAIRS)

    lots = {lot["lot"]: lot for lot in found["lots"]}
    assert found["leader"] == "North"
    assert found["answer"] == "can't tell"
    assert set(lots) == {"North", "Mill", "Pine", "Gate"}
    assert (lots["North"]["wins"], lots["North"]["losses"], lots["Gate"]["ties"]) == (4, 0, 1)
    assert sum(lot["chance_best"] for lot in found["lots"]) == pytest.approx(1)
    assert lots["North"]["low"] < lots["North"]["strength"] < lots["North"]["high"]
    assert found["order_effect"]["low"] < 0 < found["order_effect"]["high"]
    assert len(found["ties"]) == 1
    assert [taster["taster"] for taster in found["tasters"]] == ["Ottil", "Wren"]
    assert (found["at_half"]["spread"], found["at_twice"]["spread"]) == (0.5, 2.0)


def test_the_same_file_gives_the_same_numbers(tmp_path: Path) -> None:
    assert rank_json(tmp_path, PAIRS) == rank_json(tmp_path, PAIRS)


def test_words_say_what_the_numbers_say(tmp_path: Path) -> None:
    words = rank(tmp_path, PAIRS)

    assert words.startswith("Which lot is the best? can't tell\n")
    assert "half as much (spread 0.5)" in words
    assert "Wren: " in words


def test_orders_of_a_row_are_read_with_equals_and_the_rest(tmp_path: Path) -> None:
    rows = (
        "ranking;served;taster\nNorth > Pine = Gate;Mill,Pine,North,Gate;Wren\n"
        "Pine > North;Pine,North,Mill;Wren\n"
    )

    found = rank_json(tmp_path, rows)

    lots = {lot["lot"]: lot for lot in found["lots"]}
    assert (lots["North"]["wins"], lots["North"]["losses"]) == (4, 1)
    assert (lots["Mill"]["wins"], lots["Mill"]["losses"], lots["Mill"]["answers"]) == (0, 5, 2)
    assert lots["Pine"]["ties"] == 1
    assert found["order_effect"] is not None


def test_likings_and_verdicts_enter_on_the_same_scale(tmp_path: Path) -> None:
    text = (
        "lot,liking,verdict,taster,first,second,preferred\nNorth,8,,Wren,,,\nMill,4,,Wren,,,\n"
        "Pine,,keep,Ottil,,,\nMill,,no,Ottil,,,\n,,,Wren,North,Pine,North\n"
    )

    found = rank_json(tmp_path, text)

    assert [lot["lot"] for lot in found["lots"]] == ["North", "Pine", "Mill"]
    assert found["answers"] == 1


def test_the_next_row_and_pair_are_named(tmp_path: Path) -> None:
    found = rank_json(tmp_path, PAIRS, "--bowls", "3", "--lots", "North,Mill,Pine,Gate,New", command="next")

    assert found["stop"] is False
    assert len(found["row"]["lots"]) == 3
    assert len(found["pair"]["lots"]) == 2
    assert found["row"]["gain_per_cup"] == pytest.approx(found["row"]["gain"] / 3)
    assert "New" in found["row"]["lots"]


def test_it_says_to_stop(tmp_path: Path) -> None:
    sure = "first,second,preferred,taster\n" + "".join(f"A,B,A,t{i}\nB,A,A,u{i}\n" for i in range(8))

    found = rank(tmp_path, sure, command="next")

    assert found.startswith("Stop: A is the best")
    assert "If you go on all the same" in found


@pytest.mark.parametrize("model", ["bradley-terry", "thurstone", "plackett-luce"])
def test_every_model_answers(tmp_path: Path, model: str) -> None:
    assert rank_json(tmp_path, PAIRS, "--model", model)["leader"] == "North"


def test_columns_may_have_any_name(tmp_path: Path) -> None:
    text = "links\trechts\tsieger\nA\tB\tA\nB\tC\tC\n"

    found = rank_json(tmp_path, text, "--columns", "first=links,second=rechts,preferred=Sieger")

    assert found["answers"] == 2


def test_rows_that_say_nothing_are_left_out_and_counted(tmp_path: Path) -> None:
    found = rank_json(tmp_path, "first,second,preferred,taster\nA,B,A,Wren\n,,,Wren\n\n,,,Ottil\n")

    assert found["answers"] == 1
    assert any(warning.startswith("2 rows say nothing") for warning in found["warnings"])


@pytest.mark.parametrize(
    ("text", "options", "why"),
    [
        ("first,second,preferred\nA,B,C\n", (), "row 2: 'C' is preferred but the pair is 'A' and 'B'"),
        ("first,second,preferred\nA,A,A\n", (), "row 2: 'A > A': 'A' is compared with itself"),
        ("first,second,preferred\nA,B,\n", (), "row 2: nothing is preferred of A and B"),
        ("first,second,preferred\nA,,A\n", (), "row 2: a pair names one lot only"),
        ("first,second,preferred\n,,\nA,B,A\n", ("--spread", "0"), "--spread 0 is out of all reason"),
        ("first,second,preferred\nA,B,A\n", ("--spread", "nan"), "--spread nan is out of all reason"),
        ("first,second,preferred\nA,B,A\n", ("--model", "elo"), "'elo'"),
        ("first,second,preferred\nA,B,A\n", ("--top", "0"), "top of 0"),
        ("first,second,preferred\nA,B,A\n", ("--lots", "A,C"), "'B' is not among --lots"),
        ("first,second,preferred\nA,B,A\n", ("--scale", "9-1"), "--scale '9-1'"),
        ("first,second,preferred\nA,B,A\n", ("--columns", "first=left"), "no column 'left'"),
        ("first,second,preferred\nA,B,A\n", ("--columns", "third=x"), "'third=x' names no column"),
        ("first,second,preferred\nA,B,A\n", ("--recognised", "2"), "recognised 2.0"),
        ("one,two\nA,B\n", (), "no columns first, second, preferred"),
        ("ranking\nA > B > A\n", (), "'A' is compared with itself"),
        ("ranking\nA > > B\n", (), "a lot has no name"),
        ("ranking\nA\n", (), "compares nothing"),
        ("ranking,served\nA > B,A;C\n", (), "'B' is ranked but was not served"),
        ("lot,liking\nA,eleven\n", (), "'eleven' is no number of 1 to 9"),
        ("lot,liking\nA,11\n", (), "'11' is no number of 1 to 9"),
        ("lot,verdict\nA,perhaps\n", (), "'perhaps' is not known"),
        ("lot,liking\n,7\n", (), "names no lot"),
        ("ranking\nA > B > C\n", ("--model", "thurstone"), "3 bowls"),
        ("first,second,preferred\n,,\n", (), "there are no preferences in it|no row says anything"),
    ],
)
def test_what_cannot_be_used_is_refused_by_name(
    tmp_path: Path, text: str, options: tuple[str, ...], why: str
) -> None:
    said = refusal(tmp_path, text, *options)

    assert any(one in said for one in why.split("|"))


def test_every_bad_row_is_named_in_one_go(tmp_path: Path) -> None:
    said = refusal(tmp_path, "first,second,preferred\nA,B,C\nA,B,A\nB,B,B\n")

    assert "row 2" in said
    assert "row 4" in said


def test_a_taster_who_never_tasted_is_refused(tmp_path: Path) -> None:
    assert "'Nobody'" in refusal(tmp_path, PAIRS, "--who", "Nobody", command="next")


def test_one_lot_is_said_to_be_alone(tmp_path: Path) -> None:
    found = rank_json(tmp_path, "lot,liking\nA,7\nA,6\n")

    assert found["answer"] == "can't tell"
    assert "nothing to compare" in found["words"]


WHOLE = "ranking\nA > B > C\nA > C > B\nA > B > C\nB > A > C\n"


def test_whole_rows_are_tested_for_agreement(tmp_path: Path) -> None:
    """R 4.2.2: friedman.test on these ranks gives 4.5; exact p from the table of Friedman, 3 lots, 4 rows."""
    found = rank_json(tmp_path, WHOLE, command="agree")

    assert found["statistic"] == pytest.approx(4.5)
    assert (round(found["p"], 3), found["exact"]) == (0.125, True)
    assert [lot["rank_sum"] for lot in found["kramer"]] == [5, 8, 11]


def test_an_expected_order_is_tested_for_itself(tmp_path: Path) -> None:
    found = rank_json(tmp_path, WHOLE, "--upwards", "A,B,C", command="agree")

    assert (found["statistic"], found["exact"]) == (54.0, True)
    assert found["p"] < 0.05


def test_rows_of_some_lots_are_tested_too(tmp_path: Path) -> None:
    words = rank(tmp_path, "first,second,preferred\nA,B,A\nB,C,B\nC,A,A\n", command="agree")

    assert "exact" in words


@pytest.mark.parametrize(
    ("text", "options", "why"),
    [
        (WHOLE, ("--upwards", "A,B"), "no order of the lots"),
        ("ranking\nA > B\nC > D\n", (), "do not join"),
        ("ranking\nA > B\nB > C\n", ("--upwards", "A,B,C"), "complete rows"),
        ("lot,liking\nA,7\n", (), "no rows to compare"),
    ],
)
def test_rows_that_cannot_be_tested_are_refused(
    tmp_path: Path, text: str, options: tuple[str, ...], why: str
) -> None:
    assert why in refusal(tmp_path, text, *options, command="agree")
