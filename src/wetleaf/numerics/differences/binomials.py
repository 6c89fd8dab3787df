"""Exact chances of counts of right answers: tails, intervals, critical numbers. Nothing is approximated.

All take arrays. P(X >= x) is the incomplete beta I_p(x, n - x + 1), which holds for any n.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]

_A_HAIR = 1e-12
"""Relative slack, so that a chance equal to the level but for rounding counts as within it."""


def at_least(x: ArrayLike, n: ArrayLike, p: ArrayLike) -> Floats:
    """Return P(X >= x) for X right of n, each right with chance p.

    >>> round(float(at_least(15, 30, 1 / 3)), 4), float(at_least(0, 8, 0.5)), float(at_least(9, 8, 0.5))
    (0.0435, 1.0, 0.0)
    """
    from scipy.special import betainc

    x, n = np.asarray(x), np.asarray(n)
    inside = (x > 0) & (x <= n)
    tail = betainc(np.where(inside, x, 1), np.where(inside, n - x + 1, 1), p)
    return np.asarray(np.where(inside, tail, np.where(x <= 0, 1.0, 0.0)), float)


def at_most(x: ArrayLike, n: ArrayLike, p: ArrayLike) -> Floats:
    """Return P(X <= x), for small chances without loss of digits.

    >>> float(at_most(-1, 8, 0.5)), float(at_most(8, 8, 0.5)), float(at_most(0, 8, 0.5))
    (0.0, 1.0, 0.00390625)
    """
    x, n = np.asarray(x), np.asarray(n)
    return at_least(n - x, n, 1 - np.asarray(p, float))


def chances(n: int, p: float) -> Floats:
    """Return P(X = 0), ..., P(X = n).

    >>> chances(2, 0.5).tolist()
    [0.25, 0.5, 0.25]
    """
    from scipy.special import gammaln, xlog1py, xlogy

    x = np.arange(n + 1)
    ways = gammaln(n + 1) - gammaln(x + 1) - gammaln(n - x + 1)
    mass: Floats = np.exp(ways + xlogy(x, p) + xlog1py(n - x, -p))
    mass /= mass.sum()
    return mass


def least_right(n: ArrayLike, alpha: ArrayLike, guessing: float) -> Counts:
    """Return the critical number: the fewest right of n that guessing reaches with a chance of at most alpha.

    n + 1 where not even n right of n is enough. This is the rule of the tables of ISO 4120, 10399 and 5495.

    >>> least_right([5, 12, 24, 30], 0.05, 1 / 3).tolist()
    [4, 8, 13, 15]
    >>> int(least_right(5, 0.001, 1 / 3))
    6
    """
    from scipy.special import ndtri

    n, alpha = np.broadcast_arrays(np.asarray(n, np.int64), np.asarray(alpha, float))
    level = alpha * (1 + _A_HAIR)
    spread = np.sqrt(n * guessing * (1 - guessing))
    start = np.ceil(n * guessing + spread * ndtri(1 - alpha))
    least = np.clip(start, 0, n + 1).astype(np.int64)
    while (high := at_least(least, n, guessing) > level).any():
        least = least + high
    while (low := (least > 0) & (at_least(least - 1, n, guessing) <= level)).any():
        least = least - low
    fewest: Counts = least
    return fewest


def most_right(n: ArrayLike, beta: ArrayLike, right: float) -> Counts:
    """Return the critical number for similarity: the most right of n that still excludes the declared size.

    The largest x with P(X <= x) at most beta when a share `right` of answers is right; -1 where there is
    none.

    >>> int(most_right(60, 0.05, 1 / 3 + 2 / 3 * 0.3))
    25
    """
    n = np.asarray(n, np.int64)
    most: Counts = n - least_right(n, beta, 1 - right)
    return most


def exact_interval(x: int, n: int, confidence: float) -> tuple[float, float]:
    """Return the exact interval of a share right of Clopper and Pearson (1934).

    >>> [round(end, 4) for end in exact_interval(14, 24, 0.95)]
    [0.3664, 0.7789]
    """
    from scipy.special import betaincinv

    tail = (1 - confidence) / 2
    low = 0.0 if x == 0 else float(betaincinv(x, n - x + 1, tail))
    high = 1.0 if x == n else float(betaincinv(x + 1, n - x, 1 - tail))
    return low, high
