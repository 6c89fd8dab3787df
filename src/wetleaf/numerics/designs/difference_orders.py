"""Orders of difference tests: every permutation a method has, used as equally often as whole trials allow.

A is the first tea named, B the second; "A:BA" is a cup of A named as the reference, then B and A under codes.
Triangle 6 orders, duo-trio 4 (2 with a constant reference), tetrad 6, 2-AFC 2, 3-AFC 3: ISO 4120, ISO 10399,
ASTM E3009 and ISO 5495 (from memory); the rest follow from the definitions.
"""

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from wetleaf.numerics.differences.methods import method_key


def _pairs_in_five() -> tuple[str, ...]:
    """Every place of the two like cups, by turns with the two teas exchanged."""
    orders: list[str] = []
    for places in combinations(range(5), 2):
        order = "".join("B" if place in places else "A" for place in range(5))
        orders += (order, order.translate(str.maketrans("AB", "BA")))
    return tuple(orders)


# Neighbours in a list differ as much as they can, so that a part of the list is even too.
ORDERS: dict[str, tuple[str, ...]] = {
    "triangle": ("AAB", "BBA", "ABA", "BAB", "BAA", "ABB"),
    "duo-trio": ("A:AB", "B:BA", "A:BA", "B:AB"),
    "tetrad": ("AABB", "BBAA", "ABAB", "BABA", "ABBA", "BAAB"),
    "2-afc": ("AB", "BA"),
    "3-afc": ("AAB", "ABA", "BAA"),
    "two-out-of-five": _pairs_in_five(),
    "same-different": ("AB", "AA", "BA", "BB"),
    "a-not-a": ("A", "B"),
}


def orders_of(method: str, *, constant_reference: bool = False) -> tuple[str, ...]:
    """Return every order of a method. Raises BadInput for an unknown method.

    >>> orders_of("duo-trio", constant_reference=True)
    ('A:AB', 'A:BA')
    >>> {method: len(orders) for method, orders in ORDERS.items()}["two-out-of-five"]
    20
    """
    orders = ORDERS[method_key(method)]
    return tuple(order for order in orders if not (constant_reference and order.startswith("B:")))


def dealt_orders(
    orders: Sequence[str], n_tasters: int, n_trials: int, rng: np.random.Generator
) -> tuple[tuple[str, ...], ...]:
    """Return for each taster an order for each trial.

    The list is gone round from a place drawn by lot; each taster takes the next `n_trials` of it and gets
    them shuffled. So any two orders differ by one use at the most, for each taster and over all.

    >>> dealt = dealt_orders(("AB", "BA"), 2, 3, np.random.default_rng(1))
    >>> sum(dealt, ()).count("AB"), sum(dealt, ()).count("BA")
    (3, 3)
    """
    begin = int(rng.integers(len(orders)))
    round_ = [orders[(begin + step) % len(orders)] for step in range(n_tasters * n_trials)]
    shares = [round_[taster * n_trials : (taster + 1) * n_trials] for taster in rng.permutation(n_tasters)]
    return tuple(tuple(share[place] for place in rng.permutation(n_trials)) for share in shares)


def in_step(dealt: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], ...]:
    """Return each taster's orders put so that, where it can be, all tasters of a round have the same teas.

    Then the pots of one taster serve all. Who gets which orders stays as it is.

    >>> in_step((("AAB", "ABB"), ("BBA", "ABA")))
    (('AAB', 'ABB'), ('ABA', 'BBA'))
    """
    return tuple(_after(dealt[0], share) for share in dealt)


def _after(leader: Sequence[str], share: Sequence[str]) -> tuple[str, ...]:
    left = list(share)
    found: list[str | None] = []
    for order in leader:
        like = next((one for one in left if sorted(one) == sorted(order)), None)
        found.append(like)
        if like is not None:
            left.remove(like)
    return tuple(left.pop() if order is None else order for order in found)


def count_variance(counts: Sequence[int]) -> float:
    """Return the variance of counts about their mean.

    >>> count_variance([1, 1, 0, 0])
    0.25
    """
    return float(np.var(np.array(counts))) if len(counts) else 0.0


def least_variance(total: int, cells: int) -> float:
    """Return the least variance of `cells` whole counts with a given sum: f (1 - f), f the fraction over.

    >>> least_variance(7, 6)
    0.1388888888888889
    """
    fraction = total % cells / cells
    return fraction * (1 - fraction)
