"""Dunnett's tail for many correlation matrices that are each nearly of one correlation.

With cups missing here and there, every attribute has its own correlation matrix, each close to having one
correlation throughout. About that one correlation, the matrix's own mean, the first-order change of the
tail is zero by symmetry, and the second-order change needs only two sums of what is left over, D = R -
mean:

    P(largest <= w) = integral phi(z) W^m (1 + (c - s^2) s^2 (sum_i r_i^2 - Q) / 2 + (c^2 - s^4) Q / 4) dz,

where W is the chance within w given the shared part z, s and c its first and second derivatives over it,
r_i the row sums of D and Q its sum of squares. Tails of one correlation are tabulated at a few correlations
and carried between them, so forty attributes cost little more than one. What does not lie close goes to
`wetleaf.numerics.simultaneous`, which this is checked against.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.scale_mixtures import (
    NormalTail,
    first_panels,
    mix_over_scale,
    table_nodes,
    tail_through,
)

CLOSE, CLOSE_ON_AVERAGE = 0.09, 0.03
"""Largest and root mean square departure from the mean correlation for which two orders give 1e-5."""
FEWEST_MATRICES = 3
_CORRELATIONS = 7
_W_NODES = 32
_LARGEST_W = 9.0


@dataclass(frozen=True)
class _Between:
    """Tails of one correlation at a few correlations between `low` and `high`, and their two corrections.

    All at the nodes of the tails' tables: (correlations, nodes, panels).
    """

    low: float
    high: float
    like: NormalTail
    log_tails: Floats
    rows: Floats  # relative change of the tail by sum r_i^2
    squares: Floats  # the same by Q

    def at(self, correlation: Floats, row_sums: Floats, squares: Floats) -> NormalTail:
        """Return, side by side, the tails at mean correlations (matrices,) with their two corrections."""
        weights = _lagrange(self.low, self.high, correlation)
        log_tails, by_rows, by_squares = (
            np.tensordot(weights, one, axes=1) for one in (self.log_tails, self.rows, self.squares)
        )
        bent = 1.0 + row_sums[:, None, None] * by_rows + squares[:, None, None] * by_squares
        corrected = log_tails + np.log(np.maximum(bent, 1e-3))
        like = self.like
        return tail_through(corrected, rate=like.rate, alike=like.alike, largest_w=like.largest_w)


def nearly_equal_sf(t: Floats, correlations: Floats, df: Floats, member: NDArray[np.intp]) -> Floats | None:
    """Return P(largest |T| >= t) of every t, df and matrix of (matrices, m, m); None when not close.

    >>> two = np.array([[[1.0, 0.5], [0.5, 1.0]]] * 3)
    >>> nearly_equal_sf(np.full(3, 2.57), two, np.full(3, 10.0), np.arange(3)).round(3).tolist()
    [0.05, 0.05, 0.05]
    """
    n, m = correlations.shape[:2]
    off = ~np.eye(m, dtype=bool)
    if n < FEWEST_MATRICES or m < 2:
        return None
    mean = correlations[:, off].mean(axis=1)
    left = np.where(off, correlations - mean[:, None, None], 0.0)
    row_sums, squares = (left.sum(axis=2) ** 2).sum(axis=1), (left**2).sum(axis=(1, 2))
    average = float(np.sqrt(squares.max() / (m * (m - 1))))
    if np.abs(left).max() > CLOSE or average > CLOSE_ON_AVERAGE or mean.min() < 0.05 or mean.max() > 0.9:
        return None
    table = _between(m, float(np.floor(mean.min() * 50) / 50), float(np.ceil(mean.max() * 50 + 1e-9) / 50))
    return mix_over_scale(table.at(mean, row_sums, squares), t, df, first_panels(member))


@lru_cache(maxsize=32)
def _between(m: int, low: float, high: float) -> _Between:
    from wetleaf.numerics.largest_of_many import largest_tail

    high = max(high, low + 0.02)
    correlations = (low + high) / 2.0 + (high - low) / 2.0 * _chebyshev_points()
    tails = tuple(largest_tail(np.where(np.eye(m, dtype=bool), 1.0, one)).tail for one in correlations)
    changes = [_changes(m, float(one), tail) for one, tail in zip(correlations, tails, strict=True)]
    rows, squares = (np.stack(parts) for parts in zip(*changes, strict=True))
    nodes = table_nodes(tails[0].largest_w)
    log_tails = np.stack([tail.log_tail(nodes) for tail in tails])
    return _Between(low, high, tails[0], log_tails, _over_nodes(rows, nodes), _over_nodes(squares, nodes))


def _over_nodes(changes: Floats, nodes: Floats) -> Floats:
    """Carry changes (correlations, w nodes) over to a tail's nodes; beyond the last w they stay."""
    series = np.polynomial.chebyshev.chebfit(2.0 * _w_nodes() / _LARGEST_W - 1.0, changes.T, _W_NODES - 1)
    place = 2.0 * np.minimum(nodes, _LARGEST_W) / _LARGEST_W - 1.0
    return np.asarray(np.polynomial.chebyshev.chebval(place, series))


def _changes(m: int, correlation: float, tail: NormalTail) -> tuple[Floats, Floats]:
    """Return the relative second-order changes of the tail at the w nodes, by sum r_i^2 and by Q."""
    from scipy.special import ndtr

    w = _w_nodes()[:, None]
    own, shared = np.sqrt(1.0 - correlation), np.sqrt(correlation)
    z = np.arange(0.0, 9.5, 0.1 * own)
    weight = np.exp(-z * z / 2.0) * (2.0 * 0.1 * own / np.sqrt(2.0 * np.pi))
    weight[0] /= 2.0
    upper, lower = (w - shared * z) / own, (-w - shared * z) / own
    within = np.maximum(ndtr(upper) - ndtr(lower), 1e-290)
    at_upper, at_lower = (np.exp(-v * v / 2.0) / np.sqrt(2.0 * np.pi) for v in (upper, lower))
    slope_squared = ((at_lower - at_upper) / own / within) ** 2
    bend = (lower * at_lower - upper * at_upper) / own**2 / within
    shares = weight * np.exp(m * np.log(within))
    by_rows = (shares * (bend - slope_squared) * slope_squared).sum(axis=1) / 2.0
    by_squares = (shares * (bend**2 - slope_squared**2)).sum(axis=1) / 4.0 - by_rows
    beyond = np.exp(tail.log_tail(_w_nodes()))
    return -by_rows / beyond, -by_squares / beyond


def _w_nodes() -> Floats:
    return np.asarray((1.0 + np.cos((np.arange(_W_NODES) + 0.5) * np.pi / _W_NODES)) / 2.0 * _LARGEST_W)


def _chebyshev_points() -> Floats:
    return np.asarray(np.cos((np.arange(_CORRELATIONS) + 0.5) * np.pi / _CORRELATIONS))


def _lagrange(low: float, high: float, at: Floats) -> Floats:
    """Return the weights (places, points) that carry values at the Chebyshev points to `at`."""
    points = _chebyshev_points()
    place = (at - (low + high) / 2.0) / ((high - low) / 2.0)
    weights = [
        np.prod([(place - other) / (point - other) for other in points if other != point], axis=0)
        for point in points
    ]
    return np.stack(weights, axis=1)
