"""A lot typed in one line becomes facts, and what was inferred is told."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetleaf.trade.errors import BadInput
from wetleaf.trade.onelines import read_line
from wetleaf.trade.onelines_forms import is_glue

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


def test_a_line_without_commas_is_cut_where_its_facts_stand() -> None:
    line = read_line("Bai mu dan 2026 spring Fuding ¥320/jin 15kg", today=TODAY)

    assert (line.facts.name, line.facts.place, line.facts.tea_class) == ("Bai mu dan", "Fuding", "Bai mu dan")
    assert (line.facts.season, line.facts.harvest_year) == ("2026 spring", 2026)
    assert line.price is not None
    assert (line.price.amount, line.price.currency, line.price.per_g) == (Decimal(320), "CNY", Decimal(500))
    assert line.facts.available_grams == Decimal(15000)
    assert line.unread == ()


def test_the_manuals_line_says_the_same_without_its_commas() -> None:
    said = "Lugu, qingxin, 18 Apr, 750 m, medium roast, 1200 NT$/jin, 18 kg, till 22 May"

    apart, together = (read_line(text, today=TODAY) for text in (said, said.replace(",", "")))

    assert together.facts.name == "Lugu qingxin"
    assert replace(together.facts, name="") == apart.facts
    assert (together.price, together.offer_until) == (apart.price, apart.offer_until)


def test_who_made_it_is_no_name_of_the_tea() -> None:
    line = read_line("Muzha tieguanyin, 12 May 2026, 1800 NT$/jin, from Gao", today=TODAY)

    assert (line.facts.name, line.facts.producer) == ("Muzha tieguanyin", "Gao")
    assert (line.facts.place, line.facts.cultivar) == ("Muzha", "tieguanyin")


@pytest.mark.parametrize(
    ("said", "maker"),
    [
        ("Lugu oolong by Mr chen 12 kg", "Mr chen"),
        ("Lugu oolong made by Widow of the Ridge 12 kg", "Widow of the Ridge"),
        ("Lugu oolong 12 kg from Gao & Sons", "Gao & Sons"),
        ("maker: gao 12 kg, Lugu oolong", "gao"),
        ("Wuyi oolong from Lugu, by Friday", ""),
        ("oolong from old trees, from 5 kg", ""),
    ],
)
def test_a_maker_is_somebody_and_no_place_day_or_weight(said: str, maker: str) -> None:
    line = read_line(said, today=TODAY)

    assert line.facts.producer == maker


@pytest.mark.parametrize(
    "said", ["the same as K1 but more roast", "very nice, ask for more", "30% deposit", "5 tins", "?"]
)
def test_words_that_state_nothing_go_to_the_remarks_and_into_no_field(said: str) -> None:
    line = read_line(f"Muzha tieguanyin, {said}", today=TODAY)

    assert line.remarks == said.replace(", ", "; ") or said == "?"
    assert line.facts == read_line("Muzha tieguanyin", today=TODAY).facts


def test_a_remark_does_not_swallow_the_facts_before_it() -> None:
    line = read_line("Lugu qingxin very nice 1200 NT$/jin", today=TODAY)

    assert (line.facts.name, line.remarks) == ("Lugu qingxin", "very nice")
    assert line.price is not None


def test_a_fact_said_twice_is_kept_as_a_remark() -> None:
    line = read_line("Lugu, 18 kg, 20 kg", today=TODAY)

    assert line.facts.available_grams == Decimal(18000)
    assert line.remarks == "20 kg"


def test_a_season_at_the_head_of_a_name_stays_in_it() -> None:
    line = read_line("Winter Mist oolong 2025 Alishan", today=TODAY)

    assert (line.facts.name, line.facts.harvest_year, line.facts.season) == ("Winter Mist oolong", 2025, "")


def test_a_place_that_is_also_a_style_is_not_taken_out_of_a_name() -> None:
    line = read_line("Crane Step Dong Ding 600 m", today=TODAY)

    assert (line.facts.name, line.facts.place) == ("Crane Step Dong Ding", "")


@pytest.mark.parametrize(
    ("written", "first", "last"),
    [
        ("18 Apr 2026", dt.date(2026, 4, 18), dt.date(2026, 4, 18)),
        ("April 18th 2026", dt.date(2026, 4, 18), dt.date(2026, 4, 18)),
        ("the 18th of April 2026", dt.date(2026, 4, 18), dt.date(2026, 4, 18)),
        ("picked 18.4.2026", dt.date(2026, 4, 18), dt.date(2026, 4, 18)),
        ("2026-04-18", dt.date(2026, 4, 18), dt.date(2026, 4, 18)),
        ("2026.04.18", dt.date(2026, 4, 18), dt.date(2026, 4, 18)),
        ("2026年4月18日", dt.date(2026, 4, 18), dt.date(2026, 4, 18)),
        ("18-21 April 2026", dt.date(2026, 4, 18), dt.date(2026, 4, 21)),
        ("18 Apr to 2 May 2026", dt.date(2026, 4, 18), dt.date(2026, 5, 2)),
        ("late April", dt.date(2026, 4, 21), dt.date(2026, 4, 30)),
        ("picked in April 2026", dt.date(2026, 4, 1), dt.date(2026, 4, 30)),
        ("first week of April 2026", dt.date(2026, 4, 1), dt.date(2026, 4, 10)),
        ("end of Apr '26", dt.date(2026, 4, 21), dt.date(2026, 4, 30)),
    ],
)
@pytest.mark.parametrize("frame", ["Crane Step, {}, 12 kg", "Crane Step {} 12 kg", "{} Crane Step 12 kg"])
def test_a_day_of_picking_is_read_wherever_it_stands(
    frame: str, written: str, first: dt.date, last: dt.date
) -> None:
    line = read_line(frame.format(written), today=TODAY)

    assert line.facts.harvest_span == (first, last)
    assert (line.facts.name, line.facts.available_grams, line.unread) == ("Crane Step", Decimal(12000), ())


def test_a_month_in_small_letters_is_a_word_first() -> None:
    line = read_line("Crane Step, ask if it may keep", today=TODAY)

    assert (line.facts.harvest_precision, line.remarks) == ("", "ask if it may keep")


def test_a_letter_is_refused() -> None:
    with pytest.raises(BadInput, match="too long to be read as one lot"):
        read_line("a tea " * 400, today=TODAY)


# Facts as they are typed, each with the field it belongs to; none of them holds another.
_FACTS = {
    "place": ("Lugu", "Fuding", "Alishan"),
    "harvest": ("18 Apr 2026", "spring 2026", "late April", "2025-11-20"),
    "elevation": ("750 m", "1,200-1,400 m", "4600 ft"),
    "price": ("1200 NT$/jin", "RMB 320/500g", "38 EUR per kg", "£40/kg"),
    "available": ("18 kg", "500g", "3 x 2 kg"),
    "roast": ("medium roast", "unroasted", "heavy charcoal roast"),
    "maker": ("from Gao", "by Widow Terrace"),
    "offer until": ("till 22 May", "hold till 30 May"),
    "smallest order": ("min 2 kg", "moq 5kg"),
}


@settings(deadline=None, max_examples=60)
@given(
    chosen=st.fixed_dictionaries({name: st.sampled_from(ways) for name, ways in _FACTS.items()}),
    order=st.permutations(sorted(_FACTS)),
    most=st.integers(1, len(_FACTS)),
    comma=st.sampled_from([" ", ", ", "; ", "  "]),
)
def test_facts_in_any_order_and_with_any_sign_between_are_each_read_once(
    chosen: dict[str, str], order: list[str], most: int, comma: str
) -> None:
    wanted = order[:most]
    text = comma.join(["Crane Step", *(chosen[name] for name in wanted)])

    line = read_line(text, today=TODAY)

    read = {part.read_as: part.text for part in line.parts}
    assert line.facts.name in ("Crane Step", f"Crane Step {chosen['place']}")
    assert {name: read.get(name) for name in wanted} == {name: chosen[name] for name in wanted}
    assert line.unread == ()


_WORDS = (
    "Bai mu dan Lugu 18 Apr 2026 750 m kg 15kg ¥320/jin from by Gao at till the same roast medium oolong may "
    "1200 NT$ / jin 12,5 % - , ; maker: name: 半 斤 青心 春 ( ) ? first week of"
)


@settings(deadline=None)
@given(st.lists(st.sampled_from(_WORDS.split()), max_size=10))
def test_no_word_of_a_line_is_lost_but_what_holds_others_together(words: list[str]) -> None:
    text = " ".join(words)

    line = read_line(text, today=TODAY)

    told = " ".join(part.text for part in line.parts)
    lost = [word for word in text.replace(",", " ").replace(";", " ").split() if word not in told]
    assert all(is_glue(word) for word in lost)


@given(st.text())
def test_any_line_is_read_without_losing_a_part(text: str) -> None:
    line = read_line(text[:1000], today=TODAY)

    assert all(part.text in text for part in line.parts)
    assert set(line.unread) <= {part.text for part in line.parts}
