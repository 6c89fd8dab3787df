"""A remark is read into phrases: nothing is added, nothing is moved to a stage that was not named."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.wording.counting import count_phrases
from wetleaf.wording.phrases import Phrase, phrase_key, read_phrases


def texts(remark: str) -> list[str]:
    return [phrase.text for phrase in read_phrases(remark)]


def placed(remark: str) -> dict[str, str]:
    return {phrase.text: phrase.stage for phrase in read_phrases(remark)}


def absent(remark: str) -> list[str]:
    return [phrase.text for phrase in read_phrases(remark) if phrase.absent]


def strengths(remark: str) -> dict[str, int | None]:
    return {phrase.text: phrase.strength for phrase in read_phrases(remark)}


def test_a_stage_named_before_a_colon_holds_until_the_stop() -> None:
    remark = "Wet leaf: peas, butter. Some grass"

    said = placed(remark)

    assert said == {"peas": "wet_leaf", "butter": "wet_leaf", "grass": ""}


def test_several_stages_in_one_sentence_each_hold_until_the_next() -> None:
    said = placed("wet leaf peas taste: thin; finish: short")

    assert said == {"peas": "wet_leaf", "thin": "taste", "short": "finish"}


def test_a_stage_may_be_named_without_a_colon_or_after_what_is_said() -> None:
    said = placed("Dry leaf of greengage. Satiny, with a lengthy finish. Peas on the wet leaf")

    assert said == {"greengage": "dry_leaf", "Satiny": "", "lengthy": "finish", "Peas": "wet_leaf"}


@pytest.mark.parametrize("remark", ["liq thin", "liquor: thin", "Cup thin"])
def test_liquor_could_be_its_colour_aroma_or_taste_so_it_names_no_stage(remark: str) -> None:
    said = read_phrases(remark)

    assert [phrase.stage for phrase in said] == [""]
    assert said[0].text == remark


def test_a_word_that_also_describes_is_no_stage_without_a_colon() -> None:
    assert placed("dry and thin, warm chestnut") == {"dry": "", "thin": "", "warm chestnut": ""}
    assert placed("dry: peas") == {"peas": "dry_leaf"}


def test_the_remark_s_own_stage_is_kept_unless_the_words_name_another() -> None:
    said = read_phrases("peas, butter. Finish: long", "wet_leaf")

    assert [(p.text, p.stage) for p in said] == [
        ("peas", "wet_leaf"),
        ("butter", "wet_leaf"),
        ("long", "finish"),
    ]


@pytest.mark.parametrize(
    ("remark", "missed"),
    [
        ("no smoke", ["smoke"]),
        ("not a trace of smoke", ["smoke"]),
        ("no smoke or ash, honey", ["smoke", "ash"]),
        ("neither peas nor butter", ["peas", "butter"]),
        ("no smoke and a long finish", ["smoke"]),
        ("There's no grass left in it", ["grass"]),
        ("I can't find any smoke", ["smoke"]),
        ("The roast is gone", ["roast"]),
        ("kein Rauch, ohne Bitterkeit", ["Rauch", "Bitterkeit"]),
        ("不苦。沒有煙味", ["煙味"]),
    ],
)
def test_what_is_denied_is_kept_apart(remark: str, missed: list[str]) -> None:
    assert absent(remark) == missed


@pytest.mark.parametrize(
    "remark", ["not very sweet", "not as sweet as last year", "not bad", "Hillside no. 4", "noble"]
)
def test_a_degree_a_comparison_or_a_number_is_no_denial(remark: str) -> None:
    said = read_phrases(remark)

    assert [phrase.text for phrase in said] == [remark]
    assert not said[0].absent


def test_words_of_degree_become_a_strength_and_the_thing_stays_as_written() -> None:
    said = strengths("a hint of peas, a little butter, quite sweet, very strong roast, strong cocoa, honey")

    assert said == {"peas": 1, "butter": 2, "sweet": 3, "roast": 5, "cocoa": 4, "honey": None}


def test_numbers_times_and_verdicts_are_no_words() -> None:
    assert texts("3 g / 150 ml, 5 min. 95 C. Liking 6, keep. n/a. No.") == []


def test_and_joins_two_things_and_a_decimal_comma_joins_none() -> None:
    assert texts("peas and butter, honey with malt") == ["peas", "butter", "honey", "malt"]
    assert texts("1,5 g of peas") == ["1,5 g of peas"]


@pytest.mark.parametrize("remark", ["", "   ", ":::", "...", "!?", "and", "no", "、、", "wet leaf:", "liq."])
def test_a_remark_that_says_nothing_gives_no_phrase_or_only_its_own_word(remark: str) -> None:
    assert all(phrase.text in remark for phrase in read_phrases(remark))
    assert len(read_phrases(remark)) <= 1


def test_phrases_are_counted_by_person_in_one_case_without_articles() -> None:
    said = [("Ada", p) for p in read_phrases("Peas. a hint of smoke")]
    said += [("Ben", p) for p in read_phrases("the peas, no smoke")]
    said += [("Ben", p) for p in read_phrases("peas")]

    counted = count_phrases(said)

    assert (counted[0].text, counted[0].said_by, counted[0].times) == ("peas", 2, 3)
    assert [(one.text, one.absent, one.strength) for one in counted[1:]] == [
        ("smoke", False, 1),
        ("smoke", True, None),
    ]


def test_the_key_forgets_case_and_article_only() -> None:
    assert phrase_key("The Orange-Peel") == "orange peel"
    assert phrase_key("pea") != phrase_key("peas")


# Words, marks and signs as they stand in notes, thrown together in any order.
_SCRAPS = st.sampled_from(
    [
        "wet leaf:",
        "liq",
        "no",
        "not a trace of",
        "very",
        "a hint of",
        "peas",
        "butter",
        "and",
        "or",
        ",",
        ". ",
        "; ",
        ": ",
        "finish",
        "long",
        "is gone",
        "at all",
        "3 g",
        "沒有",
        "焼き栗",
        "、",
        "the",
        "with",
        "/",
        "-",
        "(",
        ")",
        "'",
        "no.",
        "4",
        "isn't",
        "I can't find any",
        "nothing",
    ]
)
_REMARKS = st.one_of(st.text(max_size=60), st.lists(_SCRAPS, max_size=14).map(" ".join))


@given(_REMARKS)
def test_nothing_is_invented_every_phrase_is_a_part_of_the_remark(remark: str) -> None:
    said = read_phrases(remark)

    assert all(phrase.text and remark[phrase.start : phrase.end] == phrase.text for phrase in said)


@given(_REMARKS)
def test_phrases_stand_in_order_and_never_overlap(remark: str) -> None:
    said = read_phrases(remark)

    assert all(one.end <= later.start for one, later in itertools.pairwise(said))


@given(_REMARKS, st.sampled_from(["", "finish"]))
def test_strengths_are_1_to_5_and_an_absent_thing_has_none(remark: str, stage: str) -> None:
    said: tuple[Phrase, ...] = read_phrases(remark, stage)

    assert all(phrase.strength in (None, 1, 2, 3, 4, 5) for phrase in said)
    assert all(phrase.strength is None for phrase in said if phrase.absent)


def test_the_same_word_at_two_stages_can_be_counted_once() -> None:
    said = [("Ada", phrase) for phrase in read_phrases("wet leaf: peas. taste: peas")]

    assert [(one.stage, one.text) for one in count_phrases(said)] == [("wet_leaf", "peas"), ("taste", "peas")]
    assert [(one.stage, one.times) for one in count_phrases(said, by_stage=False)] == [("", 2)]


def test_a_bare_liquor_is_the_colour_when_its_look_is_told() -> None:
    phrases = read_phrases("liquor: pale gold, clear. taste: pear")

    assert [(phrase.text, phrase.stage) for phrase in phrases] == [
        ("pale gold", "liquor_colour"),
        ("clear", "liquor_colour"),
        ("pear", "taste"),
    ]


def test_a_bare_liquor_of_which_no_look_is_told_names_no_stage() -> None:
    phrases = read_phrases("liquor: thin")

    assert [phrase.stage for phrase in phrases] == [""]
