"""Tasters by lots, one average a cell: the additive fit that scale use, panel and weights start from."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.scores import Scores, levels_and_codes


@dataclass(frozen=True)
class Crossed:
    """One attribute's averages (tasters, lots), nan where none, for tasters who met two lots or more."""

    tasters: tuple[str, ...]
    lots: tuple[str, ...]
    means: Floats
    cups: Floats

    @property
    def there(self) -> NDArray[np.bool_]:
        """Which taster met which lot."""
        return np.isfinite(self.means)

    def only(self, tasters: NDArray[np.bool_]) -> "Crossed":
        """Return the table of some of its tasters."""
        names = tuple(name for name, kept in zip(self.tasters, tasters, strict=True) if kept)
        return Crossed(names, self.lots, self.means[tasters], self.cups[tasters])


@dataclass(frozen=True)
class Additive:
    """The fit taster + lot: levels (tasters,), lots (lots,) about 0, what is left, and the mean squares.

    `lot_square` and `rest_square` are those of the two-way analysis of variance of the averages; the second
    is how differently the tasters place the lots. nan where there is no df.
    """

    levels: Floats
    lots: Floats
    left: Floats
    lot_square: float
    rest_square: float
    lot_df: int
    rest_df: int


def crossed_tables(scores: Scores) -> list[Crossed]:
    """Return the table of every attribute; replicates, sittings and brews are averaged."""
    lots, lot = levels_and_codes(scores.lots)
    tasters, taster = levels_and_codes(scores.tasters)
    given = np.isfinite(scores.values)
    shape = (len(tasters), len(lots), scores.values.shape[1])
    cups, sums = np.zeros(shape), np.zeros(shape)
    np.add.at(cups, (taster, lot), given)
    np.add.at(sums, (taster, lot), np.where(given, scores.values, 0.0))
    means = np.divide(sums, cups, out=np.full(shape, np.nan), where=cups > 0)
    found = []
    for at in range(shape[2]):
        whole = Crossed(tasters, lots, means[:, :, at], cups[:, :, at])
        found.append(whole.only(whole.there.sum(axis=1) >= 2))
    return found


def additive_fit(table: Crossed) -> Additive:
    """Fit taster + lot by least squares to the averages that are there, unweighted.

    >>> names = ("x", "y"), ("A", "B", "C")
    >>> fit = additive_fit(Crossed(*names, np.array([[1.0, 2, 3], [2, 3, 7]]), np.ones((2, 3))))
    >>> fit.lots.round(3).tolist(), round(fit.lot_square, 3), round(fit.rest_square, 3), fit.rest_df
    ([-1.5, -0.5, 2.0], 6.5, 1.5, 2)
    """
    there = table.there.astype(float)
    filled = np.where(table.there, table.means, 0.0)
    per_taster, per_lot = there.sum(axis=1), there.sum(axis=0)
    own = filled.sum(axis=1) / np.maximum(per_taster, 1.0)
    gaps = np.where(table.there, table.means - own[:, None], 0.0)
    lots, lot_df = _lots(there, per_taster, per_lot, gaps.sum(axis=0))
    left = gaps - there * (lots - (there @ lots / np.maximum(per_taster, 1.0))[:, None])
    rest, without = float((left**2).sum()), float((gaps**2).sum())
    rest_df = int(per_lot.sum()) - int((per_taster > 0).sum()) - lot_df
    middle = float(lots[per_lot > 0].mean()) if per_lot.any() else 0.0
    return Additive(
        levels=own - there @ lots / np.maximum(per_taster, 1.0) + middle,
        lots=np.where(per_lot > 0, lots - middle, np.nan),
        left=np.where(table.there, left, np.nan),
        lot_square=(without - rest) / lot_df if lot_df else np.nan,
        rest_square=rest / rest_df if rest_df else np.nan,
        lot_df=lot_df,
        rest_df=rest_df,
    )


def _lots(there: Floats, per_taster: Floats, per_lot: Floats, gaps: Floats) -> tuple[Floats, int]:
    """Return the lots with the tasters' levels swept out, and their df; means where the table is complete."""
    if there.all() and there.size:
        return gaps / per_lot, per_lot.size - 1
    swept = np.diag(per_lot) - there.T @ (there / np.maximum(per_taster, 1.0)[:, None])
    values, vectors = np.linalg.eigh(swept)
    real = values > 1e-9 * max(float(values[-1]), 1e-300)
    inverse = (vectors[:, real] / values[real]) @ vectors[:, real].T
    return np.asarray(inverse @ gaps), int(real.sum())
