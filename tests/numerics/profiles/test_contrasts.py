"""Critical values carried over between df, against each solved for by itself (that held to R and mpmath)."""

import numpy as np
import pytest

from wetleaf.numerics.profiles.contrasts import Estimates, against_one, all_pairs
from wetleaf.numerics.simultaneous import dunnett_isf, studentized_range_isf

SPANS = [(1.0, 1.0), (1.0, 2.5), (1.0, 3.0), (3.0, 9.0), (5.0, 14.0), (20.0, 59.0), (2.0, 300.0)]


def estimates_at(df: np.ndarray) -> Estimates:
    return Estimates(np.ones(df.shape), np.ones(df.shape), df)


@pytest.mark.parametrize("m", [2, 11, 40])
@pytest.mark.parametrize("span", SPANS)
def test_a_baselines_critical_value_is_that_of_its_own_df(m: int, span: tuple[float, float]) -> None:
    df = np.random.default_rng(m).uniform(*span, (2, m))
    correlation = np.where(np.eye(m, dtype=bool), 1.0, 0.5)

    found = against_one(
        estimates_at(df), np.stack([correlation] * 2), 0.95, settled=np.ones(df.shape, dtype=bool)
    ).margin

    for at in ((0, 0), (0, m - 1), (1, m // 2)):
        assert found[at] == pytest.approx(dunnett_isf(0.05, correlation, float(df[at])), rel=2e-6)


@pytest.mark.parametrize("span", SPANS)
def test_a_pairs_critical_value_is_that_of_its_own_df(span: tuple[float, float]) -> None:
    df = np.random.default_rng(7).uniform(*span, (4, 10))

    found = all_pairs(estimates_at(df), np.full(4, 5), 0.95).margin

    assert found == pytest.approx(studentized_range_isf(0.05, 5, df) / np.sqrt(2), rel=1e-6)
