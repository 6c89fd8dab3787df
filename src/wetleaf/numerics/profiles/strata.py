"""The yardstick of a decision: lots are held against how differently the tasters place them, always.

Every combination of lot and taster (and sitting, and brew) is averaged, and the averages are analysed as they
stand, unweighted, with lots and tasters (and sittings) as fixed effects. The mean square of what is left
between tasters, the taster x lot stratum, is the yardstick; it is kept also when it comes out smaller than
the cups' own spread, because dropping it ("pooling") makes two or three tasters alarm too often. On a
complete table this is the exact F test of lots against taster x lot. Where brews are told apart, or a
taster met a lot in several sittings, the yardstick is put together from the mean squares whose
expectations add up to that of the lots (a synthesised F with Satterthwaite's df), again never pooling a
stratum that came out small.

References
----------
Satterthwaite (1946) An approximate distribution of estimates of variance components, Biometrics Bulletin
2: 110-114. Searle, Casella, McCulloch (1992) Variance components, sec. 4.3 (expected mean squares), 5.5
(unweighted means).
"""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.further_brews import Parts
from wetleaf.numerics.profiles.design import Design
from wetleaf.numerics.profiles.layout import Floats, Ints

NO_SPREAD = 1e-20
"""A yardstick below this share of all squares is rounding: the scores leave nothing over."""

NO_DIGITS = 1e-28
"""The same share of the squares of the scores themselves, which may lie far from zero."""

Yardstick = Literal["taster:lot", "residual", "lot:brew", "several", "none"]


@dataclass(frozen=True)
class Stratum:
    """One attribute's lots held against the kept stratum. In the table's own units; nan where nothing exists.

    `means` (lots,), `structure` (lots, lots): covariance of the means in units of the yardstick
    `mean_square`. `comparable` (lots, lots): which pairs of lots a chain of tasters (and sittings) joins.
    `parts`: what the yardstick is made of, where the cups tell it.
    """

    yardstick: Yardstick
    mean_square: float
    df: float
    f: float
    df1: float
    means: Floats
    structure: Floats
    comparable: NDArray[np.bool_]
    parts: Parts | None = None


def kept_strata(design: Design, counts: Floats, means: Floats, within: Floats) -> list[Stratum]:
    """Return the kept stratum of every attribute; `counts`, `means` (attributes, cells), `within`
    (attributes,).
    """
    patterns, which = np.unique(counts > 0, axis=0, return_inverse=True)
    which = which.reshape(-1)
    found: dict[int, Stratum] = {}
    for number, present in enumerate(patterns):
        rows = np.flatnonzero(which == number)
        table = _CellTable(design, present)
        strata = table.judge(counts[np.ix_(rows, present)], means[np.ix_(rows, present)], within[rows])
        found.update(zip(rows.tolist(), strata, strict=True))
    return [found[row] for row in range(counts.shape[0])]


class _CellTable:
    """The cells of one pattern of presence, and the spaces its effects span."""

    def __init__(self, design: Design, present: NDArray[np.bool_]) -> None:
        layout = design.layout
        self.n_lots = design.n_lots
        self.lots = layout.cell_lots[present]
        self.lot_columns = _indicators(self.lots, np.arange(self.n_lots))
        self.taster_columns = _indicators(layout.cell_tasters[present])
        self.sitting_columns = _indicators(layout.cell_sittings[present])
        self.group_columns = _indicators(layout.groups[present])
        self.pot_columns = _indicators(layout.cell_brews[present])
        self.n_cells = int(present.sum())
        present_lots = np.unique(self.lots).size
        self.several_tasters = self.taster_columns.shape[1] > 1
        self.several_pots = self.pot_columns.shape[1] > present_lots
        self.own_pots = self.several_tasters and _each_in_one(self.pot_columns, self.taster_columns)
        self.one_sitting_a_group = _each_in_one(self.group_columns, self.sitting_columns)

    def judge(self, counts: Floats, means: Floats, within: Floats) -> list[Stratum]:
        """Judge the attributes of this pattern: arrays (attributes, present cells)."""
        if not self.n_cells:
            return [_nothing(self.n_lots) for _ in range(means.shape[0])]
        if not self.several_tasters and not self.several_pots:
            return [self._one_taster(*row) for row in zip(counts, means, within, strict=True)]
        if self.one_sitting_a_group and (self.own_pots or not self.several_pots):
            return self._taster_by_lot(counts, means, within)
        return [self._synthesised(*row) for row in zip(counts, means, within, strict=True)]

    def _taster_by_lot(self, counts: Floats, means: Floats, within: Floats) -> list[Stratum]:
        """Average the cells of a taster and lot (pots of their own, if any) and test lots on the averages."""
        spreads = [self._spread_of_averages(*row) for row in zip(counts, means, within, strict=True)]
        lots, blocks = self.lot_columns, [self.taster_columns, self.sitting_columns]
        if self.group_columns.shape[1] < self.n_cells:
            average = (self.group_columns / self.group_columns.sum(axis=0)).T
            lots, blocks, means = average @ lots, [average @ block for block in blocks], means @ average.T
        fit = _Fit(lots, blocks)
        df = lots.shape[0] - fit.rank
        kind: Yardstick = "taster:lot" if df else "none"
        strata = [
            fit.stratum(kind, split, split.left / df if df else np.nan, df) for split in fit.split(means)
        ]
        return [
            replace(one, parts=_parts_of_averages(one, spread))
            for one, spread in zip(strata, spreads, strict=True)
        ]

    def _spread_of_averages(self, counts: Floats, means: Floats, within: float) -> tuple[float, float]:
        """Return how far cups alone scatter the averages of a taster and lot (a variance), and its df."""
        cups, cells = counts @ self.group_columns, self.group_columns.sum(axis=0)
        df = float(counts.sum()) - cells.size
        if df <= 0:
            return np.nan, 0.0
        apart = means - self.group_columns @ ((counts * means) @ self.group_columns / cups)
        per_cup = (within + float(counts @ apart**2)) / df
        return float(per_cup * np.mean((1.0 / counts) @ self.group_columns / cells**2)), df

    def _one_taster(self, counts: Floats, means: Floats, within: float) -> Stratum:
        """Cups of one taster: the repeats are the yardstick, each cup counting once."""
        root = np.sqrt(counts)[:, None]
        fit = _Fit(root * self.lot_columns, [root * self.sitting_columns])
        df = float(counts.sum()) - fit.rank
        (split,) = fit.split((root[:, 0] * means)[None, :])
        rest = split.left + within
        found = fit.stratum("residual" if df else "none", split, rest / df if df else np.nan, df)
        return replace(found, parts=Parts(0.0, np.nan, 0.0, np.nan, 1.0, df) if df else None)

    @cached_property
    def _crossed(self) -> "_Fit":
        return _Fit(self.lot_columns, [self.taster_columns, self.sitting_columns])

    @cached_property
    def _random(self) -> dict[str, Floats]:
        """The random effects that this table can tell apart, by name."""
        random = {}
        if self.several_tasters:
            random["taster:lot"] = self.group_columns
        if self.several_pots:
            random["lot:brew"] = self.pot_columns
        return random

    @cached_property
    def _everything(self) -> Floats:
        return self._space(self._random)

    @cached_property
    def _all_but(self) -> dict[str, Floats]:
        """The space of all other effects, for each random effect."""
        return {
            name: self._space({key: columns for key, columns in self._random.items() if key != name})
            for name in self._random
        }

    def _space(self, random: dict[str, Floats]) -> Floats:
        """Return an orthonormal basis of lots, tasters, sittings and the given random effects."""
        fixed = [self.lot_columns, self.taster_columns, self.sitting_columns]
        blocks = sorted([*fixed, *random.values()], key=lambda block: -block.shape[1])
        return _spanned(blocks[0], blocks[1:])

    def _synthesised(self, counts: Floats, means: Floats, within: float) -> Stratum:
        fit = self._crossed
        (split,) = fit.split(means[None, :])
        parts = self._mean_squares(counts, means - means.mean(), within)
        weights = self._weights(fit, parts)
        mean_square, df = _put_together(parts, weights)
        kind: Yardstick = "several" if weights else "none"
        if not self.several_tasters and self.several_pots and weights:
            kind = "lot:brew"
        # The mean squares are differences of sums of squares, and those keep some 15 digits.
        split = replace(split, rounding=split.rounding * 1e6)
        return replace(fit.stratum(kind, split, mean_square, df), parts=_parts(parts, weights, mean_square))

    def _mean_squares(self, counts: Floats, means: Floats, within: float) -> dict[str, "_MeanSquare"]:
        """Return the mean squares of taster x lot, pots and cells, each adjusted for all the others."""
        everything = self._everything
        parts = {
            name: _MeanSquare.between(everything, self._all_but[name], own, means)
            for name, own in self._random.items()
        }
        parts["cells"] = self._cell_spread(everything, counts, means, within)
        return {name: part for name, part in parts.items() if part.df > 0}

    def _cell_spread(self, everything: Floats, counts: Floats, means: Floats, within: float) -> "_MeanSquare":
        """Return the spread of cell averages about the full model, else that of the cups, scaled to
        averages.
        """
        df = self.n_cells - everything.shape[1]
        if df > 0:
            left = means - everything @ (everything.T @ means)
            return _MeanSquare(float(left @ left) / df, df, 0.0)
        df = int(counts.sum()) - self.n_cells
        scale = float(np.mean(1.0 / counts))
        return _MeanSquare(scale * within / df if df else np.nan, df, 0.0)

    def _weights(self, fit: "_Fit", parts: dict[str, "_MeanSquare"]) -> dict[str, float]:
        """Return how much of each mean square makes up the expectation of the lots' mean square."""
        weights: dict[str, float] = {}
        columns = {"taster:lot": self.group_columns, "lot:brew": self.pot_columns}
        for name, own in columns.items():
            share = float(((fit.lot_space.T @ own) ** 2).sum()) / max(fit.df1, 1)
            told = self.several_pots if name == "lot:brew" else self.several_tasters
            if told and name not in parts:
                return {}
            if told:
                weights[name] = share / parts[name].own_share
        if "cells" in parts:
            weights["cells"] = 1.0 - sum(weights.values())
        return weights


@dataclass(frozen=True)
class _MeanSquare:
    """A mean square, its df and how much of its own variance component it expects (1 of the cells'
    spread)."""

    value: float
    df: float
    own_share: float

    @classmethod
    def between(cls, larger: Floats, smaller: Floats, own: Floats, means: Floats) -> "_MeanSquare":
        df = larger.shape[1] - smaller.shape[1]
        if df <= 0:
            return cls(np.nan, 0, 0.0)
        square = float(((larger.T @ means) ** 2).sum() - ((smaller.T @ means) ** 2).sum())
        share = float(((larger.T @ own) ** 2).sum() - ((smaller.T @ own) ** 2).sum())
        return cls(max(square, 0.0) / df, df, share / df)


def _put_together(parts: dict[str, _MeanSquare], weights: dict[str, float]) -> tuple[float, float]:
    """Return the yardstick and its df. What is taken off is never more than the smallest stratum holds."""
    if not weights:
        return np.nan, np.nan
    weights = dict(weights)
    taken = weights.get("cells", 0.0)
    if taken < 0:
        smallest = min(weights, key=lambda name: parts[name].value)
        weights["cells"] = 0.0
        weights[smallest] += taken
    terms = [(weight * parts[name].value, parts[name].df) for name, weight in weights.items() if weight]
    total = sum(value for value, _ in terms)
    spread = sum(value**2 / df for value, df in terms)
    return float(total), float(total**2 / spread) if spread > 0 else np.nan


def _parts(parts: dict[str, _MeanSquare], weights: dict[str, float], whole: float) -> Parts | None:
    """Return what a yardstick put together is made of: what tasters keep, cups, and what brews lessen."""
    if "lot:brew" in weights and "taster:lot" not in weights:
        return Parts(0.0, np.nan, 0.0, np.nan, 1.0, parts["lot:brew"].df)  # one taster: brews lessen all
    if "cells" not in weights or "lot:brew" not in weights or not whole > 0:
        return None
    pots, cups = parts["lot:brew"], parts["cells"]
    brews = weights["lot:brew"] * (pots.value - cups.value) + cups.value
    tasters, weight = parts["taster:lot"], weights["taster:lot"] / whole
    return Parts(
        lasting=weight * tasters.value,
        lasting_df=tasters.df,
        cups=weight * cups.value,
        cups_df=cups.df,
        brews=max(brews, 0.0) / whole,
        brews_df=pots.df,
    )


def _parts_of_averages(stratum: Stratum, spread: tuple[float, float]) -> Parts | None:
    of_cups, df = spread
    if df <= 0 or not stratum.mean_square > 0 or not stratum.df > 0:
        return None
    return Parts(1.0, stratum.df, of_cups / stratum.mean_square, df)


@dataclass(frozen=True)
class _Split:
    """One attribute's squares: the lots' own, what is left over, what rounding may leave; the lots' means."""

    lots: float
    left: float
    rounding: float
    means: Floats


class _Fit:
    """Lots beside nuisance effects by least squares: the lots' own space, their means and which can be
    compared."""

    def __init__(self, lot_columns: Floats, blocks: list[Floats]) -> None:
        self.n_lots = lot_columns.shape[1]
        nuisance = np.hstack(blocks)
        columns = np.hstack([lot_columns, nuisance])
        self.full, values, vectors = _decomposed(columns)
        self.rank = self.full.shape[1]
        base = _basis(nuisance)
        self.lot_space = _basis(lot_columns - base @ (base.T @ lot_columns))
        self.df1 = self.lot_space.shape[1]
        self.solver = (vectors / values) @ vectors.T @ columns.T
        even = [np.full((self.n_lots, block.shape[1]), 1.0 / block.shape[1]) for block in blocks]
        weights = np.hstack([np.eye(self.n_lots), *even])
        self.rows = weights @ self.solver
        self.structure = self.rows @ self.rows.T
        self.comparable = _comparable(vectors, self.n_lots, np.asarray(lot_columns.any(axis=0)))
        # What a shift of every score adds to a row: 1, or its weight where rows are weighted.
        level = blocks[0].sum(axis=1)
        self.level = level / np.linalg.norm(level)

    def split(self, means: Floats) -> "list[_Split]":
        """Part the squares of every attribute: `means` (attributes, rows)."""
        centred = means - (means @ self.level)[:, None] * self.level
        squares = ((centred @ self.lot_space) ** 2).sum(axis=1)
        left = centred - (centred @ self.full) @ self.full.T
        whole = (centred**2).sum(axis=1)
        rounding = NO_SPREAD * whole + NO_DIGITS * (means**2).sum(axis=1)
        parts = (squares.tolist(), (left**2).sum(axis=1).tolist(), rounding.tolist(), means @ self.rows.T)
        return [_Split(*part) for part in zip(*parts, strict=True)]

    def stratum(self, kind: Yardstick, split: "_Split", mean_square: float, df: float) -> Stratum:
        """Return the record of one attribute."""
        usable = self.df1 > 0 and df > 0 and mean_square > split.rounding
        return Stratum(
            yardstick=kind,
            mean_square=float(mean_square),
            df=float(df) if usable else np.nan,
            f=float(split.lots / self.df1 / mean_square) if usable else np.nan,
            df1=float(self.df1) if self.df1 else np.nan,
            means=np.where(self.comparable.diagonal(), split.means, np.nan),
            structure=self.structure,
            comparable=self.comparable,
        )


def _comparable(vectors: Floats, n_lots: int, present: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which differences of lots lie in the space of the rows: (lots, lots), the diagonal says
    present.
    """
    lots = vectors[:n_lots] @ vectors.T
    gap = np.eye(n_lots, vectors.shape[0]) - lots
    differs = np.abs(gap[:, None, :] - gap[None, :, :]).max(axis=2)
    return np.asarray((differs < 1e-7) & present[:, None] & present[None, :])


def _decomposed(columns: Floats) -> tuple[Floats, Floats, Floats]:
    """Return an orthonormal basis of the columns, and eigenvalues and eigenvectors of their cross
    products.
    """
    values, vectors = np.linalg.eigh(columns.T @ columns)
    real = values > 1e-9 * max(values[-1], 1e-300) if values.size else np.zeros(0, dtype=bool)
    values, vectors = values[real], vectors[:, real]
    return columns @ vectors / np.sqrt(values), values, vectors


def _each_in_one(inner: Floats, outer: Floats) -> bool:
    """Whether every level of `inner` occurs with one level of `outer` only."""
    return bool(((inner.T @ outer > 0).sum(axis=1) == 1).all())


def _basis(columns: Floats) -> Floats:
    return _decomposed(columns)[0]


def _spanned(finest: Floats, others: list[Floats]) -> Floats:
    """Return an orthonormal basis of indicators and further columns.

    The indicators of one factor are orthogonal as they stand, so only what the others add to the largest
    factor has to be decomposed: with sixty lots and twelve tasters that is a sixth of the columns.
    """
    used = finest[:, finest.any(axis=0)]
    own = used / np.sqrt(used.sum(axis=0))
    rest = np.hstack(others)
    added = rest - own @ (own.T @ rest)
    values, vectors = np.linalg.eigh(added.T @ added)
    real = values > 1e-9 * (rest**2).sum(axis=0).max(initial=1.0)
    return np.hstack([own, added @ vectors[:, real] / np.sqrt(values[real])])


def _indicators(codes: Ints, levels: Ints | None = None) -> Floats:
    found = np.unique(codes) if levels is None else levels
    return np.asarray(codes[:, None] == found[None, :], dtype=np.float64)


def _nothing(n_lots: int) -> Stratum:
    empty = np.full((n_lots, n_lots), np.nan)
    return Stratum(
        "none", np.nan, np.nan, np.nan, np.nan, empty[0], empty, np.zeros((n_lots, n_lots), dtype=bool)
    )
