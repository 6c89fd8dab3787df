from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.numbers import decimal_mark_of, is_missing_mark, parse_number, plain_number


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("3,5", "3.5"),
        ("1.120,00", "1120.00"),
        ("1,120.50", "1120.50"),
        ("1'200", "1200"),
        ("1 250", "1250"),
        ("½", "0.5"),
        ("1½", "1.5"),
        ("7 1/2", "7.5"),
        ("１２００", "1200"),
        ("-40,00", "-40.00"),
        (".5", "0.5"),
        ("1,234,567", "1234567"),
    ],
)
def test_a_number_is_read_however_it_is_written(text: str, value: str) -> None:
    number = parse_number(text)

    assert number is not None
    assert number.value == Decimal(value)


def test_a_lone_group_of_three_is_marked_as_ambiguous_and_the_column_settles_it() -> None:
    alone, english, german = plain_number("1,250"), plain_number("1,250", "."), plain_number("1,250", ",")

    assert alone.noticed == ("ambiguous_number",)
    assert (english.value, german.value) == (Decimal(1250), Decimal("1.250"))


def test_a_column_that_contradicts_itself_has_no_decimal_mark() -> None:
    assert decimal_mark_of(["3,5", "3.5"]) == ""


@pytest.mark.parametrize("text", ["6..5", "good", "", "-", "9/"])
def test_what_is_no_number_is_not_made_one(text: str) -> None:
    number = parse_number(text)

    assert number is None or number.unit != ""


def test_ranges_bounds_and_doubts_are_kept_apart() -> None:
    span, bound, doubt, about, share = map(parse_number, ("6-7", ">9", "6?", "c. 400m", "3/10"))

    assert span is not None and (span.value, span.lower, span.upper) == (None, Decimal(6), Decimal(7))  # noqa: PT018
    assert bound is not None and bound.bound == "above"  # noqa: PT018
    assert doubt is not None and doubt.doubtful  # noqa: PT018
    assert about is not None and about.approximate and about.unit == "m"  # noqa: PT018
    assert share is not None and share.out_of == Decimal(10)  # noqa: PT018


@pytest.mark.parametrize("mark", ["-", "n/a", "x", "?", "not tasted", "無", "K.A."])
def test_a_mark_for_no_value_is_known(mark: str) -> None:
    assert is_missing_mark(mark)


def test_a_word_is_no_mark_for_no_value() -> None:
    assert not is_missing_mark("good")


@given(st.decimals(min_value=0, max_value=99999, places=2))
def test_any_amount_survives_english_and_german_writing(amount: Decimal) -> None:
    english = f"{amount:,.2f}"
    german = english.translate(str.maketrans(",.", ".,"))

    assert plain_number(english).value == amount
    assert plain_number(german).value == amount


@given(st.text(max_size=30))
def test_no_text_breaks_the_reader(text: str) -> None:
    number = parse_number(text)

    assert number is None or number.value is not None or number.lower is not None
