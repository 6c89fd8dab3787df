"""How often would a fact go with an attribute as closely by luck, when lots of one maker hang together?"""

from itertools import product
from typing import Final

import numpy as np

from wetleaf.numerics.associations.archive import Floats, Pair, without_means

FEWEST_MAKERS: Final = 8  # below it luck was called a tie too often in simulation
_ALL_FLIPS_TO: Final = 12  # makers up to which all signs are tried
_FLIPS: Final = 4095


def chance_alone(pair: Pair, *, rng: np.random.Generator) -> float:
    """Return the chance of a tie as close by luck, or nan with fewer than eight makers.

    Every maker's share in the sum of products of fact and attribute (levels of seasons out of both) gets a
    sign at random: lots of one maker are one piece of evidence, however many they are [1]_, so every maker
    weighs the same. Up to twelve makers all signs are tried.

    A fact that every maker has once and for all, such as elevation, is given to the makers in another order
    instead: their means might as well have gone with any.

    References
    ----------
    .. [1] Kline and Santos, A score based approach to wild bootstrap inference, Journal of Econometric
           Methods 1 (2012) 23-41.
    """
    if np.unique(pair.makers).size < FEWEST_MAKERS:
        return float("nan")
    if _is_the_makers(pair):
        return _among_makers(pair, rng)
    scores = _scores_of_makers(pair)
    makers = len(scores)
    if makers < FEWEST_MAKERS:
        return float("nan")
    seen = float((scores.sum(axis=0) ** 2).sum())
    if makers <= _ALL_FLIPS_TO:
        flips = np.array(list(product((1.0, -1.0), repeat=makers - 1)))
        flips = np.column_stack([np.ones(len(flips)), flips])
        by_luck = ((flips @ scores) ** 2).sum(axis=1)
        return float((by_luck >= seen * (1 - 1e-9)).mean())
    flips = rng.choice([-1.0, 1.0], size=(_FLIPS, makers))
    by_luck = ((flips @ scores) ** 2).sum(axis=1)
    return float((1 + (by_luck >= seen * (1 - 1e-9)).sum()) / (1 + _FLIPS))


def _scores_of_makers(pair: Pair) -> Floats:
    """Each maker's share (makers, k), columns in their own spread; makers without a share are left out."""
    weight = 1 / np.bincount(pair.makers)[pair.makers]
    y, x = (without_means(values, pair.seasons, weight) for values in (pair.attribute, pair.columns))
    size = np.sqrt((weight[:, None] * x**2).sum(axis=0))
    x = x[:, size > 1e-12] / size[size > 1e-12]
    own = np.eye(int(pair.makers.max()) + 1)[pair.makers]
    scores = own.T @ (weight[:, None] * x * y[:, None])
    return np.asarray(scores[np.abs(scores).max(axis=1, initial=0.0) > 1e-12])


def _is_the_makers(pair: Pair) -> bool:
    """Whether the fact is the same in all lots of a maker."""
    return not np.abs(without_means(pair.columns, pair.makers)).max() > 1e-9


def _among_makers(pair: Pair, rng: np.random.Generator) -> float:
    """Hold the tie of makers' means and facts against the same facts dealt out anew."""
    weight = 1 / np.bincount(pair.makers)[pair.makers]
    left = without_means(pair.attribute, pair.seasons, weight)
    own = np.eye(int(pair.makers.max()) + 1)[pair.makers] * weight[:, None]
    means = own.T @ left
    facts = own.T @ pair.columns
    facts = facts - facts.mean(axis=0)
    size = np.sqrt((facts**2).sum(axis=0))
    facts = facts[:, size > 1e-12] / size[size > 1e-12]
    seen = float(((means @ facts) ** 2).sum())
    dealt = rng.permuted(np.broadcast_to(means - means.mean(), (_FLIPS, means.size)), axis=1)
    by_luck = ((dealt @ facts) ** 2).sum(axis=1)
    return float((1 + (by_luck >= seen * (1 - 1e-9)).sum()) / (1 + _FLIPS))
