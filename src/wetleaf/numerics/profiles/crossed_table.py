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
    n_tasters, n_lots = table.means.shape
    taster, lot = np.nonzero(table.there)
    y = table.means[taster, lot]
    tasters, lots = (taster[:, None] == np.arange(n_tasters)), (lot[:, None] == np.arange(n_lots))
    columns = np.hstack([tasters, lots]).astype(float)
    fitted, _, rank, _ = np.linalg.lstsq(columns, y, rcond=None)
    alone = np.linalg.lstsq(tasters.astype(float), y, rcond=None)
    residual = y - columns @ fitted
    without = float(((y - tasters @ alone[0]) ** 2).sum())
    left = np.full(table.means.shape, np.nan)
    left[taster, lot] = residual
    present = table.there.any(axis=0)
    effects = np.where(present, fitted[n_tasters:], np.nan)
    middle = float(effects[present].mean()) if present.any() else 0.0
    rest, lot_df, rest_df = float((residual**2).sum()), int(rank) - int(alone[2]), y.size - int(rank)
    return Additive(
        levels=fitted[:n_tasters] + middle,
        lots=effects - middle,
        left=left,
        lot_square=(without - rest) / lot_df if lot_df else np.nan,
        rest_square=rest / rest_df if rest_df else np.nan,
        lot_df=lot_df,
        rest_df=rest_df,
    )
