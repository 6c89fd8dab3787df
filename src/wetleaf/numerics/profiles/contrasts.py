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
        df, back = np.unique(np.round(estimates.df[rows], 9), return_inverse=True)
        p[rows] = studentized_range_sf(np.sqrt(2.0) * t[rows], int(size), estimates.df[rows])
        solve = partial(studentized_range_isf, 1.0 - confidence, int(size))
        critical[rows] = _smooth_in_df(solve, df)[back] / np.sqrt(2.0)
    return Family(estimates, p, critical * estimates.se)


def against_one(
    estimates: Estimates, correlation: Floats, confidence: float, *, settled: NDArray[np.bool_]
) -> Family:
    """Judge each lot against the baseline together (Dunnett), with the correlation the table gives.

    `correlation` is (attributes, estimates, estimates); `settled` (attributes, estimates) says which exist.
    Attributes of one correlation are solved for together.
    """
    p, critical = np.full(estimates.value.shape, np.nan), np.full(estimates.value.shape, np.nan)
    settled = settled & np.isfinite(estimates.se) & np.isfinite(estimates.df)
    for there, groups in _alike(correlation, settled):
        cells = [np.ix_(rows, there) for rows in groups]
        t = [np.abs(estimates.value[cell] / estimates.se[cell]) for cell in cells]
        parts = np.stack([correlation[rows[0]][np.ix_(there, there)] for rows in groups])
        found = _dunnett(t, parts, [estimates.df[cell] for cell in cells], confidence)
        for cell, (chance, least) in zip(cells, found, strict=True):
            p[cell], critical[cell] = chance, least
    return Family(estimates, p, critical * estimates.se)


def _alike(
    correlation: Floats, settled: NDArray[np.bool_]
) -> list[tuple[NDArray[np.intp], list[NDArray[np.intp]]]]:
    """Return, for each set of estimates that exist, the groups of attributes that share their correlation."""
    sets: dict[bytes, dict[bytes, list[int]]] = {}
    rounded = np.round(correlation, 11) + 0.0
    for row in np.flatnonzero(settled.any(axis=1)).tolist():
        groups = sets.setdefault(settled[row].tobytes(), {})
        groups.setdefault(rounded[row].tobytes(), []).append(row)
    found = []
    for groups in sets.values():
        rows = [np.array(group) for group in groups.values()]
        found.append((np.flatnonzero(settled[rows[0][0]]), rows))
    return found


def _dunnett(
    t: list[Floats], correlations: Floats, df: list[Floats], confidence: float
) -> list[tuple[Floats, Floats]]:
    """Return p and critical value of every |t|, for each correlation matrix (matrices, m, m).

    The critical values come from the tail at a few points below Sidak's bound, in the same call as p: the
    tail's logarithm is smooth there (interpolated to 1e-6). What falls outside is solved for one by one.
    """
    from scipy.special import stdtrit

    from wetleaf.numerics.profiles.nearly_equal import nearly_equal_sf
    from wetleaf.numerics.simultaneous import dunnett_isf, dunnett_sf

    alpha, family = 1.0 - confidence, 1.0 - confidence ** (1.0 / correlations.shape[1])
    some, back = zip(*(np.unique(np.round(one, 9), return_inverse=True) for one in df), strict=True)
    sidak = [stdtrit(one, 1.0 - family / 2.0)[:, None] for one in some]
    points = [
        np.concatenate([one.reshape(-1), (s * _BELOW_SIDAK).reshape(-1)])
        for one, s in zip(t, sidak, strict=True)
    ]
    degrees = [
        np.concatenate([one.reshape(-1), np.repeat(few, _BELOW_SIDAK.size)])
        for one, few in zip(df, some, strict=True)
    ]
    tails = nearly_equal_sf(points, correlations, degrees)
    if tails is None:
        tails = [np.asarray(dunnett_sf(*one)) for one in zip(points, correlations, degrees, strict=True)]
    found = []
    for i, tail in enumerate(tails):
        solved = (
            _where_log_is(np.log(tail[t[i].size :].reshape(-1, _BELOW_SIDAK.size)), np.log(alpha))
            * sidak[i][:, 0]
        )
        for place in np.flatnonzero(~np.isfinite(solved)):
            solved[place] = dunnett_isf(alpha, correlations[i], float(some[i][place]))
        found.append((tail[: t[i].size].reshape(t[i].shape), solved[back[i].reshape(-1)].reshape(t[i].shape)))
    return found


_BELOW_SIDAK = np.array([0.86, 0.895, 0.93, 0.965, 1.0])


def _where_log_is(logs: Floats, target: float) -> Floats:
    """Return, by the polynomial through (log, position), the position of `target`; nan outside the points."""
    found = np.zeros(logs.shape[0])
    for i, position in enumerate(_BELOW_SIDAK):
        others = [j for j in range(_BELOW_SIDAK.size) if j != i]
        parts = [(target - logs[:, j]) / (logs[:, i] - logs[:, j]) for j in others]
        found += position * np.prod(parts, axis=0)
    inside = (logs[:, 0] >= target) & (logs[:, -1] <= target + 1e-9)
    return np.where(inside, found, np.nan)


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
