"""A lot typed in one line becomes facts, and what was inferred is told."""

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.onelines import read_line

TODAY = dt.date(2026, 5, 2)  # a Saturday


def test_the_line_of_the_manual_is_read_whole() -> None:
    line = read_line(
        "Lugu, qingxin, 18 Apr, 750 m, medium roast, 1200 NT$/jin, 18 kg, till 22 May", today=TODAY
    )

    assert (line.facts.place, line.facts.cultivar, line.facts.roast) == ("Lugu", "qingxin", "medium")
    assert line.facts.harvest_span == (dt.date(2026, 4, 18), dt.date(2026, 4, 18))
    assert line.facts.elevation_m == (750, 750)
    assert line.price is not None
    assert (line.price.amount, line.price.currency, line.price.per_g) == (Decimal(1200), "TWD", Decimal(600))
    assert line.facts.available_grams == Decimal(18000)
    assert line.offer_until == dt.date(2026, 5, 22)
    assert line.unread == ()


def test_the_order_of_the_parts_is_free() -> None:
    line = read_line("18 kg; 750 m; till 22 May; qingxin; Lugu; 1200 NT$/jin; 18 Apr", today=TODAY)

    assert (line.facts.place, line.facts.cultivar) == ("Lugu", "qingxin")
    assert line.facts.available_grams == Decimal(18000)
    assert line.unread == ()


def test_a_name_holding_a_place_stays_a_name() -> None:
    line = read_line("Crane Step Dong Ding, Lugu, Nantou, 600-700m", today=TODAY)

    assert (line.facts.name, line.facts.place) == ("Crane Step Dong Ding", "Lugu, Nantou")
    assert line.facts.elevation_m == (600, 700)


def test_commas_inside_numbers_do_not_divide() -> None:
    line = read_line("Moosgrund grün, 03.05.2025, 84,50 €/kg, 12,5 kg, NT", today=TODAY)

    assert line.price is not None
    assert line.price.amount == Decimal("84.50")
    assert line.facts.available_grams == Decimal("12500")
    assert line.facts.harvest_from == dt.date(2025, 5, 3)


def test_a_line_in_chinese_is_read() -> None:
    line = read_line("鹿谷，青心，4月18日，750公尺，中焙火，NT$1200/斤，18公斤", today=TODAY)

    assert (line.facts.place, line.facts.cultivar, line.facts.roast) == ("鹿谷", "青心", "中")
    assert line.facts.available_grams == Decimal(18000)
    assert line.facts.harvest_from == dt.date(2026, 4, 18)


def test_a_jin_is_600_grams_in_taiwan_and_500_on_the_mainland() -> None:
    """Common practice."""
    taiwan = read_line("Lugu, 10 jin", today=TODAY)
    mainland = read_line("Anxi, 10 jin", today=TODAY)
    nowhere = read_line("Crane Step, 10 jin", today=TODAY)

    assert taiwan.facts.available_grams == Decimal(6000)
    assert mainland.facts.available_grams == Decimal(5000)
    assert nowhere.facts.available_grams is None
    assert "say which" in nowhere.to_confirm[0]


def test_a_day_without_a_year_is_the_last_one_and_is_told() -> None:
    line = read_line("Lugu, 20 Nov", today=TODAY)

    assert line.facts.harvest_from == dt.date(2025, 11, 20)
    assert "year was not said" in line.to_confirm[0]


def test_an_offer_without_a_year_ends_on_the_next_such_day() -> None:
    line = read_line("Lugu, till 3 Jan", today=TODAY)

    assert line.offer_until == dt.date(2027, 1, 3)


def test_hold_till_friday_is_the_next_friday() -> None:
    line = read_line("Lugu, hold till Friday", today=TODAY)

    assert line.offer_until == dt.date(2026, 5, 8)
    assert "2026-05-08" in line.to_confirm[0]


def test_an_ambiguous_day_is_asked_and_never_guessed() -> None:
    line = read_line("9/4/25, Alishan", today=TODAY)

    assert line.facts.harvest_from is None
    assert line.unread == ("9/4/25",)
    assert "month as a word" in line.to_confirm[0]


def test_smallest_order_and_stock_are_told_apart() -> None:
    line = read_line("Ridge, Darjeeling, moq 5kg, 60 kg, £38.50/kg", today=TODAY)

    assert (line.facts.moq_grams, line.facts.available_grams) == (Decimal(5000), Decimal(60000))


@pytest.mark.parametrize(
    ("part", "field", "value"),
    [
        ("first flush", "season", "first flush"),
        ("25% oxidation", "oxidation", "25%"),
        ("unroasted", "roast", "unroasted"),
        ("oolong", "tea_class", "oolong"),
        ("roasted 28 April 2026", "roast_date", dt.date(2026, 4, 28)),
        ("maker: Old Mill", "producer", "Old Mill"),
    ],
)
def test_single_parts_find_their_fact(part: str, field: str, value: object) -> None:
    line = read_line(f"Crane Step, {part}", today=TODAY)

    assert getattr(line.facts, field) == value
    assert line.unread == ()


def test_what_is_not_understood_is_kept_and_told() -> None:
    line = read_line("Crane Step, Lugu, very nice", today=TODAY)

    assert line.unread == ("very nice",)
    assert line.facts.name == "Crane Step"


def test_an_empty_line_gives_no_facts() -> None:
    line = read_line("  ", today=TODAY)

    assert line.parts == ()


@given(st.text())
def test_any_line_is_read_without_losing_a_part(text: str) -> None:
    line = read_line(text, today=TODAY)

    assert all(part.text in text for part in line.parts)
    assert set(line.unread) <= {part.text for part in line.parts}
