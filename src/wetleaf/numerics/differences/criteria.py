"""Same-different and A-not-A: two kinds of trial, and a criterion that must not be taken for skill.

A-not-A (equal-variance signal detection): a cup is felt as N(0, 1) or N(d, 1) and called "not A" above a
criterion; d = z(hits) - z(false alarms). Same-different (differencing rule): two cups are called different
when they are felt more than tau apart; their difference is N(0, 2) for one tea, N(d, 2) for two, so

    false alarms = 2 Phi(-tau / sqrt 2),   hits = Phi((d - tau) / sqrt 2) + Phi((-d - tau) / sqrt 2).

Both have as many unknowns as shares, so the fit is exact unless hits are fewer than false alarms, where d
is 0.

References: Macmillan and Creelman, Detection Theory (from memory); Gourevitch and Galanter (1967),
Psychometrika 32: 25, for the standard error of d; Fisher's exact test.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, isfinite, nan, pi, sqrt

import numpy as np

from wetleaf.numerics.differences.estimates import Estimate
from wetleaf.numerics.differences.methods import LARGEST_D_PRIME

_ROOT2 = sqrt(2)
_NEAR = 1e-9


def same_different_shares(d_prime: float, tau: float) -> tuple[float, float]:
    """Return how often "different" is said of different and of same cups.

    >>> [round(share, 4) for share in same_different_shares(2, 1.5)]
    [0.6448, 0.2888]
    """
    from scipy.special import ndtr

    hits = ndtr((d_prime - tau) / _ROOT2) + ndtr((-d_prime - tau) / _ROOT2)
    return float(hits), float(2 * ndtr(-tau / _ROOT2))


def a_not_a_shares(d_prime: float, cut: float) -> tuple[float, float]:
    """Return how often "not A" is said of the other tea and of A, the cut lying `cut` above A's mean.

    >>> [round(share, 4) for share in a_not_a_shares(1, 0.5)]
    [0.6915, 0.3085]
    """
    from scipy.special import ndtr

    return float(ndtr(d_prime - cut)), float(ndtr(-cut))


def model_of(key: str) -> Callable[[float, float], tuple[float, float]]:
    """Return the shares of hits and false alarms as a function of d-prime and criterion.

    >>> model_of("a-not-a") is a_not_a_shares
    True
    """
    return a_not_a_shares if key == "a-not-a" else same_different_shares


def best_criterion(key: str, d_prime: float) -> float:
    """Return the criterion that makes most answers right when both kinds of trial are equally many.

    >>> best_criterion("a-not-a", 1.5)
    0.75
    """
    if key == "a-not-a":
        return d_prime / 2
    grid = np.linspace(0, d_prime + 4, 4001)
    gain = [np.subtract(*same_different_shares(d_prime, float(tau))) for tau in grid]
    return float(grid[int(np.argmax(gain))])


@dataclass(frozen=True, slots=True)
class Fit:
    """The likelihood of d-prime, the criterion fitted at each."""

    key: str
    hits: int
    signals: int
    false_alarms: int
    noises: int

    def shares(self, d_prime: float, criterion: float) -> tuple[float, float]:
        """Return the model's shares of hits and false alarms."""
        return model_of(self.key)(d_prime, criterion)

    def log_likelihood(self, d_prime: float, criterion: float) -> float:
        """Return the log likelihood of both kinds of trial."""
        hit, false = self.shares(d_prime, criterion)
        return _binomial(self.hits, self.signals, hit) + _binomial(self.false_alarms, self.noises, false)

    def profile(self, d_prime: float) -> float:
        """Return the largest log likelihood at a d-prime, over all criteria."""
        return self._best_criterion(d_prime)[1]

    def criterion(self) -> float:
        """Return the criterion at the estimate; nan when the shares put it at infinity."""
        d_prime = self.d_prime()
        if not isfinite(d_prime) or self.false_alarms in (0, self.noises):
            return nan
        return self._best_criterion(d_prime)[0]

    def d_prime(self) -> float:
        """Return the most likely d-prime: 0 with no more hits than false alarms, inf with all or none."""
        hit, false = self.hits / self.signals, self.false_alarms / self.noises
        if hit <= false:
            return 0.0
        if self.key == "a-not-a":
            return float(_z(hit) - _z(false))
        return _same_different_d(hit, false)

    def estimate(self, confidence: float) -> Estimate:
        """Return d-prime with its standard error and its profile likelihood interval."""
        from scipy.special import chdtri

        best = self.d_prime()
        floor = self.highest(best) - float(chdtri(1, 1 - confidence)) / 2
        low = self._crossing(floor, 0.0, min(best, LARGEST_D_PRIME))
        high = self._crossing(floor, LARGEST_D_PRIME, min(best, LARGEST_D_PRIME))
        return Estimate(best, self._se(best), low, inf if high >= LARGEST_D_PRIME else high, confidence)

    def highest(self, best: float) -> float:
        """The largest likelihood of all; with more hits than false alarms the fit is exact."""
        if best == 0:
            return self.profile(0.0)
        return sum(
            _binomial(said, trials, said / trials)
            for said, trials in ((self.hits, self.signals), (self.false_alarms, self.noises))
        )

    def _best_criterion(self, d_prime: float) -> tuple[float, float]:
        """The criterion that suits a d-prime best, by ever closer looks; there is one peak."""
        low, high = (0.0, 14.0 + d_prime) if self.key == "same-different" else (-9.0, 9.0 + d_prime)
        while high - low > 1e-7:
            grid = np.linspace(low, high, 41)
            values = [self.log_likelihood(d_prime, float(at)) for at in grid]
            best = int(np.argmax(values))
            low, high = float(grid[max(best - 1, 0)]), float(grid[min(best + 1, 40)])
        middle = (low + high) / 2
        return middle, self.log_likelihood(d_prime, middle)

    def _crossing(self, floor: float, end: float, best: float) -> float:
        from scipy.optimize import brentq

        def above(d_prime: float) -> float:
            return max(self.profile(d_prime) - floor, -1e6)

        if best == end or above(end) >= 0:
            return end
        if above(best) < 0:  # cut short at the largest d-prime, where the likelihood still rises
            return best
        return float(brentq(above, *sorted((end, best)), xtol=1e-9))

    def _se(self, d_prime: float) -> float:
        """By the delta method from the two shares, as many as there are unknowns."""
        hit, false = self.hits / self.signals, self.false_alarms / self.noises
        if d_prime < _NEAR or not isfinite(d_prime) or false in (0, 1) or hit in (0, 1):
            return nan
        hit_part = hit * (1 - hit) / self.signals
        false_part = false * (1 - false) / self.noises
        if self.key == "a-not-a":
            return sqrt(hit_part / _density(_z(hit)) ** 2 + false_part / _density(_z(false)) ** 2)
        return _same_different_se(d_prime, -_ROOT2 * _z(false / 2), hit_part, false_part)


def _same_different_d(hit: float, false: float) -> float:
    from scipy.optimize import brentq

    if hit == 1:
        return inf
    if false == 0:
        return inf
    tau = -_ROOT2 * _z(false / 2)

    def short(d_prime: float) -> float:
        return same_different_shares(d_prime, tau)[0] - hit

    return inf if short(LARGEST_D_PRIME) < 0 else float(brentq(short, 0.0, LARGEST_D_PRIME, xtol=1e-12))


def _same_different_se(d_prime: float, tau: float, hit_part: float, false_part: float) -> float:
    """Var d = (Var hits + (dhits/dtau)^2 Var tau) / (dhits/dd)^2, Var tau = Var false / (dfalse/dtau)^2."""
    near, far = _density((d_prime - tau) / _ROOT2) / _ROOT2, _density((d_prime + tau) / _ROOT2) / _ROOT2
    tau_part = false_part / (_ROOT2 * _density(tau / _ROOT2)) ** 2
    slope = near - far
    return sqrt(hit_part + (near + far) ** 2 * tau_part) / slope if slope > 0 else nan


def _z(share: float) -> float:
    from scipy.special import ndtri

    return float(ndtri(share))


def _density(x: float) -> float:
    return float(np.exp(-0.5 * x * x) / sqrt(2 * pi))


def _binomial(said: int, trials: int, share: float) -> float:
    from scipy.special import xlog1py, xlogy

    return float(xlogy(said, share) + xlog1py(trials - said, -share))
