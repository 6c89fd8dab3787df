"""The letters to producers: the same blanks in every language, marked where nobody checked them."""

import re
from pathlib import Path

import pytest

from wetleaf.trade import tables
from wetleaf.trade.errors import BadInput
from wetleaf.trade.facts import Doubt, LotFacts
from wetleaf.trade.provenance import check_lot
from wetleaf.trade.questions import (
    LANGUAGES,
    QUESTIONS,
    UNCHECKED,
    blanks_of,
    language_of,
    letter,
    question,
)

FOLDER = Path(tables.__file__).parent
LOT = LotFacts(name="Crane Step oolong", place="Lugu", elevation_m_min=1600, season="spring")


@pytest.mark.parametrize("key", sorted(QUESTIONS))
def test_a_question_has_the_same_blanks_in_every_language(key: str) -> None:
    sentences = QUESTIONS[key]

    assert set(sentences) == set(LANGUAGES)
    assert len({blanks_of(sentence) for sentence in sentences.values()}) == 1
    assert all(sentence.strip() for sentence in sentences.values())


def test_traditional_and_simplified_are_written_in_their_own_signs() -> None:
    traditional = "".join(sentences["zh_hant"] for sentences in QUESTIONS.values())
    simplified = "".join(sentences["zh_hans"] for sentences in QUESTIONS.values())

    assert not set("请问么这为时产们发项") & set(traditional)
    assert not set("請問麼這為時產們發項") & set(simplified)


def test_every_question_the_checks_ask_is_written_and_every_one_written_is_asked() -> None:
    prefixes = "ask|elevation|harvest|season|year|cultivar|roast|class|oxidation|moq|claim"
    source = "".join(
        (FOLDER / name).read_text(encoding="utf-8")
        for name in ("gaps.py", "fact_doubts.py", "cultivar_doubts.py", "lot_claims.py", "lot_claims.toml")
    )
    asked = set(re.findall(rf'"((?:{prefixes})_[a-z0-9_]+)"', source)) - {"roast_date", "moq_grams"}

    assert asked | {"twin"} == set(QUESTIONS)


def test_a_letter_greets_numbers_its_questions_and_thanks() -> None:
    doubts = check_lot(LOT)

    text = letter(doubts, "en", "Crane Step", producer="Crane Step House", signed="A. Buyer")

    assert text.startswith("Dear Crane Step House,")
    assert [int(number) for number in re.findall(r"^(\d+)\. ", text, re.M)] == list(range(1, len(doubts) + 1))
    assert "Thank you" in text
    assert text.endswith("A. Buyer")
    assert UNCHECKED not in text


@pytest.mark.parametrize("language", ["zh_hant", "zh_hans", "ja"])
def test_a_translated_letter_says_that_nobody_checked_it(language: str) -> None:
    text = letter(check_lot(LOT), language, "Crane Step")

    assert not LANGUAGES[language].checked
    assert UNCHECKED in text.splitlines()[-1]


def test_seasons_and_classes_are_said_in_the_language_of_the_letter() -> None:
    doubt = Doubt(
        "doubt",
        "harvest",
        "",
        "",
        "",
        "harvest_outside_season",
        {"harvest": "2026-05-25", "season": "winter"},
    )

    assert "冬茶" in question(doubt, "zh_hant")
    assert "winter" in question(doubt, "en")


def test_no_blank_is_left_open_by_the_checks() -> None:
    for doubt in check_lot(LOT):
        for language in LANGUAGES:
            assert "{" not in question(doubt, language)


def test_a_producers_braces_are_text_and_never_a_template() -> None:
    doubt = Doubt("gap", "roast", "", "", "", "ask_roast_date", {"roast": "{harvest.__class__} %s"})

    assert "{harvest.__class__} %s" in question(doubt, "en")


def test_nothing_to_ask_is_no_letter() -> None:
    assert letter((), "en", "Crane Step") == ""


def test_the_same_question_is_asked_once() -> None:
    doubt = check_lot(LOT)[0]

    assert letter((doubt, doubt), "en", "Crane Step").count("1. ") == 1
    assert "2. " not in letter((doubt, doubt), "en", "Crane Step")


@pytest.mark.parametrize(
    ("country", "key"), [("Taiwan", "zh_hant"), ("China", "zh_hans"), ("Japan", "ja"), (None, "en")]
)
def test_a_producer_is_written_to_in_the_language_of_the_country(country: str | None, key: str) -> None:
    assert language_of(country).key == key


def test_an_unknown_language_names_the_known_ones() -> None:
    with pytest.raises(BadInput, match="zh_hant"):
        letter(check_lot(LOT), "fr", "Crane Step")
