"""How far apart the teas are: d-prime from right answers, by one method or by several on the one scale."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf, isfinite, sqrt

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.differences.counts import Counted
from wetleaf.numerics.differences.methods import LARGEST_D_PRIME, d_prime_at
from wetleaf.trade.errors import BadInput

_FIRST_LOOK = 201
_NEAR_ZERO = 1e-9


@dataclass(frozen=True, slots=True)
class Estimate:
    """A d-prime, its standard error and its likelihood interval.

    `d_prime` and `high` are inf when every answer was right: no difference is too large for that. `se` is
    nan at 0 and at inf, where a standard error means nothing.
    """

    d_prime: float
    se: float
    low: float
    high: float
    confidence: float


def estimate(counts: Sequence[Counted], *, confidence: float = 0.95) -> Estimate:
    """Return the d-prime that makes the counts most likely, over all methods together.

    A d-prime is not below 0: with fewer right than guessing gives it is 0. The standard error comes from
    the expected information, sum of n f'(d)^2 / (p (1 - p)), which for one method is the delta method (ASTM
    E2262). The interval holds every d-prime whose log likelihood is within half the chi-square quantile of
    the best. Raises BadInput when there are no counts.

    >>> from wetleaf.numerics.differences.counts import counted
    >>> found = estimate([counted("triangle", 21, 45)])
    >>> round(found.d_prime, 3), round(found.se, 3), round(found.low, 3), round(found.high, 3)
    (1.287, 0.411, 0.0, 2.033)
    """
    from scipy.special import chdtri

    if not counts:
        raise BadInput("There are no trials to estimate from.", way_out="Give counts of at least one method.")
    best = _most_likely(counts)
    drop = float(chdtri(1, 1 - confidence)) / 2
    floor = log_likelihood(counts, best) - drop
    low = _crossing(counts, floor, 0.0, min(best, LARGEST_D_PRIME))
    high = _crossing(counts, floor, LARGEST_D_PRIME, min(best, LARGEST_D_PRIME))
    return Estimate(
        best, _standard_error(counts, best), low, inf if high >= LARGEST_D_PRIME else high, confidence
    )


def log_likelihood(counts: Sequence[Counted], d_prime: float) -> float:
    """Return the log likelihood of the counts at one d-prime, without its constants.

    >>> from wetleaf.numerics.differences.counts import counted
    >>> log_likelihood([counted("2-afc", 4, 4)], float("inf"))
    0.0
    """
    return (
        float(_log_likelihoods(counts, np.array([min(d_prime, 40.0)]))[0])
        if isfinite(d_prime)
        else _at_inf(counts)
    )


def _at_inf(counts: Sequence[Counted]) -> float:
    return 0.0 if all(one.correct == one.trials for one in counts) else -inf


def _log_likelihoods(counts: Sequence[Counted], d_primes: NDArray[np.float64]) -> NDArray[np.float64]:
    from scipy.special import xlog1py, xlogy

    total = np.zeros(len(d_primes))
    for one in counts:
        miss = one.method.miss(d_primes)
        total += xlog1py(one.correct, -miss) + xlogy(one.trials - one.correct, miss)
    return total


def _most_likely(counts: Sequence[Counted]) -> float:
    """Each method's likelihood has one peak, so that of all together lies between the outermost peaks."""
    peaks = [d_prime_at(one.method, one.proportion) for one in counts]
    first, last = min(peaks), max(peaks)
    if first == last:
        return first
    return _highest(lambda d: _log_likelihoods(counts, d), first, min(last, LARGEST_D_PRIME))


def _highest(
    likelihoods: Callable[[NDArray[np.float64]], NDArray[np.float64]], first: float, last: float
) -> float:
    """The place of the maximum: a look at the whole stretch, then ever closer ones around the best."""
    while last - first > _NEAR_ZERO:
        grid = np.linspace(first, last, _FIRST_LOOK)
        best = int(np.argmax(likelihoods(grid)))
        first, last = grid[max(best - 1, 0)], grid[min(best + 1, _FIRST_LOOK - 1)]
    return float((first + last) / 2)


def _crossing(counts: Sequence[Counted], floor: float, end: float, best: float) -> float:
    """Where the likelihood falls to the floor between the best and an end; the end if it never does."""
    from scipy.optimize import brentq

    def above(d_prime: float) -> float:
        return max(log_likelihood(counts, d_prime) - floor, -1e6)

    if best == end or above(end) >= 0:
        return end
    if above(best) < 0:  # cut short at the largest d-prime, where the likelihood still rises
        return best
    return float(brentq(above, *sorted((end, best)), xtol=1e-12))


def _standard_error(counts: Sequence[Counted], d_prime: float) -> float:
    if d_prime < _NEAR_ZERO or not isfinite(d_prime):
        return float("nan")
    information = 0.0
    for one in counts:
        miss, slope = float(one.method.miss(d_prime)), float(one.method.slope(d_prime))
        information += one.trials * slope * slope / (miss * (1 - miss))
    return 1 / sqrt(information) if information > 0 else float("nan")
