"""Shrunk regression of an attribute on a fact, and how well it foretells makers and seasons left out."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from wetleaf.numerics.associations.archive import Codes, Floats, Pair, without_means

_MOST: Final = 0.999  # share of the spread that may be laid to the fact
_POINTS: Final = 33


@dataclass(frozen=True, slots=True)
class Shrunk:
    """Effects (k,) of the fact's columns, drawn towards none; `share` of the spread laid to the fact."""

    effects: Floats
    share: float


def shrunk_fit(attribute: Floats, columns: Floats, seasons: Codes) -> Shrunk:
    """Return the best linear unbiased prediction of effects ~ N(0, t^2), with levels of seasons free.

    t^2 is the restricted likelihood's best, searched over the share t^2 d / (t^2 d + s^2), d the columns'
    mean square; a best share of 0 means no effect at all.
    """
    y, x = without_means(attribute, seasons), without_means(columns, seasons)
    left, singular, right = np.linalg.svd(x, full_matrices=False)
    scores, squares = left.T @ y, singular**2
    df = len(y) - int(np.unique(seasons).size)
    if df < 2 or squares.max(initial=0.0) < 1e-12:
        return Shrunk(np.zeros(columns.shape[1]), 0.0)
    typical = squares.sum() / df
    beside = float(y @ y - scores @ scores)

    def log_likelihood(shares: Floats) -> Floats:
        widths = 1 + np.outer(shares / (1 - shares) / typical, squares)
        variances = (beside + (scores**2 / widths).sum(axis=1)) / df
        return np.asarray(-df / 2 * np.log(np.maximum(variances, 1e-300)) - 0.5 * np.log(widths).sum(axis=1))

    share = _best_share(log_likelihood)
    ratio = share / (1 - share) / typical
    return Shrunk(right.T @ (ratio * singular / (1 + ratio * squares) * scores), share)


def _best_share(log_likelihood: Callable[[Floats], Floats]) -> float:
    """Search ever finer grids: the curve may have two tops, and a slope would find either."""
    low, high = 0.0, _MOST
    for _ in range(6):
        shares = np.linspace(low, high, _POINTS)
        best = int(log_likelihood(shares).argmax())
        low, high = float(shares[max(best - 1, 0)]), float(shares[min(best + 1, _POINTS - 1)])
    return float(shares[best]) if shares[best] > 1e-7 else 0.0


def skill_without_makers(pair: Pair) -> float:
    """Return the share of squares foretold for makers left out one at a time; below 0 it foretells nothing.

    Held against the season's mean of the other makers. nan with fewer than three makers.
    """
    if np.unique(pair.makers).size < 3:
        return float("nan")
    with_fact, without = np.zeros(2), np.zeros(2)
    for maker in np.unique(pair.makers):
        out = pair.makers == maker
        known = np.isin(pair.seasons[out], pair.seasons[~out])
        if not known.any():
            continue
        rows = np.flatnonzero(out)[known]
        level, foretold = _foretold(pair, ~out, rows)
        missed = pair.attribute[rows] - level
        with_fact[0] += float(((missed - foretold) ** 2).sum())
        without[0] += float((missed**2).sum())
    return _skill(with_fact[0], without[0])


def _foretold(pair: Pair, kept: np.ndarray, rows: Codes) -> tuple[Floats, Floats]:
    """Mean of each row's season among the kept lots, and what the fact adds to it."""
    fit = shrunk_fit(pair.attribute[kept], pair.columns[kept], pair.seasons[kept])
    own = np.eye(int(pair.seasons.max()) + 1)[pair.seasons]
    counts = np.maximum(own[kept].sum(axis=0), 1)
    level = (own[kept].T @ pair.attribute[kept] / counts)[pair.seasons[rows]]
    middle = (own[kept].T @ pair.columns[kept] / counts[:, None])[pair.seasons[rows]]
    return level, (pair.columns[rows] - middle) @ fit.effects


def skill_without_seasons(pair: Pair) -> float:
    """Return the share of squares within a season foretold from the other seasons; nan with only one."""
    if np.unique(pair.seasons).size < 2:
        return float("nan")
    with_fact = without = 0.0
    for season in np.unique(pair.seasons):
        out = pair.seasons == season
        fit = shrunk_fit(pair.attribute[~out], pair.columns[~out], pair.seasons[~out])
        apart = pair.attribute[out] - pair.attribute[out].mean()
        said = pair.columns[out] @ fit.effects
        with_fact += float(((apart - (said - said.mean())) ** 2).sum())
        without += float((apart**2).sum())
    return _skill(with_fact, without)


def _skill(with_fact: float, without: float) -> float:
    return 1 - with_fact / without if without > 0 else float("nan")
