"""How well teas of different blocks can be compared: A-efficiency and its bounds.

A block is what shares a shift of its own: a sitting, or one taster's cups in a sitting. Efficiency 1 is what
complete blocks with as many cups would give; 0.8 means that a difference is known as well as from 80 % of the
cups in complete blocks.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.designs.evenness import FloatArray, IntArray

_ZERO = 1e-9


@dataclass(frozen=True, slots=True)
class Efficiency:
    """The blocks of a design in figures.

    `kind`: "complete", "balanced" (every pair of teas together equally often) or "best found". `cups_least`
    and `cups_most`: cups of a tea; `together_least` and `together_most`: blocks that hold both of a pair.
    `a_efficiency` is 0 when `connected` is False: some teas then cannot be compared at all. No blocks of the
    same sizes exceed `bound`.
    """

    kind: str
    blocks: int
    block_sizes: tuple[int, ...]
    cups_least: int
    cups_most: int
    together_least: int
    together_most: int
    connected: bool
    a_efficiency: float
    bound: float


def efficiency_of(incidence: IntArray, *, extra: int = 0, replicates: int | None = None) -> Efficiency:
    """Return the figures of blocks (rows) by teas (columns, cups in each cell).

    The last `extra` columns are bridge teas: they help to compare the others and are not compared themselves.
    `replicates`: the blocks fall into so many groups that each hold every tea once (resolvable).

    >>> seven = tuple(((0 + turn) % 7, (1 + turn) % 7, (3 + turn) % 7) for turn in range(7))
    >>> found = efficiency_of(incidence_of(seven, 7))
    >>> found.kind, round(found.a_efficiency, 6), round(found.bound, 6)
    ('balanced', 0.777778, 0.777778)
    """
    teas = incidence[:, : incidence.shape[1] - extra]
    v, cups = teas.shape[1], teas.sum(0)
    together = (teas.T @ teas)[np.triu_indices(v, 1)]
    connected = is_connected(incidence)
    value = a_efficiency(incidence, extra=extra) if connected else 0.0
    bound = max(value, efficiency_bound(incidence, extra=extra, replicates=replicates))
    if _every_split_alike(incidence):
        bound = value
    complete = bool((teas == teas[:, :1]).all())
    balanced = not extra and int(teas.max()) <= 1 and np.ptp(together) == 0 and np.ptp(teas.sum(1)) == 0
    return Efficiency(
        "complete" if complete else "balanced" if balanced and connected else "best found",
        len(teas),
        tuple(incidence.sum(1).tolist()),
        int(cups.min()),
        int(cups.max()),
        int(together.min()),
        int(together.max()),
        connected,
        value,
        bound,
    )


def _every_split_alike(incidence: IntArray) -> bool:
    """With one cup of each tea beside the bridge teas of every block, only the sizes of the blocks count."""
    return bool(((incidence.sum(0) == 1) | (incidence == 1).all(0)).all())


def is_connected(incidence: IntArray) -> bool:
    """Return whether every tea can be reached from every other by way of shared blocks.

    >>> is_connected(np.array([[1, 1, 0, 0], [0, 0, 1, 1]]))
    False
    """
    meets = (incidence.T @ incidence) > 0
    reached = np.zeros(len(meets), dtype=bool)
    reached[0] = True
    while True:
        wider = reached | meets[reached].any(0)
        if (wider == reached).all():
            return bool(reached.all())
        reached = wider


def a_efficiency(incidence: IntArray, *, extra: int = 0) -> float:
    """Return 2 / (mean cups of a tea x mean variance of a difference), error variance 1; 0 if not connected.

    With equally many cups this is the harmonic mean of the canonical efficiency factors (James and Wilkinson
    1971). John and Williams (1995), Cyclic and Computer Generated Designs, chapter 2.

    >>> round(a_efficiency(np.array([[1, 1, 0], [0, 1, 1], [1, 0, 1]])), 6)
    0.75
    """
    if not is_connected(incidence):
        return 0.0
    v = incidence.shape[1] - extra
    # A constant added to the singular matrix leaves every difference as it is.
    inverse = np.linalg.inv(information(incidence) + 1 / incidence.shape[1])[:v, :v]
    mean_variance = 2 * (v * np.trace(inverse) - inverse.sum()) / (v * (v - 1))
    return float(2 * v / (incidence[:, :v].sum() * mean_variance))


def information(incidence: IntArray) -> FloatArray:
    """Return the information matrix of the teas, blocks eliminated: diag(cups) - N' K^-1 N."""
    sizes = incidence.sum(1)
    kept, k = incidence[sizes > 0].astype(float), sizes[sizes > 0].astype(float)
    return np.asarray(np.diag(kept.sum(0)) - (kept.T / k) @ kept)


def efficiency_bound(incidence: IntArray, *, extra: int = 0, replicates: int | None = None) -> float:
    """Return an upper bound for the A-efficiency of any blocks of these sizes: the least that holds."""
    v = incidence.shape[1] - extra
    cups, sizes = incidence[:, :v].sum(0), incidence.sum(1)
    bounds = [1.0, _trace_bound(incidence, v)]
    if not extra and int(incidence.max()) <= 1 and np.ptp(cups) == 0:
        r = int(cups[0])
        bounds.append(_few_blocks_bound(v, len(sizes), r, 1))
        if replicates and replicates == r:
            bounds.append(_few_blocks_bound(v, len(sizes), r, replicates))
        if replicates == r == 2 and np.ptp(sizes) == 0:
            bounds.append(_two_replicates_bound(v, len(sizes) // 2))
        if np.ptp(sizes) == 0:
            bounds.append(regular_bound(v, len(sizes), int(sizes[0])))
    return min(bounds)


def _trace_bound(incidence: IntArray, v: int) -> float:
    """The harmonic mean of the eigenvalues is at most their mean, and their sum is known from the sizes.

    Within a block the cups of a tea are taken as even as they can be.
    """
    teas, sizes = incidence[:, :v].sum(1), incidence.sum(1)
    whole, over = np.divmod(teas, v)
    squares = (v - over) * whole**2 + over * (whole + 1) ** 2
    trace = float((teas - squares / np.maximum(sizes, 1)).sum())
    return trace * v / ((v - 1) * float(teas.sum()))


def _few_blocks_bound(v: int, b: int, r: int, groups: int) -> float:
    """With fewer blocks than teas all but b - groups eigenvalues are 1, and the sum of the rest is known.

    Equally many cups r of every tea, one in a block at most, any sizes; `groups` complete replicates cost a
    degree of freedom each (Patterson and Williams 1976, Biometrika 63: 83, for resolvable blocks).
    """
    rest = b - groups
    if not 0 < rest <= v - 1:
        return 1.0
    mean = 1 - (b / r - 1) / rest
    return (v - 1) / ((v - 1 - rest) + rest / mean) if mean > _ZERO else 1.0


def _two_replicates_bound(v: int, sittings: int) -> float:
    """Two replicates, each in so many sittings of one size k, share v / sittings^2 teas a pair on average.

    Whole numbers keep the table of shared teas from being even, and its singular values beside the first
    (k itself) from being 0: each makes a pair of eigenvalues (1 +- value / k) / 2, whose inverses sum least
    when all values are alike.
    """
    rest, fraction = sittings - 1, v / sittings**2 % 1
    if not rest or 2 * rest > v - 1:
        return 1.0
    least = sittings**2 * fraction * (1 - fraction) / (rest * (2 * v / sittings) ** 2)
    return (v - 1) / ((v - 1 - 2 * rest) + rest / (0.25 - least)) if least < 0.25 else 1.0


def regular_bound(v: int, b: int, k: int) -> float:
    """Return the bound of John and Williams (1995), section 2.8, for b blocks of k with v teas alike often.

    From the second and third moments of the canonical efficiency factors, as whole numbers of meetings force
    them. With more teas than blocks the bound of the dual is turned round. b k must be a multiple of v.

    >>> round(regular_bound(7, 7, 3), 6), round(regular_bound(10, 10, 3), 6)
    (0.777778, 0.710059)
    """
    if k >= v:
        return 1.0
    if v > b:
        dual = regular_bound(b, v, b * k // v)
        return (v - 1) / ((v - b) + (b - 1) / dual) if dual > _ZERO else 0.0
    r = b * k / v
    mean, meetings = v * (k - 1) / (k * (v - 1)), r * (k - 1) / (v - 1)
    fraction = meetings - np.floor(meetings + _ZERO)
    if fraction < _ZERO or v < 3:
        return float(mean)
    second = v * (v - 1) * fraction * (1 - fraction) / (r * k) ** 2
    return float(min(mean, *_moment_bounds(v, k, r, mean, float(fraction), second, meetings < 1)))


def _moment_bounds(
    v: int, k: int, r: float, mean: float, fraction: float, second: float, never_twice: bool
) -> list[float]:
    spread = np.sqrt(second / ((v - 1) * (v - 2)))
    found = [mean - (v - 2) * spread**2 / (mean + (v - 3) * spread)]
    room = (1 - mean) * (v - 1) - second
    if room > _ZERO:
        found.append(mean - (1 - mean) * second / room)
    for third in _third_moments(v, k, r, fraction, never_twice):
        below = (v - 1) * (third + mean * second)
        if below > _ZERO:
            found.append(mean - second**2 / below)
    return found


def _third_moments(v: int, k: int, r: float, fraction: float, never_twice: bool) -> list[float]:
    scale = fraction * v * (v - 1) / (r * k) ** 3
    if fraction < v / (2 * (v - 1)):
        plain = v * (v - 1) / (r * k) ** 3 * fraction * fraction * ((v + 1) * fraction - 3)
    else:
        plain = scale * (1 - fraction) * (v - (v + 1) * fraction)
    found = [plain]
    if never_twice:
        found.append(scale * ((v + 1) * fraction**2 - 3 * fraction - k + 2))
    return found


Blocks = tuple[tuple[int, ...], ...]


def incidence_of(blocks: Blocks | list[IntArray], n_teas: int) -> NDArray[np.int64]:
    """Return blocks by teas: how many cups of each tea each block holds.

    >>> incidence_of(((0, 1), (1, 2)), 3).tolist()
    [[1, 1, 0], [0, 1, 1]]
    """
    table = np.zeros((len(blocks), n_teas), dtype=np.int64)
    for number, block in enumerate(blocks):
        np.add.at(table[number], np.asarray(block, dtype=np.int64), 1)
    return table
