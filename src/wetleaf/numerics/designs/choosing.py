"""Choosing one order for each taster so that positions and previous cups come out as even as they can.

Coordinate descent: every taster in turn takes the order that suits what all others have, from several random
starts. Where a pool of orders is not enough, cups are exchanged within orders.
"""

import copy
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetleaf.numerics.designs.evenness import FloatArray, IntArray, even_shares

SWEEPS = 12
STARTS = 4
STARTS_IN_SMALL_POOLS = 12
_SMALL_POOL = 1_000
HEAT = 0.3
"""At the start of annealing, in weights of one cell; found by trial on flights of 9 to 60 teas."""
_TRIES_EACH, _FEWEST_TRIES, _MOST_TRIES = 25, 400, 1_500
_NEARLY = 1e-9


@dataclass(frozen=True, slots=True)
class Choice:
    """Who may choose: `takers` tasters of one sitting, each one of `options` (rows: orders of teas)."""

    options: IntArray
    takers: int


class Tally:
    """Counts of the orders chosen so far, less their even shares: one flat list of cells for both tables.

    Kept weighted, so that a sum over cells is (up to a constant) half of what adding an order costs.
    """

    def __init__(self, orders: Sequence[IntArray], n_samples: int) -> None:
        positions, previous = even_shares(orders, n_samples)
        self.n_samples, self.width = n_samples, positions.shape[1]
        shares = [positions.ravel(), previous.ravel()]
        self.weights = np.concatenate(
            [np.full(share.size, 1 / max(1, (share > 0).sum())) for share in shares]
        )
        self.unit = float(self.weights[[0, -1]].mean())
        self.weighted: FloatArray = -np.concatenate(shares) * self.weights

    def again(self) -> "Tally":
        """Return a copy to count on with."""
        other = copy.copy(self)
        other.weighted = self.weighted.copy()
        return other

    def cells(self, orders: IntArray) -> IntArray:
        """Return the cells that each order (row) counts in: its positions, then its neighbours."""
        positions = orders * self.width + np.arange(orders.shape[1])
        neighbours = orders[:, :-1] * self.n_samples + orders[:, 1:] + self.n_samples * self.width
        return np.hstack([positions, neighbours])

    def add(self, cells: IntArray, sign: int) -> None:
        """Add one order, or with sign -1 take it away."""
        np.add.at(self.weighted, cells, sign * self.weights[cells])

    def cheapest(self, cells: IntArray, rng: np.random.Generator, heat: float = 0.0) -> int:
        """Return which order (row of cells) costs least, ties by lot; with heat now and then a dearer one.

        With heat an order is drawn with chance in proportion to exp(- cost / (heat x weight of a cell)).
        """
        costs = self.weighted[cells].sum(1)
        if heat > 0:
            return int(np.argmin(costs - heat * self.unit * rng.gumbel(size=costs.size)))
        least = np.flatnonzero(costs <= costs.min() + _NEARLY)
        return int(least[0] if least.size == 1 else least[rng.integers(least.size)])

    def measure(self) -> float:
        """Return the measure of what was added."""
        return float((self.weighted**2 / self.weights).sum())


def choose_evenly(
    choices: Sequence[Choice], n_samples: int, bound: float, rng: np.random.Generator
) -> list[IntArray]:
    """Return for each choice the numbers of the options taken, the best of several starts.

    Stops as soon as the measure is at `bound`.
    """
    best: tuple[float, list[IntArray]] | None = None
    empty = Tally(first_orders(choices), n_samples)
    cells = [empty.cells(choice.options) for choice in choices]
    small = sum(len(choice.options) * choice.takers for choice in choices) <= _SMALL_POOL
    for _ in range(STARTS_IN_SMALL_POOLS if small else STARTS):
        found = _descend(choices, cells, empty.again(), rng)
        if best is None or found[0] < best[0] - _NEARLY:
            best = found
        if best[0] <= bound + _NEARLY:
            break
    assert best is not None
    return best[1]


def first_orders(choices: Sequence[Choice]) -> list[IntArray]:
    """Return an order for each taker; all options of a choice hold the same teas, so any does for shares."""
    return [choice.options[0] for choice in choices for _ in range(choice.takers)]


def _descend(
    choices: Sequence[Choice], cells: Sequence[IntArray], tally: Tally, rng: np.random.Generator
) -> tuple[float, list[IntArray]]:
    taken: list[IntArray] = [np.full(choice.takers, -1) for choice in choices]
    turns = [(one, taker) for one, choice in enumerate(choices) for taker in range(choice.takers)]
    before = np.inf
    for _ in range(SWEEPS):
        for turn in rng.permutation(len(turns)):
            one, taker = turns[turn]
            if taken[one][taker] >= 0:
                tally.add(cells[one][taken[one][taker]], -1)
            taken[one][taker] = tally.cheapest(cells[one], rng)
            tally.add(cells[one][taken[one][taker]], 1)
        now = tally.measure()
        if now >= before - _NEARLY:
            break
        before = now
    return tally.measure(), taken


def exchange_cups(
    orders: Sequence[IntArray],
    teas: Sequence[IntArray],
    n_samples: int,
    bound: float,
    rng: np.random.Generator,
) -> list[IntArray]:
    """Return the best orders met while, over and over, a taster chosen by lot exchanges two cups.

    `orders` holds places in `teas`, for each order its own. Simulated annealing (Kirkpatrick, Gelatt and
    Vecchi 1983): dearer exchanges are made too, ever more seldom, so that the walk does not stick.
    """
    named = [tea[order] for tea, order in zip(teas, orders, strict=True)]
    tally = Tally(named, n_samples)
    current = [order.copy() for order in orders]
    for name in named:
        tally.add(tally.cells(name[None, :])[0], 1)
    best, kept = tally.measure(), [order.copy() for order in current]
    tries = min(max(_TRIES_EACH * len(current), _FEWEST_TRIES), _MOST_TRIES)
    for turn in range(tries):
        if best <= bound + _NEARLY:
            break
        one = int(rng.integers(len(current)))
        current[one] = _exchanged_once(current[one], teas[one], tally, rng, HEAT * (1 - turn / tries))
        now = tally.measure()
        if now < best - _NEARLY:
            best, kept = now, [order.copy() for order in current]
    return kept


def _exchanged_once(
    order: IntArray, teas: IntArray, tally: Tally, rng: np.random.Generator, heat: float
) -> IntArray:
    """Exchange two cups of one taster's order, or none, as the measure and the heat have it."""
    if len(order) < 2:
        return order
    tally.add(tally.cells(teas[order][None, :])[0], -1)
    options = np.vstack([_exchanged(order), order])
    cells = tally.cells(teas[options])
    best = tally.cheapest(cells, rng, heat)
    tally.add(cells[best], 1)
    return np.asarray(options[best])


def _exchanged(order: IntArray) -> IntArray:
    """Return every order that exchanging two cups gives."""
    first, second = np.triu_indices(len(order), 1)
    options = np.tile(order, (len(first), 1))
    rows = np.arange(len(first))
    options[rows, first], options[rows, second] = order[second], order[first]
    return options
