"""The mapping file: what it can say, and what it is refused for."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from wetleaf.lots.workbooks.mapping import ROLES, fields_known, mapping_as_data, mapping_from, read_mapping
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.trade.errors import BadInput

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
REFERENCE = Path(__file__).parents[3] / "docs/reference/workbooks.md"


def test_an_unknown_role_is_refused_with_the_list(tmp_path: Path) -> None:
    (tmp_path / "map.toml").write_text('[sheets."Cups"]\nrole = "grid"\n', encoding="utf-8")

    with pytest.raises(BadInput) as refused:
        read_mapping(tmp_path / "map.toml")

    said = str(refused.value)
    assert "'grid'" in said
    assert all(role in said for role in ROLES)
    assert "\n" not in said


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ({"columns": {"B": "flavour"}}, "'flavour'"),
        ({"role": "key", "columns": {"B": "harvest"}}, "'harvest'"),
        ({"rolle": "lots"}, "'rolle'"),
        ({"columns": {"B7": "name"}}, "'B7'"),
    ],
)
def test_a_word_that_nobody_knows_is_refused(said: dict[str, Any], word: str) -> None:
    with pytest.raises(BadInput, match=word):
        mapping_from({"sheets": {"Cups": said}})


def test_the_reference_lists_every_role_and_field() -> None:
    text = REFERENCE.read_text(encoding="utf-8")

    missing = [name for name in (*ROLES, *fields_known("")) if f"`{name}`" not in text]

    assert missing == []


def test_a_column_of_scores_can_be_given_to_a_taster(read: Read, lots: Rows) -> None:
    cups = [["Lot", "zip", "zap"], ["QP-1", 5, 6], ["QP-2", 4, 7]]
    mapping = mapping_from(
        {"sheets": {"Cups": {"columns": {"B": "score of scent by Jo", "C": "score by Jo"}}}}
    )

    book = read({"Lots": lots, "Cups": cups}, mapping)

    assert {(s.taster, s.attribute) for s in book.scores} == {("Jo", "scent"), ("Jo", "zap")}


def test_a_key_without_known_heads_can_be_named(read: Read, lots: Rows) -> None:
    sheets = {"Lots": lots, "K": [["zip", "zap"], ["AA", "QP-1"], ["BB", "QP-2"]]}
    sheets["Cups"] = [["Taster", "Cup", "Sweet"], ["Jo", "AA", 5], ["Jo", "BB", 5]]
    mapping = mapping_from({"sheets": {"K": {"role": "key", "columns": {"A": "blind", "B": "lot"}}}})

    book = read(sheets, mapping)

    assert [s.sample for s in book.scores] == ["QP-1", "QP-2"]


def test_a_mapping_is_the_same_after_it_was_kept() -> None:
    said = {
        "sheets": {"Cups": {"role": "verdicts", "columns": {"B": "score by Jo"}}},
        "tasters": {"M.": "Mei"},
    }

    assert mapping_as_data(mapping_from(said)) == said
