"""How many more pots would settle which lot is best: each draw is taken as the truth and tasted again.

Used by `wetleaf.numerics.shortlists`; the draws are of `wetleaf.numerics.likings`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.liking_model import Spreads
from wetleaf.numerics.likings import LikingDraws

Floats = NDArray[np.float64]

RIGHT_OFTEN_ENOUGH: Final = 0.9
MOST_MORE_CUPS: Final = 12


@dataclass(frozen=True, slots=True)
class Settling:
    """What would settle it: `more_cups` of each of `lots` by every taster, side by side, each cup from a new
    pot (one pot for all tasters where they shared pots before), then the lot in the lead is the best with
    `chance`. `more_cups` is None when 12 more of each would still leave it open. `first_step`: no lot has a
    second pot, so that how many are needed cannot be told before there is one."""

    lots: tuple[str, ...]
    more_cups: int | None
    chance: float
    first_step: bool = False


def further_cups(
    draws: LikingDraws,
    lots: Sequence[str],
    *,
    again: Sequence[str],
    pots_are_shared: bool,
    pots_are_known: bool,
    rng: np.random.Generator,
) -> Settling:
    """Return how many more pots of the lots `again` make the leader right in 90 % of draws.

    What is known is taken as normal with the draws' mean and covariance; the new sitting has its own level.
    One pot each, as a first step, when nothing is known of how far pots stray.
    """
    places = [lots.index(lot) for lot in again]
    normal = rng.standard_normal((len(draws.lots), len(again)))
    chance = 0.0
    for more in range(1, MOST_MORE_CUPS + 1):
        variance = _variance_of_more(draws.spreads, more, shared=pots_are_shared)
        noise = normal * np.sqrt(variance)[:, None]
        # the median: a few draws have pots that stray by far more than any, and would rule the mean
        chance = _chance_of_right_leader(draws.lots, places, noise, float(np.median(variance)))
        if not pots_are_known or chance >= RIGHT_OFTEN_ENOUGH:
            return Settling(tuple(again), more, chance, first_step=not pots_are_known)
    return Settling(tuple(again), None, chance)


def _variance_of_more(spreads: Spreads, pots: int, *, shared: bool) -> Floats:
    """Of what so many new pots and a cup of each by every taster say of one lot, in each draw."""
    tasters = spreads.sigma.shape[1]
    of_pots = spreads.pot**2 / pots
    each = spreads.sigma**2 / pots + (0 if shared else of_pots[:, None])
    unlike = spreads.taste[:, None, None] ** 2 * (np.eye(tasters) - 1 / tasters)
    unlike[:, np.arange(tasters), np.arange(tasters)] += each
    weights = np.linalg.solve(unlike, np.ones((len(each), tasters, 1)))
    return np.asarray(1 / weights.sum(axis=(1, 2)) + (of_pots if shared else 0))


def _chance_of_right_leader(lots: Floats, again: list[int], noise: Floats, variance: float) -> float:
    centre = lots.mean(axis=0)
    spread = np.cov(lots, rowvar=False)
    seen = lots[:, again] + noise
    level = 100 * (variance + float(np.diag(spread).max()))
    doubt = spread[np.ix_(again, again)] + variance * np.eye(len(again)) + level
    gain = np.linalg.solve(doubt, spread[again]).T
    after = centre + (seen - centre[again]) @ gain.T
    return float((after.argmax(axis=1) == lots.argmax(axis=1)).mean())
