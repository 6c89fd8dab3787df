from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.money import Price, PriceUnit, currency_in, parse_price, price_unit_in

TAIWAN = PriceUnit("TWD", Decimal(600))


@pytest.mark.parametrize(
    ("text", "currency", "per_kg"),
    [
        ("1200", "TWD", "2000"),
        ("NT$1,140/600g", "TWD", "1900"),
        ("NT$1,560", "TWD", "2600"),
        ("£38.50/kg", "GBP", "38.5"),
        ("RMB 800/斤", "CNY", "1600"),
        ("3000円/100g", "JPY", "30000"),
        ("€17.60 per 100g", "EUR", "176"),
        ("1200元/台斤", "TWD", "2000"),
        ("£9.60 / 50 g", "GBP", "192"),
        ("EUR 40,-/kg", "EUR", "40"),
    ],
)
def test_a_price_is_read_for_a_kilogram(text: str, currency: str, per_kg: str) -> None:
    reading = parse_price(text, header=TAIWAN)

    assert reading.value is not None
    assert (reading.value.currency, reading.value.per_kg) == (currency, Decimal(per_kg))


def test_the_yen_sign_is_asked_about_where_nothing_tells() -> None:
    assert parse_price("¥300/kg").noticed == ("ambiguous_currency",)


@pytest.mark.parametrize(("place", "currency"), [("CN", "CNY"), ("JP", "JPY")])
def test_the_place_tells_what_the_yen_sign_is(place: str, currency: str) -> None:
    reading = currency_in("¥300", place=place)

    assert reading.value == currency
    assert reading.noticed == ("currency_inferred",)


@pytest.mark.parametrize("text", ["-1450", "-NT$300", "(300)"])
def test_a_price_below_zero_is_refused(text: str) -> None:
    assert parse_price(text, header=TAIWAN).noticed == ("negative_price",)


def test_another_currency_does_not_take_the_weight_of_the_head() -> None:
    reading = parse_price("84,50 €", header=TAIWAN)

    assert reading.value is not None
    assert reading.value.per_g is None
    assert "currency_differs_from_header" in reading.noticed


@pytest.mark.parametrize(
    ("head", "currency", "per_g"),
    [
        ("Cost NT$/jin", "TWD", 600),
        ("Preis €/kg", "EUR", 1000),
        ("価格 (円/100g)", "JPY", 100),
        ("Price per 600g (NT$)", "TWD", 600),
    ],
)
def test_a_head_tells_currency_and_weight(head: str, currency: str, per_g: int) -> None:
    unit = price_unit_in(head)

    assert (unit.currency, unit.per_g) == (currency, per_g)


def test_three_decimals_of_a_price_are_thousands() -> None:
    reading = parse_price("1.120", header=PriceUnit("EUR", Decimal(1000)))

    assert reading.value is not None
    assert reading.value.amount == 1120


@given(st.text(max_size=25))
def test_no_text_breaks_the_reader(text: str) -> None:
    reading = parse_price(text, header=TAIWAN)

    assert reading.value is not None or reading.noticed


@pytest.mark.parametrize(
    ("amount", "per_g"),
    [
        ("1e30", "600"),
        ("NaN", "600"),
        ("Infinity", "600"),
        ("1200", "0"),
        ("1200", "NaN"),
        ("1", "1e-999999"),
    ],
)
def test_an_absurd_price_has_no_price_a_kilogram(amount: str, per_g: str) -> None:
    assert Price(Decimal(amount), "TWD", Decimal(per_g)).per_kg is None


@given(st.decimals(), st.decimals())
def test_a_price_a_kilogram_is_a_plain_number_or_none(amount: Decimal, per_g: Decimal) -> None:
    each = Price(amount, "EUR", per_g).per_kg

    assert each is None or each.is_finite()


@given(st.decimals(0, 10**6, places=2), st.integers(1, 10**6))
def test_a_price_a_kilogram_is_the_amount_by_kilograms(amount: Decimal, grams: int) -> None:
    each = Price(amount, "EUR", Decimal(grams)).per_kg

    assert each is not None
    assert abs(each * grams / 1000 - amount) <= Decimal("0.0000005") * grams / 1000 + Decimal("1e-18")
