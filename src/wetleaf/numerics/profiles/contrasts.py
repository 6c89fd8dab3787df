"""From covariances to numbers a person reads: means with intervals, all pairs, each lot against a
baseline."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.layout import Floats


@dataclass(frozen=True)
class Estimates:
    """Estimates with standard errors and df; arrays (attributes, estimates), nan where there is none."""

    value: Floats
    se: Floats
    df: Floats


@dataclass(frozen=True)
class Family:
    """Differences judged together: adjusted p and half widths of their simultaneous intervals."""

    estimates: Estimates
    p: Floats
    margin: Floats


def half_width(se: Floats, df: Floats, confidence: float) -> Floats:
    """Return half the width of the plain t interval."""
    from scipy.special import stdtrit

    return np.asarray(stdtrit(_real(df), 0.5 + confidence / 2.0) * se, dtype=np.float64)


def f_tail(f: Floats, df1: Floats, df2: Floats) -> Floats:
    """Return the upper tail of F; nan where an argument is."""
    from scipy.special import fdtrc

    with np.errstate(invalid="ignore"):
        return np.asarray(fdtrc(df1, df2, f), dtype=np.float64)


def all_pairs(estimates: Estimates, n_lots: NDArray[np.intp], confidence: float) -> Family:
    """Judge all pairs of lots together (Tukey): each pair with its own df, `n_lots` (attributes,) in the
    family.
    """
    from wetleaf.numerics.simultaneous import studentized_range_isf, studentized_range_sf

    t = np.abs(estimates.value / estimates.se)
    p, critical = np.full(t.shape, np.nan), np.full(t.shape, np.nan)
    for size in np.unique(n_lots[n_lots >= 2]):
        rows = (n_lots == size)[:, None] & np.isfinite(t) & np.isfinite(estimates.df)
        df, back = np.unique(estimates.df[rows], return_inverse=True)
        p[rows] = studentized_range_sf(np.sqrt(2.0) * t[rows], int(size), estimates.df[rows])
        solve = partial(studentized_range_isf, 1.0 - confidence, int(size))
        critical[rows] = _smooth_in_df(solve, df)[back] / np.sqrt(2.0)
    return Family(estimates, p, critical * estimates.se)


def against_one(
    estimates: Estimates, correlation: Floats, confidence: float, *, settled: NDArray[np.bool_]
) -> Family:
    """Judge each lot against the baseline together (Dunnett), with the correlation the table gives.

    `correlation` is (attributes, estimates, estimates); `settled` (attributes, estimates) says which exist.
    """
    p, margin = np.full(estimates.value.shape, np.nan), np.full(estimates.value.shape, np.nan)
    for row in range(len(estimates.value)):
        there = settled[row] & np.isfinite(estimates.se[row]) & np.isfinite(estimates.df[row])
        if there.any():
            part = correlation[row][np.ix_(there, there)]
            p[row, there], margin[row, there] = _dunnett(
                estimates.value[row, there],
                estimates.se[row, there],
                estimates.df[row, there],
                part,
                confidence,
            )
    return Family(estimates, p, margin)


def _dunnett(
    value: Floats, se: Floats, df: Floats, correlation: Floats, confidence: float
) -> tuple[Floats, Floats]:
    from wetleaf.numerics.simultaneous import dunnett_isf, dunnett_sf

    p = dunnett_sf(np.abs(value / se), correlation, df)
    unique, back = np.unique(df, return_inverse=True)
    critical = _smooth_in_df(
        lambda at: np.array([dunnett_isf(1.0 - confidence, correlation, float(one)) for one in at]), unique
    )
    return np.asarray(p, dtype=np.float64), critical[back] * se


def _smooth_in_df(solve: Callable[[Floats], Floats], df: Floats) -> Floats:
    """Solve at few df and carry over to many: a critical value is smooth in 1/df (interpolated to 1e-9)."""
    knots = 12
    if df.size <= knots:
        return np.asarray(solve(df), dtype=np.float64)
    low, high = 1.0 / df.max(), 1.0 / df.min()
    angle = np.cos((2 * np.arange(knots) + 1) * np.pi / (2 * knots))
    middle, reach = (low + high) / 2.0, (high - low) / 2.0
    values = np.asarray(solve(1.0 / (middle + reach * angle)), dtype=np.float64)
    series = np.polynomial.chebyshev.chebfit(angle, values, knots - 1)
    return np.asarray(np.polynomial.chebyshev.chebval((1.0 / df - middle) / reach, series), dtype=np.float64)


def _real(df: Floats) -> Floats:
    return np.where(df > 0, df, np.nan)
