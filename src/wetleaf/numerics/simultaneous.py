"""How large a difference must be among many: all pairs (studentised range), each with a baseline (Dunnett).

Open `studentized_range_sf` for all pairs of lots, `dunnett_sf` for each lot with one baseline lot. Both rest
on `wetleaf.numerics.scale_mixtures`. Every value uses its own degrees of freedom: nothing is interpolated in df.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetleaf.numerics.scale_mixtures import NormalTail, mix_over_scale, solve_tail, tabulate_tail

Floats = NDArray[np.float64]

_STEEPEST_LOADING: Final = 0.999  # beyond it the inner trapezoid would need thousands of nodes
_PRODUCT_WITHIN: Final = 1e-9
_GOOD_ENOUGH: Final = 1e-6  # estimated error at which the general method stops adding directions
_SHIFTS: Final = 8
_FIRST_DIRECTIONS: Final = 2048  # for each shift
_MOST_DIRECTIONS: Final = 65_536
_BINS: Final = 128  # a divisor of every number of directions used


@dataclass(frozen=True, slots=True)
class DunnettTail:
    """P(largest |T| >= t) with the error to expect: `error` is three standard errors of the general method,
    1e-9 for the exact one-dimensional integral (`method` "product")."""

    t: Floats
    p: Floats
    error: float
    method: Literal["product", "directions"]


def studentized_range_sf(q: ArrayLike, n_means: int, df: ArrayLike) -> Floats:
    """Return the chance that the studentised range of `n_means` equal means exceeds `q`.

    For a pair of lots q is sqrt(2) |difference| / its standard error. `q` and `df` are broadcast; df may be
    any number above 0, or infinite. A missing q or df (nan) gives nan. Raises ValueError for fewer than two
    means or a df of 0 or less. Absolute error below 1e-9 for df >= 1 and 1e-8 for df >= 0.5.

    References
    ----------
    1. Tukey (1953); Hartley (1942), Biometrika 32: 309-310, for the integral.

    >>> studentized_range_sf([3.877], 3, [10]).round(4)  # the 5 % point in the usual table is 3.877
    array([0.05])
    """
    if n_means < 2:
        raise ValueError(f"A range needs at least two means, not {n_means}.")
    return mix_over_scale(_range_tail(int(n_means)), q, df)


def studentized_range_isf(p: ArrayLike, n_means: int, df: ArrayLike) -> Floats:
    """Return the q that the studentised range exceeds with chance `p`. See `studentized_range_sf`.

    p = 1 gives 0, p = 0 gives infinity; a p outside 0 to 1 raises ValueError.

    >>> studentized_range_isf([0.05, 0.01], 3, 10).round(3)
    array([3.877, 5.27 ])
    """
    if n_means < 2:
        raise ValueError(f"A range needs at least two means, not {n_means}.")
    return _invert(_range_tail(int(n_means)), p, df)


def dunnett_sf(t: ArrayLike, correlation: ArrayLike, df: ArrayLike) -> Floats:
    """Return P(largest |T_i| >= |t|) for jointly t-distributed T with this correlation matrix and `df`.

    `correlation` is (m, m). When correlation_ij = l_i l_j (lots of any size against one baseline,
    independent errors) the answer is an exact one-dimensional integral, else see `dunnett_tail`, which also
    gives the error. Raises ValueError when the matrix is not a correlation matrix or a df is not above 0.

    References
    ----------
    1. Dunnett (1955), Journal of the American Statistical Association 50: 1096-1121.

    >>> dunnett_sf([2.57], [[1, 0.5], [0.5, 1]], 10).round(3)  # Dunnett (1964): 2.57 at 5 %, 2 lots, 10 df
    array([0.05])
    """
    return dunnett_tail(t, correlation, df).p


def dunnett_isf(p: float, correlation: ArrayLike, df: float) -> float:
    """Return the t that the largest |T_i| exceeds with chance `p`. See `dunnett_sf`.

    >>> round(dunnett_isf(0.05, [[1, 0.5], [0.5, 1]], 10), 2)
    2.57
    """
    matrix = _checked(correlation)
    loadings = _product_loadings(matrix)
    if loadings is not None:
        return float(_invert(_dunnett_table(loadings), p, df))
    if not 0 < p < 1:
        return float(_invert(_dunnett_table((0.0,)), p, df))
    directions = _Directions.of(matrix)
    return float(
        solve_tail(lambda x, _: np.log(directions.tail(x, np.full(x.shape, df)).p), np.array([p]))[0]
    )


def dunnett_tail(t: ArrayLike, correlation: ArrayLike, df: ArrayLike) -> DunnettTail:
    """Return the tail of `dunnett_sf` together with its method and error.

    For a matrix that is no product the tail is averaged over directions of the normal vector (Deák 1980):
    along a direction u the largest |T| is c(u) times a root of an F variable: P = E[P(F > t^2 / (c^2 m))].
    The nearest product matrix, whose tail is known exactly, serves as control variate over the same fixed
    lattice of directions. They are doubled until three standard errors are below 1e-6, or to 65,536 for each
    of 8 shifts.

    >>> dunnett_tail(2.5, [[1, 0.2, 0.1], [0.2, 1, 0.6], [0.1, 0.6, 1]], 12).method
    'directions'
    """
    at, degrees = np.broadcast_arrays(np.abs(np.asarray(t, dtype=float)), np.asarray(df, dtype=float))
    matrix = _checked(correlation)
    loadings = _product_loadings(matrix)
    if loadings is not None:
        return DunnettTail(at, mix_over_scale(_dunnett_table(loadings), at, degrees), 1e-9, "product")
    return _Directions.of(matrix).tail(at, degrees)


def _invert(tail: NormalTail, p: ArrayLike, df: ArrayLike) -> Floats:
    chance, degrees = np.broadcast_arrays(np.asarray(p, dtype=float), np.asarray(df, dtype=float))
    if np.any((chance < 0) | (chance > 1)):
        raise ValueError(
            f"A chance lies between 0 and 1, not {chance[(chance < 0) | (chance > 1)].flat[0]:g}."
        )
    result = np.where(chance == 0, np.inf, np.where(chance == 1, 0.0, np.nan))
    open_ = (chance > 0) & (chance < 1) & ~np.isnan(degrees)
    own = degrees[open_]
    if own.size:
        result[open_] = solve_tail(
            lambda x, which: np.log(mix_over_scale(tail, x, own[which])), chance[open_]
        )
    return result


@lru_cache(maxsize=256)
def _range_tail(n_means: int) -> NormalTail:
    return tabulate_tail(lambda w: _normal_range_sf(w, n_means), rate=0.25, alike=n_means, largest_w=46.0)


def _normal_range_sf(w: Floats, n_means: int) -> Floats:
    """P(range > w) = k integral phi(z) (Phi(z)^(k-1) - (Phi(z) - Phi(z - w))^(k-1)) dz; no term cancels."""
    from scipy.special import ndtr

    step = 0.125 if n_means <= 100 else 0.08
    z = w[:, None] / 2 + np.arange(-round(9.5 / step), round(9.5 / step) + 1) * step
    below = ndtr(z)
    with np.errstate(divide="ignore"):
        inside = (n_means - 1) * np.log1p(-np.minimum(ndtr(z - w[:, None]) / below, 1.0))
    density = np.exp(-z * z / 2) / np.sqrt(2 * np.pi)
    values = density * below ** (n_means - 1) * -np.expm1(inside)
    return np.asarray(np.minimum(n_means * step * values.sum(axis=1), 1.0))


@lru_cache(maxsize=256)
def _dunnett_table(loadings: tuple[float, ...]) -> NormalTail:
    values, counts = np.unique(np.abs(loadings), return_counts=True)
    return tabulate_tail(
        lambda w: _normal_largest_sf(w, values, counts), rate=0.5, alike=len(loadings), largest_w=34.0
    )


def _normal_largest_sf(w: Floats, loadings: Floats, counts: NDArray[np.intp]) -> Floats:
    """P(largest |Z_i| > w), Z_i = l_i z + sqrt(1 - l_i^2) e_i: given z a product; even in z, so half of it."""
    own = np.sqrt(1 - loadings**2)
    step = float(min(0.25, np.min(0.3 * own / np.maximum(loadings, 1e-9))))
    first = np.maximum(loadings.min() * w - 9.5, 0.0)
    n = int(np.ceil(np.max(loadings.max() * w + 9.5 - first) / step)) + 1
    z = first[:, None] + step * np.arange(n)
    weight = np.exp(-z * z / 2) * (2 * step / np.sqrt(2 * np.pi))
    weight[first == 0, 0] /= 2
    return np.asarray(
        np.minimum((weight * _any_beyond(w[:, None], z, loadings, own, counts)).sum(axis=1), 1.0)
    )


def _any_beyond(w: Floats, z: Floats, loadings: Floats, own: Floats, counts: NDArray[np.intp]) -> Floats:
    """The chance, given z, that at least one |Z_i| exceeds w; sums of small chances keep their digits."""
    from scipy.special import ndtr

    all_within = np.zeros_like(z)
    with np.errstate(divide="ignore"):
        for loading, spread, count in zip(loadings, own, counts, strict=True):
            beyond = ndtr((loading * z - w) / spread) + ndtr((-loading * z - w) / spread)
            all_within += count * np.log1p(-np.minimum(beyond, 1.0))
    return -np.expm1(all_within)


def _checked(correlation: ArrayLike) -> Floats:
    matrix = np.asarray(correlation, dtype=float)
    if matrix.ndim != 2 or matrix.shape[0] != matrix.shape[1] or not matrix.size:
        raise ValueError(f"A correlation matrix is square, not of shape {matrix.shape}.")
    if not np.all(np.isfinite(matrix)) or np.any(np.abs(matrix) > 1 + 1e-9):
        raise ValueError("A correlation lies between -1 and 1.")
    if not np.allclose(matrix, matrix.T, atol=1e-9) or not np.allclose(np.diag(matrix), 1, atol=1e-9):
        raise ValueError("A correlation matrix is symmetric with ones on its diagonal.")
    return matrix


def _product_loadings(matrix: Floats) -> tuple[float, ...] | None:
    """Return l with matrix_ij = l_i l_j off the diagonal, or None when there is none."""
    off = matrix - np.diag(np.diag(matrix))
    loadings = _loadings_by_pivot(off)
    if np.any(np.abs(loadings) > _STEEPEST_LOADING):
        return None
    left = np.abs(np.outer(loadings, loadings) - off)
    np.fill_diagonal(left, 0)
    return tuple(np.abs(loadings).round(12).tolist()) if left.max() < _PRODUCT_WITHIN else None


def _loadings_by_pivot(off: Floats) -> Floats:
    """From the row with most correlation: l_p^2 = r_pj r_pk / r_jk, then l_i = r_ip / l_p."""
    pivot = int(np.abs(off).sum(axis=0).argmax())
    row = off[pivot]
    triple = np.outer(row, row) * off
    first, second = np.unravel_index(np.abs(triple).argmax(), triple.shape)
    if triple[first, second]:
        own = np.sqrt(np.abs(row[first] * row[second] / off[first, second]))
    else:
        own = np.sqrt(np.abs(row).max())
    loadings = row / own if own else np.zeros_like(row)
    loadings[pivot] = own
    return np.asarray(loadings)


@dataclass(frozen=True, slots=True)
class _Directions:
    """Square roots of the matrix and of its nearest product, whose tail is known, for the general method."""

    root: Floats
    near_root: Floats
    near_tail: NormalTail

    @classmethod
    def of(cls, matrix: Floats) -> "_Directions":
        loadings = _nearest_loadings(matrix)
        near = np.outer(loadings, loadings)
        np.fill_diagonal(near, 1)
        return cls(_square_root(matrix), _square_root(near), _dunnett_table(tuple(np.abs(loadings).tolist())))

    def tail(self, t: Floats, df: Floats) -> DunnettTail:
        exact = mix_over_scale(self.near_tail, t, df)
        n = _FIRST_DIRECTIONS
        while True:
            gaps = np.array([self._gap(t, df, n, shift) for shift in range(_SHIFTS)])
            error = 3 * float(np.nanmax(gaps.std(axis=0, ddof=1), initial=0.0)) / np.sqrt(_SHIFTS)
            if error < _GOOD_ENOUGH or n >= _MOST_DIRECTIONS:
                return DunnettTail(t, np.clip(exact + gaps.mean(axis=0), 0, 1), error + 1e-9, "directions")
            n *= 2

    def _gap(self, t: Floats, df: Floats, n: int, shift: int) -> Floats:
        """The tail of the matrix less that of its nearest product, over the same directions."""
        directions = _lattice_directions(n, self.root.shape[0], shift)
        reach = np.abs(directions @ self.root).max(axis=1)
        near = np.abs(directions @ self.near_root).max(axis=1)
        m = self.root.shape[0]
        return _mean_tail(t, df, _binned(reach), m) - _mean_tail(t, df, _binned(near), m)


def _nearest_loadings(matrix: Floats) -> Floats:
    """Least squares of r_ij - l_i l_j off the diagonal, a coordinate at a time; need not be fully settled, for
    the product is only a control variate."""
    off = matrix - np.diag(np.diag(matrix))
    loadings = np.clip(_loadings_by_pivot(off), -0.9, 0.9)
    for _ in range(30):
        for i in range(loadings.size):
            others = loadings @ loadings - loadings[i] ** 2
            loadings[i] = np.clip(off[i] @ loadings / others, -0.99, 0.99) if others > 1e-12 else 0.0
    return loadings


def _square_root(matrix: Floats) -> Floats:
    values, vectors = np.linalg.eigh(matrix)
    if values.min() < -1e-7 * matrix.shape[0]:
        raise ValueError("No set of differences has this correlation matrix: it has a negative eigenvalue.")
    return np.asarray((vectors * np.sqrt(np.maximum(values, 0))) @ vectors.T)


def _lattice_directions(n: int, dimensions: int, shift: int) -> Floats:
    """Points of a fixed shifted lattice (roots of primes), folded, taken to normals, set to length one."""
    from scipy.special import ndtri

    roots = np.sqrt(_primes(dimensions))
    offset = np.random.default_rng([20_11, shift]).random(dimensions)  # fixed: the same answer every time
    place = np.abs(2 * ((np.outer(np.arange(1, n + 1), roots) + offset) % 1) - 1)
    normal = np.asarray(ndtri(np.clip(place, 1e-15, 1 - 1e-15)))
    return np.asarray(normal / np.linalg.norm(normal, axis=1, keepdims=True))


@lru_cache(maxsize=64)
def _primes(n: int) -> Floats:
    found: list[int] = []
    candidate = 2
    while len(found) < n:
        if all(candidate % prime for prime in found):
            found.append(candidate)
        candidate += 1
    return np.array(found, dtype=float)


def _binned(reach: Floats) -> Floats:
    """A large sample as few points: sorted, cut into bins, each bin two points with its mean and spread."""
    bins = np.sort(reach).reshape(_BINS, -1)
    middle, spread = bins.mean(axis=1), bins.std(axis=1)
    return np.concatenate([middle - spread, middle + spread])


def _mean_tail(t: Floats, df: Floats, reach: Floats, m: int) -> Floats:
    """The mean over directions of P(root of r F > t / c)."""
    from scipy.special import betainc, gammaincc

    squared = (t[..., None] / reach) ** 2
    finite = np.where(np.isfinite(df), df, 1.0)[..., None]
    by_f = betainc(finite / 2, m / 2, finite / (finite + squared))
    by_normal = gammaincc(m / 2, squared / 2)
    return np.asarray(np.where(np.isfinite(df)[..., None], by_f, by_normal).mean(axis=-1))
