"""Principal components of a table of means: where the lots stand, and which attributes pull them apart."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetleaf.numerics.maps.axes import Floats, weighted_axes
from wetleaf.trade.errors import BadInput


@dataclass(frozen=True, slots=True)
class Components:
    """Where do the lots stand? Principal components of `rows` (lots) by `columns` (attributes).

    `eigenvalues` and their `share` of the spread, from the largest. `row_scores` (rows, axes) are the places
    on the map; `row_quality` (cos2) how much of a row the axis shows, `row_share` how much of the axis is
    the row's. `column_scores` (columns, axes) are correlations with the axes when `scaled`. `centre` and
    `scale` (columns,) bring a place back to scores. `constant` names columns that never vary, left out.
    """

    question: str
    rows: tuple[str, ...]
    columns: tuple[str, ...]
    scaled: bool
    eigenvalues: Floats
    share: Floats
    row_scores: Floats
    row_quality: Floats
    row_share: Floats
    column_scores: Floats
    directions: Floats
    centre: Floats
    scale: Floats
    constant: tuple[str, ...]
    warnings: tuple[str, ...]

    def place(self, scores: Floats) -> Floats:
        """Return where further rows (rows, columns) stand on these axes."""
        return np.asarray((scores - self.centre) / self.scale @ self.directions)

    def scores_at(self, place: Floats) -> Floats:
        """Return the attribute scores (columns,) of a place (axes,); axes not given count as 0."""
        return np.asarray(self.centre + self.scale * (self.directions[:, : place.size] @ place))


def principal_components(
    table: Floats, *, rows: Sequence[str], columns: Sequence[str], scaled: bool = True
) -> Components:
    """Return the principal components of a table of means (rows, columns).

    Every row weighs the same and variances divide by n, as in FactoMineR's PCA; `scaled` divides each column
    by its standard deviation, so that every attribute counts alike. Columns that never vary are left out and
    named. Raises BadInput for fewer than three rows, for gaps, and when nothing varies.

    >>> table = np.array([[1.0, 2.0], [2.0, 4.1], [3.0, 5.9], [4.0, 8.0]])
    >>> found = principal_components(table, rows="abcd", columns=["peas", "cream"])
    >>> found.share.round(3)
    array([1., 0.])

    References
    ----------
    .. [1] Jolliffe, Principal Component Analysis, 2nd ed. (2002), chapters 1 to 3.
    """
    _check(table, rows, columns)
    centre, spread = table.mean(axis=0), table.std(axis=0)
    varies = spread > 1e-12 * np.maximum(np.abs(table).max(axis=0), 1e-300)
    if not varies.any():
        raise BadInput(
            "No attribute differs between the rows, so there is nothing to map.",
            way_out="Give at least one attribute on which they differ.",
        )
    kept = [name for name, moves in zip(columns, varies, strict=True) if moves]
    scale = spread[varies] if scaled else np.ones(len(kept))
    apart = (table[:, varies] - centre[varies]) / scale
    n = len(table)
    axes = weighted_axes(apart, row_weights=np.full(n, 1 / n), column_weights=np.ones(len(kept)), names=kept)
    squares = axes.row_scores**2
    own = (apart**2).sum(axis=1, keepdims=True)
    constant = tuple(name for name, moves in zip(columns, varies, strict=True) if not moves)
    return Components(
        question="Where do the lots stand?",
        rows=tuple(rows),
        columns=tuple(kept),
        scaled=scaled,
        eigenvalues=axes.eigenvalues,
        share=axes.eigenvalues / axes.eigenvalues.sum(),
        row_scores=axes.row_scores,
        row_quality=np.divide(squares, own, out=np.zeros_like(squares), where=own > 0),
        row_share=squares / (n * axes.eigenvalues),
        column_scores=axes.directions * np.sqrt(axes.eigenvalues),
        directions=axes.directions,
        centre=centre[varies],
        scale=scale,
        constant=constant,
        warnings=_warnings(constant, n),
    )


def _check(table: Floats, rows: Sequence[str], columns: Sequence[str]) -> None:
    if table.ndim != 2 or table.shape != (len(rows), len(columns)):
        raise BadInput(
            f"A table of shape {table.shape} does not fit {len(rows)} rows and {len(columns)} columns.",
            way_out="Give one name a row and one a column.",
        )
    if len(rows) < 3:
        raise BadInput(
            f"A map of {len(rows)} rows says nothing: two points always lie on one line.",
            way_out="Give three lots or more, or compare the two attribute by attribute.",
        )
    gaps = np.argwhere(~np.isfinite(table))
    if gaps.size:
        row, column = gaps[0]
        raise BadInput(
            f"{rows[row]} has no usable score for {columns[column]}.",
            way_out="Leave out the lot or the attribute, or fill the gap from a fit.",
        )


def _warnings(constant: Sequence[str], n: int) -> tuple[str, ...]:
    said = []
    if constant:
        said.append(f"Never varies, left out: {', '.join(constant)}.")
    if n == 3:
        said.append("Three lots always lie in one plane: the map shows all there is and proves nothing.")
    return tuple(said)
