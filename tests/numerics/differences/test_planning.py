"""Trials needed: exact power, the saw-tooth, similarity, looks, and what it costs."""

import time
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.numerics.differences.published import PUBLISHED

from wetleaf.numerics.differences import METHODS, cost_of_trials, plan_looks, plan_trials, trials_from_leaf
from wetleaf.numerics.differences.binomials import at_least, at_most, least_right, most_right
from wetleaf.numerics.differences.planning import difference_power, similarity_power
from wetleaf.trade.errors import BadInput

KEYS = list(METHODS)


def test_power_is_that_counted_in_base_r() -> None:
    block = PUBLISHED["power"]

    for row in block["rows"]:
        least = least_right(row["n"], row["alpha"], row["guessing"])
        right = row["guessing"] + (1 - row["guessing"]) * row["discriminators"]

        assert float(at_least(least, row["n"], right)) == pytest.approx(row["power"], abs=block["within"])


@pytest.mark.parametrize(
    "row", PUBLISHED["trials_for_80_percent"]["rows"], ids=lambda row: f"{row['method']} {row['d_prime']}"
)
def test_trials_for_80_percent_are_those_counted_elsewhere(row: dict[str, float]) -> None:
    plan = plan_trials(str(row["method"]), d_prime=row["d_prime"], power=0.8, alpha=0.05)

    assert (plan.first, plan.trials) == (row["first"], row["lasting"])


@settings(max_examples=40, deadline=None)
@given(
    key=st.sampled_from(KEYS),
    d_prime=st.floats(0.6, 4),
    power=st.sampled_from([0.5, 0.8, 0.9, 0.99]),
    alpha=st.sampled_from([0.001, 0.05, 0.2]),
    similar=st.booleans(),
)
def test_from_the_planned_number_on_the_power_never_falls_short(
    key: str, d_prime: float, power: float, alpha: float, similar: bool
) -> None:
    plan = plan_trials(key, d_prime=d_prime, power=power, alpha=alpha, similar=similar)
    n = np.arange(max(1, plan.trials - 1), 3 * plan.trials + 300)
    method = METHODS[key]

    if similar:
        reached = at_most(most_right(n, alpha, method.right(d_prime)), n, method.guessing)
    else:
        reached = at_least(least_right(n, alpha, method.guessing), n, method.right(d_prime))

    later = reached if plan.trials == 1 else reached[1:]
    assert (later >= power).all()
    assert plan.trials == 1 or reached[0] < power
    assert plan.first <= plan.trials
    assert plan.risk <= alpha * (1 + 1e-9)  # equal but for rounding: 3 of 3 at one in ten
    assert plan.power >= power


def test_a_plan_for_similarity_keeps_both_of_its_promises() -> None:
    plan = plan_trials("triangle", discriminators=0.3, similar=True, power=0.8)

    called_same = float(at_most(plan.critical, plan.trials, 1 / 3))
    called_same_though_far_apart = float(at_most(plan.critical, plan.trials, 1 / 3 + 2 / 3 * 0.3))

    assert called_same == pytest.approx(plan.power)
    assert called_same >= 0.8
    assert called_same_though_far_apart <= 0.05


def test_similarity_asks_more_where_the_teas_truly_differ_a_little() -> None:
    alike = plan_trials("2-afc", d_prime=1.0, similar=True)

    nearly = plan_trials("2-afc", d_prime=1.0, similar=True, true_d_prime=0.4)

    assert nearly.trials > 2 * alike.trials


def test_power_of_nothing_to_find_is_the_level_at_most() -> None:
    assert difference_power("tetrad", 30, 0.0) <= 0.05
    assert similarity_power("tetrad", 30, 1.0, true_d_prime=1.0) <= 0.05


@pytest.mark.parametrize(
    "asked",
    [
        {"d_prime": 1.0, "alpha": 0.0},
        {"d_prime": 1.0, "power": 1.0},
        {"d_prime": 1.0, "power": 0.04},
        {"d_prime": -1.0},
        {"d_prime": 0.05},
        {"d_prime": 1.0, "similar": True, "true_d_prime": 1.0},
        {},
    ],
)
def test_a_plan_that_cannot_be_is_refused(asked: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        plan_trials("triangle", **asked)


def test_a_plan_takes_well_under_a_second() -> None:
    plan_trials("triangle", d_prime=1.0)

    start = time.perf_counter()
    plan_trials("triangle", d_prime=0.4, power=0.9)

    assert time.perf_counter() - start < 1


@settings(max_examples=20, deadline=None)
@given(key=st.sampled_from(KEYS), looks=st.integers(2, 5), d_prime=st.floats(0.9, 3))
def test_a_plan_with_looks_keeps_its_errors_and_is_shorter_on_average(
    key: str, looks: int, d_prime: float
) -> None:
    plan = plan_looks(key, looks, d_prime=d_prime)

    assert sum(plan.by_guessing.yes) <= 0.05
    assert sum(plan.at_size.no) <= 0.2
    assert plan.power >= 0.8
    assert plan.by_guessing.expected_trials <= plan.trials
    assert plan.by_guessing.unsettled == pytest.approx(
        1 - sum(plan.by_guessing.yes) - sum(plan.by_guessing.no)
    )


@pytest.mark.parametrize("looks", [0, 1, 11])
def test_one_look_or_too_many_are_no_plan(looks: int) -> None:
    with pytest.raises(BadInput, match="looks cannot be planned"):
        plan_looks("triangle", looks, d_prime=1.5)


def test_every_cup_is_a_brew_of_its_own_unless_tasters_share_them() -> None:
    own = cost_of_trials(24, 3, tasters=4)
    shared = cost_of_trials(24, 3, tasters=4, shared_brews=True)

    assert (own.brews, own.cups, own.grams, own.grams_each) == (72, 72, Decimal(216), Decimal(108))
    assert (shared.brews, shared.cups, shared.grams) == (18, 72, Decimal(54))
    assert own.sittings == shared.sittings == 3


def test_a_sitting_holds_no_more_cups_than_a_palate_bears() -> None:
    assert cost_of_trials(10, 3).trials_a_sitting == 2
    assert cost_of_trials(10, 2).trials_a_sitting == 4
    assert cost_of_trials(10, 5).trials_a_sitting == 1
    assert cost_of_trials(10, 5).sittings == 10


def test_what_is_left_of_the_scarcer_tea_allows_so_many_trials() -> None:
    assert trials_from_leaf(Decimal(10), 2) == 3
    assert trials_from_leaf(Decimal(10), 2, grams=Decimal("1.5")) == 6
    assert trials_from_leaf(Decimal("2.9"), 2) == 0
    with pytest.raises(BadInput, match="grams left"):
        trials_from_leaf(Decimal(-1), 2)


def test_grams_follow_the_protocol_or_what_is_said() -> None:
    assert cost_of_trials(4, 2, protocol="covered_bowl").grams == 40
    assert cost_of_trials(4, 2, grams=Decimal("2.5")).grams == 20
    with pytest.raises(BadInput, match="not a way of preparing"):
        cost_of_trials(4, 2, protocol="bucket")
    with pytest.raises(BadInput, match="grams a brew"):
        cost_of_trials(4, 2, grams=Decimal(0))
    with pytest.raises(BadInput, match="tasters"):
        cost_of_trials(4, 2, tasters=0)
