"""Balanced incomplete blocks that are known by construction: every two teas meet equally often.

`FAMILIES` holds first blocks; turning them round a circle of teas (adding 1 to every number) gives the rest;
with 0 teas turned they are all. They were found by this project, by a search for difference families
(Bose 1939) or, where nothing is turned, by exchange; the tests count every pair of every one. The complement
of a balanced design (the teas a block leaves out) is balanced too.
"""

import math
from itertools import combinations

from wetleaf.numerics.designs.efficiency import Blocks

LARGEST_OF_ALL_SUBSETS = 5_000

# (teas, cups in a block, meetings of a pair, teas that are turned, first blocks)
FAMILIES: tuple[tuple[int, int, int, int, Blocks], ...] = (
    (6, 3, 2, 5, ((0, 1, 5), (0, 1, 3))),
    (7, 3, 1, 7, ((0, 1, 5),)),
    (8, 4, 3, 7, ((0, 1, 3, 7), (0, 1, 2, 4))),
    (9, 3, 1, 8, ((0, 4, 8), (0, 1, 6))),
    (9, 4, 3, 9, ((0, 1, 3, 7), (0, 1, 2, 6))),
    (10, 3, 2, 9, ((0, 2, 9), (0, 1, 5), (0, 1, 7), (0, 3, 6))),
    (10, 4, 4, 10, ((0, 1, 4, 5), (0, 2, 4, 7), (0, 1, 2, 8))),
    (10, 5, 4, 9, ((0, 1, 3, 4, 9), (0, 1, 2, 4, 6))),
    (11, 5, 2, 11, ((0, 1, 2, 6, 9),)),
    (12, 3, 2, 12, ((0, 1, 6), (0, 1, 10), (0, 2, 5), (0, 4, 8), (0, 4, 8))),
    (12, 4, 3, 12, ((0, 3, 6, 9), (0, 2, 6, 8), (0, 1, 2, 5), (0, 1, 5, 10))),
    (12, 6, 5, 12, ((0, 1, 4, 6, 7, 10), (0, 1, 2, 3, 5, 7), (0, 1, 4, 5, 8, 9))),
    (13, 3, 1, 13, ((0, 1, 10), (0, 2, 7))),
    (13, 4, 1, 13, ((0, 1, 8, 10),)),
    (13, 6, 5, 13, ((0, 1, 3, 5, 7, 8), (0, 1, 2, 7, 10, 11))),
    (15, 3, 1, 15, ((0, 1, 12), (0, 2, 9), (0, 5, 10))),
    (15, 7, 3, 15, ((0, 1, 2, 7, 9, 12, 13),)),
    (16, 4, 1, 15, ((0, 5, 10, 15), (0, 1, 3, 7))),
    (16, 6, 4, 16, ((0, 1, 2, 6, 7, 14), (0, 1, 3, 7, 11, 14))),
    (19, 3, 1, 19, ((0, 1, 14), (0, 2, 11), (0, 3, 7))),
    (19, 4, 2, 19, ((0, 1, 11, 17), (0, 1, 7, 15), (0, 2, 5, 9))),
    (19, 9, 4, 19, ((0, 1, 2, 3, 6, 9, 10, 15, 17),)),
    (21, 3, 1, 21, ((0, 1, 5), (0, 2, 13), (0, 3, 15), (0, 7, 14))),
    (21, 5, 1, 21, ((0, 1, 6, 8, 18),)),
    (21, 6, 3, 21, ((0, 1, 5, 7, 8, 12), (0, 1, 3, 9, 13, 19))),
    (23, 11, 5, 23, ((0, 1, 2, 3, 9, 11, 14, 15, 18, 19, 21),)),
    (25, 3, 1, 25, ((0, 1, 15), (0, 2, 7), (0, 3, 9), (0, 4, 12))),
    (25, 5, 1, 24, ((0, 6, 12, 18, 24), (0, 1, 5, 14, 22))),
    (31, 6, 1, 31, ((0, 1, 11, 19, 26, 28),)),
    (
        10,
        4,
        2,
        0,
        (
            (0, 1, 4, 7),
            (0, 1, 5, 9),
            (0, 2, 3, 6),
            (0, 2, 7, 8),
            (0, 3, 8, 9),
            (0, 4, 5, 6),
            (1, 2, 4, 8),
            (1, 2, 6, 9),
            (1, 3, 5, 8),
            (1, 3, 6, 7),
            (2, 3, 4, 5),
            (2, 5, 7, 9),
            (3, 4, 7, 9),
            (4, 6, 8, 9),
            (5, 6, 7, 8),
        ),
    ),
    (
        16,
        6,
        2,
        0,
        (
            (0, 1, 6, 7, 13, 15),
            (0, 1, 9, 10, 12, 14),
            (0, 2, 3, 6, 10, 11),
            (0, 2, 4, 8, 9, 13),
            (0, 3, 4, 5, 7, 14),
            (0, 5, 8, 11, 12, 15),
            (1, 2, 4, 5, 10, 15),
            (1, 2, 7, 8, 11, 14),
            (1, 3, 4, 6, 8, 12),
            (1, 3, 5, 9, 11, 13),
            (2, 3, 12, 13, 14, 15),
            (2, 5, 6, 7, 9, 12),
            (3, 7, 8, 9, 10, 15),
            (4, 6, 9, 11, 14, 15),
            (4, 7, 10, 11, 12, 13),
            (5, 6, 8, 10, 13, 14),
        ),
    ),
    (
        16,
        6,
        3,
        0,
        (
            (0, 1, 2, 4, 6, 10),
            (0, 1, 3, 10, 13, 14),
            (0, 1, 5, 9, 11, 12),
            (0, 2, 3, 9, 14, 15),
            (0, 2, 8, 11, 13, 15),
            (0, 3, 4, 6, 8, 12),
            (0, 4, 5, 7, 13, 15),
            (0, 5, 6, 7, 11, 14),
            (0, 7, 8, 9, 10, 12),
            (1, 2, 5, 6, 8, 13),
            (1, 2, 7, 8, 9, 14),
            (1, 3, 4, 7, 8, 11),
            (1, 3, 7, 12, 13, 15),
            (1, 4, 5, 9, 10, 15),
            (1, 6, 11, 12, 14, 15),
            (2, 3, 4, 5, 12, 14),
            (2, 3, 5, 7, 10, 11),
            (2, 4, 9, 11, 12, 13),
            (2, 6, 7, 10, 12, 15),
            (3, 5, 6, 8, 9, 15),
            (3, 6, 9, 10, 11, 13),
            (4, 6, 7, 9, 13, 14),
            (4, 8, 10, 11, 14, 15),
            (5, 8, 10, 12, 13, 14),
        ),
    ),
)


def balanced_blocks(n_teas: int, n_blocks: int, block_size: int) -> Blocks | None:
    """Return a balanced design of these sizes, or None when none is known here.

    >>> balanced_blocks(7, 7, 3)[:2]
    ((0, 1, 5), (1, 2, 6))
    >>> balanced_blocks(8, 8, 3) is None
    True
    """
    meetings = _meetings(n_teas, n_blocks, block_size)
    if meetings is None:
        return None
    return (
        _all_subsets(n_teas, n_blocks, block_size)
        or _from_family(n_teas, block_size, meetings)
        or _complement(n_teas, n_blocks, block_size)
    )


def _meetings(v: int, b: int, k: int) -> int | None:
    """Return how often every pair meets, if whole numbers allow balance at all."""
    if not 2 <= k < v or b * k % v or b < v:
        return None
    meetings, over = divmod(b * k // v * (k - 1), v - 1)
    return None if over else meetings


def _all_subsets(v: int, b: int, k: int) -> Blocks | None:
    subsets = math.comb(v, k)
    if b % subsets or b > LARGEST_OF_ALL_SUBSETS:
        return None
    return tuple(combinations(range(v), k)) * (b // subsets)


def _from_family(v: int, k: int, meetings: int) -> Blocks | None:
    fits = [row for row in FAMILIES if row[:2] == (v, k) and meetings % row[2] == 0]
    if not fits:
        return None
    _, _, each, circle, first = max(fits, key=lambda row: row[2])
    return _turned(first, circle) * (meetings // each)


def _turned(first: Blocks, circle: int) -> Blocks:
    """Turn each block round a circle of teas, a tea beyond it staying; the same block again is left out."""
    blocks: list[tuple[int, ...]] = []
    for block in first:
        turns = (
            tuple(sorted((tea + step) % circle if tea < circle else tea for tea in block))
            for step in range(max(1, circle))
        )
        blocks += dict.fromkeys(turns)
    return tuple(blocks)


def _complement(v: int, b: int, k: int) -> Blocks | None:
    if 2 * k <= v or v - k < 2:
        return None
    inner = balanced_blocks(v, b, v - k)
    return inner and tuple(tuple(sorted(set(range(v)) - set(block))) for block in inner)
