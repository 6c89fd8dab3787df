"""Preparation protocols against the published numbers, and the boiling point against published tables."""

import tomllib
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.errors import BadInput
from wetleaf.trade.protocols import (
    PROTOCOLS,
    SCALD_CAUTION,
    SCALD_CAUTION_GROUND,
    air_pressure_kpa,
    boiling_point_celsius,
    grams_per_brew,
    protocol,
    steep_times,
)

PUBLISHED = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "boiling_points.toml").read_text(encoding="utf-8")
)


def test_the_large_pot_is_that_of_iso_3103() -> None:
    """ISO 3103:2019, public page of the standard."""
    pot = protocol("iso_3103_large")

    assert (pot.capacity_ml, pot.capacity_tolerance_ml, pot.fill_ml) == (310, 8, 285)
    assert (pot.grams, pot.grams_tolerance) == (Decimal("5.6"), Decimal("0.1"))
    assert (pot.vessel_grams, pot.vessel_grams_tolerance) == (200, 10)


def test_the_small_pot_is_that_of_iso_3103() -> None:
    """ISO 3103:2019, public page of the standard."""
    pot = protocol("iso_3103_small")

    assert (pot.capacity_ml, pot.capacity_tolerance_ml, pot.fill_ml) == (150, 4, 140)
    assert (pot.grams, pot.grams_tolerance) == (Decimal("2.8"), Decimal("0.05"))


@pytest.mark.parametrize("key", ["iso_3103_large", "iso_3103_small"])
def test_iso_3103_asks_two_grams_in_a_hundred_millilitres(key: str) -> None:
    """ISO 3103:2019: 2 g to 100 mL, within 2 %."""
    pot = protocol(key)

    assert float(pot.grams) / pot.fill_ml * 100 == pytest.approx(2, rel=0.02)


@pytest.mark.parametrize(("tea", "minutes"), [("black", 6), ("green", 5), ("green fannings", 3)])
def test_iso_3103_times(tea: str, minutes: int) -> None:
    """ISO 3103:2019: black 6 min, green leaf 5, green fannings 3."""
    times = steep_times("iso_3103_large", tea)

    assert times is not None
    assert times.minutes == (minutes,)
    assert times.ground.mark == "V"


@pytest.mark.parametrize(
    ("tea", "group", "minutes"),
    [
        ("black", None, (5,)),
        ("white", None, (5,)),
        ("oolong", "oolong_rock", (5,)),
        ("oolong", "oolong_ball_light", (6,)),
        ("green", None, (4,)),
        ("dark", None, (2, 5)),
        ("scented", None, (3, 5)),
    ],
)
def test_column_cup_times(tea: str, group: str | None, minutes: tuple[int, ...]) -> None:
    """GB/T 23776-2018: black, white and oolong seen on public pages, the rest from memory."""
    times = steep_times("column_cup", tea, group)

    assert times is not None
    assert times.minutes == minutes


def test_the_covered_bowl_takes_five_grams_and_three_steeps() -> None:
    """GB/T 23776-2018, three public pages: 5 g, 110 mL, 2, 3 and 5 min."""
    bowl = protocol("covered_bowl")
    times = steep_times("covered_bowl", "oolong")

    assert (bowl.grams, bowl.fill_ml) == (Decimal(5), 110)
    assert times is not None
    assert times.steep_seconds == (120, 180, 300)


def test_a_class_that_a_protocol_does_not_cover_has_no_times() -> None:
    assert steep_times("covered_bowl", "green") is None


def test_every_protocol_says_where_it_comes_from() -> None:
    assert len(PROTOCOLS) >= 6
    for each in PROTOCOLS.values():
        assert each.ground.source
        assert all(times.ground.source for times in each.times)
        assert grams_per_brew(each.key) > 0


@pytest.mark.parametrize("point", PUBLISHED["standard"]["points"], ids=lambda point: str(point["altitude_m"]))
def test_the_boiling_point_agrees_with_the_standard_atmosphere(point: dict[str, float]) -> None:
    tolerance = PUBLISHED["standard"]["tolerance_kelvin"]

    assert boiling_point_celsius(point["altitude_m"]) == pytest.approx(point["celsius"], abs=tolerance)
    assert air_pressure_kpa(point["altitude_m"]) == pytest.approx(point["kpa"], abs=tolerance)


def test_denver_boils_where_an_education_page_says() -> None:
    case = PUBLISHED["denver"]

    assert boiling_point_celsius(case["altitude_m"]) == pytest.approx(
        case["celsius"], abs=case["tolerance_kelvin"]
    )


@given(st.floats(0, 4500))
def test_an_independent_fit_to_a_printed_table_differs_by_less_than_0_4_kelvin(altitude_m: float) -> None:
    fit = PUBLISHED["independent_fit"]

    other = fit["square"] * altitude_m**2 + fit["linear"] * altitude_m + fit["constant"]

    assert abs(boiling_point_celsius(altitude_m) - other) < fit["largest_difference_kelvin"]


@given(st.floats(-500, 5900), st.floats(1, 100))
def test_water_boils_cooler_the_higher_one_climbs(altitude_m: float, climb_m: float) -> None:
    assert boiling_point_celsius(altitude_m + climb_m) < boiling_point_celsius(altitude_m)


@pytest.mark.parametrize("altitude_m", [-501, 6001, 14000, float("nan")])
def test_an_altitude_where_nobody_brews_is_refused(altitude_m: float) -> None:
    with pytest.raises(BadInput, match="metres"):
        boiling_point_celsius(altitude_m)


def test_the_caution_speaks_of_scalding_and_names_its_ground() -> None:
    assert "scald" in SCALD_CAUTION
    assert "IARC" in SCALD_CAUTION_GROUND.source
