"""Several methods, one d-prime: triangles, pairs and tetrads of the same two teas judged together.

Each method's right answers are binomial with a chance that its psychometric function gives at the one
d-prime; the log likelihoods add. The exact test weighs a right answer by what it is worth for a difference
of d-prime 1, the log odds ratio log[p (1 - g) / (g (1 - p))]: of all tests that of Neyman and Pearson
(1933) for that size. Weights are whole numbers, so that the chance of every score by guessing is summed
exactly.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.differences.binomials import at_least, chances
from wetleaf.numerics.differences.counts import Counted
from wetleaf.numerics.differences.estimates import Estimate, estimate, log_likelihood
from wetleaf.numerics.differences.methods import LARGEST_D_PRIME, DeclaredSize, Method
from wetleaf.trade.errors import BadInput

_WEIGHED_FOR = 1.0
_FINENESS = 20
"""The lightest right answer weighs so many units."""
_MOST_TO_POOL = 1_000


@dataclass(frozen=True, slots=True)
class PooledScore:
    """Several methods on one scale.

    `p_value`: exact chance by guessing of a weighed score as high. `p_agree`: chance that methods differ as
    much in their d-primes if there is one d-prime (likelihood ratio, asymptotic); None for a single method.
    `p_tolerable`: exact chance of a score so low at the declared d-prime; None where none was declared.
    """

    counts: tuple[Counted, ...]
    weights: tuple[int, ...]
    p_value: float
    estimate: Estimate
    p_agree: float | None
    p_tolerable: float | None


def pool(
    counts: Sequence[Counted], *, tolerable: DeclaredSize | None = None, confidence: float = 0.95
) -> PooledScore:
    """Return one d-prime and one exact test for the counts of several methods.

    Counts of one method are added up first. Raises BadInput when there are none, or more than 1,000 of a
    method.

    >>> from wetleaf.numerics.differences.counts import counted
    >>> found = pool([counted("triangle", 21, 45), counted("3-afc", 28, 45)])
    >>> round(found.estimate.d_prime, 3), found.weights, round(found.p_agree or 0, 2)
    (1.038, (20, 69), 0.51)
    """
    if not counts:
        raise BadInput("There are no trials to pool.", way_out="Give counts of at least one method.")
    added = _added(counts)
    weights = _weights([one.method for one in added])
    return PooledScore(
        counts=added,
        weights=weights,
        p_value=_upper(added, weights, [one.method.guessing for one in added]),
        estimate=estimate(added, confidence=confidence),
        p_agree=_agreement(added),
        p_tolerable=None if tolerable is None else _lower(added, weights, tolerable.d_prime),
    )


def pooled_findable(counts: Sequence[Counted], power: float, *, alpha: float = 0.05) -> float:
    """Return the d-prime that so many trials by these methods find with this power; inf when none is found.

    >>> from wetleaf.numerics.differences.counts import counted
    >>> round(pooled_findable([counted("triangle", 0, 24)], 0.8), 2)
    2.0
    """
    from scipy.optimize import brentq

    added = _added(counts)
    weights = _weights([one.method for one in added])
    by_luck = _scores(added, weights, [one.method.guessing for one in added])
    tail = np.append(np.cumsum(by_luck[::-1])[::-1], 0.0)
    least = int(np.argmax(tail <= alpha))

    def short(d_prime: float) -> float:
        shares = [one.method.right(d_prime) for one in added]
        return power - float(_scores(added, weights, shares)[least:].sum())

    if short(LARGEST_D_PRIME) > 0:
        return float("inf")
    return float(brentq(short, 0.0, LARGEST_D_PRIME, xtol=1e-9))


def _added(counts: Sequence[Counted]) -> tuple[Counted, ...]:
    sums: dict[str, Counted] = {}
    for one in counts:
        before = sums.get(one.method.key, Counted(one.method, 0, 0))
        if before.trials + one.trials > _MOST_TO_POOL:
            raise BadInput(
                f"More than {_MOST_TO_POOL} {one.method.key} trials cannot be pooled exactly.",
                way_out="Judge each method by itself.",
            )
        sums[one.method.key] = Counted(one.method, before.correct + one.correct, before.trials + one.trials)
    return tuple(sums.values())


def _weights(methods: Sequence[Method]) -> tuple[int, ...]:
    """What a right answer is worth by each method, in whole units."""
    worth = [_log_odds(method.right(_WEIGHED_FOR)) - _log_odds(method.guessing) for method in methods]
    return tuple(round(_FINENESS * one / min(worth)) for one in worth)


def _log_odds(share: float) -> float:
    return log(share / (1 - share))


def _upper(counts: Sequence[Counted], weights: Sequence[int], shares: Sequence[float]) -> float:
    if len(counts) == 1:
        return float(at_least(counts[0].correct, counts[0].trials, shares[0]))
    score = sum(weight * one.correct for weight, one in zip(weights, counts, strict=True))
    return min(1.0, float(_scores(counts, weights, shares)[score:].sum()))


def _lower(counts: Sequence[Counted], weights: Sequence[int], d_prime: float) -> float:
    score = sum(weight * one.correct for weight, one in zip(weights, counts, strict=True))
    shares = [one.method.right(d_prime) for one in counts]
    return min(1.0, float(_scores(counts, weights, shares)[: score + 1].sum()))


def _scores(
    counts: Sequence[Counted], weights: Sequence[int], shares: Sequence[float]
) -> NDArray[np.float64]:
    """The chance of every weighed score."""
    whole = np.array([1.0])
    for one, weight, share in zip(counts, weights, shares, strict=True):
        mass = chances(one.trials, share)
        grown = np.zeros(len(whole) + weight * one.trials)
        for right, chance in enumerate(mass):
            grown[weight * right : weight * right + len(whole)] += chance * whole
        whole = grown
    return whole


def _agreement(counts: Sequence[Counted]) -> float | None:
    from scipy.special import chdtrc

    if len(counts) == 1:
        return None
    apart = sum(log_likelihood([one], estimate([one]).d_prime) for one in counts)
    together = log_likelihood(counts, estimate(counts).d_prime)
    return float(chdtrc(len(counts) - 1, max(0.0, 2 * (apart - together))))
