"""The fit of a whole table: scores standardised, terms chosen, ratios found, means with their uncertainty."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.cells import Accumulator, Batch
from wetleaf.numerics.profiles.design import TERMS, lot_pieces
from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.optimum import Optimum, find_optimum, first_guess, independent_terms, try_again
from wetleaf.numerics.profiles.reml import evaluate
from wetleaf.numerics.profiles.satterthwaite import MeansUncertainty, means_uncertainty
from wetleaf.numerics.profiles.table import Table

FEW_TASTERS, FEW_SCORES = 6, 120
"""Up to so many the likelihood is searched from two sides (peaks met: 3 and 4 tasters, 15 to 24 scores)."""


@dataclass(frozen=True)
class Fit:
    """The fits of the attributes that have one: `rows` says which those are."""

    rows: NDArray[np.intp]
    optimum: Optimum | None
    terms: NDArray[np.bool_]
    known: MeansUncertainty | None
    scale: Floats
    once: NDArray[np.bool_]


def fit_table(table: Table) -> Fit:
    """Fit all attributes that can be fitted, in one batch."""
    rows = np.array([row for row in range(table.n.size) if not table.why_not(row)], dtype=np.intp)
    nothing = np.zeros((0, len(TERMS)), dtype=bool)
    if not rows.size:
        return Fit(rows, None, nothing, None, np.zeros(0), np.zeros(0, dtype=bool))
    batch, scale, once = _standardised(table, rows)
    sums = Accumulator(table.design)
    available = np.tile(table.design.possible, (rows.size, 1))
    available[:, TERMS.index("taster")] &= table.n_tasters[rows] > 1
    available[:, 0] &= (table.n_tasters[rows] > 1) & ~once
    first = evaluate(batch, sums, np.where(available, 1.0, 0.0))
    terms = independent_terms(first, batch.freedom, available)
    optimum = find_optimum(batch, sums, first_guess(first, terms), terms, np.zeros(terms.shape))
    small = (table.n_tasters[rows] <= FEW_TASTERS) | (table.n[rows] <= FEW_SCORES)
    optimum = try_again(batch, sums, optimum, terms, small)
    known = means_uncertainty(batch, optimum.point, _mean_rows(table, rows))
    return Fit(rows, optimum, terms, known, scale, once)


def _standardised(table: Table, rows: NDArray[np.intp]) -> tuple[Batch, Floats, NDArray[np.bool_]]:
    """Take every lot's own mean off and divide by the spread left; count identical repeats once."""
    layout = table.layout
    counts, within = table.counts[rows], layout.within[rows]
    once = table.once[rows]
    counts = np.where(once[:, None], (counts > 0).astype(float), counts)
    freedom = counts.sum(axis=1) - table.n_fixed[rows]
    gaps = layout.means[rows] - table.lot_means[rows][:, layout.cell_lots]
    scale = np.sqrt(table.beside_lots[rows] / table.n[rows])[:, None]
    means = np.where(counts > 0, gaps / scale, 0.0)
    within = np.where(once, 0.0, within / scale[:, 0] ** 2)
    return Batch(table.design, counts, means, within, table.dropped[rows], freedom), scale[:, 0], once


def _mean_rows(table: Table, rows: NDArray[np.intp]) -> Floats:
    """Return, for every attribute and lot, the fixed columns that make up its mean, sittings weighted
    evenly.
    """
    design = table.design
    fixed = int((design.column_terms < 0).sum())
    found = np.zeros((rows.size, design.n_lots, fixed))
    for i, row in enumerate(rows):
        present = table.counts[row] > 0
        found[i, :, : design.n_lots] = np.diag((table.lot_counts[row] > 0).astype(float))
        if design.n_fixed_sittings:
            lots, sittings = lot_pieces(table.layout, present)
            together = (lots[:, None] == sittings[None, :]) & (lots[:, None] >= 0)
            found[i, :, design.n_lots :] = together / np.maximum(together.sum(axis=1, keepdims=True), 1)
    return found
