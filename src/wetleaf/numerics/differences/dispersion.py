"""Do tasters differ in how often they are right? The beta-binomial, where there are tasters enough to see it.

Each taster's chance to be right is drawn from a beta distribution with mean `mean` and spread `gamma` (0:
all alike; the variance of n answers is n mean (1 - mean) (1 + (n - 1) gamma)). The test of "all alike" is
conditional on the sum of right answers, which then is spread over the tasters by a multivariate
hypergeometric law whatever the common chance: its level holds exactly for any number of tasters. Its
statistic is the score of Tarone (1979), Biometrika 66: 585. The p comes from random draws of that law,
counting the observed table as one of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.differences.counts import Counted
from wetleaf.numerics.differences.methods import d_prime_at
from wetleaf.trade.errors import BadInput

_DRAWS = 9_999
_LARGEST_GAMMA = 0.95
_GRID = 48


@dataclass(frozen=True, slots=True)
class Dispersion:
    """Spread between tasters: `gamma` 0 to 1 and the chance of a spread as large if all were alike.

    `mean` is the share right of tasters at large with its profile likelihood interval, `d_prime` the same
    on that scale; wider than those of these tasters alone when gamma is above 0.
    """

    tasters: int
    gamma: float
    p_value: float
    mean: float
    mean_low: float
    mean_high: float
    d_prime: float
    d_prime_low: float
    d_prime_high: float


def dispersion(
    counts: Sequence[Counted], *, rng: np.random.Generator, confidence: float = 0.95, draws: int = _DRAWS
) -> Dispersion:
    """Return how much tasters differ; `counts` holds each taster's own, all by one method.

    Raises BadInput for fewer than two tasters or counts of several methods.

    >>> from wetleaf.numerics.differences.counts import counted
    >>> rng = np.random.default_rng(1)
    >>> alike = dispersion([counted("triangle", 5, 10)] * 8, rng=rng)
    >>> alike.gamma, alike.p_value
    (0.0, 1.0)
    """
    if len(counts) < 2 or len({one.method.key for one in counts}) > 1:
        raise BadInput(
            "A spread needs two tasters or more by one method.", way_out="Give each taster's counts."
        )
    from scipy.special import chdtri

    right = np.array([one.correct for one in counts])
    trials = np.array([one.trials for one in counts])
    means, values = _profile(right, trials)
    best = int(np.argmax(values))
    inside = means[values >= values[best] - float(chdtri(1, 1 - confidence)) / 2]
    method = counts[0].method
    return Dispersion(
        tasters=len(counts),
        gamma=_gamma_at(float(means[best]), right, trials)[0],
        p_value=spread_pvalue(counts, rng=rng, draws=draws),
        mean=float(means[best]),
        mean_low=float(inside[0]),
        mean_high=float(inside[-1]),
        d_prime=d_prime_at(method, float(means[best])),
        d_prime_low=d_prime_at(method, float(inside[0])),
        d_prime_high=d_prime_at(method, float(inside[-1])),
    )


def spread_pvalue(counts: Sequence[Counted], *, rng: np.random.Generator, draws: int = _DRAWS) -> float:
    """Return the chance of a spread as large or larger if all tasters had one chance to be right.

    Tarone's score given the sum, up to constants: sum of N x^2 - 2 X n x; whole numbers, so ties tie.

    >>> from wetleaf.numerics.differences.counts import counted
    >>> tasters = [counted("triangle", x, 10) for x in (1, 9, 2, 8, 1, 9, 2, 8)]
    >>> spread_pvalue(tasters, rng=np.random.default_rng(1))
    0.0001
    """
    right = np.array([one.correct for one in counts])
    trials = np.array([one.trials for one in counts])
    whole, total = int(trials.sum()), int(right.sum())

    def score(x: NDArray[np.int64]) -> NDArray[np.int64]:
        spread: NDArray[np.int64] = (whole * x * x - 2 * total * trials * x).sum(axis=-1)
        return spread

    drawn = rng.multivariate_hypergeometric(trials, total, size=draws, method="marginals")
    return float((1 + np.count_nonzero(score(drawn) >= score(right))) / (1 + draws))


def _profile(
    right: NDArray[np.int64], trials: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The likelihood of each mean on a fine grid, gamma fitted anew at each."""
    means = np.linspace(0.001, 0.999, 999)
    gammas = np.concatenate(([0.0], np.geomspace(1e-4, _LARGEST_GAMMA, _GRID)))
    return means, np.max([_log_likelihood(means, float(gamma), right, trials) for gamma in gammas], axis=0)


def _gamma_at(mean: float, right: NDArray[np.int64], trials: NDArray[np.int64]) -> tuple[float, float]:
    """The gamma most likely at a mean, by ever closer looks, and the likelihood there."""
    low, high = 0.0, _LARGEST_GAMMA
    best, value = 0.0, -inf
    while high - low > 1e-6:
        grid = np.linspace(low, high, 41)
        values = [float(_log_likelihood(np.array([mean]), float(at), right, trials)[0]) for at in grid]
        place = int(np.argmax(values))
        best, value = float(grid[place]), values[place]
        low, high = float(grid[max(place - 1, 0)]), float(grid[min(place + 1, 40)])
    return best, value


def _log_likelihood(
    means: NDArray[np.float64], gamma: float, right: NDArray[np.int64], trials: NDArray[np.int64]
) -> NDArray[np.float64]:
    """Of each mean at one gamma: sums of log(mean (1 - gamma) + i gamma), without what is constant."""
    steps = np.arange(int(trials.max())) * gamma
    hits = _sums(np.log(means[:, None] * (1 - gamma) + steps))
    misses = _sums(np.log((1 - means[:, None]) * (1 - gamma) + steps))
    all_answers = _sums(np.log(1 - gamma + steps)[None, :])
    each = hits[:, right] + misses[:, trials - right] - all_answers[:, trials]
    total: NDArray[np.float64] = each.sum(axis=1)
    return total


def _sums(logs: NDArray[np.float64]) -> NDArray[np.float64]:
    """Running sums along each row, from the empty one on."""
    return np.concatenate((np.zeros((len(logs), 1)), np.cumsum(logs, axis=1)), axis=1)
