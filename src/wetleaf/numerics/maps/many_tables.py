"""Several tables of the same lots, of stages or of tasters, on one map: multiple factor analysis."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from wetleaf.numerics.maps.axes import Floats, weighted_axes
from wetleaf.numerics.maps.components import Components, principal_components
from wetleaf.trade.errors import BadInput


@dataclass(frozen=True, slots=True)
class CommonMap:
    """Where do the lots stand when every table has the same say?

    `row_scores` (rows, axes); `partial` (tables, rows, axes) where each table alone would put a lot, their
    mean the row scores; `table_scores` (tables, axes) from 0 to 1, how much of an axis a table has;
    `column_scores` correlations with the axes. `alike` (tables, tables) is the RV coefficient: 1 when two
    tables are the same picture. `first_eigenvalues` (tables,) are what each table was divided by.
    """

    question: str
    rows: tuple[str, ...]
    tables: tuple[str, ...]
    columns: tuple[tuple[str, str], ...]
    eigenvalues: Floats
    share: Floats
    row_scores: Floats
    partial: Floats
    column_scores: Floats
    table_scores: Floats
    alike: Floats
    first_eigenvalues: Floats
    warnings: tuple[str, ...]


def common_map(
    tables: Mapping[str, tuple[Sequence[str], Floats]], *, rows: Sequence[str], scaled: bool = True
) -> CommonMap:
    """Return one map of several tables, each a name with its columns and scores (rows, columns).

    Multiple factor analysis [1]_: each table is divided by the first singular value of its own principal
    components, so that a stage with many attributes does not drown one with few. Raises BadInput for fewer
    than two tables, and as `principal_components` for each.

    >>> rng = np.random.default_rng(5)
    >>> leaf, cup = rng.normal(size=(5, 2)), rng.normal(size=(5, 3))
    >>> found = common_map({"leaf": (["a", "b"], leaf), "cup": (["c", "d", "e"], cup)}, rows="vwxyz")
    >>> found.table_scores.shape
    (2, 4)

    References
    ----------
    .. [1] Escofier and Pages, Multiple factor analysis, CSDA 18 (1994) 121-140.
    """
    if len(tables) < 2:
        raise BadInput(
            f"{len(tables)} table makes no common map.",
            way_out="Give two tables or more, or use principal_components.",
        )
    own = {name: _own(name, given, rows, scaled) for name, given in tables.items()}
    blocks = [(one.row_scores @ one.directions.T) for one in own.values()]
    weights = np.concatenate([np.full(len(one.columns), 1 / one.eigenvalues[0]) for one in own.values()])
    columns = tuple((name, column) for name, one in own.items() for column in one.columns)
    whole = np.concatenate(blocks, axis=1)
    n = len(rows)
    axes = weighted_axes(
        whole, row_weights=np.full(n, 1 / n), column_weights=weights, names=[f"{t}\0{c}" for t, c in columns]
    )
    edges = np.cumsum([0, *(len(one.columns) for one in own.values())])
    slices = [slice(start, stop) for start, stop in pairwise(edges.tolist())]
    partial = np.stack([len(own) * whole[:, s] * weights[s] @ axes.directions[s] for s in slices])
    shares = weights[:, None] * axes.directions**2 * axes.eigenvalues
    return CommonMap(
        question="Where do the lots stand when every table has the same say?",
        rows=tuple(rows),
        tables=tuple(own),
        columns=columns,
        eigenvalues=axes.eigenvalues,
        share=axes.eigenvalues / axes.eigenvalues.sum(),
        row_scores=axes.row_scores,
        partial=partial,
        column_scores=_correlations(whole, axes.row_scores),
        table_scores=np.stack([shares[s].sum(axis=0) for s in slices]),
        alike=_alike(blocks),
        first_eigenvalues=np.array([one.eigenvalues[0] for one in own.values()]),
        warnings=tuple(f"{name}: {text}" for name, one in own.items() for text in one.warnings),
    )


def _own(name: str, given: tuple[Sequence[str], Floats], rows: Sequence[str], scaled: bool) -> Components:
    columns, table = given
    try:
        return principal_components(table, rows=rows, columns=columns, scaled=scaled)
    except BadInput as bad:
        raise BadInput(f"Table {name!r}: {bad}") from bad


def _correlations(whole: Floats, row_scores: Floats) -> Floats:
    apart, axes = (table / np.linalg.norm(table, axis=0) for table in (whole, row_scores))
    return np.asarray(apart.T @ axes)


def _alike(blocks: Sequence[Floats]) -> Floats:
    """RV coefficients (Escoufier 1973): the correlation of the tables' cross products."""
    crosses = [block @ block.T for block in blocks]
    flat = np.stack([cross.ravel() / np.linalg.norm(cross) for cross in crosses])
    return np.asarray(flat @ flat.T)
