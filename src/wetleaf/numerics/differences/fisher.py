"""Fisher's exact test of two shares, one-sided, and its exact power."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.differences.binomials import chances


def fisher_p(hits: int, signals: int, false_alarms: int, noises: int) -> float:
    """Return the chance of so many hits or more, given how often "different" was said in all.

    >>> round(fisher_p(3, 4, 1, 4), 4)
    0.2429
    """
    from scipy.special import gammaln

    said = hits + false_alarms
    x = np.arange(max(0, said - noises), min(signals, said) + 1)

    def ways(n: int, k: NDArray[np.int64]) -> NDArray[np.float64]:
        logs: NDArray[np.float64] = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
        return logs

    mass = np.exp(ways(signals, x) + ways(noises, said - x))
    return min(1.0, float(mass[x >= hits].sum() / mass.sum()))


def fisher_power(each: int, hit: float, false: float, alpha: float) -> tuple[float, float]:
    """Return the exact power of Fisher's test with `each` trials of either kind, and its size at `false`.

    >>> [round(chance, 4) for chance in fisher_power(15, 0.7734, 0.2266, 0.05)]
    [0.8789, 0.0214]
    """
    passes = _passing(each, alpha)
    hits, falses = chances(each, hit), chances(each, false)
    return float(hits @ passes @ falses), float(falses @ passes @ falses)


@lru_cache(maxsize=512)
def _passing(each: int, alpha: float) -> NDArray[np.float64]:
    """Which pairs of (hits, false alarms) pass Fisher's test, as ones and zeros."""
    from scipy.special import gammaln

    k = np.arange(each + 1)
    ways = gammaln(each + 1) - gammaln(k + 1) - gammaln(each - k + 1)
    mass = np.zeros((each + 1, 2 * each + 1))
    said = k[:, None] + k[None, :]
    mass[k[:, None], said] = np.exp(ways[:, None] + ways[None, :] - ways.max() * 2)
    tail = np.cumsum(mass[::-1], axis=0)[::-1] / mass.sum(axis=0)
    passes: NDArray[np.float64] = (tail[k[:, None], said] <= alpha * (1 + 1e-9)).astype(float)
    return passes
