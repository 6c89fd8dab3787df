"""The same tea under two names: found, with reasons; ordinary lots and siblings left alone."""

import datetime as dt
import random
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.facts import LotFacts
from wetleaf.trade.twins import compare_lots, find_twins

# Invented lots.
ONE = LotFacts(
    code="A-1",
    name="Crane Step",
    producer="First Agent",
    place="Lugu",
    cultivar="Qing Xin",
    harvest_from=dt.date(2026, 4, 18),
    harvest_to=dt.date(2026, 4, 18),
    harvest_precision="day",
    elevation_m_min=745,
    roast="medium",
    roast_date=dt.date(2026, 5, 8),
    available_grams=Decimal(17400),
)
OTHER = replace(
    ONE, code="B-7", name="River Cloud", producer="Second Agent", cultivar="青心烏龍", place="鹿谷"
)


def test_near_identical_facts_from_two_agents_are_flagged_with_reasons() -> None:
    twins = compare_lots(ONE, OTHER)

    assert twins is not None
    assert twins.kind == "two sellers"
    assert "both picked 2026-04-18" in twins.reasons
    assert "both at 745 m" in twins.reasons
    assert "River Cloud" in twins.as_doubt().what


@pytest.mark.parametrize(
    ("grams", "said"), [("60000.000", "both 60 kg"), ("17400.000", "both 17.4 kg"), ("250", "both 0.25 kg")]
)
def test_kilos_of_twins_are_said_without_idle_zeros(grams: str, said: str) -> None:
    twins = compare_lots(
        replace(ONE, available_grams=Decimal(grams)), replace(OTHER, available_grams=Decimal(grams))
    )

    assert twins is not None
    assert said in twins.reasons


def test_round_figures_are_enough_when_the_making_agrees_too() -> None:
    plain = {
        "elevation_m_min": 1400,
        "roast_date": None,
        "available_grams": None,
        "oxidation": "20%",
        "roast": "none",
    }
    one, other = replace(ONE, place="Shanlinxi", **plain), replace(OTHER, place="杉林溪", **plain)

    assert compare_lots(one, other) is not None


def test_twins_of_one_producer_are_siblings() -> None:
    sibling = replace(OTHER, producer="first agent", pick="second pick")

    assert compare_lots(ONE, sibling) is None


def test_the_same_lot_of_one_producer_under_one_name_is_written_twice() -> None:
    twice = compare_lots(ONE, replace(ONE, code="A-9"))

    assert twice is not None
    assert twice.kind == "written twice"
    assert compare_lots(ONE, replace(ONE, code="A-9", pick="afternoon pick")) is None


@pytest.mark.parametrize(
    "difference",
    [
        {"harvest_from": dt.date(2026, 4, 21), "harvest_to": dt.date(2026, 4, 21)},
        {"elevation_m_min": 1600},
        {"cultivar": "Jin Xuan"},
        {"place": "Alishan"},
        {"roast": "heavy"},
        {"roast_date": dt.date(2026, 5, 20)},
    ],
    ids=lambda difference: next(iter(difference)),
)
def test_one_fact_that_differs_clears_two_lots(difference: dict[str, object]) -> None:
    assert compare_lots(ONE, replace(OTHER, **difference)) is None


def test_a_different_amount_left_clears_nothing() -> None:
    assert compare_lots(ONE, replace(OTHER, available_grams=Decimal(9000))) is not None


def test_shared_district_cultivar_and_roast_say_too_little() -> None:
    plain = {"harvest_from": None, "harvest_to": None, "elevation_m_min": None, "roast_date": None,
             "available_grams": None}  # fmt: skip

    assert compare_lots(replace(ONE, **plain), replace(OTHER, **plain)) is None


def test_lots_with_nothing_said_are_no_twins() -> None:
    assert find_twins([LotFacts(name="A"), LotFacts(name="B"), LotFacts(name="A")]) == ()


def test_the_most_alike_pair_comes_first() -> None:
    vaguer = replace(OTHER, name="Third", producer="Third Agent", available_grams=None)

    found = find_twins([vaguer, ONE, OTHER])

    assert {found[0].first.name, found[0].second.name} == {"Crane Step", "River Cloud"}


@given(st.permutations([ONE, OTHER, replace(ONE, name="Elsewhere", place="Alishan", producer="C")]))
def test_the_order_of_the_lots_does_not_matter(lots: list[LotFacts]) -> None:
    found = find_twins(lots)

    assert [{twins.first.name, twins.second.name} for twins in found] == [{"Crane Step", "River Cloud"}]


def _season(rng: random.Random, lots: int) -> list[LotFacts]:
    """Draw a spring of one district: a dozen producers, rounded figures, one cultivar leading."""
    return [
        LotFacts(
            name=f"Lot {number}",
            producer=f"Producer {rng.randrange(12)}",
            place="Lugu",
            cultivar=rng.choices(["Qing Xin", "Jin Xuan", "Cui Yu"], [6, 3, 1])[0],
            harvest_from=dt.date(2026, 4, 1) + dt.timedelta(days=rng.randrange(40)),
            harvest_precision="day",
            elevation_m_min=rng.choice([550, 600, 650, 680, 700, 720, 750, 780, 800]),
            roast=rng.choice(["light", "medium", "medium", "heavy"]),
            oxidation=rng.choice(["20%", "25%", "25%", "30%", ""]),
            price=rng.choice(
                ["NT$1,000/jin", "NT$1,200/jin", "NT$1,400/jin", "NT$1,600/jin", "NT$2,000/jin"]
            ),
            roast_date=dt.date(2026, 5, 1) + dt.timedelta(days=rng.randrange(40))
            if rng.random() < 0.5
            else None,
            available_grams=Decimal(rng.choice([6000, 10000, 12000, 18000, 20000, 30000])),
        )
        for number in range(lots)
    ]


def test_false_alarms_on_ordinary_lots_of_one_district_are_rare() -> None:
    """Regression: 40 invented lots of one spring in one district, twins in fewer than every second season."""
    rng = random.Random(20261124)

    alarms = [len(find_twins(_season(rng, 40))) for _ in range(40)]

    assert sum(alarms) / len(alarms) < 0.5
