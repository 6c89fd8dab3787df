"""How much lots like these differ at all: the same model with the lots drawn at random, its variances.

A profile holds the lots fixed: these lots are meant. Who asks how far lots of such a season spread, beside
how far tasters do, wants the lots' own variance too; it comes from the same likelihood with the lots among
the random terms. With cups missing the other variances change a little as well, since tasters are then also
compared between lots. Checked against R's lme4, `lmer(y ~ 1 + (1|lot) + (1|taster) + (1|taster:lot))`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.cells import Accumulator, Batch
from wetleaf.numerics.profiles.design import TERMS, Design
from wetleaf.numerics.profiles.layout import lay_out
from wetleaf.numerics.profiles.optimum import find_optimum, first_guess, independent_terms
from wetleaf.numerics.profiles.reml import evaluate
from wetleaf.numerics.profiles.scores import Scores
from wetleaf.numerics.profiles.table import Table

LOT = TERMS.index("lot")


@dataclass(frozen=True)
class Components:
    """The variances of one attribute with lots random; `why_not` says why there are none.

    `variance` maps "lot", "taster", "taster:lot", "residual" (and "lot:brew", "sitting" where told apart) to
    a variance, or to None when the table does not hold it.
    """

    name: str
    variance: Mapping[str, float | None]
    why_not: str = ""


def variance_components(scores: Scores) -> tuple[Components, ...]:
    """Return the variances of every attribute with the lots random (REML, never below zero).

    Few sittings stay fixed shifts. Raises nothing of its own: an attribute without a fit says why.

    >>> lots, tasters = ["A", "B", "C"] * 4, ["x"] * 6 + ["y"] * 6
    >>> sweet = np.array([2.0, 4, 7, 1, 4, 6, 3, 4, 8, 2, 5, 7])[:, None]
    >>> found = variance_components(Scores(lots, tasters, sweet, ["sweet"]))[0].variance
    >>> {name: None if value is None else round(value, 3) for name, value in found.items()}
    {'lot': 6.187, 'taster': 0.292, 'taster:lot': 0.0, 'residual': 0.333}
    """
    table = Table(lay_out(scores))
    why_not = [_why_not(table, row) for row in range(table.n.size)]
    rows = np.array([row for row, why in enumerate(why_not) if not why], dtype=np.intp)
    nothing = dict.fromkeys(("lot", "taster", "taster:lot", "residual"))
    found = [
        Components(name, nothing, why) for name, why in zip(table.layout.attributes, why_not, strict=True)
    ]
    if rows.size:
        for row, variance in zip(rows.tolist(), _fit(table, rows), strict=True):
            why = "" if variance else "The fit did not converge."
            found[row] = replace(found[row], variance={**nothing, **variance}, why_not=why)
    return tuple(found)


def _why_not(table: Table, row: int) -> str:
    if table.n_lots[row] < 2:
        return "One lot only: lots at large cannot be told from it."
    return table.why_not(row)


def _fit(table: Table, rows: NDArray[np.intp]) -> list[dict[str, float | None]]:
    design = _design(table)
    dropped = _dropped(table, rows, design)
    counts, means = table.counts[rows], table.layout.means[rows]
    n = counts.sum(axis=1)
    centre = (counts * means).sum(axis=1) / n
    scale = np.sqrt(table.in_all[rows] / n)
    fixed = ((design.column_terms < 0) & ~dropped).sum(axis=1)
    standardised = np.where(counts > 0, (means - centre[:, None]) / scale[:, None], 0.0)
    within = table.layout.within[rows] / scale**2
    batch = Batch(design, counts, standardised, within, dropped, n - fixed)
    sums = Accumulator(design)
    available = np.tile(design.possible, (rows.size, 1))
    available[:, TERMS.index("taster")] &= table.n_tasters[rows] > 1
    available[:, TERMS.index("taster:lot")] &= table.n_tasters[rows] > 1
    point = evaluate(batch, sums, np.where(available, 1.0, 0.0))
    terms = independent_terms(point, batch.freedom, available)
    optimum = find_optimum(batch, sums, first_guess(point, terms), terms, np.zeros(terms.shape))
    residual = optimum.point.residual * scale**2
    return [
        {
            **{
                name: float(optimum.point.gamma[i, term] * residual[i])
                for term, name in enumerate(TERMS)
                if terms[i, term]
            },
            "residual": float(residual[i]),
        }
        if optimum.converged[i]
        else {}
        for i in range(rows.size)
    ]


def _design(table: Table) -> Design:
    """Return the columns with a common level first and the lots among the random ones."""
    own, layout = table.design, table.layout
    level = np.zeros((layout.n_cells, 1), dtype=np.intp)
    terms = own.column_terms.copy()
    terms[: own.n_lots] = LOT
    possible = own.possible.copy()
    possible[LOT] = True
    return replace(
        own,
        cell_columns=np.hstack([level, own.cell_columns + 1]),
        column_terms=np.concatenate([[-1], terms]),
        possible=possible,
    )


def _dropped(table: Table, rows: NDArray[np.intp], design: Design) -> NDArray[np.bool_]:
    """Of fixed sittings drop the first that occurs: it stands against the common level."""
    dropped = np.zeros((rows.size, design.n_columns), dtype=bool)
    if design.n_fixed_sittings:
        start, stop = 1 + table.design.n_lots, 1 + table.design.n_lots + design.n_fixed_sittings
        for i, row in enumerate(rows):
            present = np.unique(table.layout.cell_sittings[table.counts[row] > 0])
            dropped[i, start:stop] = ~np.isin(np.arange(design.n_fixed_sittings), present[1:])
    return dropped
