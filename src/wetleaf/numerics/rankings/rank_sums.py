"""Do rankings of whole rows agree at all: rank sums of Friedman, Page and Kramer.

Under "every order of a row is as likely" the tests are exact where all orders can be counted: the joint
distribution of rank sums is built up taster by taster (`exact_sums`). Ties take part as they are: each
taster's own ranks, ties averaged, are permuted (conditional on the ties). Where there are too many states
the usual approximation is given and `exact` is False.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr
from scipy.stats import chi2, rankdata

from wetleaf.numerics.rankings.exact_sums import far_sum_chance, page_chance, spread_chance
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]

NEAR: Final = 1e-9


@dataclass(frozen=True, slots=True)
class RankSums:
    """One test on rank sums. `p` is exact if `exact`; `sums` per lot; `agreement` Kendall's W (Friedman
    only)."""

    question: str
    statistic: float
    p: float
    exact: bool
    sums: tuple[float, ...]
    tasters: int
    agreement: float | None
    words: str


@dataclass(frozen=True, slots=True)
class LotSum:
    """One lot's rank sum, and the chance that any of the lots has one as far from the middle."""

    lot: str
    rank_sum: float
    p: float
    exact: bool


def friedman(ranks: Sequence[Sequence[float]]) -> RankSums:
    """Do tasters agree that lots differ? `ranks` (tasters, lots), complete, any numbers: smaller is better.

    Friedman (1937), with the correction for ties of Conover (1999); p the chance of a statistic as large or
    larger. Raises BadInput for fewer than two tasters or lots, or a missing rank.

    >>> found = friedman([[1, 2, 3], [1, 2, 3], [1, 3, 2]])
    >>> round(found.statistic, 3), round(found.p, 3), found.exact
    (4.667, 0.194, True)
    """
    own = _own_ranks(ranks)
    tasters, lots = own.shape
    sums = own.sum(axis=0)
    spread = float((own**2).sum() - tasters * lots * (lots + 1) ** 2 / 4)
    apart = float(((sums - sums.mean()) ** 2).sum())
    if spread < NEAR:
        return _nobody_ranks("Do the tasters agree that the lots differ?", sums, tasters)
    statistic = (lots - 1) * apart / spread
    exact = spread_chance(own, apart)
    p = exact if exact is not None else float(chi2.sf(statistic, lots - 1))
    agreement = apart / (tasters * spread)
    return RankSums(
        "Do the tasters agree that the lots differ?",
        statistic,
        p,
        exact is not None,
        tuple(float(value) for value in sums),
        tasters,
        agreement,
        f"Agreement {agreement:.2f} of 1 (Kendall's W); as much or more by luck alone: {p:.2g}.",
    )


def page(ranks: Sequence[Sequence[float]]) -> RankSums:
    """Do lots go up in the order given beforehand? `ranks` (tasters, lots), first lot expected smallest.

    Page (1963): L = sum of place times rank sum, one-sided. Raises BadInput as `friedman`.

    >>> found = page([[1, 2, 3], [1, 2, 3], [1, 3, 2], [1, 2, 3]])
    >>> found.statistic, round(found.p, 4), found.exact
    (55.0, 0.0069, True)
    """
    own = _own_ranks(ranks)
    tasters, lots = own.shape
    sums = own.sum(axis=0)
    places = np.arange(1, lots + 1)
    statistic = float(places @ sums)
    middle = tasters * lots * (lots + 1) ** 2 / 4
    squares = ((own - own.mean(axis=1, keepdims=True)) ** 2).sum(axis=1)
    variance = float(squares.sum() * ((places - places.mean()) ** 2).sum() / (lots - 1))
    if variance < NEAR:
        return _nobody_ranks("Do the lots go up in the order said beforehand?", sums, tasters)
    exact = page_chance(own, statistic)
    p = exact if exact is not None else float(ndtr(-(statistic - middle) / np.sqrt(variance)))
    return RankSums(
        "Do the lots go up in the order said beforehand?",
        statistic,
        p,
        exact is not None,
        tuple(float(value) for value in sums),
        tasters,
        None,
        f"L = {statistic:g}, {middle:g} by luck; as much or more by luck alone: {p:.2g}.",
    )


def kramer(ranks: Sequence[Sequence[float]], lots: Sequence[str]) -> tuple[LotSum, ...]:
    """Which lots have a rank sum too small or too large for luck?

    Kramer (1960): p is the chance that *any* of the lots has a sum as far from the middle, by the exact
    chance of one lot times the number of lots (Bonferroni), so that it errs on the careful side. Raises
    BadInput as `friedman`.

    >>> [(lot.lot, round(lot.p, 4)) for lot in kramer([[1, 2, 3]] * 4, ["a", "b", "c"])]
    [('a', 0.0741), ('b', 1.0), ('c', 0.0741)]
    """
    own = _own_ranks(ranks)
    tasters, count = own.shape
    if len(lots) != count:
        raise BadInput(f"{len(lots)} lots are named, {count} are ranked.", way_out="Name every lot once.")
    middle = tasters * (count + 1) / 2
    found = []
    for lot, total in zip(lots, own.sum(axis=0), strict=True):
        chance = far_sum_chance(own, abs(float(total) - middle))
        found.append(LotSum(lot, float(total), min(1.0, count * chance), True))
    return tuple(found)


def _own_ranks(ranks: Sequence[Sequence[float]]) -> Floats:
    """Each taster's ranks, ties averaged."""
    table = np.array(ranks, dtype=float)
    if table.ndim != 2 or table.shape[0] < 2 or table.shape[1] < 2:
        raise BadInput("Ranks of two tasters and two lots or more are needed.", way_out="Add rows or lots.")
    if not np.isfinite(table).all():
        raise BadInput("A rank is missing or is no number.", way_out="Use `durbin` for incomplete rows.")
    return np.asarray(rankdata(table, axis=1))


def _nobody_ranks(question: str, sums: Floats, tasters: int) -> RankSums:
    return RankSums(
        question,
        0.0,
        1.0,
        True,
        tuple(float(v) for v in sums),
        tasters,
        None,
        "Everyone ranked all lots level.",
    )
