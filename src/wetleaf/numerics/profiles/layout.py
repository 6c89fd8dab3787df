"""Rows gathered into cells: the counts and means that carry all a mixed model needs to know.

Rows that share lot, taster, sitting and brew share every effect of the model, so a cell's count, its mean and
the spread inside it say everything; the cost of a fit then does not grow with the replicates.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.scores import Scores, levels_and_codes

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Layout:
    """The cells of a table. Arrays over attributes have the attribute first.

    `counts`, `means` have shape (attributes, cells); a mean is 0 where the count is 0.
    `within` is each attribute's sum of squares inside its cells.
    `groups` numbers the taster x lot combination of each cell.
    """

    attributes: tuple[str, ...]
    lots: tuple[str, ...]
    tasters: tuple[str, ...]
    sittings: tuple[str, ...]
    brews: tuple[tuple[str, str], ...]
    cell_lots: Ints
    cell_tasters: Ints
    cell_sittings: Ints
    cell_brews: Ints
    groups: Ints
    counts: Floats
    means: Floats
    within: Floats

    @property
    def n_cells(self) -> int:
        """How many combinations of lot, taster, sitting and brew occur."""
        return int(self.cell_lots.size)

    @property
    def n_groups(self) -> int:
        """How many combinations of taster and lot occur."""
        return int(self.groups.max()) + 1 if self.groups.size else 0


def lay_out(scores: Scores) -> Layout:
    """Gather the rows of a table into cells.

    >>> table = Scores(["A", "A", "B"], ["x", "x", "x"], np.array([[1.0], [3.0], [4.0]]), ["sweet"])
    >>> cells = lay_out(table)
    >>> cells.counts.tolist(), cells.means.tolist(), cells.within.tolist()
    ([[2.0, 1.0]], [[2.0, 4.0]], [2.0])
    """
    lots, lot_codes = levels_and_codes(scores.lots)
    tasters, taster_codes = levels_and_codes(scores.tasters)
    sittings, sitting_codes = _optional(scores.sittings, scores.n_rows)
    brew_labels, brew_codes = _optional(scores.brews, scores.n_rows)
    keys = np.stack([lot_codes, taster_codes, sitting_codes, brew_codes], axis=1)
    cells, cell_of_row = np.unique(keys, axis=0, return_inverse=True)
    counts, means, within = _gather(scores.values, cell_of_row.reshape(-1), len(cells))
    pots, cell_brews = np.unique(cells[:, [0, 3]], axis=0, return_inverse=True)
    _, groups = np.unique(cells[:, :2], axis=0, return_inverse=True)
    return Layout(
        attributes=tuple(str(name) for name in scores.attributes),
        lots=lots,
        tasters=tasters,
        sittings=sittings,
        brews=tuple((lots[lot], brew_labels[brew]) for lot, brew in pots) if brew_labels else (),
        cell_lots=cells[:, 0],
        cell_tasters=cells[:, 1],
        cell_sittings=cells[:, 2],
        cell_brews=cell_brews.reshape(-1),
        groups=groups.reshape(-1),
        counts=counts,
        means=means,
        within=within,
    )


def _optional(labels: object, n_rows: int) -> tuple[tuple[str, ...], Ints]:
    if labels is None:
        return (), np.zeros(n_rows, dtype=np.intp)
    return levels_and_codes(labels)  # type: ignore[arg-type]


def _gather(values: Floats, cell_of_row: Ints, n_cells: int) -> tuple[Floats, Floats, Floats]:
    """Return counts, means (attributes, cells) and the sum of squares within cells (attributes,)."""
    n_attributes = values.shape[1]
    if n_cells == 0:
        return np.zeros((n_attributes, 0)), np.zeros((n_attributes, 0)), np.zeros(n_attributes)
    order = np.argsort(cell_of_row, kind="stable")
    sorted_values, sorted_cells = values[order], cell_of_row[order]
    starts = np.flatnonzero(np.r_[True, np.diff(sorted_cells) > 0])
    given = np.isfinite(sorted_values)
    filled = np.where(given, sorted_values, 0.0)
    counts = np.add.reduceat(given, starts, axis=0, dtype=float)
    means = np.add.reduceat(filled, starts, axis=0) / np.maximum(counts, 1.0)
    deviations = np.where(given, filled - means[sorted_cells], 0.0)
    return counts.T.copy(), means.T.copy(), (deviations**2).sum(axis=0)
