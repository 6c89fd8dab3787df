"""d-prime, its standard error and its likelihood interval; several methods on the one scale."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.numerics.differences.published import PUBLISHED

from wetleaf.numerics.differences import METHODS, Counted, counted, pool, score_trials
from wetleaf.numerics.differences.binomials import at_least, chances
from wetleaf.numerics.differences.estimates import estimate, log_likelihood
from wetleaf.numerics.differences.methods import declared_size
from wetleaf.trade.errors import BadInput

KEYS = list(METHODS)


@st.composite
def some_counts(draw: st.DrawFn) -> Counted:
    trials = draw(st.integers(1, 60))
    return counted(draw(st.sampled_from(KEYS)), draw(st.integers(0, trials)), trials)


@pytest.mark.parametrize("row", PUBLISHED["quinine"]["rows"], ids=lambda row: row["method"])
def test_the_quinine_tasters_have_the_d_prime_and_error_of_the_example(row: dict[str, float]) -> None:
    found = estimate([counted(str(row["method"]), int(row["correct"]), int(row["trials"]))])

    assert found.d_prime == pytest.approx(row["d_prime"], abs=0.001)
    assert found.se == pytest.approx(row["se"], abs=0.001)
    assert float(at_least(row["correct"], row["trials"], 1 / 3)) == pytest.approx(row["p"], rel=0.01)


def test_the_quinine_tasters_agree_with_themselves_on_one_scale() -> None:
    rows = PUBLISHED["quinine"]["rows"]

    found = pool([counted(row["method"], row["correct"], row["trials"]) for row in rows])

    assert rows[1]["d_prime"] < found.estimate.d_prime < rows[0]["d_prime"]
    assert found.estimate.se < min(row["se"] for row in rows)
    assert found.p_agree is not None
    assert found.p_agree > 0.4


@given(counts=some_counts())
def test_the_interval_holds_the_estimate(counts: Counted) -> None:
    found = estimate([counts])

    assert 0 <= found.low <= found.d_prime <= found.high
    assert (found.d_prime == float("inf")) == (counts.correct == counts.trials)


@given(counts=some_counts())
def test_the_ends_of_the_interval_are_where_the_likelihood_has_fallen_so_far(counts: Counted) -> None:
    found = estimate([counts])
    best = log_likelihood([counts], found.d_prime)

    for end in (found.low, found.high):
        if 0 < end < 10:
            assert best - log_likelihood([counts], end) == pytest.approx(3.841459 / 2, abs=1e-5)


@settings(max_examples=12, deadline=None)
@given(trials=st.integers(2, 50), key=st.sampled_from(KEYS))
def test_more_right_answers_move_everything_up(trials: int, key: str) -> None:
    found = [estimate([counted(key, correct, trials)]) for correct in range(trials + 1)]

    for name in ("d_prime", "low", "high"):
        values = [getattr(one, name) for one in found]
        assert values == sorted(values)


def test_all_right_of_very_many_is_at_least_the_largest_d_prime() -> None:
    found = estimate([counted("duo-trio", 100_000, 100_000)])

    assert found.low == 10
    assert found.high == float("inf")


def test_a_standard_error_at_none_or_without_end_is_not_a_number() -> None:
    assert np.isnan(estimate([counted("triangle", 8, 24)]).se)
    assert np.isnan(estimate([counted("triangle", 24, 24)]).se)


@pytest.mark.parametrize("key", ["2-afc", "triangle", "tetrad"])
@pytest.mark.parametrize("d_prime", [0.0, 0.5, 1.0, 2.0])
def test_the_likelihood_interval_covers_by_exact_count(key: str, d_prime: float) -> None:
    """Every outcome of 40 trials weighed by its chance. Asymptotic: near 95 %, not always above."""
    trials = 40
    found = [estimate([counted(key, correct, trials)]) for correct in range(trials + 1)]
    holds = np.array([one.low <= d_prime <= one.high for one in found])

    covered = float(chances(trials, METHODS[key].right(d_prime)) @ holds)

    assert covered > 0.92


@pytest.mark.parametrize("key", ["2-afc", "triangle", "tetrad"])
@pytest.mark.parametrize("d_prime", [0.0, 1.0, 2.0, 3.5])
def test_the_exact_interval_covers_whatever_the_truth(key: str, d_prime: float) -> None:
    """Every outcome of 24 trials weighed by its chance: never below 95 %, unlike the likelihood interval."""
    exact = [score_trials(key, correct, 24).exact for correct in range(25)]
    holds = np.array([low <= d_prime <= high for low, high in exact])

    assert float(chances(24, METHODS[key].right(d_prime)) @ holds) >= 0.95


def test_one_method_in_two_heaps_is_the_same_as_in_one() -> None:
    heaps = pool([counted("tetrad", 9, 15), counted("tetrad", 7, 11)])

    whole = pool([counted("tetrad", 16, 26)])

    assert heaps == whole


@settings(max_examples=30, deadline=None)
@given(first=some_counts(), second=some_counts())
def test_the_pooled_d_prime_lies_between_those_of_the_methods(first: Counted, second: Counted) -> None:
    alone = [estimate([first]).d_prime, estimate([second]).d_prime]

    together = estimate([first, second]).d_prime

    assert min(alone) - 1e-6 <= together <= max(alone) + 1e-6


@pytest.mark.parametrize("level", [0.01, 0.05, 0.2])
def test_the_pooled_test_holds_its_level_exactly(level: float) -> None:
    """Every pair of outcomes of 10 triangles and 8 directed pairs, weighed by its chance under guessing."""
    triangles, pairs = chances(10, 1 / 3), chances(8, 1 / 2)

    passed = sum(
        triangles[x] * pairs[y]
        for x in range(11)
        for y in range(9)
        if pool([counted("triangle", x, 10), counted("2-afc", y, 8)]).p_value <= level
    )

    assert 0.4 * level < passed <= level


def test_pooled_trials_exclude_a_declared_size_only_when_they_did_badly() -> None:
    size = declared_size(METHODS["triangle"], d_prime=1.5)

    bad, good = (
        pool([counted("triangle", x, 24), counted("2-afc", y, 16)], tolerable=size)
        for x, y in ((7, 8), (15, 13))
    )

    assert bad.p_tolerable is not None
    assert good.p_tolerable is not None
    assert bad.p_tolerable < 0.01
    assert good.p_tolerable > 0.3


def test_methods_that_cannot_be_of_one_size_are_seen_to_differ() -> None:
    found = pool([counted("triangle", 30, 30), counted("2-afc", 15, 30)])

    assert found.p_agree is not None
    assert found.p_agree < 0.001


def test_nothing_to_estimate_from_is_refused() -> None:
    with pytest.raises(BadInput, match="no trials"):
        estimate([])
    with pytest.raises(BadInput, match="no trials"):
        pool([])


@pytest.mark.parametrize(("correct", "trials"), [(-1, 4), (5, 4), (0, 0), (1, -3), (2.5, 4), (True, 4)])
def test_counts_that_cannot_be_are_refused(correct: int, trials: int) -> None:
    with pytest.raises(BadInput, match="cannot be"):
        counted("triangle", correct, trials)
