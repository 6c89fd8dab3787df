"""What a fit reads of the cells: standardised means and counts, and the adding up of cells into columns."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.design import TERMS, Design
from wetleaf.numerics.profiles.layout import Floats, Ints


@dataclass(frozen=True)
class Batch:
    """What a fit needs of every attribute: arrays with the attribute first.

    `shifts` and `scales` are what was taken from the scores: the fit runs on (score - shift of its lot) /
    scale.
    """

    design: Design
    counts: Floats  # (attributes, cells)
    means: Floats  # (attributes, cells), standardised
    within: Floats  # (attributes,), standardised
    dropped: NDArray[np.bool_]  # (attributes, columns)
    freedom: Floats  # (attributes,) rows less fixed effects

    def take(self, which: Ints | NDArray[np.bool_]) -> "Batch":
        """Return the batch of some of the attributes."""
        return replace(
            self,
            counts=self.counts[which],
            means=self.means[which],
            within=self.within[which],
            dropped=self.dropped[which],
            freedom=self.freedom[which],
        )


class Accumulator:
    """Adds up cell weights into column x column matrices, the indices worked out once."""

    def __init__(self, design: Design) -> None:
        layout = design.layout
        self.design = design
        self.n_columns = design.n_columns
        self.left, self.right, self.group_starts = _pairs_within(layout.groups)
        self.same = self.left == self.right
        self.pair_group = layout.groups[self.left]
        columns = design.cell_columns
        pairs = columns[self.left][:, :, None] * self.n_columns + columns[self.right][:, None, :]
        self.pair_index = pairs.reshape(-1)
        self.n_factors = columns.shape[1]
        self.hot = _one_hot(columns, self.n_columns)
        self.term_hot = _one_hot(design.column_terms[:, None], len(TERMS))
        self.single = bool(self.same.all())
        self._index = np.zeros((0, self.pair_index.size), dtype=np.intp)

    def matrices(self, weights: Floats) -> Floats:
        """Add pair weights (attributes, pairs) into matrices (attributes, columns, columns)."""
        n_attributes, size = weights.shape[0], self.n_columns**2
        if self._index.shape[0] < n_attributes:
            self._index = np.arange(n_attributes)[:, None] * size + self.pair_index
        spread = np.repeat(weights, self.n_factors**2, axis=1)
        total = np.bincount(
            self._index[:n_attributes].reshape(-1), spread.reshape(-1), minlength=n_attributes * size
        )
        return np.asarray(total.reshape(n_attributes, self.n_columns, self.n_columns), dtype=np.float64)

    def columns(self, cell_values: Floats) -> Floats:
        """Add cell values (attributes, cells) into columns (attributes, columns)."""
        return cell_values @ self.hot

    def cells(self, column_values: Floats) -> Floats:
        """Spread column values (attributes, columns) over the cells (attributes, cells)."""
        return column_values @ self.hot.T

    def groups(self, cell_values: Floats) -> Floats:
        """Add cell values into the taster x lot groups (attributes, groups)."""
        return cell_values if self.single else np.add.reduceat(cell_values, self.group_starts, axis=1)

    def of_group(self, group_values: Floats) -> Floats:
        """Give every cell its group's value."""
        return group_values if self.single else group_values[:, self.design.layout.groups]


def _one_hot(codes: Ints, size: int) -> Floats:
    hot = np.zeros((codes.shape[0], size))
    for column in codes.T:
        rows = np.flatnonzero(column >= 0)
        hot[rows, column[rows]] = 1.0
    return hot


def _pairs_within(groups: Ints) -> tuple[Ints, Ints, Ints]:
    """Return all ordered pairs of cells of one group, and where each group starts (cells come sorted)."""
    starts = np.flatnonzero(np.r_[True, np.diff(groups) > 0])
    parts = np.split(np.arange(groups.size), starts[1:])
    left = np.concatenate([np.repeat(part, part.size) for part in parts])
    right = np.concatenate([np.tile(part, part.size) for part in parts])
    return left, right, starts
