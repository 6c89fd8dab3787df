"""Origins by name and script, and the areas that hold several."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.origins import ORIGINS, find_origin, find_place, is_only_a_place, origins_of


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Lugu, Nantou", "lugu"),
        ("鹿谷", "lugu"),
        ("Dong-Ding", "lugu"),
        ("Meishan", "alishan"),
        ("阿里山", "alishan"),
        ("Yuchi", "sun_moon_lake"),
        ("Upper Fields, Darjeeling, India", "darjeeling"),
        ("武夷山", "wuyi"),
        ("Nuwara-Eliya", "nuwara_eliya"),
        ("静岡", "shizuoka"),
        ("Bảo Lộc", "lam_dong"),
        ("lugu", "lugu"),
        ("Mengku, Lincang", "fengqing"),
    ],
)
def test_a_district_is_found_by_any_name(text: str, key: str) -> None:
    found = find_origin(text)

    assert found is not None
    assert found.key == key


@pytest.mark.parametrize("text", ["Nantou", "Yunnan", "Fujian", "Zhejiang", "Ceylon", "Taiwan"])
def test_an_area_or_a_country_is_no_district(text: str) -> None:
    place = find_place(text)

    assert place.origin is None
    assert place.country is not None


@pytest.mark.parametrize("text", ["", "Upper Saddleback", "Paris", "picked in May", "best in class"])
def test_what_is_no_known_place_is_none(text: str) -> None:
    place = find_place(text)

    assert (place.origin, place.country, place.candidates) == (None, None, ())


def test_two_districts_in_one_text_are_candidates() -> None:
    place = find_place("Menghai or Lincang")

    assert place.origin is None
    assert {origin.key for origin in place.candidates} == {"menghai", "fengqing"}
    assert place.country == "China"


def test_taiwan_districts_have_the_elevations_of_the_trade_pages() -> None:
    """Trade and estate pages: Alishan 800 to 1,800 m, Shanlinxi 1,100 to 1,800, Dayuling 2,100 to 2,400."""
    bands = {key: (ORIGINS[key].elevation_m_min, ORIGINS[key].elevation_m_max) for key in ORIGINS}

    assert bands["alishan"] == (800, 1800)
    assert bands["shanlinxi"] == (1100, 1800)
    assert bands["dayuling"] == (2100, 2400)


def test_season_words_do_not_fit_near_and_south_of_the_equator() -> None:
    without = {key for key, origin in ORIGINS.items() if not origin.uses_season_words}

    assert {"kericho", "thyolo", "west_java", "uva", "cameron"} <= without
    assert not {"lugu", "darjeeling", "shizuoka"} & without


def test_a_name_with_more_than_a_place_is_not_only_a_place() -> None:
    assert is_only_a_place("鹿谷 Lugu, Taiwan")
    assert not is_only_a_place("Crane Step Dong Ding")
    assert not is_only_a_place("")


@given(st.text())
def test_any_text_gives_a_place_that_agrees_with_itself(text: str) -> None:
    place = find_place(text)

    assert place.origin is None or place.origin.country == place.country
    assert all(origin in origins_of(origin.country) for origin in place.candidates)
