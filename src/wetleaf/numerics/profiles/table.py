"""A layout seen attribute by attribute: what each one has, and what it lacks for a fit."""

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles import words
from wetleaf.numerics.profiles.decisions import Cups
from wetleaf.numerics.profiles.design import Design, columns_dropped, design_for, lot_pieces
from wetleaf.numerics.profiles.layout import Floats, Layout


class Table:
    """A layout with its design and with what every attribute lacks."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.design: Design = design_for(layout)
        self.counts: Floats = layout.counts
        self.dropped = columns_dropped(self.design, layout.counts)
        self.n_fixed = ((self.design.column_terms < 0) & ~self.dropped).sum(axis=1)
        self.n = layout.counts.sum(axis=1)
        self.lot_counts = by_level(layout.counts, layout.cell_lots, len(layout.lots))
        self.taster_counts = by_level(layout.counts, layout.cell_tasters, len(layout.tasters))
        self.n_lots = (self.lot_counts > 0).sum(axis=1)
        self.n_tasters = (self.taster_counts > 0).sum(axis=1)
        self.pieces = self._pieces()
        self._spreads()
        self.once = self._identical_repeats()

    def _pieces(self) -> NDArray[np.intp]:
        patterns, which = np.unique(self.counts > 0, axis=0, return_inverse=True)
        found = np.stack([lot_pieces(self.layout, pattern)[0] for pattern in patterns])
        return found[which.reshape(-1)]

    def _spreads(self) -> None:
        """Work out each attribute's spread: in all, beside the lots, and inside the cells."""
        layout = self.layout
        totals = by_level(layout.counts * layout.means, layout.cell_lots, len(layout.lots))
        self.lot_means = totals / np.maximum(self.lot_counts, 1.0)
        gaps = layout.means - self.lot_means[:, layout.cell_lots]
        self.beside_lots = layout.within + (layout.counts * gaps**2).sum(axis=1)
        grand = totals.sum(axis=1) / np.maximum(self.n, 1.0)
        between = (self.lot_counts * (self.lot_means - grand[:, None]) ** 2).sum(axis=1)
        self.in_all = self.beside_lots + between
        self.size = np.abs(layout.means).max(axis=1, initial=0.0)

    def rounding(self) -> Floats:
        """Return the sum of squares that rounding alone can leave."""
        return np.asarray(self.n * (self.size * 1e-13) ** 2)

    def _identical_repeats(self) -> NDArray[np.bool_]:
        """Return which attributes have no spread but what the effects can take up wholly.

        Their repeated cups never differ from the first and there are as many effects as cells, so the
        likelihood has no bound: the residual would be zero.
        """
        repeats = self.n > (self.counts > 0).sum(axis=1)
        found = np.asarray(repeats & (self.layout.within <= self.rounding()))
        for row in np.flatnonzero(found):
            found[row] = self._saturated(self.counts[row] > 0)
        return found

    def _saturated(self, present: NDArray[np.bool_]) -> bool:
        """Whether the effects together, random ones included, fit every present cell exactly."""
        layout = self.layout
        factors = [layout.groups, layout.cell_sittings, layout.cell_brews]
        columns = np.hstack(
            [codes[:, None] == np.unique(codes) for codes in (one[present] for one in factors)]
        )
        return int(np.linalg.matrix_rank(columns.astype(float))) == int(present.sum())

    def why_not(self, row: int) -> str:
        """Return why an attribute has no fit, or nothing."""
        rounding = self.rounding()[row]
        if self.n[row] == 0:
            return words.NO_SCORES
        if self.in_all[row] <= rounding and self.n[row] > 1:
            return words.CONSTANT
        if self.n[row] <= self.n_fixed[row]:
            return words.NO_FREEDOM
        if self.beside_lots[row] <= max(rounding, 1e-20 * self.in_all[row]):
            return words.NO_SPREAD
        if self.once[row] and (self.counts[row] > 0).sum() <= self.n_fixed[row]:
            return words.NO_SPREAD
        return ""

    def joined(self, row: int) -> bool:
        """Whether all lots of an attribute are joined through the sittings."""
        return bool(np.unique(self.pieces[row][self.lot_counts[row] > 0]).size <= 1)

    def pots(self, row: int) -> words.Pots:
        """Return whether this attribute's lots were brewed more than once."""
        if not self.layout.brews:
            return "not told"
        present = self.counts[row] > 0
        pots = np.unique(np.stack([self.layout.cell_lots[present], self.layout.cell_brews[present]]), axis=1)
        per_lot = np.bincount(pots[0], minlength=len(self.layout.lots))[self.lot_counts[row] > 0]
        if (per_lot <= 1).all():
            return "one each"
        return "several" if (per_lot > 1).all() else "some"

    def cups(self) -> list[Cups]:
        """Return what stands behind every attribute's decision."""
        return [self._cups(row) for row in range(self.n.size)]

    def _cups(self, row: int) -> Cups:
        why, step = self.why_not(row), ""
        if self.n_lots[row] > 1 and not self.joined(row):
            why, step = (
                words.DISJOINED,
                "Serve one tea again in both sittings: a kept sample ties them together.",
            )
        if why == words.NO_FREEDOM and self.n_tasters[row] == 1:
            why = f"One taster, one cup a lot: nothing tells a lot from a cup. {why}"
            step = "Let this taster have every lot again, unseen, or add a taster."
        per_lot = tuple(int(count) for count in self.lot_counts[row])
        return Cups(int(self.n_tasters[row]), per_lot, self.pots(row), why_not=why, next_step=step)

    def warnings(self) -> tuple[str, ...]:
        """Return what is to be said of the table as a whole."""
        if self.layout.brews:
            return ()
        return (words.NAME_THE_POTS,)


def by_level(values: Floats, codes: NDArray[np.intp], size: int) -> Floats:
    """Add cell values (attributes, cells) up by the level each cell has: (attributes, levels)."""
    return np.asarray(values @ (codes[:, None] == np.arange(size)[None, :]).astype(float))
