"""The check of a lot's facts: gaps by weight, doubts with what they rest on, silence on ordinary lots."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.cultivars import CULTIVARS
from wetleaf.trade.facts import Doubt, LotFacts
from wetleaf.trade.origins import ORIGINS
from wetleaf.trade.provenance import check_lot
from wetleaf.trade.questions import LANGUAGES, question
from wetleaf.trade.seasons import SEASON_WINDOWS

TODAY = dt.date(2026, 11, 24)
# Invented, like every lot in these tests.
ORDINARY = LotFacts(
    code="CS-1",
    name="Crane Step Dong Ding",
    producer="Crane Step",
    place="Lugu, Nantou",
    cultivar="Qingxin",
    tea_class="oolong",
    season="spring",
    harvest_from=dt.date(2026, 4, 18),
    harvest_to=dt.date(2026, 4, 18),
    harvest_precision="day",
    elevation_m_min=750,
    oxidation="25%",
    roast="medium",
    roast_date=dt.date(2026, 5, 8),
    price="NT$1,200/jin",
    moq_grams=Decimal(1000),
    available_grams=Decimal(18000),
    residue_paper=True,
)


def _keys(facts: LotFacts) -> list[str]:
    return [doubt.question_key for doubt in check_lot(facts, today=TODAY)]


def _one(facts: LotFacts, key: str) -> Doubt:
    found = [doubt for doubt in check_lot(facts, today=TODAY) if doubt.question_key == key]
    assert len(found) == 1, [doubt.question_key for doubt in check_lot(facts, today=TODAY)]
    return found[0]


def test_an_ordinary_lot_raises_nothing() -> None:
    assert check_lot(ORDINARY, today=TODAY) == ()


@pytest.mark.parametrize(
    "changes",
    [
        {
            "place": "Mingjian",
            "cultivar": "四季春",
            "elevation_m_min": 350,
            "harvest_from": dt.date(2026, 3, 20),
        },
        {"place": "Alishan", "name": "Rail Bend high mountain", "elevation_m_min": 1300, "roast": "none"},
        {"place": "Pinglin", "cultivar": "翠玉", "elevation_m_min": 400, "name": "Tin Gate Baozhong"},
        {"place": "Lishan", "elevation_m_min": 2100, "harvest_from": dt.date(2026, 5, 20), "roast": "light"},
        {"place": "Wuyi", "cultivar": "Rou Gui", "elevation_m_min": 400, "name": "Cinnabar Gully yancha"},
        {"place": "Lam Dong", "cultivar": "Kim Tuyen", "elevation_m_min": 1000, "season": ""},
        {"place": "Doi Mae Salong", "cultivar": "Jin Xuan", "elevation_m_min": 1300},
    ],
    ids=lambda changes: str(changes["place"]),
)
def test_ordinary_oolongs_of_other_districts_raise_no_doubt(changes: dict[str, object]) -> None:
    harvest = changes.get("harvest_from", ORDINARY.harvest_from)
    facts = replace(ORDINARY, **{"name": "Crane Step", "harvest_to": harvest, **changes})
    facts = replace(facts, roast_date=None if facts.roast == "none" else dt.date(2026, 7, 1))

    assert [doubt.what for doubt in check_lot(facts, today=TODAY) if doubt.kind == "doubt"] == []


def test_a_lot_with_nothing_said_lists_its_gaps_by_weight() -> None:
    doubts = check_lot(LotFacts(name="Crane Step"))

    assert {doubt.kind for doubt in doubts} == {"gap"}
    assert [doubt.field for doubt in doubts][:4] == ["harvest", "place", "elevation", "tea_class"]
    assert [doubt.weight for doubt in doubts] == sorted((doubt.weight for doubt in doubts), reverse=True)


@pytest.mark.parametrize(
    ("field", "value", "key"),
    [
        ("cultivar", "", "ask_cultivar"),
        ("cultivar", "n/a", "ask_cultivar"),
        ("elevation_m_min", None, "ask_elevation"),
        ("residue_paper", None, "ask_residue_paper"),
        ("roast", "", "ask_roast"),
        ("roast_date", None, "ask_roast_date"),
        ("oxidation", "", "ask_oxidation"),
        ("price", "", "ask_price"),
        ("available_grams", None, "ask_available"),
        ("moq_grams", None, "ask_smallest_order"),
    ],
)
def test_each_missing_fact_is_a_gap(field: str, value: object, key: str) -> None:
    facts = replace(ORDINARY, **{field: value})

    assert _keys(facts) == [key]
    assert _one(facts, key).kind == "gap"


def test_a_month_is_a_lighter_gap_than_no_harvest_at_all() -> None:
    month = replace(
        ORDINARY,
        harvest_precision="month",
        harvest_text="April 2026",
        harvest_from=dt.date(2026, 4, 1),
        harvest_to=dt.date(2026, 4, 30),
    )
    nothing = replace(ORDINARY, harvest_precision="", harvest_from=None, harvest_to=None, season="")

    assert _one(month, "ask_harvest_day").weight < _one(nothing, "ask_harvest_date").weight


def test_a_harvest_without_its_year_asks_for_the_year() -> None:
    facts = replace(
        ORDINARY,
        harvest_precision="part_of_month",
        harvest_text="late April",
        harvest_from=None,
        harvest_to=None,
    )

    assert _one(facts, "ask_harvest_year").blanks == {"harvest": "late April"}


def test_an_unroasted_oolong_owes_no_roast_date() -> None:
    assert _keys(replace(ORDINARY, roast="none", roast_date=None)) == []


def test_a_green_tea_owes_no_roast() -> None:
    facts = replace(
        ORDINARY,
        name="Walnut Stone sencha",
        place="Uji",
        cultivar="Samidori",
        tea_class="green",
        season="shincha",
        harvest_from=dt.date(2026, 5, 6),
        harvest_to=dt.date(2026, 5, 6),
        elevation_m_min=320,
        oxidation="",
        roast="",
        roast_date=None,
    )

    assert _keys(facts) == []


# --- elevation ---


def test_an_elevation_the_district_does_not_have_is_doubted() -> None:
    """Dong Ding and Lugu lie at 500 to 800 m (from memory): 1,600 m is asked about."""
    doubt = _one(replace(ORDINARY, elevation_m_min=1600), "elevation_outside")

    assert doubt.kind == "doubt"
    assert doubt.blanks == {"elevation": "1600", "place": "Lugu, Nantou", "band": "500–800"}
    assert doubt.source


@pytest.mark.parametrize("metres", [455, 500, 800, 845])
def test_a_figure_near_the_edge_of_the_band_is_let_pass(metres: float) -> None:
    assert _keys(replace(ORDINARY, elevation_m_min=metres)) == []


def test_feet_taken_for_metres_are_recognised() -> None:
    facts = replace(ORDINARY, place="Meishan", elevation_m_min=4600)

    assert "1402 m" in _one(facts, "elevation_feet").why


def test_an_impossible_elevation_is_said_to_be_one() -> None:
    assert _keys(replace(ORDINARY, elevation_m_min=14000)) == ["elevation_impossible"]


def test_an_area_is_checked_against_all_its_districts() -> None:
    fits = replace(ORDINARY, name="Crane Step", place="Nantou", elevation_m_min=1600)
    not_there = replace(fits, elevation_m_min=2500)

    assert "elevation_outside" not in _keys(fits)
    assert "elevation_outside" in _keys(not_there)


@given(st.sampled_from(sorted(ORIGINS)), st.floats(0, 1))
def test_no_elevation_within_a_districts_band_is_doubted(key: str, share: float) -> None:
    origin = ORIGINS[key]
    metres = origin.elevation_m_min + share * (origin.elevation_m_max - origin.elevation_m_min)
    facts = LotFacts(name="Crane Step", origin=key, elevation_m_min=metres)

    doubts = [doubt for doubt in check_lot(facts) if doubt.field == "elevation"]

    assert doubts == []


# --- harvest ---


def test_a_date_outside_the_season_named_is_doubted() -> None:
    """Darjeeling: first flush late February to April (trade pages)."""
    facts = replace(
        ORDINARY,
        name="Ridge",
        place="Darjeeling",
        cultivar="AV2",
        tea_class="black",
        season="first flush",
        elevation_m_min=1700,
        harvest_from=dt.date(2026, 5, 25),
        harvest_to=dt.date(2026, 5, 25),
        oxidation="",
        roast="",
        roast_date=None,
    )

    doubt = _one(facts, "harvest_outside_season")

    assert doubt.blanks == {"harvest": "2026-05-25", "season": "first_flush"}
    assert "second flush" in doubt.why


def test_a_season_may_start_some_days_early() -> None:
    early = replace(ORDINARY, place="Alishan", elevation_m_min=1300, harvest_from=dt.date(2026, 3, 24))

    assert "harvest_outside_season" not in _keys(replace(early, harvest_to=early.harvest_from))


def test_the_season_may_stand_in_the_name_or_the_harvest_column() -> None:
    in_name = replace(ORDINARY, season="", name="Crane Step winter", harvest_to=None)
    in_text = replace(ORDINARY, season="", name="Crane Step", harvest_text="冬茶")

    assert _keys(in_name) == ["harvest_outside_season"]
    assert _keys(in_text) == ["harvest_outside_season"]


def test_a_tea_from_before_qingming_cannot_be_picked_on_15_april() -> None:
    """Qingming falls on 4 to 6 April (from memory)."""
    facts = LotFacts(
        name="Low Lake longjing", place="Hangzhou", season="明前", harvest_from=dt.date(2026, 4, 15)
    )

    assert "6 April" in _one(facts, "harvest_outside_season").why


def test_a_date_when_the_district_does_not_pick_is_doubted() -> None:
    facts = replace(
        ORDINARY,
        place="Lishan",
        season="",
        elevation_m_min=2000,
        roast_date=None,
        roast="none",
        harvest_from=dt.date(2026, 8, 5),
        harvest_to=dt.date(2026, 8, 5),
    )

    assert _keys(facts) == ["harvest_outside_windows"]


def test_a_country_alone_is_checked_against_its_own_seasons() -> None:
    facts = replace(
        ORDINARY,
        name="Crane Step",
        place="Taiwan",
        harvest_from=dt.date(2026, 9, 4),
        roast_date=None,
        harvest_to=dt.date(2026, 9, 4),
        roast="none",
    )

    assert _keys(facts) == ["harvest_outside_season"]


def test_a_harvest_still_to_come_is_doubted_only_when_today_is_known() -> None:
    facts = replace(
        ORDINARY, harvest_from=dt.date(2031, 4, 12), harvest_to=dt.date(2031, 4, 12), roast_date=None
    )

    assert "harvest_future" in _keys(facts)
    assert "harvest_future" not in [doubt.question_key for doubt in check_lot(facts)]


def test_picking_that_ends_before_it_begins_is_doubted() -> None:
    facts = replace(ORDINARY, harvest_from=dt.date(2026, 4, 21), harvest_to=dt.date(2026, 4, 18))

    assert "harvest_backwards" in _keys(facts)


def test_a_name_with_another_year_is_doubted() -> None:
    assert _keys(replace(ORDINARY, name="Crane Step Dong Ding 2024")) == ["year_differs"]
    assert _keys(replace(ORDINARY, name="Crane Step Dong Ding 2026")) == []


def test_spring_in_the_southern_hemisphere_asks_for_the_month() -> None:
    facts = LotFacts(name="Lower Shire black", place="Mulanje, Malawi", season="spring")

    assert _one(facts, "season_word").field == "season"


@given(st.sampled_from(SEASON_WINDOWS), st.integers(0, 400))
def test_no_day_within_its_window_is_doubted(window: object, step: int) -> None:
    starts, season, origin = window.starts, window.season, window.origin  # type: ignore[attr-defined]
    day = dt.date(2023, *starts) + dt.timedelta(days=step)
    if window.days_outside(day):  # type: ignore[attr-defined]
        day = dt.date(2023, *starts)
    facts = LotFacts(name="Crane Step", origin=origin, season=season.name, harvest_from=day)

    keys = [doubt.question_key for doubt in check_lot(facts)]

    assert not {"harvest_outside_season", "harvest_outside_windows"} & set(keys)


# --- cultivar ---


def test_a_cultivar_not_grown_there_is_doubted() -> None:
    doubt = _one(replace(ORDINARY, cultivar="Yabukita"), "cultivar_elsewhere")

    assert doubt.blanks == {"cultivar": "Yabukita", "place": "Lugu, Nantou"}


def test_a_black_tea_cultivar_in_an_oolong_district_is_asked_about_lightly() -> None:
    light = _one(replace(ORDINARY, cultivar="TTES 18"), "cultivar_elsewhere")
    heavy = _one(replace(ORDINARY, cultivar="Yabukita"), "cultivar_elsewhere")

    assert light.weight < heavy.weight


def test_a_cultivar_released_after_the_vintage_is_doubted() -> None:
    """Press, 6 August 2019: TTES 24 released."""
    facts = replace(
        ORDINARY,
        cultivar="台茶24號",
        harvest_from=dt.date(2015, 4, 18),
        harvest_to=dt.date(2015, 4, 18),
        roast_date=dt.date(2015, 5, 1),
    )

    assert _one(facts, "cultivar_too_young").blanks["released"] == "2019"


def test_jin_xuan_from_2300_metres_deserves_a_question() -> None:
    """Trade page: number 12 grows to about 1,600 m."""
    facts = replace(
        ORDINARY,
        place="Dayuling",
        cultivar="金萱",
        elevation_m_min=2300,
        harvest_from=dt.date(2026, 5, 20),
        harvest_to=None,
        roast_date=dt.date(2026, 6, 20),
    )

    assert _keys(facts) == ["cultivar_too_high"]


@pytest.mark.parametrize(
    ("cultivar", "key"), [("TTES #12?", "cultivar_uncertain"), ("Jin Xaun", "cultivar_spelling")]
)
def test_a_guessed_or_misspelt_cultivar_is_asked_about(cultivar: str, key: str) -> None:
    assert _keys(replace(ORDINARY, cultivar=cultivar)) == [key]


def test_an_unknown_cultivar_is_no_doubt() -> None:
    assert _keys(replace(ORDINARY, cultivar="local seedling")) == []


def test_a_name_with_another_cultivar_is_doubted() -> None:
    facts = replace(ORDINARY, name="Crane Step Jin Xuan")

    assert _one(facts, "cultivar_differs").blanks == {"cultivar": "Qingxin", "other": "Jin Xuan"}


@pytest.mark.parametrize("cultivar", ["Tai Nong No. 8", "TTES No. 8"])
def test_the_two_number_eights_are_told_apart(cultivar: str) -> None:
    assert "cultivar_which_8" in _keys(replace(ORDINARY, cultivar=cultivar))


def test_ttes_8_in_a_black_tea_is_ordinary() -> None:
    facts = replace(
        ORDINARY,
        name="Low Pond",
        place="Yuchi",
        cultivar="TTES 8",
        tea_class="black",
        season="",
        elevation_m_min=700,
        harvest_from=dt.date(2026, 6, 10),
        harvest_to=None,
        oxidation="full",
        roast="",
        roast_date=None,
    )

    assert _keys(facts) == []


# --- making, offer, claims ---


def test_no_roast_with_a_roast_date_is_doubted() -> None:
    assert _keys(replace(ORDINARY, roast="none")) == ["roast_none"]


def test_a_roast_before_the_harvest_is_doubted() -> None:
    assert _keys(replace(ORDINARY, roast_date=dt.date(2026, 3, 1))) == ["roast_before"]


def test_a_class_at_odds_with_the_name_is_doubted() -> None:
    assert "class_differs" in _keys(replace(ORDINARY, name="Crane Step black tea"))


def test_oxidation_far_from_what_makers_quote_is_asked_about() -> None:
    facts = replace(ORDINARY, name="Walnut Stone", place="", cultivar="", tea_class="green", oxidation="60 %")

    assert "oxidation_class" in _keys(facts)


@pytest.mark.parametrize("oxidation", ["8", "15-30%", "85 %", "light", ""])
def test_any_oxidation_quoted_for_oolong_is_let_pass(oxidation: str) -> None:
    """Sources for oolong range from 8 to 85 %: never reject a lot on the number."""
    assert "oxidation_class" not in _keys(replace(ORDINARY, oxidation=oxidation))


def test_a_smallest_order_above_what_is_there_is_doubted() -> None:
    facts = replace(ORDINARY, moq_grams=Decimal(20000))

    assert _one(facts, "moq_over_available").blanks == {"moq": "20", "available": "18"}


@pytest.mark.parametrize("words", ["'organic' – no certificate seen", "Bio", "有機栽培", "オーガニック"])
def test_organic_without_a_certificate_is_doubted(words: str) -> None:
    facts = replace(ORDINARY, claims=words)

    assert _keys(facts) == ["claim_organic"]
    assert _keys(replace(facts, organic_certificate=True)) == []


@pytest.mark.parametrize(
    "words", ["not organic", "non-organic", "非有機", "hand picked", "organisation of growers"]
)
def test_what_claims_nothing_organic_is_let_pass(words: str) -> None:
    assert _keys(replace(ORDINARY, claims=words)) == []


@pytest.mark.parametrize(
    ("claims", "says"),
    [("Organic", "'organic': nothing shows it"), ("Bio", "'bio', organic: nothing shows it")],
)
def test_a_claim_is_explained_only_where_its_word_does_not_say_it(claims: str, says: str) -> None:
    assert _one(replace(ORDINARY, claims=claims), "claim_organic").what == says


def test_an_organic_column_that_says_yes_is_a_claim_and_no_is_none() -> None:
    assert _keys(replace(ORDINARY, organic="yes")) == ["claim_organic"]
    assert _keys(replace(ORDINARY, organic="no")) == []


def test_no_pesticide_needs_the_residue_paper() -> None:
    facts = replace(ORDINARY, claims="no pesticide since 2019", residue_paper=None)

    assert _keys(facts) == ["claim_unsprayed", "ask_residue_paper"]
    assert _keys(replace(facts, residue_paper=True)) == []


@pytest.mark.parametrize(
    ("name", "place", "metres", "doubted"),
    [
        ("Crane Step high mountain", "Lugu", 750, True),
        ("高山烏龍", "Lugu", 750, True),
        ("Rail Bend high mountain", "Alishan", 1300, False),
        ("Rail Bend high mountain", "Alishan", 990, False),
        ("Ledge high mountain", "Darjeeling", 900, False),
        ("Upper Division, high grown", "Kandy", 700, True),
        ("Upper Division, high grown", "Dimbula", 1500, False),
    ],
)
def test_high_mountain_and_high_grown_have_their_metres(
    name: str, place: str, metres: float, doubted: bool
) -> None:
    """Trade pages: high mountain in Taiwan from 1,000 m; high grown in Sri Lanka above 1,200 m."""
    facts = LotFacts(name=name, place=place, elevation_m_min=metres)

    assert ("claim_height" in _keys(facts)) is doubted


@pytest.mark.parametrize(
    ("claims", "key"),
    [
        ("old trees, 100 years", "claim_old_or_wild"),
        ("wild-ish plot", "claim_old_or_wild"),
        ("competition leaf", "claim_competition"),
        ("milky, very creamy", "claim_flavour"),
    ],
)
def test_a_claim_that_nothing_shows_is_asked_about(claims: str, key: str) -> None:
    assert _keys(replace(ORDINARY, claims=claims)) == [key]


def test_one_days_picking_with_several_days_is_doubted() -> None:
    several = replace(
        ORDINARY, claims="one day's picking", harvest_to=dt.date(2026, 4, 21), harvest_precision="range"
    )

    assert _keys(several) == ["claim_one_day"]
    assert _keys(replace(ORDINARY, claims="one day's picking")) == []


@given(
    st.builds(
        LotFacts,
        name=st.text(max_size=30),
        place=st.sampled_from(["", "Lugu", "Nantou", "Kenya", "Uva", "somewhere", "安溪"]),
        cultivar=st.sampled_from(["", "?", *(cultivar.name for cultivar in CULTIVARS.values())]),
        season=st.sampled_from(["", "spring", "1st flush", "冬片", "明前"]),
        oxidation=st.text(max_size=8),
        roast=st.sampled_from(["", "none", "heavy"]),
        roast_date=st.none() | st.dates(),
        harvest_from=st.none() | st.dates(),
        harvest_to=st.none() | st.dates(),
        harvest_precision=st.sampled_from(["", "day", "month", "season", "year"]),
        elevation_m_min=st.none() | st.floats(-10, 20000),
        elevation_m_max=st.none() | st.floats(-10, 20000),
        claims=st.text(max_size=30),
        moq_grams=st.none() | st.decimals(0, 1000000, places=1),
        available_grams=st.none() | st.decimals(0, 1000000, places=1),
    )
)
def test_any_facts_give_doubts_that_can_be_asked_in_every_language(facts: LotFacts) -> None:
    for doubt in check_lot(facts, today=TODAY):
        assert doubt.what
        assert doubt.why
        assert doubt.source
        for language in LANGUAGES:
            assert question(doubt, language)
