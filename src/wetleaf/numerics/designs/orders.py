"""In which order each taster meets the cups: walks along one row of bowls, or private orders.

Both are chosen for the same measure (`evenness`). Orders are written as places in `Table.teas`, so that two
brews of one tea in a sitting stay apart.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetleaf.numerics.designs.choosing import Choice, choose_evenly, exchange_cups, first_orders
from wetleaf.numerics.designs.evenness import Evenness, IntArray, evenness
from wetleaf.numerics.designs.row_exchanges import Laid, exchange_bowls, walked_places
from wetleaf.numerics.designs.sittings import Table
from wetleaf.numerics.designs.williams import (
    ALL_ORDERS_UP_TO,
    all_orders,
    neighbour_cycles,
    twofold_cycles,
    walks_along,
    williams_square,
)

ROW_LAYINGS = 6
"""So many layings of the rows are tried where they are not all alike but for the names."""
_CUPS_FOR_TRIALS = 600
_POOL_WORK = 60_000
_NEARLY = 1e-9


@dataclass(frozen=True)
class Served:
    """The orders of one table, a row a taster: places in `table.teas`. Along a row also who begins where."""

    table: Table
    orders: IntArray
    row: IntArray | None = None
    starts: IntArray | None = None
    directions: IntArray | None = None

    def teas_of(self) -> list[IntArray]:
        """Return each taster's order as numbers of teas."""
        return [self.table.teas[order] for order in self.orders]


def measured(served: Sequence[Served], n_teas: int) -> Evenness:
    """Return the measure of all orders and its bound for this way of serving."""
    orders = [order for one in served for order in one.teas_of()]
    return evenness(orders, n_teas, neighbours_at_most=_neighbours(served))


def _neighbours(served: Sequence[Served]) -> int | None:
    if any(one.row is None for one in served):
        return None
    return sum(neighbours_along(len(one.table.teas)) for one in served)


def neighbours_along(bowls: int) -> int:
    """Return how many ordered pairs of neighbours a row of bowls has when walked on at the other end.

    >>> [neighbours_along(bowls) for bowls in (1, 2, 3, 8)]
    [0, 2, 6, 16]
    """
    return 2 * bowls if bowls > 2 else 2 * (bowls - 1)


def same_bowl_at_once(served: Sequence[Served]) -> int:
    """Return how often a taster finds the bowl taken, all moving on together."""
    return sum(
        len(column) - len(set(column.tolist()))
        for one in served
        if one.row is not None
        for column in one.orders.T
    )


def one_row_each(tables: Sequence[Table], n_teas: int, rng: np.random.Generator) -> list[Served]:
    """Return walks along one row of bowls a sitting: the row's order, where each taster begins, which way."""
    best: tuple[float, list[Served]] | None = None
    for laying in range(_layings(tables)):
        served = _walked(tables, _rows(tables, rng, twofold=laying % 2 == 1), n_teas, rng)
        found = measured(served, n_teas)
        if best is None or found.unevenness < best[0] - _NEARLY:
            best = (found.unevenness, served)
        if best[0] <= found.bound + _NEARLY:
            break
    assert best is not None
    return _bowls_exchanged(best[1], n_teas, rng) if len(tables) > 1 else best[1]


def _bowls_exchanged(served: Sequence[Served], n_teas: int, rng: np.random.Generator) -> list[Served]:
    """Exchange bowls and beginnings over all sittings; then deal the walks out to the tasters anew."""
    laid: list[Laid] = []
    for one in served:
        assert one.row is not None
        assert one.starts is not None
        assert one.directions is not None
        laid.append((one.row, walked_places(one.starts, one.directions, len(one.row))))
    tables = [one.table for one in served]
    better = exchange_bowls(
        laid, [table.teas for table in tables], n_teas, measured(served, n_teas).bound, rng
    )
    choices = [
        Choice(table.teas[row[walks]], len(walks)) for table, (row, walks) in zip(tables, better, strict=True)
    ]
    dealt = _shared_out(choices, [np.arange(choice.takers) for choice in choices], n_teas, rng)
    return [
        _served_along(table, row, walks[mine])
        for table, (row, walks), mine in zip(tables, better, dealt, strict=True)
    ]


def _served_along(table: Table, row: IntArray, walks: IntArray) -> Served:
    """Read from the first two places of each walk which way it goes."""
    second = walks[:, 1] if walks.shape[1] > 1 else walks[:, 0]
    forwards = (walks[:, 0] + 1) % len(row) == second
    return Served(table, row[walks], row, walks[:, 0], np.where(forwards, 1, -1))


def _layings(tables: Sequence[Table]) -> int:
    """With the same teas each time and rings enough, all layings are alike but for the names."""
    alike = Counter(tuple(sorted(table.teas.tolist())) for table in tables)
    (teas, times), *others = alike.items()
    if not others and len(set(teas)) == len(teas) and times <= len(neighbour_cycles(len(teas))):
        return 1
    cups = sum(len(table.teas) * len(table.tasters) for table in tables)
    return ROW_LAYINGS if cups <= _CUPS_FOR_TRIALS else 1


def _rows(tables: Sequence[Table], rng: np.random.Generator, *, twofold: bool) -> list[IntArray]:
    """Lay the same teas each time in a ring that puts other teas side by side, as long as there are rings."""
    laid: dict[tuple[int, ...], int] = defaultdict(int)
    names: dict[tuple[int, ...], IntArray] = {}
    rows = []
    for table in tables:
        key = tuple(sorted(table.teas.tolist()))
        in_order = np.argsort(table.teas, kind="stable")
        if len(set(key)) < len(key):
            rows.append(_in_passes(table.teas, rng))
            continue
        name = names.setdefault(key, rng.permutation(len(key)))
        rings = twofold_cycles(len(key)) if twofold and len(key) % 2 == 0 else neighbour_cycles(len(key))
        ring = rings[laid[key] % len(rings)]
        laid[key] += 1
        rows.append(in_order[name[np.roll(ring, int(rng.integers(len(key))))]])
    return rows


def _in_passes(teas: IntArray, rng: np.random.Generator) -> IntArray:
    """Lay a row that holds teas more than once: every tea, then every tea again, none beside itself."""
    met: Counter[int] = Counter()
    passes: dict[int, list[int]] = defaultdict(list)
    for place, tea in enumerate(teas.tolist()):
        passes[met[tea]].append(place)
        met[tea] += 1
    row = np.array([], dtype=np.int64)
    for _ in range(ROW_LAYINGS):
        row = np.concatenate([rng.permutation(places) for places in passes.values()])
        if (teas[row] != teas[np.roll(row, 1)]).all():
            break
    return row


def _walked(
    tables: Sequence[Table], rows: Sequence[IntArray], n_teas: int, rng: np.random.Generator
) -> list[Served]:
    walks = [walks_along(row) for row in rows]
    choices = [
        Choice(table.teas[walk[0]], len(table.tasters)) for table, walk in zip(tables, walks, strict=True)
    ]
    most = sum(neighbours_along(len(table.teas)) for table in tables)
    bound = evenness(first_orders(choices), n_teas, neighbours_at_most=most).bound
    taken = _shared_out(choices, choose_evenly(choices, n_teas, bound, rng), n_teas, rng)
    return [
        Served(table, walk[0][chosen], row, walk[1][chosen], walk[2][chosen])
        for table, row, walk, chosen in zip(tables, rows, walks, taken, strict=True)
    ]


def private_orders(tables: Sequence[Table], n_teas: int, rng: np.random.Generator) -> list[Served]:
    """Return an own order for each taster: rows of Williams squares, or better where these do not suffice.

    Where the squares miss the bound, all orders are looked through (up to 7 cups) or cups exchanged.
    """
    pools = _williams_pools(tables, rng)
    served, found = _from_pools(tables, pools, n_teas, rng)
    if found.unevenness <= found.bound + _NEARLY:
        return served
    wider = [_every_order(table, pool) for table, pool in zip(tables, pools, strict=True)]
    if sum(len(pool) * len(table.tasters) for table, pool in zip(tables, wider, strict=True)) <= _POOL_WORK:
        again, better = _from_pools(tables, wider, n_teas, rng)
        served, found = (again, better) if better.unevenness < found.unevenness else (served, found)
        if all(len(table.teas) <= ALL_ORDERS_UP_TO for table in tables):
            return served
    return _polished(served, n_teas, found, rng)


def _williams_pools(tables: Sequence[Table], rng: np.random.Generator) -> list[IntArray]:
    """Tables of the same teas draw on one square, so that their orders complete each other."""
    names: dict[tuple[int, ...], IntArray] = {}
    pools = []
    for table in tables:
        key = tuple(sorted(table.teas.tolist()))
        name = names.setdefault(key, rng.permutation(len(key)))
        in_order = np.argsort(table.teas, kind="stable")
        pools.append(in_order[name[williams_square(len(key))]])
    return pools


def _every_order(table: Table, pool: IntArray) -> IntArray:
    return all_orders(len(table.teas)) if len(table.teas) <= ALL_ORDERS_UP_TO else pool


def _from_pools(
    tables: Sequence[Table], pools: Sequence[IntArray], n_teas: int, rng: np.random.Generator
) -> tuple[list[Served], Evenness]:
    choices = [
        Choice(table.teas[pool], len(table.tasters)) for table, pool in zip(tables, pools, strict=True)
    ]
    bound = evenness(first_orders(choices), n_teas).bound
    taken = _shared_out(choices, choose_evenly(choices, n_teas, bound, rng), n_teas, rng)
    served = [Served(table, pool[chosen]) for table, pool, chosen in zip(tables, pools, taken, strict=True)]
    return served, measured(served, n_teas)


def _polished(
    served: Sequence[Served], n_teas: int, found: Evenness, rng: np.random.Generator
) -> list[Served]:
    """Exchange cups within orders; teas are told apart by place, so two brews of one tea never mix up."""
    orders = [order for one in served for order in one.orders]
    labels = [one.table.teas for one in served for _ in one.orders]
    better = exchange_cups(orders, labels, n_teas, found.bound, rng)
    rows = iter(better)
    return [Served(one.table, np.array([next(rows) for _ in one.orders])) for one in served]


def _shared_out(
    choices: Sequence[Choice], taken: Sequence[IntArray], n_teas: int, rng: np.random.Generator
) -> list[IntArray]:
    """Deal the orders of each sitting to its tasters so that nobody meets a tea at the same position again.

    The measure does not change by it. Sittings of single tasters are left as they are.
    """
    width = max(choice.options.shape[1] for choice in choices)
    had = np.zeros((max(choice.takers for choice in choices), n_teas, width), dtype=np.int64)
    dealt = []
    for choice, chosen in zip(choices, taken, strict=True):
        orders = choice.options[chosen]
        places = np.arange(orders.shape[1])
        if choice.takers > 1:
            mine = _least_repeats(had[: choice.takers, orders, places].sum(2), rng)
            orders, chosen = orders[mine], chosen[mine]
            np.add.at(had, (np.arange(choice.takers)[:, None], orders, places), 1)
        dealt.append(chosen)
    return dealt


def _least_repeats(cost: IntArray, rng: np.random.Generator) -> IntArray:
    """Return which order (column) each taster (row) gets: two exchange theirs until no exchange helps."""
    mine = rng.permutation(len(cost))
    for _ in range(len(cost) if cost.any() else 0):
        changed = False
        for one in range(len(mine)):
            now = cost[one, mine[one]] + cost[np.arange(len(mine)), mine]
            two = int(np.argmax(now - cost[one, mine] - cost[:, mine[one]]))
            if now[two] > cost[one, mine[two]] + cost[two, mine[one]]:
                mine[[one, two]] = mine[[two, one]]
                changed = True
        if not changed:
            break
    return mine
