"""The one list of stages, the cups a sitting takes, the answers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.errors import BadInput
from wetleaf.trade.spelling import squash
from wetleaf.trade.stages import (
    SITTING_LIMITS,
    STAGES,
    Answer,
    NextStep,
    find_stage,
    read_stage,
    sitting_limit,
    stage,
    too_many_cups,
)


def test_the_ten_stages_stand_in_the_order_a_tea_is_met() -> None:
    assert [each.name for each in STAGES] == [
        "dry leaf",
        "warmed leaf",
        "wet leaf",
        "liquor colour",
        "liquor aroma",
        "taste",
        "mouthfeel",
        "finish",
        "empty cup",
        "infused leaf",
    ]
    assert [each.order for each in STAGES] == list(range(1, 11))


def test_no_word_stands_for_two_stages() -> None:
    owners: dict[str, set[str]] = {}
    for each in STAGES:
        for word in (*each.says, *each.may_say):
            owners.setdefault(squash(word), set()).add(each.key)

    shared = {word: keys for word, keys in owners.items() if len(keys) > 1}

    assert shared == {}
    assert len(owners) > 150


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Dry aroma", "dry_leaf"),
        ("Appearance", "dry_leaf"),
        ("warm pot", "warmed_leaf"),
        ("wet leaf", "wet_leaf"),
        ("Rinse", "wet_leaf"),
        ("colour", "liquor_colour"),
        ("Liq", "liquor_colour"),
        ("nose", "liquor_aroma"),
        ("AROMA", "liquor_aroma"),
        ("Flavour", "taste"),
        ("mouth-feel", "mouthfeel"),
        ("After", "finish"),
        ("aftertaste (0-10)", "finish"),
        ("Cold cup", "empty_cup"),
        ("Leaf (infused)", "infused_leaf"),
        ("aroma of the wet leaf", "wet_leaf"),
        ("Geschmack", "taste"),
        ("Abgang", "finish"),
        ("arrière-goût", "finish"),
        ("Robe", "liquor_colour"),
        ("乾茶", "dry_leaf"),
        ("汤色", "liquor_colour"),
        ("滋味", "taste"),
        ("葉底 (10%)", "infused_leaf"),
        ("水色", "liquor_colour"),
        ("余韻", "finish"),
        ("香り", "liquor_aroma"),
    ],
)
def test_a_stage_is_found_as_buyers_write_it(text: str, key: str) -> None:
    found = find_stage(text)

    assert found == stage(key)


@pytest.mark.parametrize("text", ["", "Overall", "Lot", "Price", "7", "Höhe m", "Floral", "date after roast"])
def test_what_is_no_stage_is_none(text: str) -> None:
    assert find_stage(text) is None


@pytest.mark.parametrize(("text", "sure"), [("Liquor", False), ("Liquor colour", True), ("Aroma", False)])
def test_words_used_for_several_stages_are_not_sure(text: str, sure: bool) -> None:
    reading = read_stage(text)

    assert reading is not None
    assert reading.sure is sure


@given(st.text())
def test_any_text_gives_a_stage_or_none(text: str) -> None:
    assert find_stage(text) in (None, *STAGES)


@given(
    st.sampled_from([word for each in STAGES for word in each.says]), st.sampled_from([str.upper, str.title])
)
def test_case_and_surrounding_space_do_not_matter(word: str, recase: object) -> None:
    assert callable(recase)

    assert find_stage(f"  {recase(word)} ") == find_stage(word)


def test_a_sitting_takes_six_to_eight_cups_for_differences_and_ten_to_twelve_for_ranking() -> None:
    difference, ranking = sitting_limit("difference"), sitting_limit("ranking")

    assert (difference.cups_usual, difference.cups_most) == (6, 8)
    assert (ranking.cups_usual, ranking.cups_most) == (10, 12)
    assert sitting_limit("first_pass").cups_most > ranking.cups_most


def test_every_limit_says_why_and_from_where() -> None:
    for limit in SITTING_LIMITS.values():
        assert limit.why
        assert limit.ground.source


def test_too_many_cups_are_told_with_the_reason() -> None:
    message = too_many_cups("difference", 9)

    assert message is not None
    assert "9 cups" in message
    assert too_many_cups("difference", 8) is None


def test_an_unknown_purpose_names_the_known_ones() -> None:
    with pytest.raises(BadInput, match="ranking"):
        sitting_limit("contest")


def test_there_are_three_answers_and_no_step_says_buy() -> None:
    assert [answer.value for answer in Answer] == ["yes", "no", "can't tell"]
    assert Answer.CANT_TELL.said == "can't tell yet"
    assert [step.value for step in NextStep] == [
        "nothing here stands against buying",
        "taste again",
        "ask the producer",
        "leave",
    ]
