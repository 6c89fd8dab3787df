"""What the panel gains from each taster, and what each might weigh: said openly, never done silently.

How far the panel's averages can be trusted is the share of their spread that is not disagreement,
1 - (taster x lot mean square) / (lot mean square): on a complete table the intraclass correlation of the
averages, ICC(3,k), which is Cronbach's alpha. A taster's gain is that share with this taster less without.

Weights go with one over a taster's own variance about the panel, drawn towards the common one, and lie
between one half and twice the average. With fewer than four tasters there are none: of three, whoever is
apart is outvoted by two. Nothing here uses the weights; whoever does must say so.

References
----------
Shrout, Fleiss (1979) Intraclass correlations, Psychological Bulletin 86: 420-428. Cronbach (1951) Coefficient
alpha, Psychometrika 16: 297-334. Smyth (2004) Linear models and empirical Bayes methods, Stat Appl Genet Mol
Biol 3(1): 3, for drawing variances towards a common one (here with a fixed prior worth 4 df).
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from wetleaf.numerics.profiles.crossed_table import Crossed, additive_fit, crossed_tables
from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.scores import Scores, levels_and_codes

FEWEST_TO_WEIGH = 4
PRIOR_DF = 4.0
LEAST_WEIGHT, MOST_WEIGHT = 0.5, 2.0


@dataclass(frozen=True)
class Panel:
    """The panel as a whole. `trust` and `gain` are averages over the attributes that have them.

    `trust`: share of the averages' spread that is not disagreement (1: all agree; 0: none; an attribute with
    less than none counts as 0).
    `gain`: for each taster the trust with less the trust without; None where the rest has no trust to tell.
    `weights`: mean 1, or None with fewer than four tasters, as `said` says.
    """

    trust: float | None
    gain: Mapping[str, float | None]
    weights: Mapping[str, float] | None
    said: str


def panel_of(scores: Scores) -> Panel:
    """Return what the panel's averages are worth, and what each taster adds.

    >>> lots, tasters = ["A", "B", "C", "D"] * 3, ["x"] * 4 + ["y"] * 4 + ["z"] * 4
    >>> sweet = np.array([1.0, 3, 5.2, 6.8, 2, 4.1, 6, 8, 7, 2, 6, 3])[:, None]
    >>> panel = panel_of(Scores(lots, tasters, sweet, ["sweet"]))
    >>> round(panel.trust, 2), round(panel.gain["z"], 2), panel.weights is None
    (0.18, -0.82, True)
    """
    tasters, _ = levels_and_codes(scores.tasters)
    tables = crossed_tables(scores)
    whole = _trusts(tables)
    gain: dict[str, float | None] = {}
    for name in tasters:
        without = _trusts([table.only(np.array(table.tasters) != name) for table in tables])
        both = np.isfinite(whole) & np.isfinite(without)
        gain[name] = float((whole - without)[both].mean()) if both.any() else None
    there = np.isfinite(whole)
    trust = float(whole[there].mean()) if there.any() else None
    weights = _weights(tasters, tables) if len(tasters) >= FEWEST_TO_WEIGH else None
    return Panel(trust, gain, weights, _said(len(tasters), weights))


def _said(n_tasters: int, weights: Mapping[str, float] | None) -> str:
    if n_tasters < FEWEST_TO_WEIGH:
        return (
            "Every taster counts the same: with fewer than four nobody can say whose scores are worth more."
        )
    if weights is None:
        return "Every taster counts the same: the shared lots are too few to weigh them."
    return (
        "Every taster counts the same in all results; the weights are what they might count, for comparison."
    )


def _trusts(tables: list[Crossed]) -> Floats:
    """The trust of every attribute; one below 0 is none, so that no attribute outweighs the others by it."""
    return np.asarray(np.maximum([_trust(table) for table in tables], 0.0))  # nan stays nan


def _trust(table: Crossed) -> float:
    if len(table.tasters) < 2:
        return np.nan
    fit = additive_fit(table)
    if not fit.lot_df or not fit.rest_df or not fit.lot_square > 0:
        return np.nan
    return 1.0 - fit.rest_square / fit.lot_square


def _weights(tasters: tuple[str, ...], tables: list[Crossed]) -> dict[str, float] | None:
    """Return one over each taster's own variance, all attributes in units of the common one."""
    squares, df = np.zeros(len(tasters)), np.zeros(len(tasters))
    for table in tables:
        fit = additive_fit(table)
        if not fit.rest_square > 0:
            continue
        own = np.nansum(fit.left**2, axis=1) / fit.rest_square
        share = table.there.sum(axis=1) * fit.rest_df / table.there.sum()
        place = [tasters.index(name) for name in table.tasters]
        squares[place] += own
        df[place] += share
    if not (df > 0).all():
        return None
    n_attributes = len(tables)  # of one cup: they are not independent, so they count as one table's worth
    df, squares = df / n_attributes, squares / n_attributes
    variance = (squares + PRIOR_DF) / (df + PRIOR_DF)
    weights = _bounded(1.0 / variance)
    return dict(zip(tasters, weights.tolist(), strict=True))


def _bounded(weights: Floats) -> Floats:
    """Return weights of mean 1 between the bounds."""
    for _ in range(50):
        weights = np.clip(weights / weights.mean(), LEAST_WEIGHT, MOST_WEIGHT)
    return weights
