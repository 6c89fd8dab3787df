"""How far apart are the lots, which is nearest to which, and where in the range is nobody?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.spatial import ConvexHull, Delaunay, QhullError, Voronoi
from scipy.special import ncfdtr

from wetleaf.numerics.maps.axes import Floats
from wetleaf.numerics.maps.components import Components
from wetleaf.numerics.maps.levelled import TASTERS_AT_LARGE, Codes, Levelled
from wetleaf.numerics.maps.lot_maps import LotMap
from wetleaf.trade.errors import BadInput

LEVEL: Final = 0.05
_NOTHING_BESIDE: Final = 1e6  # a squared distance so many times its noise; far beyond, scipy's does not end


@dataclass(frozen=True, slots=True)
class Distance:
    """How far is `a` from `b`? The typical difference of an attribute, root mean square, in points.

    `seen` is that of the means; `corrected` has what noise adds taken off, `low` to `high` is a 95 % interval
    of the true one. All but `seen` are nan when nothing tells how sure the means are.
    """

    a: str
    b: str
    seen: float
    corrected: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Nearest:
    """The lot nearest to `lot`, and the share of resamples in which it is the nearest (nan: not told)."""

    lot: str
    nearest: str
    distance: float
    chance: float


@dataclass(frozen=True, slots=True)
class _Stratum:
    """One source of noise: tr(S) and tr(S^2) (pairs,), the share of it in a difference of means, its df."""

    share: Floats
    whole: Floats
    squared: Floats
    df: float


@dataclass(frozen=True, slots=True)
class _Noise:
    """Noise of pairs (pairs,): its whole variance over attributes, its effective directions, and its df."""

    variance: Floats
    directions: Floats
    df: Floats


@dataclass(frozen=True, slots=True)
class EmptyRegion:
    """Where in the range is nobody? The largest circle on the map that holds no lot, inside the range.

    `place` is its middle, `radius` reaches to the lots of `around`; `scores` (columns of the components) is
    what a lot there would be like, as far as two axes tell.
    """

    place: tuple[float, float]
    radius: float
    around: tuple[str, ...]
    scores: dict[str, float]


def distances_between(found: LotMap) -> tuple[Distance, ...]:
    """Return the distance of every pair of lots, from attributes scored on every lot, with its interval.

    Noise makes every distance look larger. The squared distance over its noise is taken as a noncentral F
    with the noise's effective number of directions, tr(S)^2 / tr(S^2), and the interval is found by turning
    its distribution function around [1]_. The claim is the map's: these tasters, or tasters at large.

    References
    ----------
    .. [1] Box, Some theorems on quadratic forms, Annals of Mathematical Statistics 25 (1954) 290-302.
    """
    table = found.table
    first, second = np.triu_indices(len(table.lots), 1)
    width = table.means.shape[1]
    squares = ((table.means[first] - table.means[second]) ** 2).sum(axis=1)
    noise = _noise(table, first, second)
    if noise is None:
        middle = low = high = np.full(len(squares), np.nan)
    else:
        middle = np.maximum(squares - noise.variance, 0)
        low, high = (_true_square(squares, noise, chance) for chance in (1 - LEVEL / 2, LEVEL / 2))
    sizes = (np.sqrt(value / width).tolist() for value in (squares, middle, low, high))
    pairs = ((table.lots[i], table.lots[j]) for i, j in zip(first, second, strict=True))
    return tuple(Distance(*pair, *four) for pair, four in zip(pairs, zip(*sizes, strict=True), strict=True))


def _noise(table: Levelled, first: Codes, second: Codes) -> _Noise | None:
    """Noise between tasters and, where lots came from several pots, between pots: variances add up."""
    strata = [one for one in (_of_tasters(table, first, second), _of_pots(table, first, second)) if one]
    if not strata:
        return None
    variance = np.sum([one.share * one.whole for one in strata], axis=0)
    squared = np.sum([one.share**2 * one.squared for one in strata], axis=0)
    if len(strata) == 2:
        squared = squared + 2 * strata[0].share * strata[1].share * _across(table)
    freedom = np.sum([(one.share * one.whole) ** 2 / one.df for one in strata], axis=0)
    df = variance**2 / np.maximum(freedom, 1e-300)
    directions = np.clip(variance**2 / np.maximum(squared, 1e-300), 1, table.means.shape[1])
    return _Noise(variance, directions, df)


def _of_tasters(table: Levelled, first: Codes, second: Codes) -> _Stratum | None:
    """Pooled residuals for few tasters; from eight on each pair's own differences, taster by taster."""
    if len(table.tasters) < TASTERS_AT_LARGE:
        share = 1 / table.units_per_lot[first] + 1 / table.units_per_lot[second]
        return _pooled(table.residuals, float(table.df.min(initial=np.inf)), share)
    cube = np.zeros((len(table.tasters), *table.means.shape))
    cube[table.taster_of_unit, table.lot_of_unit] = table.residuals
    df = float(len(table.tasters) - 1)
    found = [_whole_and_squared(cube[:, i] - cube[:, j], df) for i, j in zip(first, second, strict=True)]
    whole, squared = (np.array(part) for part in zip(*found, strict=True))
    return _Stratum(np.full(len(first), 1 / len(table.tasters)), whole, squared, df)


def _of_pots(table: Levelled, first: Codes, second: Codes) -> _Stratum | None:
    """What sets pots of one lot apart; one taster's units are pots already."""
    if table.pots is None or len(table.tasters) == 1:
        return None
    per_lot = table.pots.pots_per_lot
    return _pooled(table.pots.residuals, table.pots.df, 1 / per_lot[first] + 1 / per_lot[second])


def _pooled(residuals: Floats, df: float, share: Floats) -> _Stratum | None:
    if df < 1:
        return None
    whole, squared = _whole_and_squared(residuals, df)
    return _Stratum(share, np.full(share.size, whole), np.full(share.size, squared), df)


def _across(table: Levelled) -> float:
    """tr(S T) of the taster noise S and the pot noise T; tasters pooled, also where they are many."""
    if table.pots is None:
        return 0.0
    one = table.residuals.T @ table.residuals / float(table.df.min())
    other = table.pots.residuals.T @ table.pots.residuals / table.pots.df
    times = 2.0 if len(table.tasters) >= TASTERS_AT_LARGE else 1.0  # there S is that of a difference
    return times * float((one * other).sum())


def _whole_and_squared(residuals: Floats, df: float) -> tuple[float, float]:
    """Return tr(S) and an estimate of tr(S^2) that few degrees of freedom do not inflate."""
    covariance = residuals.T @ residuals / df
    whole, squared = float(np.trace(covariance)), float((covariance**2).sum())
    if df > 1:
        squared = df**2 / ((df - 1) * (df + 2)) * (squared - whole**2 / df)
    return whole, max(squared, whole**2 / len(covariance))


def _true_square(squares: Floats, noise: _Noise, chance: float) -> Floats:
    """Return the true squared distance at which one as small as was seen has that chance, by halving."""
    if (noise.variance * _NOTHING_BESIDE < squares).any() or not noise.variance.all():
        return _where_there_is_noise(squares, noise, chance)
    ratio = squares / noise.variance
    below = noise.df * noise.directions
    low = np.zeros_like(ratio)
    high = 4 * noise.directions * (ratio + 10)
    for _ in range(60):
        middle = (low + high) / 2
        too_small = ncfdtr(noise.directions, below, middle, ratio) > chance
        low, high = np.where(too_small, middle, low), np.where(too_small, high, middle)
    return np.asarray(low * noise.variance / noise.directions)


def _where_there_is_noise(squares: Floats, noise: _Noise, chance: float) -> Floats:
    """The same, where noise so small beside a distance that no distribution function is needed leaves it."""
    heard = (noise.variance > 0) & (noise.variance * _NOTHING_BESIDE >= squares)
    result = squares.copy()
    if heard.any():
        some = _Noise(noise.variance[heard], noise.directions[heard], noise.df)
        result[heard] = _true_square(squares[heard], some, chance)
    return np.asarray(result)


def nearest_lots(found: LotMap) -> tuple[Nearest, ...]:
    """Return for every lot the one nearest to it by the distance of `distances_between`, and how surely."""
    table = found.table
    gaps = _squares(table.means)
    nearest = gaps.argmin(axis=1)
    chances = np.full(len(table.lots), np.nan)
    if found.means is not None:
        again = np.stack([_squares(one).argmin(axis=1) for one in found.means])
        chances = (again == nearest).mean(axis=0)
    sizes = np.sqrt(gaps.min(axis=1) / table.means.shape[1])
    return tuple(
        Nearest(lot, table.lots[k], float(size), float(chance))
        for lot, k, size, chance in zip(table.lots, nearest, sizes, chances, strict=True)
    )


def emptiest_region(components: Components) -> EmptyRegion | None:
    """Return the largest gap inside the range, or None when the lots lie on one line or are three.

    Corners of the Voronoi diagram inside the convex hull are the only places that can be locally farthest
    from every lot there; corners outside it would praise the edge of the range.
    """
    rows = components.rows
    if len(rows) < 4 or components.row_scores.shape[1] < 2:
        return None
    spots = components.row_scores[:, :2]
    try:
        corners = Voronoi(spots).vertices
        inside = corners[Delaunay(spots[ConvexHull(spots).vertices]).find_simplex(corners) >= 0]
    except QhullError:
        return None
    if not len(inside):
        return None
    gaps = np.sqrt(((inside[:, None] - spots) ** 2).sum(axis=2))
    widest = int(gaps.min(axis=1).argmax())
    place, radius = inside[widest], float(gaps[widest].min())
    around = tuple(lot for lot, gap in zip(rows, gaps[widest], strict=True) if gap <= radius * (1 + 1e-6))
    scores = dict(zip(components.columns, components.scores_at(place).tolist(), strict=True))
    return EmptyRegion((float(place[0]), float(place[1])), radius, around, scores)


def distance_of(distances: Sequence[Distance], a: str, b: str) -> Distance:
    """Return the distance of two lots, in either order. Raises BadInput for a pair that is not there."""
    for one in distances:
        if {one.a, one.b} == {a, b}:
            return one
    raise BadInput(f"No distance of {a} and {b} is known.", way_out="Name two lots that are on the map.")


def _squares(spots: Floats) -> Floats:
    """Squared distances of all lots to all others; the own one is infinite."""
    gaps = ((spots[:, None] - spots[None]) ** 2).sum(axis=2)
    np.fill_diagonal(gaps, np.inf)
    return np.asarray(gaps)
