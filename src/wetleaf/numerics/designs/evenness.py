"""How evenly teas stand at the positions and follow each other: counts, measure, and the least possible.

The even share of a count is what a wholly random order would give on average; of a cup after another brew of
the same tea it is nothing. The measure is the mean squared
distance of the counts from their even shares: with everybody tasting everything once it is the variance of
the counts. A variance of 0 is perfect; whole numbers often cannot reach it, and the bound says how near they
could come.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

IntArray = NDArray[np.int64]
FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Evenness:
    """Position and previous-cup variance of some orders, each beside the least that whole cups allow.

    `unevenness` is their sum, the measure that is made small; `bound` the sum of the bounds. No design of the
    same cups is below the bound; the bound itself may be out of reach. `repeats` counts cups that follow
    a cup of the same tea.
    """

    position_variance: float
    position_bound: float
    previous_variance: float
    previous_bound: float
    repeats: int

    @property
    def unevenness(self) -> float:
        """Return the sum of both variances."""
        return self.position_variance + self.previous_variance

    @property
    def bound(self) -> float:
        """Return the sum of both bounds."""
        return self.position_bound + self.previous_bound


def position_counts(orders: Sequence[IntArray], n_samples: int) -> IntArray:
    """Return how often each tea (row) is tasted at each position (column).

    >>> position_counts([np.array([0, 1]), np.array([0, 1])], 2).tolist()
    [[2, 0], [0, 2]]
    """
    longest = max((len(order) for order in orders), default=0)
    counts = np.zeros((n_samples, longest), dtype=np.int64)
    for order in orders:
        np.add.at(counts, (order, np.arange(len(order))), 1)
    return counts


def previous_counts(orders: Sequence[IntArray], n_samples: int) -> IntArray:
    """Return how often each tea (column) is tasted directly after each tea (row).

    >>> previous_counts([np.array([0, 1, 2])], 3).tolist()
    [[0, 1, 0], [0, 0, 1], [0, 0, 0]]
    """
    counts = np.zeros((n_samples, n_samples), dtype=np.int64)
    for order in orders:
        np.add.at(counts, (order[:-1], order[1:]), 1)
    return counts


def even_shares(orders: Sequence[IntArray], n_samples: int) -> tuple[FloatArray, FloatArray]:
    """Return what both tables of counts would be on average in random order, never a tea after itself.

    >>> positions, previous = even_shares([np.array([0, 1])] * 3, 2)
    >>> positions.tolist(), previous.tolist()
    ([[1.5, 1.5], [1.5, 1.5]], [[0.0, 1.5], [1.5, 0.0]])
    """
    longest = max((len(order) for order in orders), default=0)
    positions = np.zeros((n_samples, longest))
    previous = np.zeros((n_samples, n_samples))
    for order in orders:
        cups = np.bincount(order, minlength=n_samples).astype(float)
        positions[:, : len(order)] += cups[:, None] / len(order)
        pairs = np.outer(cups, cups) - np.diag(cups**2)
        previous += pairs * ((len(order) - 1) / max(pairs.sum(), 1))
    return positions, previous


def evenness(
    orders: Sequence[IntArray], n_samples: int, *, neighbours_at_most: int | None = None
) -> Evenness:
    """Return the measure of `orders` (teas as numbers below `n_samples`) and its bound.

    `neighbours_at_most`: so many different ordered pairs of neighbours can occur at all, as along a
    shared row of n bowls only 2n can.

    >>> from wetleaf.numerics.designs.williams import williams_square
    >>> evenness(list(williams_square(4)), 4).unevenness
    0.0
    """
    positions, previous = even_shares(orders, n_samples)
    counted, followed = position_counts(orders, n_samples), previous_counts(orders, n_samples)
    return Evenness(
        _mean_square(counted - positions, positions > 0),
        _position_bound(counted, positions),
        _mean_square(followed - previous, previous > 0),
        _previous_bound(int(followed.sum()), previous, neighbours_at_most),
        int(np.trace(followed)),
    )


def _mean_square(distance: FloatArray, cells: NDArray[np.bool_]) -> float:
    """Cells whose share is nothing count only when they are used."""
    return float((distance**2).sum()) / max(1, int(cells.sum()))


def _position_bound(counted: IntArray, shares: FloatArray) -> float:
    """The cups of a tea, and the cups at a position, are given: each alone forces some unevenness."""
    if not counted.size:
        return 0.0
    by_tea = sum(least_squares(row, int(total)) for row, total in zip(shares, counted.sum(1), strict=True))
    by_place = sum(
        least_squares(column, int(total)) for column, total in zip(shares.T, counted.sum(0), strict=True)
    )
    return max(by_tea, by_place) / int((shares > 0).sum())


def _previous_bound(total: int, shares: FloatArray, at_most: int | None) -> float:
    """Neighbours of the same tea, which only can make the measure larger, are left out of the bound."""
    cells = np.sort(shares[shares > 0])[::-1]
    if not cells.size:
        return 0.0
    open_ = cells if at_most is None else cells[:at_most]
    closed = cells[len(open_) :]
    return (least_squares(open_, total) + float((closed**2).sum())) / len(cells)


def least_squares(shares: FloatArray, total: int) -> float:
    """Return the least sum of squared distances of whole numbers with sum `total` from `shares`.

    What is over is first spread evenly (that alters the sum by a constant), then rounded so that the largest
    fractions go up: the costs are convex, so this is the optimum.

    >>> round(least_squares(np.array([0.5, 0.5, 1.0]), 2), 6)
    0.5
    """
    if not shares.size:
        return 0.0
    level = shares + (total - shares.sum()) / shares.size
    whole = np.floor(level + 1e-9)
    left = round(total - float(whole.sum()))
    whole[np.argsort(whole - level, kind="stable")[:left]] += 1
    return float(((whole - shares) ** 2).sum())
