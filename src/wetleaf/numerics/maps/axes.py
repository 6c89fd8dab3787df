"""Weighted principal axes with their sign and rotation settled by a rule: the shared engine of every map.

A map is only of use in a second look if it is the same picture. An axis found by a computer has no sign, and
axes of equal weight have no direction: both are settled here from the columns, whatever the order of rows.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EQUAL: Final = 1e-9  # of the first eigenvalue: axes nearer than this have no direction of their own
NOTHING: Final = 1e-12  # of the first eigenvalue: axes smaller than this are rounding


@dataclass(frozen=True, slots=True)
class Axes:
    """Axes of a table X (rows, columns) under weights: X is the sum of row scores times directions.

    `eigenvalues` (axes,) from the largest; `row_scores` (rows, axes) principal coordinates, their weighted
    variance the eigenvalue; `directions` (columns, axes) of unit length under the column weights.
    """

    eigenvalues: Floats
    row_scores: Floats
    directions: Floats


def weighted_axes(
    table: Floats, *, row_weights: Floats, column_weights: Floats, names: Sequence[str]
) -> Axes:
    """Return the principal axes of a table that is already centred.

    The singular value decomposition of sqrt(row weight) X sqrt(column weight). `names` of the columns settle
    signs and equal axes, see `settled`. No axis is returned for a table without any spread.

    >>> cross = np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 0.5], [0.0, -0.5]])
    >>> quarter, whole = np.full(4, 0.25), np.ones(2)
    >>> weighted_axes(cross, row_weights=quarter, column_weights=whole, names=["a", "b"]).eigenvalues
    array([0.5  , 0.125])
    """
    root_rows, root_columns = np.sqrt(row_weights)[:, None], np.sqrt(column_weights)[None, :]
    _, singular, right = np.linalg.svd(root_rows * table * root_columns, full_matrices=False)
    eigenvalues = singular**2
    kept = eigenvalues > NOTHING * eigenvalues.max(initial=0.0)
    eigenvalues = eigenvalues[kept]
    found = settled(right[kept].T, eigenvalues, names)
    return Axes(eigenvalues, (table * root_columns) @ found, found / root_columns.T)


def settled(directions: Floats, eigenvalues: Floats, names: Sequence[str]) -> Floats:
    """Return directions (columns, axes) with rotation and sign settled by the columns' names and lengths.

    Axes of equal eigenvalue are turned so that the first column by name lies on the first of them alone, the
    second on the first two, and so on. Then every axis points to where its longest column is positive; of
    columns equally long, the first by name.
    """
    by_name = np.argsort(np.asarray(names, dtype=str), kind="stable")
    result = directions.copy()
    for start, stop in _equal_runs(eigenvalues):
        if stop - start > 1:
            result[:, start:stop] = _turned(result[:, start:stop], by_name)
    size = np.abs(result[by_name])
    longest = by_name[(size >= size.max(axis=0, initial=0.0) * (1 - 1e-7)).argmax(axis=0)]
    signs = np.sign(result[longest, np.arange(result.shape[1])])
    return np.asarray(result * np.where(signs == 0, 1.0, signs))


def _equal_runs(eigenvalues: Floats) -> list[tuple[int, int]]:
    """Return (start, stop) of axes that cannot be told apart by their eigenvalue."""
    if not eigenvalues.size:
        return []
    apart = -np.diff(eigenvalues) > EQUAL * eigenvalues[0]
    return list(pairwise([0, *(np.flatnonzero(apart) + 1).tolist(), int(eigenvalues.size)]))


def _turned(run: Floats, by_name: NDArray[np.intp]) -> Floats:
    """Rotate so that the first column with a share in these axes lies on the first axis, and so on."""
    independent: list[int] = []
    for row in by_name:
        tried = run[[*independent, int(row)]]
        if np.linalg.matrix_rank(tried, tol=1e-6) == len(tried):
            independent.append(int(row))
        if len(independent) == run.shape[1]:
            break
    turn, _ = np.linalg.qr(run[independent].T)
    return np.asarray(run @ turn)
