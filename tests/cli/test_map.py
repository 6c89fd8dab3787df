"""`wetleaf map lots | together | words`: plain files in, words or JSON out, bad input refused in one line."""

import json
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from wetleaf.cli.main import app
from wetleaf.trade.errors import BadInput

WORDS = "who,tea,said\nAda,L1,peas\nAda,L2,Nuts\nBo,L1,peas\nBo,L3,smoke\nBo,L2,nuts\nBo,L3,\n"
NAMES = ["--lot", "tea", "--taster", "who"]


def scores_file(folder: Path) -> Path:
    """Four teas, two tasters, roast against everything else; invented."""
    true = {"L1": (1, 5, 4), "L2": (6, 1, 2), "L3": (2, 4, 4), "L4": (5, 3, 1)}
    level = {"Ada": (0, 0, 0), "Bo": (1, -1, 0.5)}
    wobble = {("L1", "Bo"): 0.5, ("L4", "Ada"): -0.5}
    rows = [
        [tea, who, *(t + s + wobble.get((tea, who), 0) for t, s in zip(true[tea], level[who], strict=True))]
        for tea, who in product(true, level)
    ]
    path = folder / "scores.csv"
    path.write_text("\n".join(["tea,who,roast,floral,sweet", *(",".join(map(str, row)) for row in rows)]))
    return path


def said(*words: str) -> str:
    result = CliRunner().invoke(app, ["map", *words], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


def told(*words: str) -> dict[str, Any]:
    return dict(json.loads(said(*words, "--json")))


def test_lots_have_places_neighbours_and_a_claim(tmp_path: Path) -> None:
    found = told("lots", str(scores_file(tmp_path)), *NAMES)

    places = {one["lot"]: one["x"] for one in found["lots"]}
    assert found["whose"] == "these tasters"
    assert (places["L1"] - places["L2"]) * (places["L3"] - places["L4"]) > 0
    assert {one["lot"]: one["nearest"] for one in found["nearest"]}["L1"] == "L3"
    assert len(found["distances"]) == 6


def test_the_same_seed_says_the_same_twice(tmp_path: Path) -> None:
    path = str(scores_file(tmp_path))

    assert said("lots", path, *NAMES) == said("lots", path, *NAMES)


def test_words_tell_which_way_an_axis_runs(tmp_path: Path) -> None:
    shown = said("lots", str(scores_file(tmp_path)), *NAMES, "--attributes", "roast,floral,sweet")

    assert "To the right" in shown
    assert "95 % ellipse for these tasters" in shown


def test_stages_stand_together_on_one_map(tmp_path: Path) -> None:
    found = told(
        "together",
        str(scores_file(tmp_path)),
        *NAMES,
        "--table",
        "leaf: roast",
        "--table",
        "cup: floral, sweet",
    )

    assert [one["table"] for one in found["tables"]] == ["leaf", "cup"]
    assert 0.5 < found["alike"][0]["rv"] <= 1
    assert len(found["tables"][0]["lots"]) == 4


def test_words_are_counted_and_one_without_a_word_is_named(tmp_path: Path) -> None:
    path = tmp_path / "words.csv"
    path.write_text(WORDS)

    found = told("words", str(path), *NAMES, "--word", "said")

    assert {one["word"]: one["counts"] for one in found["words"]} == {
        "nuts": [0, 2, 0],
        "peas": [2, 0, 0],
        "smoke": [0, 0, 1],
    }
    assert found["warnings"] == [
        "1 of 6 rows lack a name or a word and were left out.",
        "2 tasters: words are counted, not tested.",
    ]
    assert set(found["map"]["lots"]) == {"L1", "L2", "L3"}


def test_two_lots_get_their_words_without_a_map(tmp_path: Path) -> None:
    path = tmp_path / "words.csv"
    path.write_text("who,tea,said\nAda,L1,peas\nAda,L2,nuts\n")

    found = told("words", str(path), *NAMES, "--word", "said")

    assert found["map"] is None
    assert "No map: 2 lots and 2 words with any count make no map." in found["warnings"][0]


@pytest.mark.parametrize(
    ("words", "refused"),
    [
        (["together", "--table", "roast"], "names no table of its own"),
        (["together", "--table", "a: roast"], "1 table makes no common map"),
        (["lots", "--attributes", "roast,nothing"], "nothing"),
        (["words", "--word", "nothing"], "--word: the column 'nothing' is not in"),
    ],
)
def test_what_cannot_be_mapped_is_refused_in_one_line(tmp_path: Path, words: list[str], refused: str) -> None:
    path = scores_file(tmp_path)

    with pytest.raises(BadInput, match=refused):
        CliRunner().invoke(app, ["map", words[0], str(path), *NAMES, *words[1:]], catch_exceptions=False)


def with_columns(folder: Path, head: str, tail: str) -> Path:
    """The scores again, with the first row's names changed and something after every row."""
    rows = scores_file(folder).read_text().splitlines()
    path = folder / "other.csv"
    path.write_text("\n".join([head, *(f"{row},{tail}" for row in rows[1:])]))
    return path


def test_columns_are_found_in_any_case_and_under_their_usual_names_unasked(tmp_path: Path) -> None:
    path = with_columns(tmp_path, "Lot,Taster,roast,floral,sweet,Brew,Cup", "1,1")

    found = told("lots", str(path), "--brew", "brew", "--replicate", "CUP")

    plain = told("lots", str(scores_file(tmp_path)), *NAMES)
    assert found["distances"] == plain["distances"]
    assert len(found["axes"][0]["attributes"]) == 3
    assert any("of these pots, not of the teas" in said for said in found["warnings"])


def test_a_missing_column_is_refused_with_the_names_of_those_there_are(tmp_path: Path) -> None:
    path = scores_file(tmp_path)

    for words in (["lots"], ["words"], ["together", "--table", "a: roast", "--table", "b: sweet"]):
        with pytest.raises(BadInput) as refused:
            CliRunner().invoke(app, ["map", words[0], str(path), *words[1:]], catch_exceptions=False)
        assert "is not in scores.csv. Its columns are: tea, who, roast, floral, sweet." in str(refused.value)
