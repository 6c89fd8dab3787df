"""Williams squares, cycles that share no neighbours, and the pools of orders to choose from.

A square is a table of orders: one row an order, entries 0 .. n-1.
"""

from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from wetleaf.trade.errors import BadInput

Orders = NDArray[np.int64]
ALL_ORDERS_UP_TO = 7
"""So many things can be put in every possible order (5,040) and looked through."""


def williams_square(n: int) -> Orders:
    """Return orders of `n` things in which each follows each other equally often.

    Even n: n orders, every ordered pair of neighbours once, every position once. Odd n: 2n orders (a square
    and its mirror image), every pair and every position twice. Williams (1949), Australian Journal of
    Scientific Research A 2: 149. Raises BadInput for n below 1.

    >>> williams_square(4).tolist()
    [[0, 1, 3, 2], [1, 2, 0, 3], [2, 3, 1, 0], [3, 0, 2, 1]]
    >>> williams_square(3).shape
    (6, 3)
    """
    if n < 1:
        raise BadInput(f"An order of {n} cups cannot be laid.", way_out="Give at least one.")
    zigzag = np.array([(step + 1) // 2 if step % 2 else -(step // 2) for step in range(n)])
    square = (np.arange(n)[:, None] + zigzag[None, :]) % n
    return square if n % 2 == 0 or n == 1 else np.vstack([square, square[:, ::-1]])


def neighbour_cycles(n: int) -> Orders:
    """Return rings of `n` things, no two of which put the same things side by side.

    One row a ring, read round: (n-1)/2 rings for odd n, (n-2)/2 for even n of 4 and more, else one. These
    are all there can be. Walecki's construction (in Lucas 1892, from memory): a zigzag through points on a
    circle, turned, closed over the one thing that is left.

    >>> neighbour_cycles(5).tolist()
    [[4, 0, 1, 3, 2], [4, 1, 2, 0, 3]]
    """
    if n < 4:
        return np.arange(n)[None, :]
    around = (n - 1) // 2 * 2
    turns = np.arange(around // 2)[:, None]
    paths = (williams_square(around)[0][None, :] + turns) % around
    rings = np.hstack([np.full((len(turns), 1), around), paths])
    # Of every ring of n-1 things the middle edge joins opposite points: no two of these share an end, so the
    # last thing, put between them, has new neighbours in every ring.
    return rings if n % 2 else np.insert(rings, around // 2 + 1, n - 1, axis=1)


def twofold_cycles(n: int) -> Orders:
    """Return n-1 rings of an even number `n` of things that put every two side by side exactly twice.

    For more layings than `neighbour_cycles` has rings: a zigzag through n-1 points turned n-1 times, closed
    over the last thing.

    >>> twofold_cycles(4).tolist()
    [[3, 0, 1, 2], [3, 1, 2, 0], [3, 2, 0, 1]]
    """
    around = n - 1
    paths = (williams_square(around)[0][None, :] + np.arange(around)[:, None]) % around
    return np.hstack([np.full((around, 1), around), paths])


def all_orders(n: int) -> Orders:
    """Return every order of `n` things, at most `ALL_ORDERS_UP_TO`.

    >>> all_orders(3).shape
    (6, 3)
    """
    return np.array(list(permutations(range(n))))


def walks_along(row: Orders) -> tuple[Orders, NDArray[np.int64], NDArray[np.int64]]:
    """Return every walk along a row of bowls that goes on at the other end, with its start and direction.

    >>> orders, starts, directions = walks_along(np.array([7, 8, 9]))
    >>> orders[1].tolist(), int(starts[1]), int(directions[1]), orders[3].tolist()
    ([8, 9, 7], 1, 1, [7, 9, 8])
    """
    n = len(row)
    ways = (1, -1) if n > 2 else (1,)
    starts, directions = np.tile(np.arange(n), len(ways)), np.repeat(ways, n)
    places = (starts[:, None] + directions[:, None] * np.arange(n)[None, :]) % n
    return row[places], starts, directions
