"""How large a difference must be among many: all pairs (studentised range), each with a baseline (Dunnett).

Open `studentized_range_sf` for all pairs of lots, `dunnett_sf` for each lot with one baseline lot. Every
value uses its own degrees of freedom: nothing is interpolated in df.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetleaf.numerics.largest_of_many import largest_tail
from wetleaf.numerics.scale_mixtures import NormalTail, mix_over_scale, solve_tail, tabulate_tail

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class DunnettTail:
    """P(largest |T| >= t), the absolute error to expect in it, and how it was found."""

    t: Floats
    p: Floats
    error: float
    method: Literal["product", "near product", "lattice"]


def studentized_range_sf(q: ArrayLike, n_means: int, df: ArrayLike) -> Floats:
    """Return the chance that the studentised range of `n_means` equal means exceeds `q`.

    For a pair of lots q is sqrt(2) |difference| / its standard error. `q` and `df` are broadcast; df may be
    any number above 0, or infinite. A missing q or df (nan), or a df below 0.1, gives nan. Raises ValueError
    for fewer than two means or a df of 0 or less. Absolute error below 1e-9 for df >= 1, 1e-8 for df >= 0.5.

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
    return float(_invert(largest_tail(np.asarray(correlation, dtype=float)).tail, p, df))


def dunnett_tail(t: ArrayLike, correlation: ArrayLike, df: ArrayLike) -> DunnettTail:
    """Return the tail of `dunnett_sf` together with its method and the error to expect.

    See `wetleaf.numerics.largest_of_many` for the three methods.

    >>> dunnett_tail(2.5, [[1, 0.6], [0.6, 1]], 12).method
    'product'
    """
    at, degrees = np.broadcast_arrays(np.abs(np.asarray(t, dtype=float)), np.asarray(df, dtype=float))
    largest = largest_tail(np.asarray(correlation, dtype=float))
    return DunnettTail(at, mix_over_scale(largest.tail, at, degrees), largest.error, largest.method)


def _invert(tail: NormalTail, p: ArrayLike, df: ArrayLike) -> Floats:
    chance, degrees = np.broadcast_arrays(np.asarray(p, dtype=float), np.asarray(df, dtype=float))
    if np.any((chance < 0) | (chance > 1)):
        raise ValueError(
            f"A chance lies between 0 and 1, not {chance[(chance < 0) | (chance > 1)].flat[0]:g}."
        )
    result = np.where(chance == 0, np.inf, np.where(chance == 1, 0.0, np.nan))
    open_ = (chance > 0) & (chance < 1) & (degrees >= 0.1)
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
