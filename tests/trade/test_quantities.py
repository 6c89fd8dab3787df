"""Units against NIST SP 811 (2008), appendix B.8: pound 0.453 592 37 kg, ounce 28.349 52 g, foot 0.3048 m."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.quantities import grams_in, parse_degree, parse_elevation, parse_weight, place_in


def test_a_jin_is_600_grams_in_taiwan() -> None:
    # common practice
    assert grams_in("jin", "TW") == 600


def test_a_jin_is_500_grams_on_the_mainland() -> None:
    # common practice
    assert grams_in("jin", "CN") == 500


def test_a_jin_in_no_place_is_asked_for() -> None:
    reading = parse_weight("10 jin")

    assert reading.value is None
    assert reading.noticed == ("ambiguous_jin",)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("2 kg", "2000"),
        ("600g", "600"),
        ("1 lb", "453.59237"),
        ("1 oz", "28.349523125"),
        ("10 jin", "6000"),
        ("5 台斤", "3000"),
        ("2 x 5 kg", "10000"),
        ("半斤", "300"),
        ("1 liang", "37.5"),
        ("2 市斤", "1000"),
        ("12 kilos", "12000"),
    ],
)
def test_a_weight_is_read_in_grams(text: str, grams: str) -> None:
    reading = parse_weight(text, place="TW")

    assert reading.value is not None
    assert reading.value.grams == Decimal(grams)


def test_chests_have_no_weight() -> None:
    assert parse_weight("3 chests", header_unit="kg").value is None


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("800m", 800),
        ("4,600 ft", 1402),
        ("6,200 ft", 1890),
        ("1.250", 1250),
        ("1850 masl", 1850),
        ("640 m ü. M.", 640),
    ],
)
def test_an_elevation_is_read_in_metres(text: str, metres: int) -> None:
    reading = parse_elevation(text, header_unit="m")

    assert reading.value is not None
    assert reading.value.m == metres


@pytest.mark.parametrize("text", ["14000", "-5 m", "12,000 ft"])
def test_no_tea_grows_there(text: str) -> None:
    assert parse_elevation(text, header_unit="m").noticed == ("implausible_elevation",)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("light-med", "light-medium"),
        ("Medium roast", "medium"),
        ("heavy, re-roasted 2024", "heavy"),
        ("無", "none"),
        ("輕焙火", "light"),
        ("unroasted", "none"),
        ("mittel", "medium"),
        ("charcoal", "charcoal"),
    ],
)
def test_a_degree_in_words_is_one_word(text: str, word: str) -> None:
    reading = parse_degree(text)

    assert reading.value is not None
    assert reading.value.word == word


def test_a_percentage_above_100_is_refused() -> None:
    assert parse_degree("150%").noticed == ("implausible_percent",)


def test_a_text_that_speaks_of_two_countries_tells_none() -> None:
    assert place_in("Darjeeling, Nantou") == ""


@given(st.text(max_size=25))
def test_no_text_breaks_the_readers(text: str) -> None:
    for reading in (parse_weight(text, place="TW"), parse_elevation(text), parse_degree(text)):
        assert reading.value is not None or reading.noticed
