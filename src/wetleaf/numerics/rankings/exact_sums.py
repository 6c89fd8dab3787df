"""Exact distributions of rank sums when every order of every row is as likely, each row's ties kept as they
are.

Ranks are doubled, so that averaged ties are whole numbers and nothing is lost in comparing. A distribution
that would take too many states is None.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import permutations
from math import factorial
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

MOST_STATES: Final = 1_000_000
"""Sums by orders that are looked at for one more taster: half a second at most."""
MOST_OF_LAST: Final = 8_000_000
MOST_OF_JOINT: Final = 200_000
MOST_LOTS_OF_PAGE: Final = 12


def spread_chance(ranks: Floats, apart: float) -> float | None:
    """Return the chance that rank sums lie as far apart: sum of squares about their mean `apart` or more.

    Each taster's orders are all as likely whatever the lots are called, so only the sums in order of size are
    kept.
    """
    rows = _doubled(ranks)
    sums, chances = np.sort(rows[:1], axis=1), np.ones(1)
    for row in rows[1:-1]:
        orders = _orders(tuple(sorted(int(rank) for rank in row)))
        if orders is None or len(sums) * len(orders) > MOST_STATES:
            return None
        sums, chances = _joined(sums, chances, orders)
    orders = _orders(tuple(sorted(int(rank) for rank in rows[-1])))
    if orders is None or len(sums) * len(orders) > MOST_OF_LAST:
        return None
    return _far(sums, chances, orders, round(4 * len(ranks[0]) * apart))


def _far(sums: Whole, chances: Floats, orders: Whole, limit: int) -> float:
    """The chance of the limit or more once the last taster's orders are added."""
    found, lots = 0.0, sums.shape[1]
    total = int(sums[0].sum() + orders[0].sum())
    for order in orders:
        far = lots * ((sums + order) ** 2).sum(axis=1) - total**2 >= limit
        found += float(chances[far].sum())
    return min(1.0, found / len(orders))


def page_chance(ranks: Floats, least: float) -> float | None:
    """Return the chance that the sum of place times rank, over tasters, is `least` or more."""
    if ranks.shape[1] > MOST_LOTS_OF_PAGE:
        return None
    whole = np.ones(1)
    for row in _doubled(ranks):
        whole = np.convolve(whole, _page_of_one(tuple(sorted(int(rank) for rank in row))))
    return float(min(1.0, whole[round(2 * least) :].sum()))


def far_sum_chance(ranks: Floats, distance: float) -> float:
    """Return the chance that one lot's rank sum lies so far from its middle, either way."""
    whole = np.ones(1)
    for row in _doubled(ranks):
        whole = np.convolve(whole, np.bincount(row) / len(row))
    from_middle = np.abs(np.arange(len(whole)) - len(ranks) * (ranks.shape[1] + 1))
    return float(min(1.0, whole[from_middle >= round(2 * distance)].sum()))


def joint_chance(
    parts: Sequence[tuple[NDArray[np.intp], Floats]], inverse: Floats, least: float
) -> float | None:
    """Return the chance that sums s over rows have s' `inverse` s of `least` or more.

    `parts`: of each row the lots served and their scores, of which every order is as likely.
    """
    sums: Floats = np.zeros((1, len(inverse)))
    chances: Floats = np.ones(1)
    for served, scores in parts:
        if len(scores) > 7 or len(sums) * factorial(len(scores)) > MOST_OF_JOINT:
            return None
        orders = np.zeros((factorial(len(scores)), len(inverse)))
        orders[:, served] = list(permutations(scores))
        every = (sums[:, None, :] + orders[None, :, :]).reshape(-1, len(inverse))
        _, first, which = np.unique(np.round(every, 6) + 0.0, axis=0, return_index=True, return_inverse=True)
        weights = np.repeat(chances / len(orders), len(orders))
        chances = np.asarray(np.bincount(which.ravel(), weights), dtype=float)
        sums = every[first]
    far = ((sums @ inverse) * sums).sum(axis=1) >= least
    return float(min(1.0, chances[far].sum()))


def _doubled(ranks: Floats) -> Whole:
    return np.rint(2 * ranks).astype(np.int64)


@lru_cache(maxsize=64)
def _orders(row: tuple[int, ...]) -> Whole | None:
    """Every order of a row, each as often as it comes up among all; None for more than 7 lots."""
    if len(row) > 7:
        return None
    return np.array(list(permutations(row)), dtype=np.int64)


def _joined(sums: Whole, chances: Floats, orders: Whole) -> tuple[Whole, Floats]:
    """Add one taster's orders to all sums; sums that are the same in order of size are one."""
    both = np.sort((sums[:, None, :] + orders[None, :, :]).reshape(-1, sums.shape[1]), axis=1)
    base = int(both.max()) + 1
    keys = both[:, :-1] @ (base ** np.arange(both.shape[1] - 1))  # the last follows from the total
    _, first, which = np.unique(keys, return_index=True, return_inverse=True)
    weights = np.repeat(chances / len(orders), len(orders))
    return both[first], np.asarray(np.bincount(which, weights), dtype=float)


@lru_cache(maxsize=64)
def _page_of_one(row: tuple[int, ...]) -> Floats:
    """Distribution of one taster's sum of place times doubled rank, by the ranks that are already placed."""
    lots = len(row)
    most = int(np.arange(1, lots + 1) @ np.array(row))
    found = np.zeros((1 << lots, most + 1))
    found[0, 0] = 1.0
    for placed in range((1 << lots) - 1):
        place = placed.bit_count() + 1
        for lot, rank in enumerate(row):
            if not placed >> lot & 1:
                step = place * rank
                found[placed | 1 << lot, step:] += found[placed, : most + 1 - step] / (lots - place + 1)
    return np.asarray(found[-1])
