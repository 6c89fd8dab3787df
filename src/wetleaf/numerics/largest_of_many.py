"""The tail of the largest |Z_i| of correlated standard normals: three ways, each with the error to expect.

Lots compared with one baseline share that baseline, so their differences are correlated. When
correlation_ij = l_i l_j the tail is one integral over what is shared ("product"). Missing cups and random
tasters bend the matrix a little: then a series about the nearest product is enough ("near product").
Anything else is averaged over a fixed lattice ("lattice").
`largest_tail` chooses; used by `wetleaf.numerics.simultaneous`.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.scale_mixtures import NormalTail, tabulate_tail

Floats = NDArray[np.float64]

_STEEPEST_LOADING: Final = 0.999  # beyond it the inner trapezoid would need thousands of nodes
_PRODUCT_WITHIN: Final = 1e-9
_GOOD_ENOUGH: Final = 1e-5  # estimated error at which the series is taken as it is
_SHIFTS: Final = 8
_FEWEST_POINTS: Final = 1024  # of the lattice, for each shift
_MOST_WORK: Final = 8192 * 12  # points times differences, about three seconds
_CORRECTED_TO: Final = 9.0  # beyond this w the tail is below 1e-17; its correction stays as it is there
_CORRECTION_NODES: Final = 32


@dataclass(frozen=True, slots=True)
class LargestTail:
    """The tail as an interpolant, the absolute error to expect in it, and the way it was found."""

    tail: NormalTail
    error: float
    method: Literal["product", "near product", "lattice"]


def largest_tail(correlation: Floats) -> LargestTail:
    """Return the tail of the largest |Z_i| for a (m, m) correlation matrix.

    Raises ValueError when no set of differences can have this matrix.

    >>> largest_tail(np.array([[1, 0.5], [0.5, 1]])).method
    'product'
    >>> largest_tail(np.array([[1, 0.2, 0.1], [0.2, 1, 0.6], [0.1, 0.6, 1]])).method
    'near product'
    """
    matrix = _checked(correlation)
    return _largest_tail(matrix.shape[0], matrix.round(12).tobytes())


@lru_cache(maxsize=256)
def _largest_tail(m: int, kept: bytes) -> LargestTail:
    matrix = np.frombuffer(kept).reshape(m, m)
    loadings = _loadings_by_pivot(matrix - np.eye(m))
    if np.abs(loadings).max() <= _STEEPEST_LOADING and _misfit(matrix, loadings) < _PRODUCT_WITHIN:
        return LargestTail(_product_tail(loadings), 1e-9, "product")
    near = _nearest_loadings(matrix)
    with np.errstate(over="ignore", invalid="ignore"):  # far from a product the series has no sum
        gap, error = _series_gap(matrix, near)
    error = error if np.isfinite(error) and np.isfinite(gap).all() else np.inf
    method: Literal["near product", "lattice"] = "near product"
    if error > _GOOD_ENOUGH:
        by_lattice, lattice_error = _lattice_gap(matrix, near)
        if lattice_error < error:
            gap, error, method = by_lattice, lattice_error, "lattice"
    return LargestTail(_corrected(near, gap), error + 1e-9, method)


def _checked(correlation: Floats) -> Floats:
    matrix = np.asarray(correlation, dtype=float)
    if matrix.ndim != 2 or matrix.shape[0] != matrix.shape[1] or not matrix.size:
        raise ValueError(f"A correlation matrix is square, not of shape {matrix.shape}.")
    if not np.all(np.abs(matrix) <= 1 + 1e-9):
        raise ValueError("A correlation lies between -1 and 1.")
    if not np.allclose(matrix, matrix.T, atol=1e-9) or not np.allclose(np.diag(matrix), 1, atol=1e-9):
        raise ValueError("A correlation matrix is symmetric with ones on its diagonal.")
    if np.linalg.eigvalsh(matrix).min() < -1e-7 * matrix.shape[0]:
        raise ValueError("No set of differences has this correlation matrix: it has a negative eigenvalue.")
    return matrix


def _misfit(matrix: Floats, loadings: Floats) -> float:
    left = np.abs(np.outer(loadings, loadings) - matrix)
    np.fill_diagonal(left, 0)
    return float(left.max())


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


def _nearest_loadings(matrix: Floats) -> Floats:
    """Least squares of r_ij - l_i l_j off the diagonal, a coordinate at a time; the corrections make up for
    what is left, so it need not be fully settled."""
    off = matrix - np.eye(matrix.shape[0])
    loadings = np.clip(_loadings_by_pivot(off), -0.9, 0.9)
    for _ in range(30):
        for i in range(loadings.size):
            others = loadings @ loadings - loadings[i] ** 2
            loadings[i] = np.clip(off[i] @ loadings / others, -0.98, 0.98) if others > 1e-12 else 0.0
    return loadings


# --- product: given what is shared, the differences are independent ---


def _product_tail(loadings: Floats) -> NormalTail:
    return _table(tuple(np.abs(loadings).round(12).tolist()))


@lru_cache(maxsize=256)
def _table(loadings: tuple[float, ...]) -> NormalTail:
    values, counts = np.unique(loadings, return_counts=True)
    return tabulate_tail(
        lambda w: _normal_largest_sf(w, values, counts), rate=0.5, alike=len(loadings), largest_w=34.0
    )


def _normal_largest_sf(w: Floats, loadings: Floats, counts: NDArray[np.intp]) -> Floats:
    """P(largest |Z_i| > w), Z_i = l_i z + sqrt(1 - l_i^2) e_i: a product given z, and even in z."""
    own = np.sqrt(1 - loadings**2)
    step = float(min(0.25, np.min(0.3 * own / np.maximum(loadings, 1e-9))))
    first = np.maximum(loadings.min() * w - 9.5, 0.0)
    n = int(np.ceil(np.max(loadings.max() * w + 9.5 - first) / step)) + 1
    z = first[:, None] + step * np.arange(n)
    weight = np.exp(-z * z / 2) * (2 * step / np.sqrt(2 * np.pi))
    weight[first == 0, 0] /= 2
    weight *= _any_beyond(w[:, None], z, loadings, own, counts)
    return np.asarray(np.minimum(weight.sum(axis=1), 1.0))


def _any_beyond(w: Floats, z: Floats, loadings: Floats, own: Floats, counts: NDArray[np.intp]) -> Floats:
    """The chance, given z, that at least one |Z_i| exceeds w; sums of small chances keep their digits."""
    from scipy.special import ndtr

    all_within = np.zeros_like(z)
    with np.errstate(divide="ignore"):
        for loading, spread, count in zip(loadings, own, counts, strict=True):
            beyond = ndtr((loading * z - w) / spread) + ndtr((-loading * z - w) / spread)
            all_within += count * np.log1p(-np.minimum(beyond, 1.0))
    return -np.expm1(all_within)


# --- corrections to the nearest product, at a few w, smooth between them ---


def _correction_nodes() -> Floats:
    angles = (np.arange(_CORRECTION_NODES) + 0.5) * np.pi / _CORRECTION_NODES
    return np.asarray((1 - np.cos(angles)) / 2 * _CORRECTED_TO)


def _corrected(near: Floats, gap: Floats) -> NormalTail:
    """The tail of the nearest product times a smooth ratio that adds `gap` at the correction nodes."""
    from numpy.polynomial import Chebyshev

    product = _product_tail(near)
    nodes = _correction_nodes()
    ratio = np.log(np.maximum(1 + gap / np.exp(product.log_tail(nodes)), 1e-3))
    smooth = Chebyshev.fit(nodes, ratio, _CORRECTION_NODES - 1, domain=[0, _CORRECTED_TO])
    return tabulate_tail(
        lambda w: np.exp(product.log_tail(w) + smooth(np.minimum(w, _CORRECTED_TO))),
        rate=0.5,
        alike=near.size,
        largest_w=product.largest_w,
    )


def _series_gap(matrix: Floats, near: Floats) -> tuple[Floats, float]:
    """The first two orders of exp(D'' / 2) on the product, where D is what the product leaves of the matrix.

    The second order is of the size of D^2, so the third is guessed from it as its power 3/2; three times that
    held against R's mvtnorm in every trial (docs/reference/methods.md).
    """
    left = matrix - np.outer(near, near)
    np.fill_diagonal(left, 0)
    orders = np.array([_two_orders(w, near, left) for w in _correction_nodes()])
    first, second = np.abs(orders).max(axis=0)
    return -orders.sum(axis=1), float(3 * second**1.5 + first * np.sqrt(second))


def _two_orders(w: float, near: Floats, left: Floats) -> tuple[float, float]:
    step = 0.1 * float(np.sqrt(1 - np.max(near**2)))
    z = np.arange(0, 9.5, step)
    weight = np.exp(-z * z / 2) * (2 * step / np.sqrt(2 * np.pi))
    weight[0] /= 2
    log_p, slope, bend = _within_and_derivatives(w, z, near)
    weight *= np.exp(log_p.sum(axis=1))
    first = (slope * (slope @ left)).sum(axis=1)
    extra, squared, at_squared = bend - slope**2, left**2, slope**2
    one_shared = (extra * ((slope @ left) ** 2 - at_squared @ squared)).sum(axis=1)
    two_shared = (bend * (bend @ squared) - at_squared * (at_squared @ squared)).sum(axis=1)
    second = (first**2 + 4 * one_shared + 2 * two_shared) / 8
    return float(weight @ first) / 2, float(weight @ second)


def _within_and_derivatives(w: float, z: Floats, near: Floats) -> tuple[Floats, Floats, Floats]:
    """log P(|l z + d e + y| < w) and its first two derivatives by y at 0, over P; a row for each z."""
    from scipy.special import ndtr

    own = np.sqrt(1 - near**2)
    upper, lower = (w - z[:, None] * near) / own, (-w - z[:, None] * near) / own
    within = np.maximum(ndtr(upper) - ndtr(lower), 1e-290)
    at_upper, at_lower = (np.exp(-v * v / 2) / np.sqrt(2 * np.pi) for v in (upper, lower))
    slope = (at_lower - at_upper) / own / within
    bend = (lower * at_lower - upper * at_upper) / own**2 / within
    return np.log(within), slope, bend


def _lattice_gap(matrix: Floats, near: Floats) -> tuple[Floats, float]:
    """The tail of the matrix less that of the nearest product over the same points; three standard errors."""
    product = np.outer(near, near)
    np.fill_diagonal(product, 1)
    roots = _lower_root(matrix), _lower_root(product)
    points = _FEWEST_POINTS
    while True:
        gaps = np.array([_one_shift(*roots, points, shift) for shift in range(_SHIFTS)])
        error = 3 * float(gaps.std(axis=0, ddof=1).max()) / np.sqrt(_SHIFTS)
        if error < _GOOD_ENOUGH or 2 * points * len(matrix) > _MOST_WORK:
            return gaps.mean(axis=0), error
        points *= 2


def _one_shift(root: Floats, near_root: Floats, points: int, shift: int) -> Floats:
    uniform = _lattice(points, root.shape[0] - 1, shift)
    return np.array(
        [_mean_beyond(w, root, uniform) - _mean_beyond(w, near_root, uniform) for w in _correction_nodes()]
    )


def _mean_beyond(w: float, root: Floats, uniform: Floats) -> float:
    """Genz (1992), Journal of Computational and Graphical Statistics 1: 141-149: variable by variable."""
    from scipy.special import ndtr, ndtri

    drawn = np.zeros((root.shape[0], uniform.shape[1]))
    all_within = np.zeros(uniform.shape[1])
    with np.errstate(divide="ignore"):
        for i, row in enumerate(root):
            middle = row[:i] @ drawn[:i]
            below, above = ndtr((-w - middle) / row[i]), ndtr((middle - w) / row[i])
            all_within += np.log1p(-np.minimum(below + above, 1.0))
            if i < len(uniform):
                drawn[i] = ndtri(np.clip(below + uniform[i] * (1 - below - above), 1e-16, 1 - 1e-16))
    return float(-np.expm1(all_within).mean())


def _lower_root(matrix: Floats) -> Floats:
    """Cholesky's root; differences that follow from others get a spread of 1e-6, so that it exists."""
    values, vectors = np.linalg.eigh(matrix)
    lifted = (vectors * np.maximum(values, 1e-12)) @ vectors.T
    return np.linalg.cholesky(lifted + 1e-14 * np.eye(len(values)))


def _lattice(points: int, dimensions: int, shift: int) -> Floats:
    """A fixed shifted lattice (multiples of the roots of primes), folded; one row a dimension."""
    offset = np.random.default_rng([2011, shift]).random(dimensions)  # fixed: the same answer every time
    steps = np.outer(np.sqrt(_primes(dimensions)), np.arange(1, points + 1))
    return np.abs(2 * ((steps + offset[:, None]) % 1) - 1)


@lru_cache(maxsize=64)
def _primes(n: int) -> Floats:
    found: list[int] = []
    candidate = 2
    while len(found) < n:
        if all(candidate % prime for prime in found):
            found.append(candidate)
        candidate += 1
    return np.array(found, dtype=float)
