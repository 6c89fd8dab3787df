"""Incomplete blocks for any number of teas: balanced where known, else the best an exchange search finds.

The search exchanges teas between two blocks while that lowers the sum of squared meetings (how often two teas
share a block), then keeps of several starts the one with the best A-efficiency.
"""

from collections.abc import Callable, Sequence

import numpy as np

from wetleaf.numerics.designs.balanced_blocks import balanced_blocks
from wetleaf.numerics.designs.efficiency import (
    Blocks,
    a_efficiency,
    efficiency_bound,
)
from wetleaf.numerics.designs.evenness import IntArray
from wetleaf.trade.errors import BadInput

STARTS = 12
_PATIENCE = 6
_MOST_EXCHANGES = 8_000
"""Pairs of blocks looked at, in all starts together: about a quarter of a second."""
_NEARLY = 1e-9


def incomplete_blocks(n_teas: int, sizes: Sequence[int], rng: np.random.Generator) -> Blocks:
    """Return blocks of the given sizes in which teas occur as equally often, and meet as evenly, as found.

    No block holds a tea twice. Raises BadInput when a block is larger than the number of teas, or when there
    are too few cups to link all teas.

    >>> blocks = incomplete_blocks(7, [3] * 7, np.random.default_rng(1))
    >>> sorted(len(set(one) & set(two)) for one in blocks for two in blocks if one < two) == [1] * 21
    True
    """
    _refuse(n_teas, sizes)
    known = balanced_blocks(n_teas, len(sizes), sizes[0]) if len(set(sizes)) == 1 else None
    if known is not None:
        return _shuffled(known, n_teas, rng)
    pairs = [(one, two) for one in range(len(sizes)) for two in range(one)]
    return _best_of(lambda: _random_start(n_teas, sizes, rng), pairs, rng)


def resolvable_blocks(n_teas: int, sizes: Sequence[int], replicates: int, rng: np.random.Generator) -> Blocks:
    """Return `replicates` groups of blocks of the given sizes; each group holds every tea once.

    >>> blocks = resolvable_blocks(4, [2, 2], 3, np.random.default_rng(1))
    >>> sorted(map(sorted, blocks))
    [[0, 1], [0, 2], [0, 3], [1, 2], [1, 3], [2, 3]]
    """
    if sum(sizes) != n_teas:
        raise BadInput(
            f"Sittings of {', '.join(map(str, sizes))} cups do not hold {n_teas} teas.",
            way_out="Let them sum to the teas.",
        )
    per_group = len(sizes)
    pairs = [
        (group * per_group + one, group * per_group + two)
        for group in range(1, replicates)
        for one in range(per_group)
        for two in range(one)
    ]
    return _best_of(lambda: _stepped_start(n_teas, sizes, replicates, rng), pairs, rng, replicates)


def _refuse(n_teas: int, sizes: Sequence[int]) -> None:
    if not sizes or min(sizes) < 0 or max(sizes) > n_teas:
        raise BadInput(
            f"Blocks of {', '.join(map(str, sizes)) or 'nothing'} cups cannot be filled from {n_teas} teas.",
            way_out="A block holds a tea once: give sizes from 0 to the number of teas.",
        )


def _shuffled(blocks: Blocks, n_teas: int, rng: np.random.Generator) -> Blocks:
    """Give the teas their numbers by lot, and the blocks their order."""
    name = rng.permutation(n_teas)
    order = rng.permutation(len(blocks)).tolist()
    return tuple(tuple(sorted(name[list(blocks[place])].tolist())) for place in order)


def _random_start(n_teas: int, sizes: Sequence[int], rng: np.random.Generator) -> IntArray:
    """Fill the largest blocks first with the teas that were used least, ties by lot."""
    table = np.zeros((len(sizes), n_teas), dtype=np.int64)
    used = np.zeros(n_teas)
    for number in sorted(range(len(sizes)), key=lambda one: -sizes[one]):
        chosen = np.lexsort((rng.random(n_teas), used))[: sizes[number]]
        table[number, chosen] = 1
        used[chosen] += 1
    return table


def _stepped_start(n_teas: int, sizes: Sequence[int], replicates: int, rng: np.random.Generator) -> IntArray:
    """Deal the teas out; in each further replicate the card at depth d moves on by its own number of blocks.

    Two teas of one block lie at different depths, so with different steps they part (alpha designs of
    Patterson and Williams 1976).
    """
    s = len(sizes)
    depth, block = np.divmod(np.arange(n_teas), s)
    name = rng.permutation(n_teas)
    steps = rng.integers(s, size=(replicates, int(depth.max()) + 1))
    steps[0] = 0
    steps[1:2] = np.arange(int(depth.max()) + 1) % s
    table = np.zeros((replicates * s, n_teas), dtype=np.int64)
    for group in range(replicates):
        table[group * s + (block + steps[group, depth]) % s, name] = 1
    return _to_sizes(table, [*sizes] * replicates, s, rng)


def _to_sizes(table: IntArray, sizes: Sequence[int], per_group: int, rng: np.random.Generator) -> IntArray:
    """Move teas from blocks that are too large to blocks of the same replicate that are too small."""
    over = table.sum(1) - np.array(sizes)
    for block in np.flatnonzero(over > 0).tolist():
        group = block // per_group * per_group
        while table[block].sum() > sizes[block]:
            short = next(one for one in range(group, group + per_group) if table[one].sum() < sizes[one])
            tea = rng.choice(np.flatnonzero(table[block]))
            table[block, tea], table[short, tea] = 0, 1
    return table


def _best_of(
    start: Callable[[], IntArray],
    pairs: Sequence[tuple[int, int]],
    rng: np.random.Generator,
    replicates: int | None = None,
) -> Blocks:
    """Search from several starts until the bound or the limit of work; keep the best A-efficiency."""
    best, best_value, left = start(), -1.0, _MOST_EXCHANGES
    if best.shape[1] == 1:
        return tuple(tuple(np.flatnonzero(row).tolist()) for row in best)
    for _ in range(STARTS):
        table, spent = _exchanged(start(), pairs, left, rng)
        left -= spent
        value = a_efficiency(table)
        if value > best_value:
            best, best_value = table, value
        if best_value >= efficiency_bound(table, replicates=replicates) - _NEARLY or left <= 0:
            break
    return tuple(tuple(np.flatnonzero(row).tolist()) for row in best)


def _exchanged(
    table: IntArray, pairs: Sequence[tuple[int, int]], most: int, rng: np.random.Generator
) -> tuple[IntArray, int]:
    """Exchange teas between blocks while the sum of squared meetings falls; return also the work spent.

    Exchanges that leave the sum as it is are made too, so that the search can pass along level ground; after
    `_PATIENCE` sweeps without a fall it stops.
    """
    meetings = table.T @ table
    now = best_sum = _off_diagonal(meetings)
    best, least, spent, idle = table.copy(), _least_sum(meetings), 0, 0
    while pairs and best_sum > least and idle < _PATIENCE and spent < most:
        for place in rng.permutation(len(pairs)):
            one, two = pairs[int(place)]
            now += _exchange_between(table, meetings, one, two, rng)
        spent += len(pairs)
        idle = 0 if now < best_sum else idle + 1
        if now < best_sum:
            best, best_sum = table.copy(), now
    return best, spent


def _least_sum(meetings: IntArray) -> int:
    """Return the sum of squared meetings if all pairs met as equally often as whole numbers allow."""
    v = len(meetings)
    total = int(meetings.sum() - np.trace(meetings)) // 2
    each, over = divmod(total, v * (v - 1) // 2)
    return 2 * ((v * (v - 1) // 2 - over) * each**2 + over * (each + 1) ** 2)


def _off_diagonal(meetings: IntArray) -> int:
    return int((meetings**2).sum() - (np.diag(meetings) ** 2).sum())


def _exchange_between(
    table: IntArray, meetings: IntArray, one: int, two: int, rng: np.random.Generator
) -> int:
    """Make the best exchange of a tea between two blocks unless it worsens; return the change of the sum.

    With d = +1 for teas only in the first block, -1 only in the second: exchanging x for y changes the
    meetings of x by -d and of y by +d, which gives the change in closed form.
    """
    d = table[one] - table[two]
    leaving, coming = np.flatnonzero(d > 0), np.flatnonzero(d < 0)
    if not leaving.size or not coming.size:
        return 0
    g, own = meetings @ d, np.diag(meetings)
    change = (g[coming][None, :] - g[leaving][:, None]) - 2 * meetings[np.ix_(leaving, coming)]
    change = change + own[leaving][:, None] + own[coming][None, :] + leaving.size + coming.size - 2
    least = int(change.min())
    if least > 0:
        return 0
    where = np.flatnonzero(change == least)
    place = int(where[rng.integers(where.size)])
    x, y = leaving[place // coming.size], coming[place % coming.size]
    _apply(table, meetings, one, two, int(x), int(y))
    return 4 * least


def _apply(table: IntArray, meetings: IntArray, one: int, two: int, x: int, y: int) -> None:
    for block, goes, comes in ((one, x, y), (two, y, x)):
        table[block, goes] = 0
        meetings[goes] -= table[block]
        meetings[:, goes] -= table[block]
        meetings[goes, goes] -= 1
        meetings[comes] += table[block]
        meetings[:, comes] += table[block]
        meetings[comes, comes] += 1
        table[block, comes] = 1
