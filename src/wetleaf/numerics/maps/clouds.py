"""Lot means as they might have come out: resampled residuals for few tasters, resampled tasters for many."""

from typing import Final

import numpy as np

from wetleaf.numerics.maps.axes import Floats
from wetleaf.numerics.maps.levelled import TASTERS_AT_LARGE, Levelled
from wetleaf.trade.errors import BadInput

RESAMPLES: Final = 1000
_AT_ONCE: Final = 4_000_000  # numbers drawn together, to bound the memory


def resampled_means(
    table: Levelled, *, rng: np.random.Generator, resamples: int = RESAMPLES
) -> Floats | None:
    """Return lot means (resamples, lots, attributes) as they might have come out, or None when nothing tells.

    Below eight tasters whole residuals, all attributes of a unit together, are drawn anew around the means,
    stretched to their degrees of freedom; the claim is about these tasters. From eight on the tasters
    themselves are drawn anew, stretched by sqrt(T / (T - 1)). None with one cup a lot.
    """
    if resamples < 100:
        raise BadInput(f"{resamples} resamples are too few for an ellipse.", way_out="Ask for 100 or more.")
    if len(table.tasters) >= TASTERS_AT_LARGE:
        return _by_tasters(table, rng, resamples)
    if not (table.df > 0).all():
        return None
    return _by_residuals(table, rng, resamples)


def _by_residuals(table: Levelled, rng: np.random.Generator, resamples: int) -> Floats:
    pool = table.residuals
    pool = (pool - pool.mean(axis=0)) * np.sqrt(len(pool) / table.df)
    lots = len(table.lots)
    drawn = int(np.bincount(table.lot_of_unit).max())
    root = np.sqrt(drawn / table.units_per_lot)[None, :, None]
    result = np.empty((resamples, lots, pool.shape[1]))
    step = max(1, _AT_ONCE // (lots * drawn * pool.shape[1]))
    for start in range(0, resamples, step):
        size = min(step, resamples - start)
        noise = np.zeros((size * lots, pool.shape[1]))
        for _ in range(drawn):
            noise += pool[rng.integers(len(pool), size=size * lots)]
        result[start : start + size] = table.means + root * noise.reshape(size, lots, -1) / drawn
    return result


def _by_tasters(table: Levelled, rng: np.random.Generator, resamples: int) -> Floats:
    tasters, lots, width = len(table.tasters), len(table.lots), table.means.shape[1]
    cube = np.zeros((tasters, lots, width))
    cube[table.taster_of_unit, table.lot_of_unit] = table.residuals  # a cell not tasted keeps the lot's mean
    weights = rng.multinomial(tasters, np.full(tasters, 1 / tasters), size=resamples) / tasters
    stretch = np.sqrt(tasters / (tasters - 1))
    apart = (weights - 1 / tasters) @ cube.reshape(tasters, -1)
    return np.asarray(table.means + stretch * apart.reshape(resamples, lots, width))
