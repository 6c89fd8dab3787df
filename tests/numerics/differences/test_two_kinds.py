"""Same-different and A-not-A: the fit, Fisher's test, and exact power, against base R."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import fisher_exact
from tests.numerics.differences.published import PUBLISHED

from wetleaf.numerics.differences import plan_two_kinds, score_two_kinds
from wetleaf.numerics.differences.binomials import chances
from wetleaf.numerics.differences.criteria import a_not_a_shares, same_different_shares
from wetleaf.numerics.differences.fisher import fisher_p, fisher_power
from wetleaf.trade.errors import BadInput

BOTH = ["same-different", "a-not-a"]


def test_fishers_p_is_that_of_base_r() -> None:
    block = PUBLISHED["fisher"]

    for row in block["rows"]:
        found = fisher_p(row["hits"], row["signals"], row["false_alarms"], row["noises"])

        assert found == pytest.approx(row["p"], abs=block["within"])


@pytest.mark.parametrize("row", PUBLISHED["two_kinds"]["rows"])
def test_the_fit_is_that_of_an_optimiser_in_base_r(row: dict[str, float]) -> None:
    counts = {name: int(row[name]) for name in ("hits", "signals", "false_alarms", "noises")}

    found = score_two_kinds(str(row["method"]), **counts)

    assert found.estimate.d_prime == pytest.approx(row["d_prime"], abs=1e-5)
    assert found.criterion == pytest.approx(row["criterion"], abs=1e-5)
    assert found.estimate.se == pytest.approx(row["se"], rel=PUBLISHED["two_kinds"]["within"])


@pytest.mark.parametrize("d_prime", [0.0, 1.5])
def test_simulated_tasters_with_a_criterion_answer_so_often(d_prime: float) -> None:
    rng = np.random.default_rng(5)
    a, b, other = rng.normal(size=200_000), rng.normal(size=200_000), rng.normal(d_prime, size=200_000)

    hits, falses = np.mean(abs(a - other) > 1.4), np.mean(abs(a - b) > 1.4)

    assert (hits, falses) == pytest.approx(same_different_shares(d_prime, 1.4), abs=0.005)
    assert (np.mean(other > 0.4), np.mean(a > 0.4)) == pytest.approx(a_not_a_shares(d_prime, 0.4), abs=0.005)


def test_power_of_fishers_test_is_the_sum_over_all_outcomes() -> None:
    each, hit, false = 9, 0.8, 0.3
    passes = np.array(
        [
            [
                fisher_exact([[h, each - h], [f, each - f]], alternative="greater").pvalue <= 0.05
                for f in range(each + 1)
            ]
            for h in range(each + 1)
        ]
    )

    power, size = fisher_power(each, hit, false, 0.05)

    assert power == pytest.approx(chances(each, hit) @ passes @ chances(each, false))
    assert size == pytest.approx(chances(each, false) @ passes @ chances(each, false))
    assert size <= 0.05


@settings(max_examples=30, deadline=None)
@given(method=st.sampled_from(BOTH), signals=st.integers(2, 30), noises=st.integers(2, 30), data=st.data())
def test_the_interval_holds_the_estimate(method: str, signals: int, noises: int, data: st.DataObject) -> None:
    hits, false_alarms = data.draw(st.integers(0, signals)), data.draw(st.integers(0, noises))

    found = score_two_kinds(
        method, hits=hits, signals=signals, false_alarms=false_alarms, noises=noises
    ).estimate

    assert 0 <= found.low <= found.d_prime <= found.high


@pytest.mark.parametrize("method", BOTH)
def test_fewer_hits_than_false_alarms_is_no_difference(method: str) -> None:
    found = score_two_kinds(method, hits=4, signals=20, false_alarms=9, noises=20, tolerable=3.0)

    assert found.estimate.d_prime == 0
    assert found.answer == "no"


@pytest.mark.parametrize("method", BOTH)
def test_no_needs_a_declared_size(method: str) -> None:
    assert score_two_kinds(method, hits=8, signals=20, false_alarms=8, noises=20).answer == "can't tell"


@pytest.mark.parametrize("method", BOTH)
def test_a_taster_who_always_says_the_same_has_shown_nothing(method: str) -> None:
    found = score_two_kinds(method, hits=12, signals=12, false_alarms=12, noises=12, tolerable=1.0)

    assert found.answer == "can't tell"
    assert found.estimate.high == float("inf")


@pytest.mark.parametrize(("d_prime", "trials"), [(1.5, 24), (2.0, 18), (3.0, 10)])
def test_trials_of_a_not_a_planned_regression(d_prime: float, trials: int) -> None:
    """regression: our own numbers of 25 Nov 2026."""
    plan = plan_two_kinds("a-not-a", d_prime)

    assert plan.trials == trials
    assert plan.power >= 0.8
    assert plan.risk <= 0.05


def test_same_different_asks_many_more_trials_than_a_not_a() -> None:
    assert plan_two_kinds("same-different", 1.5).trials > 4 * plan_two_kinds("a-not-a", 1.5).trials


@pytest.mark.parametrize(
    "counts",
    [
        {"hits": 21, "signals": 20, "false_alarms": 3, "noises": 20},
        {"hits": -1, "signals": 20, "false_alarms": 3, "noises": 20},
        {"hits": 3, "signals": 0, "false_alarms": 3, "noises": 20},
        {"hits": 3, "signals": 20, "false_alarms": 3, "noises": -2},
    ],
)
def test_counts_that_cannot_be_are_refused(counts: dict[str, int]) -> None:
    with pytest.raises(BadInput, match="cannot be"):
        score_two_kinds("same-different", **counts)


def test_a_method_of_one_kind_of_trial_is_refused() -> None:
    with pytest.raises(BadInput, match="one kind of trial"):
        score_two_kinds("triangle", hits=3, signals=20, false_alarms=3, noises=20)
    with pytest.raises(BadInput, match="d-prime"):
        plan_two_kinds("a-not-a", 0.0)
    with pytest.raises(BadInput, match="declared"):
        score_two_kinds("a-not-a", hits=3, signals=20, false_alarms=3, noises=20, tolerable=0.0)
