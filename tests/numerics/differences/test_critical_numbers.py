"""Critical numbers, exact chances and exact intervals, against printed tables and base R."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom
from tests.numerics.differences.published import GUESSING, PUBLISHED

from wetleaf.numerics.differences import directed_pair_pvalue, right_picks_pvalue, triangle_pvalue
from wetleaf.numerics.differences.binomials import (
    at_least,
    at_most,
    chances,
    exact_interval,
    least_right,
    most_right,
)
from wetleaf.trade.errors import BadInput


def fewest(n: int, alpha: float, guessing: float) -> int:
    """As the tables write it: 0 where even n of n is not enough."""
    found = int(least_right(n, alpha, guessing))
    return found if found <= n else 0


@pytest.mark.parametrize(
    "table", ["critical_triangle", "critical_duo_trio", "whole_critical_triangle", "whole_critical_duo_trio"]
)
def test_the_fewest_right_answers_are_those_of_the_table(table: str) -> None:
    block = PUBLISHED[table]
    guessing = GUESSING[block["guessing"]]

    found = [[fewest(row["n"], alpha, guessing) for alpha in block["alphas"]] for row in block["rows"]]

    assert len(found) >= 32
    assert found == [row["least"] for row in block["rows"]]


def test_every_number_of_trials_from_6_to_100_is_in_the_whole_tables() -> None:
    for table in ("whole_critical_triangle", "whole_critical_duo_trio"):
        assert [row["n"] for row in PUBLISHED[table]["rows"]] == list(range(6, 101))


def test_the_misprinted_row_of_22_duo_trios_is_not_followed() -> None:
    row = PUBLISHED["misprint_duo_trio"]

    found = [fewest(row["n"], alpha, 1 / 2) for alpha in row["alphas"]]

    assert found == row["exact"]
    assert found != row["printed"]
    assert float(at_least(15, 22, 1 / 2)) == pytest.approx(row["chance_of_15"], abs=1e-7)


def test_the_two_sided_table_of_pairs_is_the_one_sided_at_half_the_level() -> None:
    block = PUBLISHED["critical_paired_two_sided"]

    found = [[fewest(row["n"], alpha / 2, 1 / 2) for alpha in block["alphas"]] for row in block["rows"]]

    assert found == [row["least"] for row in block["rows"]]


def test_exact_intervals_are_those_of_binom_test() -> None:
    block = PUBLISHED["exact_interval"]

    for row in block["rows"]:
        low, high = exact_interval(row["correct"], row["trials"], row["confidence"])

        assert (low, high) == pytest.approx((row["low"], row["high"]), abs=block["within"])


def test_chances_agree_with_rs_binom_test() -> None:
    """R 4.2.2: binom.test(15, 30, 1/3, "greater"), binom.test(9, 10, 1/2, "greater")."""
    assert triangle_pvalue(15, 30) == pytest.approx(0.04348227, abs=1e-8)
    assert directed_pair_pvalue(9, 10) == pytest.approx(0.01074219, abs=1e-8)


@given(n=st.integers(1, 200), guessing=st.sampled_from([0.1, 1 / 3, 1 / 2]))
def test_tails_are_scipys_binomial(n: int, guessing: float) -> None:
    x = np.arange(-1, n + 2)

    above, below, mass = at_least(x, n, guessing), at_most(x, n, guessing), chances(n, guessing)

    np.testing.assert_allclose(above, binom.sf(x - 1, n, guessing), atol=1e-12)
    np.testing.assert_allclose(below, binom.cdf(x, n, guessing), atol=1e-12)
    np.testing.assert_allclose(mass, binom.pmf(np.arange(n + 1), n, guessing), atol=1e-12)


@given(n=st.integers(1, 3000), alpha=st.floats(1e-9, 0.9), guessing=st.floats(0.05, 0.95))
def test_a_critical_number_is_the_first_within_the_level(n: int, alpha: float, guessing: float) -> None:
    least, most = int(least_right(n, alpha, guessing)), int(most_right(n, alpha, guessing))

    assert float(at_least(least, n, guessing)) <= alpha * (1 + 1e-9)
    assert least == 0 or float(at_least(least - 1, n, guessing)) > alpha
    assert float(at_most(most, n, guessing)) <= alpha * (1 + 1e-9)
    assert most == n or float(at_most(most + 1, n, guessing)) > alpha


@given(n=st.integers(1, 80), guessing=st.sampled_from([1 / 2, 1 / 3]))
def test_more_right_answers_are_less_likely_by_luck(n: int, guessing: float) -> None:
    found = [right_picks_pvalue(c, n, guessing=guessing) for c in range(n + 1)]

    assert found[0] == 1
    assert all(later <= earlier for earlier, later in pairwise(found))
    assert found[-1] == pytest.approx(guessing**n)


@pytest.mark.parametrize("method_guessing", [1 / 2, 1 / 3, 1 / 10])
@pytest.mark.parametrize("level", [0.001, 0.05, 0.3])
def test_p_values_of_guessing_are_never_small_too_often(method_guessing: float, level: float) -> None:
    for n in (3, 10, 24, 61):
        p = at_least(np.arange(n + 1), n, method_guessing)

        assert chances(n, method_guessing)[p <= level].sum() <= level


@pytest.mark.parametrize(("correct", "trials"), [(-1, 5), (6, 5)])
def test_counts_that_cannot_be_are_refused(correct: int, trials: int) -> None:
    with pytest.raises(BadInput, match="cannot be"):
        triangle_pvalue(correct, trials)
