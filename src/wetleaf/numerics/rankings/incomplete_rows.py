"""Do rows of only some of the lots agree at all: Durbin's test, and Skillings and Mack's for any rows.

Each row's ranks are centred and scaled to a variance of bowls - 1; a lot's sum is over the rows it was in,
and the size of all sums is taken against their covariance when every order of every row is as likely.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2, rankdata

from wetleaf.numerics.rankings.exact_sums import joint_chance
from wetleaf.numerics.rankings.rank_sums import NEAR, RankSums
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]

_QUESTION: Final = "Do the rows agree that the lots differ?"


def durbin(rows: Sequence[Sequence[float | None]]) -> RankSums:
    """Do rows that hold only some of the lots agree? `rows` (rows, lots), None: not served; smaller is
    better.

    Skillings and Mack (1981); for a balanced design without ties it is Durbin's (1951) test. p is exact by
    counting all orders where these are few enough, else by chi-squared with lots - 1 degrees of freedom.
    `sums` are centred. Raises BadInput when a lot was in no row, rows fall apart into groups, or nobody
    ranked.

    >>> found = durbin([[1, 2, None], [None, 1, 2], [1, None, 2]])
    >>> round(found.statistic, 3), found.p, found.exact
    (2.667, 0.75, True)
    """
    table = _table(rows)
    lots = table.shape[1]
    parts = [part for row in table if (part := _scaled(row)) is not None]
    covariance = np.zeros((lots, lots))
    for served, ranks in parts:
        size = len(ranks)
        covariance[np.ix_(served, served)] += size * (np.eye(size) - 1 / size)
    if np.linalg.matrix_rank(covariance) < lots - 1:
        raise BadInput(
            "The rows do not join all lots, or nobody ranked.", way_out="Serve a row that joins the groups."
        )
    inverse = np.asarray(np.linalg.pinv(covariance), dtype=float)
    sums = np.zeros(lots)
    for served, ranks in parts:
        sums[served] += ranks
    statistic = float(sums @ inverse @ sums)
    exact = joint_chance(parts, inverse, statistic - NEAR)
    p = exact if exact is not None else float(chi2.sf(statistic, lots - 1))
    about = "" if exact is not None else "about "
    return RankSums(
        question=_QUESTION,
        statistic=statistic,
        p=p,
        exact=exact is not None,
        sums=tuple(float(value) for value in sums),
        tasters=len(table),
        agreement=None,
        words=f"As much agreement or more by luck alone: {about}{p:.2g}.",
    )


def _table(rows: Sequence[Sequence[float | None]]) -> Floats:
    if not rows or len({len(row) for row in rows}) > 1 or len(rows[0]) < 2:
        raise BadInput("These are no rows of two lots or more.", way_out="Give rows of equal length.")
    table = np.array([[np.nan if cell is None else float(cell) for cell in row] for row in rows])
    if np.isinf(table).any():
        raise BadInput("A rank is without end.", way_out="Give numbers, and None for a lot not served.")
    return table


def _scaled(row: Floats) -> tuple[NDArray[np.intp], Floats] | None:
    """The lots of a row and their ranks, centred and scaled; None where it tells nothing."""
    served = np.flatnonzero(np.isfinite(row))
    if served.size < 2:
        return None
    ranks = rankdata(row[served])
    centred = ranks - ranks.mean()
    variance = float((centred**2).sum()) / (served.size - 1)
    return None if variance < NEAR else (served, np.asarray(centred * np.sqrt(served.size / variance)))
