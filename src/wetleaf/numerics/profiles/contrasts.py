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
    t = np.abs(np.divide(estimates.value, estimates.se, out=np.zeros_like(p), where=settled))
    for there, groups in _alike(correlation, settled):
        matrices = np.stack([correlation[rows[0]][np.ix_(there, there)] for rows in groups])
        member = np.repeat(np.arange(len(groups)), [rows.size * there.size for rows in groups])
        cells = np.repeat(np.concatenate(groups), there.size), np.tile(there, sum(map(len, groups)))
        p[cells], critical[cells] = _dunnett(t[cells], matrices, estimates.df[cells], member, confidence)
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
    t: Floats, correlations: Floats, df: Floats, member: NDArray[np.intp], confidence: float
) -> tuple[Floats, Floats]:
    """Return p and critical value of every |t|; `member` says which matrix of (matrices, m, m) is its own.

    The critical values come from the tail at a few points below Sidak's bound and at a few df, in the same
    call as p: as shares of that bound they are smooth in 1 / df, and the tail's logarithm is smooth in them
    (interpolated to 1e-6). What falls outside is solved for one by one.
    """
    from wetleaf.numerics.simultaneous import dunnett_isf

    sidak = partial(_sidak, correlations.shape[1], confidence)
    knots = _knots(df, member)
    points = sidak(knots)[:, :, None] * _BELOW_SIDAK
    tails = _dunnett_tails(
        np.concatenate([t, points.ravel()]),
        correlations,
        np.concatenate([df, np.repeat(knots.ravel(), _BELOW_SIDAK.size)]),
        np.concatenate([member, np.repeat(np.arange(len(knots)), points[0].size)]),
    )
    shares = _where_log_is(np.log(tails[t.size :].reshape(points.shape)), np.log(1.0 - confidence))
    for i, k in np.argwhere(~np.isfinite(shares)).tolist():
        exact = dunnett_isf(1.0 - confidence, correlations[i], float(knots[i, k]))
        shares[i, k] = exact / float(sidak(knots[i, k]))
    weights = _lagrange(1.0 / knots[member], 1.0 / df)
    return tails[: t.size], np.asarray((weights * shares[member]).sum(axis=1) * sidak(df))


def _dunnett_tails(t: Floats, correlations: Floats, df: Floats, member: NDArray[np.intp]) -> Floats:
    from wetleaf.numerics.profiles.nearly_equal import nearly_equal_sf
    from wetleaf.numerics.simultaneous import dunnett_sf

    tails = nearly_equal_sf(t, correlations, df, member)
    if tails is None:
        tails = np.zeros_like(t)
        for i, matrix in enumerate(correlations):
            own = member == i
            tails[own] = dunnett_sf(t[own], matrix, df[own])
    return tails


def _sidak(m: int, confidence: float, df: Floats) -> Floats:
    """Return Sidak's critical value: a bound for m differences of any correlation."""
    from scipy.special import stdtrit

    return np.asarray(stdtrit(df, 1.0 - (1.0 - confidence ** (1.0 / m)) / 2.0))


def _knots(df: Floats, member: NDArray[np.intp]) -> Floats:
    """Return a few df (members, knots) that stand for each member's own: Chebyshev's points in 1 / df."""
    starts = np.flatnonzero(np.diff(member, prepend=-1))
    low, high = np.minimum.reduceat(df, starts) * 0.97, np.maximum.reduceat(df, starts) * 1.03
    n_knots = 4 if (high <= 3.0 * low).all() and (low >= 20.0).all() else 16  # few df bend it more
    angle = np.cos((2 * np.arange(n_knots) + 1) * np.pi / (2 * n_knots))
    middle, reach = (1.0 / low + 1.0 / high) / 2.0, (1.0 / low - 1.0 / high) / 2.0
    return np.asarray(1.0 / (middle[:, None] + reach[:, None] * angle))


def _lagrange(points: Floats, at: Floats) -> Floats:
    """Return the weights (values, points) that carry what stands at `points` (values, points) to `at`."""
    weights = np.ones_like(points)
    for i, point in enumerate(points.T):
        for other in np.delete(points, i, axis=1).T:
            weights[:, i] *= (at - other) / (point - other)
    return weights


_BELOW_SIDAK = np.array([0.86, 0.895, 0.93, 0.965, 1.0])


def _where_log_is(logs: Floats, target: float) -> Floats:
    """Return, by the polynomial through (log, position), the position of `target`; nan outside the points."""
    found = np.zeros(logs.shape[:-1])
    for i, position in enumerate(_BELOW_SIDAK):
        part = np.full(found.shape, position)
        for j in range(_BELOW_SIDAK.size):
            if j != i:
                part *= (target - logs[..., j]) / (logs[..., i] - logs[..., j])
        found += part
    inside = (logs[..., 0] >= target) & (logs[..., -1] <= target + 1e-9)
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
