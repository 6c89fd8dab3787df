"""Seasons and flushes in several languages, and when origins pick."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.seasons import (
    SEASON_WINDOWS,
    SEASONS,
    SOLAR_TERMS,
    find_season,
    pick_day_limits,
    season_of,
    windows_of,
    windows_on,
)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Spring 2025", "spring"),
        ("春茶", "spring"),
        ("春", "spring"),
        ("Frühlingspflückung", "spring"),
        ("printemps 2024", "spring"),
        ("fall 2024", "autumn"),
        ("冬茶", "winter"),
        ("冬片", "winter_sprout"),
        ("winter-spring", "winter_sprout"),
        ("1st flush", "first_flush"),
        ("FF", "first_flush"),
        ("première récolte", "first_flush"),
        ("second flush", "second_flush"),
        ("autumnal", "autumn_flush"),
        ("Shincha", "first_picking"),
        ("一番茶", "first_picking"),
        ("二番茶", "second_picking"),
        ("明前龍井", "pre_qingming"),
        ("spring, pre-Qingming", "pre_qingming"),
        ("before Guyu", "pre_guyu"),
        ("雪片", "snow"),
        ("late summer", "late_summer"),
        ("우전", "ujeon"),
    ],
)
def test_a_season_is_found_in_several_languages(text: str, key: str) -> None:
    found = find_season(text)

    assert found is not None
    assert found.key == key


@pytest.mark.parametrize(
    "text", ["", "Four Seasons Spring", "四季春", "碧螺春", "永春佛手", "spring or winter", "12 May"]
)
def test_names_that_hold_a_seasons_word_are_no_season(text: str) -> None:
    assert find_season(text) is None


@pytest.mark.parametrize(
    ("origin", "day", "key"),
    [
        ("lugu", dt.date(2026, 4, 18), "spring"),
        ("lishan", dt.date(2026, 5, 20), "spring"),
        ("lishan", dt.date(2025, 10, 30), "winter"),
        ("darjeeling", dt.date(2026, 3, 10), "first_flush"),
        ("darjeeling", dt.date(2026, 5, 25), "second_flush"),
        ("darjeeling", dt.date(2026, 8, 1), "monsoon_flush"),
        ("assam", dt.date(2026, 6, 1), "second_flush"),
        ("shizuoka", dt.date(2026, 5, 2), "first_picking"),
        ("shizuoka", dt.date(2026, 6, 15), "second_picking"),
        ("nilgiri", dt.date(2026, 2, 10), "frost"),
    ],
)
def test_the_season_of_a_day_at_an_origin(origin: str, day: dt.date, key: str) -> None:
    """Trade pages (Taiwan, India); slides of the Japanese research body NARO (Shizuoka)."""
    found = season_of(day, origin)

    assert found is not None
    assert found.key == key


def test_no_season_is_named_where_season_words_do_not_fit() -> None:
    assert season_of(dt.date(2026, 4, 18), "thyolo") is None
    assert season_of(dt.date(2026, 8, 1), "uva") is None


def test_no_season_is_named_where_windows_overlap_or_miss() -> None:
    assert season_of(dt.date(2026, 8, 15), "lugu") is None
    assert len(windows_on(dt.date(2026, 8, 15), "lugu")) == 2
    assert season_of(dt.date(2026, 1, 15), "lishan") is None


def test_a_window_may_run_over_the_new_year() -> None:
    window = windows_of("nilgiri", "frost")[0]

    assert window.days_outside(dt.date(2025, 12, 31)) == 0
    assert window.days_outside(dt.date(2026, 1, 1)) == 0
    assert window.days_outside(dt.date(2026, 3, 10)) == 10


def test_a_flush_answers_to_its_other_name() -> None:
    assert windows_of("yame", "first_flush") == windows_of("yame", "first_picking")
    assert windows_of("yame", "first_flush")


@pytest.mark.parametrize(
    ("key", "earliest", "latest"),
    [("qingming", (4, 4), (4, 6)), ("guyu", (4, 19), (4, 21)), ("lidong", (11, 7), (11, 8))],
)
def test_solar_terms_fall_within_their_days(
    key: str, earliest: tuple[int, int], latest: tuple[int, int]
) -> None:
    """From memory."""
    assert (SOLAR_TERMS[key].earliest, SOLAR_TERMS[key].latest) == (earliest, latest)


def test_a_tea_from_before_qingming_was_picked_by_6_april() -> None:
    assert pick_day_limits(SEASONS["pre_qingming"]) == (None, (4, 6))
    assert pick_day_limits(SEASONS["spring"]) == (None, None)


@given(st.sampled_from(SEASON_WINDOWS), st.dates(dt.date(2000, 1, 1), dt.date(2050, 12, 31)))
def test_a_day_is_never_more_than_half_a_year_outside(window: object, day: dt.date) -> None:
    outside = window.days_outside(day)  # type: ignore[attr-defined]

    assert 0 <= outside <= 183


@given(st.sampled_from(SEASON_WINDOWS))
def test_both_ends_of_a_window_lie_in_it(window: object) -> None:
    starts, ends = window.starts, window.ends  # type: ignore[attr-defined]

    assert window.days_outside(dt.date(2024, *starts)) == 0  # type: ignore[attr-defined]
    assert window.days_outside(dt.date(2024, *ends)) == 0  # type: ignore[attr-defined]


@given(st.text())
def test_any_text_gives_a_season_or_none(text: str) -> None:
    found = find_season(text)

    assert found is None or SEASONS[found.key] == found
