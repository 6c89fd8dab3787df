"""Lot means as they might have come out: resampled residuals for few tasters, resampled tasters for many."""

from typing import Final

import numpy as np

from wetleaf.numerics.maps.axes import Floats
from wetleaf.numerics.maps.levelled import TASTERS_AT_LARGE, Codes, Levelled
from wetleaf.trade.errors import BadInput

RESAMPLES: Final = 1000
_AT_ONCE: Final = 4_000_000  # numbers drawn together, to bound the memory


def resampled_means(
    table: Levelled, *, rng: np.random.Generator, resamples: int = RESAMPLES
) -> Floats | None:
    """Return lot means (resamples, lots, attributes) as they might have come out, or None when nothing tells.

    Below eight tasters whole residuals, all attributes of a unit together, are drawn anew around the means,
    stretched to their degrees of freedom; the claim is about these tasters. From eight on the tasters
    themselves are drawn anew, stretched by sqrt(T / (T - 1)). Where every lot came from two pots or more,
    what sets pots apart is drawn anew as well. None when nothing is left over.
    """
    if resamples < 100:
        raise BadInput(f"{resamples} resamples are too few for an ellipse.", way_out="Ask for 100 or more.")
    if len(table.tasters) >= TASTERS_AT_LARGE:
        around = _by_tasters(table, rng, resamples)
    elif (table.df > 0).all():
        around = _drawn(table.residuals, table.df, table.units_per_lot, rng, resamples)
    else:
        return None
    if table.pots is not None and len(table.tasters) > 1:  # one taster's units are pots already
        df = np.full(table.means.shape[1], table.pots.df)
        around += _drawn(table.pots.residuals, df, table.pots.pots_per_lot, rng, resamples)
    return np.asarray(table.means + around)


def _drawn(residuals: Floats, df: Floats, per_lot: Codes, rng: np.random.Generator, resamples: int) -> Floats:
    """Means of as many whole residuals as each lot has (resamples, lots, attributes)."""
    pool = (residuals - residuals.mean(axis=0)) * np.sqrt(len(residuals) / df)
    drawn = int(per_lot.max())
    root = np.sqrt(drawn / per_lot)[None, :, None]
    result = np.empty((resamples, per_lot.size, pool.shape[1]))
    step = max(1, _AT_ONCE // (per_lot.size * drawn * pool.shape[1]))
    for start in range(0, resamples, step):
        size = min(step, resamples - start)
        noise = np.zeros((size * per_lot.size, pool.shape[1]))
        for _ in range(drawn):
            noise += pool[rng.integers(len(pool), size=len(noise))]
        result[start : start + size] = root * noise.reshape(size, per_lot.size, -1) / drawn
    return result


def _by_tasters(table: Levelled, rng: np.random.Generator, resamples: int) -> Floats:
    tasters, lots, width = len(table.tasters), len(table.lots), table.means.shape[1]
    cube = np.zeros((tasters, lots, width))
    cube[table.taster_of_unit, table.lot_of_unit] = table.residuals  # a cell not tasted keeps the lot's mean
    weights = rng.multinomial(tasters, np.full(tasters, 1 / tasters), size=resamples) / tasters
    stretch = np.sqrt(tasters / (tasters - 1))
    apart = (weights - 1 / tasters) @ cube.reshape(tasters, -1)
    return np.asarray(stretch * apart.reshape(resamples, lots, width))
