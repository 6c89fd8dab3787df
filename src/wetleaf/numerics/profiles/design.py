"""Which effects a table can carry: the columns of the model, and what is joined to what.

The effects are one-hot columns over the cells: the lots (fixed), the sittings (fixed when few, else
random), the tasters and the lot x brew pots (random). The taster x lot effect is kept apart as a grouping
of the cells and is solved for in closed form, since it is the largest and touches each cell once.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.layout import Floats, Ints, Layout

FEW_SITTINGS = 5
"""Fewer sittings than this are fixed shifts: their variance could not be told from so few."""

TERMS = ("taster:lot", "taster", "lot:brew", "sitting", "lot")
"""The random terms, in the order of every array over terms; lots are fixed but in `lots_at_large`."""


@dataclass(frozen=True)
class Design:
    """Columns of the model for one layout.

    `cell_columns` (cells, factors) holds, for each factor, the column that is 1 in that cell.
    `column_terms` (columns,) is the index into `TERMS` of a random column and -1 of a fixed one.
    `possible` (terms,) says which random terms the table's columns offer at all.
    """

    layout: Layout
    cell_columns: Ints
    column_terms: Ints
    possible: NDArray[np.bool_]
    n_fixed_sittings: int

    @property
    def n_columns(self) -> int:
        """Fixed and random columns together."""
        return int(self.column_terms.size)

    @property
    def n_lots(self) -> int:
        """The lots' columns come first, in the order of the layout."""
        return len(self.layout.lots)


def design_for(layout: Layout) -> Design:
    """Choose the columns of the model from what the table tells apart.

    >>> from wetleaf.numerics.profiles.layout import lay_out
    >>> from wetleaf.numerics.profiles.scores import Scores
    >>> table = Scores(["A", "A", "B"], ["x", "y", "x"], np.ones((3, 1)), ["sweet"])
    >>> design_for(lay_out(table)).possible.tolist()
    [True, True, False, False, False]
    """
    n_sittings, n_brews = len(layout.sittings), len(layout.brews)
    fixed_sittings = n_sittings if 2 <= n_sittings < FEW_SITTINGS else 0
    blocks = [(layout.cell_lots, len(layout.lots), -1)]
    if fixed_sittings:
        blocks.append((layout.cell_sittings, n_sittings, -1))
    blocks.append((layout.cell_tasters, len(layout.tasters), TERMS.index("taster")))
    if n_brews > len(layout.lots):
        blocks.append((layout.cell_brews, n_brews, TERMS.index("lot:brew")))
    if n_sittings >= FEW_SITTINGS:
        blocks.append((layout.cell_sittings, n_sittings, TERMS.index("sitting")))
    starts = np.cumsum([0] + [size for _, size, _ in blocks])
    terms = {term for _, _, term in blocks} | {0}
    return Design(
        layout=layout,
        cell_columns=np.stack(
            [codes + start for (codes, _, _), start in zip(blocks, starts, strict=False)], axis=1
        ),
        column_terms=np.concatenate([np.full(size, term, dtype=np.intp) for _, size, term in blocks]),
        possible=np.array([term in terms for term in range(len(TERMS))]),
        n_fixed_sittings=fixed_sittings,
    )


def pieces_joined(left: Ints, right: Ints, n_left: int, n_right: int) -> tuple[Ints, Ints]:
    """Return, for the levels of two factors, the number of the piece each belongs to (-1 when it never
    occurs).

    Two levels belong to one piece when a chain of cells joins them.

    >>> a, b = pieces_joined(np.array([0, 1, 2]), np.array([0, 0, 1]), 3, 2)
    >>> a.tolist(), b.tolist()
    ([0, 0, 1], [0, 1])
    """
    piece_left, piece_right = np.full(n_left, -1), np.full(n_right, -1)
    meets = np.zeros((n_left, n_right), dtype=bool)
    meets[left, right] = True
    n_pieces = 0
    for start in range(n_left):
        if piece_left[start] >= 0 or not meets[start].any():
            continue
        inside = np.zeros(n_left, dtype=bool)
        inside[start] = True
        while True:
            reached = meets[inside].any(axis=0)
            grown = inside | meets[:, reached].any(axis=1)
            if (grown == inside).all():
                break
            inside = grown
        piece_left[inside], piece_right[reached] = n_pieces, n_pieces
        n_pieces += 1
    return piece_left, piece_right


def columns_dropped(design: Design, counts: Floats) -> NDArray[np.bool_]:
    """Return which fixed columns an attribute cannot carry: shape (attributes, columns).

    A lot without a score goes; of the sittings, the first of every joined piece goes, as the others are told
    against it.
    """
    patterns, which = np.unique(counts > 0, axis=0, return_inverse=True)
    return np.stack([_dropped(design, pattern) for pattern in patterns])[which.reshape(-1)]


def _dropped(design: Design, present: NDArray[np.bool_]) -> NDArray[np.bool_]:
    layout, n_lots = design.layout, design.n_lots
    dropped = np.zeros(design.n_columns, dtype=bool)
    dropped[:n_lots] = ~np.isin(np.arange(n_lots), layout.cell_lots[present])
    if design.n_fixed_sittings:
        _, pieces = lot_pieces(layout, present)
        for sitting, piece in enumerate(pieces):
            first = piece < 0 or sitting == int(np.flatnonzero(pieces == piece)[0])
            dropped[n_lots + sitting] = first
    return dropped


def lot_pieces(layout: Layout, present: NDArray[np.bool_]) -> tuple[Ints, Ints]:
    """Return the piece of each lot and of each sitting, joined through the lots that were in both."""
    n_sittings = max(len(layout.sittings), 1)
    lots, sittings = layout.cell_lots[present], layout.cell_sittings[present]
    return pieces_joined(lots, sittings, len(layout.lots), n_sittings)


def row_counts(design: Design, counts: Floats) -> Floats:
    """Return the rows behind each column: shape (attributes, columns)."""
    hot = np.zeros((design.layout.n_cells, design.n_columns))
    for factor in range(design.cell_columns.shape[1]):
        hot[np.arange(design.layout.n_cells), design.cell_columns[:, factor]] = 1.0
    return counts @ hot
