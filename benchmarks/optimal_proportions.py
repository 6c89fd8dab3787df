"""How one who knows the true strengths would share out pairs: the optimal proportions of Garivier and
Kaufmann (2016, COLT), here for Bradley-Terry pairs.

    maximise over proportions w:  min over rivals j of the best, min over strengths with best = j, of sum w
    kl(pair)

The inner minimum is a weighted fit with two lots made one; the outer is a linear programme over all the
minima found so far (cutting planes), stopped when the value is within 1 % of its bound.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.optimize import linprog
from scipy.special import expit, xlogy

Floats = np.ndarray


@dataclass(frozen=True)
class Proportions:
    """Pairs (places in `strengths`), the share of each, and the rate: pairs to decide are about
    log(1/error)/rate."""

    pairs: Floats
    shares: Floats
    rate: float
    bound: float


def optimal_proportions(strengths: Floats, *, near: float = 0.01, most_rounds: int = 300) -> Proportions:
    """Return the best shares of all pairs. Raises ArithmeticError if they do not settle."""
    count = len(strengths)
    best = int(strengths.argmax())
    pairs = np.array(list(combinations(range(count), 2)))
    true = expit(strengths[pairs[:, 0]] - strengths[pairs[:, 1]])
    shares = np.full(len(pairs), 1 / len(pairs))
    cuts: list[Floats] = []
    rate, kept = 0.0, shares
    for turn in range(most_rounds):
        rivals = [rival for rival in range(count) if rival != best]
        costs = [_cost(pairs, true, shares, best, rival, strengths) for rival in rivals]
        cuts += costs
        value = min(float(cost @ shares) for cost in costs)
        if value > rate:
            rate, kept = value, shares
        bound, proposed = _highest(np.array(cuts))
        if rate > (1 - near) * bound:
            return Proportions(pairs, kept, rate, bound)
        shares = (kept + proposed) / 2 if turn % 2 else proposed
        shares = np.maximum(shares, 1e-12) / np.maximum(shares, 1e-12).sum()
    raise ArithmeticError(f"The proportions are within {1 - rate / bound:.1%} only.")


def _cost(pairs: Floats, true: Floats, shares: Floats, best: int, rival: int, start: Floats) -> Floats:
    """What each pair tells against the nearest strengths under which the rival is as good as the best."""
    joined = np.eye(len(start))
    joined[rival, rival], joined[rival, best] = 0, 1
    slopes = (joined[pairs[:, 0]] - joined[pairs[:, 1]])[:, np.arange(len(start)) != rival]
    point = np.delete(start, rival).astype(float)
    for _ in range(50):
        chance = expit(slopes @ point)
        curve = (slopes * (shares * chance * (1 - chance))[:, None]).T @ slopes
        step = np.linalg.solve(curve + 1e-9 * np.eye(len(point)), slopes.T @ (shares * (true - chance)))
        point = point + step * min(1.0, 2 / max(np.abs(step).max(), 1e-12))
        if np.abs(step).max() < 1e-8:
            break
    chance = expit(slopes @ point)
    return xlogy(true, true / chance) + xlogy(1 - true, (1 - true) / (1 - chance))


def _highest(cuts: Floats) -> tuple[float, Floats]:
    count = cuts.shape[1]
    found = linprog(
        np.r_[np.zeros(count), -1.0],
        A_ub=np.column_stack([-cuts, np.ones(len(cuts))]),
        b_ub=np.zeros(len(cuts)),
        A_eq=[np.r_[np.ones(count), 0.0]],
        b_eq=[1.0],
        bounds=[(0, 1)] * count + [(None, None)],
    )
    return float(found.x[-1]), np.asarray(found.x[:-1])
