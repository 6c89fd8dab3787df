"""Likings at fixed spreads: their likelihood, and the lots given them. Everything here is normal and exact.

    liking = level of taster (in that sitting) + lot + this taster's own taste for it + pot + noise

    lot ~ N(0, tau^2), pot ~ N(0, pot^2), noise ~ N(0, sigma_taster^2). A lot is its mean over these tasters,
    so that their own tastes for it add up to zero: covariance taste^2 (I - 1/J). Levels are free.

Lots that were served alike (the same pots, tasters and counts) share a covariance, which is worked out once.
`wetleaf.numerics.likings` makes the spreads uncertain. Checked against R's lme4 in tests/numerics.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

_MOST_NUMBERS: Final = 2_000_000  # of one covariance times points, so that 60 lots fit in little memory


@dataclass(frozen=True, slots=True)
class Cup:
    """One liking with the numbers of its lot, taster and pot, and of the taster's level (in that sitting)."""

    lot: int
    taster: int
    level: int
    pot: str
    liking: float


@dataclass(frozen=True, slots=True)
class Spreads:
    """Points at which to work: `tau`, `pot`, `taste` of shape (points,), `sigma` (points, tasters)."""

    tau: Floats
    pot: Floats
    taste: Floats
    sigma: Floats

    def at(self, places: Places | slice) -> "Spreads":
        """Return some of the points."""
        return Spreads(self.tau[places], self.pot[places], self.taste[places], self.sigma[places])


@dataclass(frozen=True, slots=True)
class _Serving:
    """Lots that were served alike. A cell is what one taster had of one pot; `means` is (lots, cells)."""

    lots: Places
    tasters: Places
    levels: Places
    pots: Places
    cups: Floats
    means: Floats


@dataclass(frozen=True, slots=True)
class LikingTable:
    """Likings ready to work on. `within` and `repeats` are, of each taster, the squares and the degrees of
    freedom of cups of one pot met more than once: all that these say of sigma."""

    servings: tuple[_Serving, ...]
    lots: int
    tasters: int
    levels: int
    within: Floats
    repeats: Floats

    @classmethod
    def of(cls, cups: Sequence[Cup], *, lots: int, tasters: int) -> "LikingTable":
        """Return the table of some cups; every level that is numbered has a cup."""
        cells: dict[tuple[int, str, int, int], list[float]] = defaultdict(list)
        for cup in cups:
            cells[cup.lot, cup.pot, cup.taster, cup.level].append(cup.liking)
        within, repeats = np.zeros(tasters), np.zeros(tasters)
        for (_, _, taster, _), likings in cells.items():
            within[taster] += float(np.var(likings)) * len(likings)
            repeats[taster] += len(likings) - 1
        levels = len({cup.level for cup in cups})
        return cls(tuple(_servings(cells)), lots, tasters, levels, within, repeats)


def _servings(cells: dict[tuple[int, str, int, int], list[float]]) -> Iterator[_Serving]:
    pots_of: dict[int, dict[str, list[tuple[int, int, int, float]]]] = defaultdict(lambda: defaultdict(list))
    for (lot, pot, taster, level), likings in cells.items():
        pots_of[lot][pot].append((level, taster, len(likings), float(np.mean(likings))))
    alike: dict[tuple[tuple[int, ...], ...], list[tuple[int, list[float]]]] = defaultdict(list)
    for lot, pots in pots_of.items():
        # pots of one lot are told apart by what was poured from them only: their order is free
        ordered = sorted(sorted(pot) for pot in pots.values())
        rows = [
            (level, taster, n, p, mean) for p, pot in enumerate(ordered) for level, taster, n, mean in pot
        ]
        alike[tuple(row[:4] for row in rows)].append((lot, [row[4] for row in rows]))
    for pattern, served in alike.items():
        levels, tasters, counts, numbers = (
            np.array(column, dtype=np.intp) for column in zip(*pattern, strict=True)
        )
        means = np.array([likings for _, likings in served])
        which = np.array([lot for lot, _ in served], dtype=np.intp)
        yield _Serving(which, tasters, levels, numbers, counts.astype(float), means)


def log_likelihood(table: LikingTable, spreads: Spreads) -> Floats:
    """Return, at each point, the log likelihood of the cells' means, levels integrated out (REML).

    But for a constant, and without what `LikingTable.within` says of sigma.
    """
    found = [_log_likelihood(table, spreads.at(part)) for part in _parts(table, spreads.tau.size)]
    return np.concatenate(found)


def draw_lots(table: LikingTable, spreads: Spreads, which: Places, rng: np.random.Generator) -> Floats:
    """Return one draw of the lots (a row each) at every point that `which` names, on the tasters' scale."""
    parts = _parts(table, spreads.tau.size)
    drawn = np.empty((which.size, table.lots))
    for part in parts:
        here = np.flatnonzero((which >= part.start) & (which < part.stop))
        if here.size:
            drawn[here] = _draw_lots(table, spreads.at(part), which[here] - part.start, rng)
    return drawn


def lots_given(table: LikingTable, spreads: Spreads) -> Floats:
    """Return the lots' means at each point, relative to their class (the best linear unbiased predictors)."""
    information, side, _ = _levels(table, spreads)
    levels = np.asarray(np.linalg.solve(information, side[..., None])[..., 0], dtype=float)
    return _given_levels(table, spreads, levels, np.arange(spreads.tau.size))[0]


def _parts(table: LikingTable, points: int) -> list[slice]:
    largest = max(max(serving.cups.size**2, serving.means.size) for serving in table.servings)
    step = max(1, _MOST_NUMBERS // max(largest, table.levels**2, table.lots * 4))
    return [slice(start, min(start + step, points)) for start in range(0, points, step)]


def _covariance(serving: _Serving, spreads: Spreads) -> Floats:
    """Of the cells of one lot, at each point: (points, cells, cells)."""
    same_taster = serving.tasters[:, None] == serving.tasters
    same_pot = serving.pots[:, None] == serving.pots
    tau2, pot2, taste2 = (v[:, None, None] ** 2 for v in (spreads.tau, spreads.pot, spreads.taste))
    found = tau2 + taste2 * (same_taster - 1 / spreads.sigma.shape[1]) + pot2 * same_pot
    cells = np.arange(serving.cups.size)
    found[:, cells, cells] += spreads.sigma[:, serving.tasters] ** 2 / serving.cups
    return np.asarray(found)


def _shown(serving: _Serving) -> tuple[Places, Floats]:
    """The levels a lot was met at, and which cell shows which."""
    met, place = np.unique(serving.levels, return_inverse=True)
    return met, np.eye(met.size)[place]


def _levels(table: LikingTable, spreads: Spreads) -> tuple[Floats, Floats, Floats]:
    """Information on the levels, its right side, and what is left of the log likelihood without them."""
    points = spreads.tau.size
    information, side = np.zeros((points, table.levels, table.levels)), np.zeros((points, table.levels))
    rest = np.zeros(points)
    for serving in table.servings:
        root = _root(_covariance(serving, spreads))
        half = np.linalg.inv(root)
        met, shown = _shown(serving)
        levels, likings = half @ shown, half @ serving.means.T
        across = np.swapaxes(levels, 1, 2)
        information[:, met[:, None], met] += serving.lots.size * (across @ levels)
        side[:, met] += (across @ likings).sum(axis=2)
        rest -= 0.5 * (likings**2).sum(axis=(1, 2)) + serving.lots.size * _log_diagonal(root)
    return information, side, rest


def _root(matrices: Floats) -> Floats:
    return np.asarray(np.linalg.cholesky(matrices), dtype=float)


def _log_diagonal(root: Floats) -> Floats:
    return np.asarray(np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1))


def _log_likelihood(table: LikingTable, spreads: Spreads) -> Floats:
    information, side, rest = _levels(table, spreads)
    root = _root(information)
    explained = (side * np.linalg.solve(information, side[..., None])[..., 0]).sum(axis=1)
    return np.asarray(rest - _log_diagonal(root) + 0.5 * explained)


def _draw_lots(table: LikingTable, spreads: Spreads, which: Places, rng: np.random.Generator) -> Floats:
    """Levels first, then the lots given them; the levels' mean brings the lots back to the scale."""
    information, side, _ = _levels(table, spreads)
    upper = np.swapaxes(_root(information), 1, 2)
    mean = np.linalg.solve(information, side[..., None])[..., 0]
    normal = rng.standard_normal((which.size, table.levels, 1))
    levels = mean[which] + np.linalg.solve(upper[which], normal)[..., 0]
    centre, sd = _given_levels(table, spreads, levels, which)
    return np.asarray(centre + sd * rng.standard_normal(centre.shape) + levels.mean(axis=1)[:, None])


def _given_levels(
    table: LikingTable, spreads: Spreads, levels: Floats, which: Places
) -> tuple[Floats, Floats]:
    """Mean and sd of the lots (rows, lots), each row at a point and at levels of its own."""
    centre, sd = np.empty((which.size, table.lots)), np.empty((which.size, table.lots))
    for serving in table.servings:
        covariance = _covariance(serving, spreads)
        ones = np.ones((spreads.tau.size, serving.cups.size, 1))
        tau2 = spreads.tau[:, None] ** 2
        weights = tau2 * np.linalg.solve(covariance, ones)[..., 0]
        left = np.maximum(tau2[:, 0] * (1 - weights.sum(axis=1)), 0)
        _, shown = _shown(serving)
        met = np.unique(serving.levels)
        of_levels = ((weights @ shown)[which] * levels[:, met]).sum(axis=1)
        centre[:, serving.lots] = (weights @ serving.means.T)[which] - of_levels[:, None]
        sd[:, serving.lots] = np.sqrt(left)[which][:, None]
    return centre, sd
