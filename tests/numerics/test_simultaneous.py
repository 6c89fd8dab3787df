"""The studentised range and Dunnett's distribution, against tables, mpmath, R, scipy and known limits."""

import tomllib
from itertools import pairwise
from pathlib import Path
from time import process_time
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr, stdtr
from scipy.stats import multivariate_t

from wetleaf.numerics.simultaneous import (
    dunnett_isf,
    dunnett_sf,
    dunnett_tail,
    studentized_range_isf,
    studentized_range_sf,
)

PUBLISHED: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "simultaneous.toml").read_text(encoding="utf-8")
)


def equal_lots(m: int) -> np.ndarray:
    return np.full((m, m), 0.5) + 0.5 * np.eye(m)


def test_the_range_agrees_with_mpmath() -> None:
    block = PUBLISHED["range_mpmath"]
    for row in block["rows"]:
        above = float(studentized_range_sf(row["q"], row["n_means"], row["df"]))

        assert 1 - above == pytest.approx(row["below"], abs=block["within"])


def test_the_range_agrees_with_ptukey_as_far_as_ptukey_goes() -> None:
    block = PUBLISHED["range_ptukey"]
    for row in block["rows"]:
        above = float(studentized_range_sf(row["q"], row["n_means"], row["df"]))

        assert above == pytest.approx(row["p"], abs=block["within"])


def test_the_range_gives_the_points_of_the_printed_tables() -> None:
    block = PUBLISHED["range_table"]
    for row in block["rows"]:
        points = [float(studentized_range_isf(row["chance"], k, row["df"])) for k in row["n_means"]]

        assert points == pytest.approx(row["q"], abs=block["within"])


def test_dunnett_gives_the_points_of_the_printed_table() -> None:
    block = PUBLISHED["dunnett_table"]
    for row in block["rows"]:
        points = [dunnett_isf(0.05, equal_lots(m), row["df"]) for m in range(1, 10)]

        assert points == pytest.approx(row["t"], abs=block["within"])


@pytest.mark.parametrize("case", PUBLISHED["largest"], ids=lambda case: f"{case['what']} at {case['t']}")
def test_dunnett_agrees_with_mvtnorm_within_both_errors(case: dict[str, Any]) -> None:
    found = dunnett_tail(case["t"], case["correlation"], case["df"])

    assert found.error < (5e-5 if found.method == "lattice" else 1.1e-5)
    assert float(found.p) == pytest.approx(case["p"], abs=found.error + 3 * case["error"])


def test_a_redundant_contrast_is_answered_with_its_larger_error() -> None:
    case = PUBLISHED["redundant"]
    contrasts = np.array(case["contrasts"], dtype=float)
    cov = contrasts @ np.diag(1 / np.array(case["sizes"])) @ contrasts.T
    correlation = cov / np.sqrt(np.outer(np.diag(cov), np.diag(cov)))

    found = dunnett_tail(case["t"], correlation, case["df"])

    assert found.method == "lattice"
    assert found.error < 1e-3
    assert float(found.p) == pytest.approx(case["p"], abs=found.error)


def test_dunnett_agrees_with_scipys_multivariate_t() -> None:
    """scipy 1.17, multivariate_t.cdf, a random lattice good to about 1e-4."""
    loadings = np.sqrt(np.array([2, 3, 8]) / (np.array([2, 3, 8]) + 4))
    correlation = np.outer(loadings, loadings)
    np.fill_diagonal(correlation, 1)
    law = multivariate_t(shape=correlation, df=9, seed=np.random.default_rng(4))
    inside = law.cdf(np.full(3, 2.3), lower_limit=np.full(3, -2.3), maxpts=300_000)

    above = float(dunnett_sf(2.3, correlation, 9))

    assert above == pytest.approx(1 - inside, abs=2e-4)


@given(q=st.floats(0.01, 40), df=st.floats(1, 1e6))
def test_two_means_are_students_t(q: float, df: float) -> None:
    above = float(studentized_range_sf(q, 2, df))

    assert above == pytest.approx(2 * stdtr(df, -q / np.sqrt(2)), abs=1e-9)


@given(t=st.floats(0.01, 40), df=st.floats(1, 1e6))
def test_one_lot_against_a_baseline_is_students_t(t: float, df: float) -> None:
    above = float(dunnett_sf(t, [[1.0]], df))

    assert above == pytest.approx(2 * stdtr(df, -t), abs=1e-9)


@settings(deadline=None)
@given(df=st.floats(1, 500), n_means=st.integers(2, 40))
def test_the_chance_falls_with_q_and_rises_with_the_number_of_means(df: float, n_means: int) -> None:
    q = np.linspace(0.05, 15, 60)

    here, more = studentized_range_sf(q, n_means, df), studentized_range_sf(q, n_means + 1, df)

    assert np.all(np.diff(here) < 1e-10)
    assert np.all(more > here - 1e-10)


def test_a_large_q_is_less_likely_the_better_the_spread_is_known() -> None:
    chances = studentized_range_sf(5.0, 6, [1, 2, 3.5, 8, 20, 1e3, 1e9, np.inf])

    assert all(later < earlier + 1e-9 for earlier, later in pairwise(chances))


def test_independent_differences_with_known_spread_multiply() -> None:
    t = np.array([0.5, 1.5, 2.5, 4.0])

    above = dunnett_sf(t, np.eye(7), np.inf)

    assert above == pytest.approx(1 - (1 - 2 * ndtr(-t)) ** 7, abs=1e-12)


def test_the_sign_of_a_difference_does_not_matter() -> None:
    flip = np.diag([1, -1, 1, -1.0])
    correlation = equal_lots(4)

    turned = dunnett_sf(2.1, flip @ correlation @ flip, 11)

    assert float(turned) == pytest.approx(float(dunnett_sf(2.1, correlation, 11)), abs=1e-12)


def test_small_tails_keep_their_digits() -> None:
    above = studentized_range_sf([20.0, 40.0], 2, 30)

    assert above == pytest.approx(2 * stdtr(30, -np.array([20.0, 40.0]) / np.sqrt(2)), rel=1e-6)


@settings(deadline=None)
@given(p=st.floats(1e-6, 0.999), df=st.floats(1, 300), n_means=st.integers(2, 60))
def test_the_critical_value_leaves_the_chance_asked_for(p: float, df: float, n_means: int) -> None:
    q = studentized_range_isf(p, n_means, df)

    assert float(studentized_range_sf(q, n_means, df)) == pytest.approx(p, rel=1e-8)


def test_missing_values_stay_missing_and_ends_are_ends() -> None:
    above = studentized_range_sf([np.nan, 2.0, -1.0, np.inf, 3.0], 4, [10, np.nan, 10, 10, 1e-9])

    assert np.isnan(above[[0, 1, 4]]).all()
    assert above[2] == 1
    assert above[3] == 0
    assert studentized_range_isf([0.0, 1.0], 4, 10).tolist() == [np.inf, 0.0]


@pytest.mark.parametrize(
    ("correlation", "why"),
    [
        ([[1, 0.5]], "square"),
        ([[1, 2], [2, 1]], "between -1 and 1"),
        ([[1, 0.2], [0.3, 1]], "symmetric"),
        ([[1, 0.9, -0.9], [0.9, 1, 0.9], [-0.9, 0.9, 1]], "negative eigenvalue"),
        ([[1, np.nan], [np.nan, 1]], "between -1 and 1"),
    ],
)
def test_a_matrix_that_is_no_correlation_is_refused(correlation: list[list[float]], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        dunnett_sf(2.0, correlation, 10)


def test_no_degrees_of_freedom_are_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        studentized_range_sf(3.0, 3, 0)
    with pytest.raises(ValueError, match="two means"):
        studentized_range_sf(3.0, 1, 10)


def test_all_pairs_of_sixty_lots_and_25_attributes_take_less_than_half_a_second() -> None:
    rng = np.random.default_rng(8)
    q, df = rng.uniform(0, 8, 44_250), rng.uniform(3, 90, 44_250)
    started = process_time()

    studentized_range_sf(q, 60, df)

    assert process_time() - started < 0.5


def test_a_value_does_not_depend_on_the_values_beside_it() -> None:
    rng = np.random.default_rng(3)
    q, df = rng.uniform(0.001, 9, 300), np.exp(rng.uniform(0, 14, 300))

    together = studentized_range_sf(q, 9, df)

    alone = np.array([float(studentized_range_sf(one, 9, own)) for one, own in zip(q, df, strict=True)])
    assert together == pytest.approx(alone, abs=1e-9)


def test_correlations_far_from_a_product_still_have_a_tail() -> None:
    """For three nearly independent pairs that mirror each other: 1 - P(|Z| < t)^3 at infinite df, by hand."""
    block = np.array([[1.0, -0.999999], [-0.999999, 1.0]])
    correlation = np.kron(np.eye(3), block)

    found = dunnett_sf([2.0], correlation, [np.inf])

    assert found == pytest.approx(1 - (1 - 2 * 0.022750131948179) ** 3, abs=3e-3)
