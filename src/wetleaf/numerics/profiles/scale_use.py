"""Who uses much of the scale and who little: the mixed assessor model, its slopes drawn towards 1.

A taster's averages are set against the panel's lots: average = level + slope x lot + what is left.
The slope is 1 for a taster who spreads the lots as the panel does, 0.5 for one who uses half of that. It
parts the taster x lot disagreement into scale use (slopes) and true disagreement. Slopes from few cups are
drawn towards 1 by what chance alone would give them, and where the lots hardly differ there are none: a
slope on nothing is noise.

References
----------
Brockhoff, Schlich, Skovgaard (2015) Taking individual scaling differences into account by analyzing profile
data with the mixed assessor model, Food Quality and Preference 39: 156-166. The drawing towards 1 is the
usual empirical Bayes estimate (Searle, Casella, McCulloch 1992, ch. 9), variance by moments.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from wetleaf.numerics.profiles.crossed_table import Additive, Crossed, additive_fit, crossed_tables
from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.scores import Scores

FEWEST_TASTERS = 3
ALPHA = 0.05
HARDLY = "The lots hardly differ on this attribute: nothing to see a use of the scale by."
FEW = "Fewer than three tasters, or too few lots shared: whose scale is the wide one cannot be told."


@dataclass(frozen=True)
class Slope:
    """One taster's slope: as measured, its standard error, and drawn towards 1."""

    measured: float
    se: float
    drawn: float


@dataclass(frozen=True)
class ScaleUse:
    """The tasters' scale use on one attribute; `slopes` is empty where `why_not` says why.

    `f`, `p` test that all slopes are 1, against the disagreement that slopes do not explain.
    """

    attribute: str
    slopes: Mapping[str, Slope]
    f: float | None = None
    df1: int | None = None
    df2: int | None = None
    p: float | None = None
    why_not: str = ""


def scale_use(scores: Scores) -> tuple[ScaleUse, ...]:
    """Return how the tasters use the scale on every attribute.

    >>> lots, tasters = ["A", "B", "C", "D"] * 3, ["x"] * 4 + ["y"] * 4 + ["z"] * 4
    >>> sweet = np.array([1.0, 3, 5.2, 6.8, 2, 4.1, 6, 8, 4, 4.9, 6, 7.1])[:, None]
    >>> (use,) = scale_use(Scores(lots, tasters, sweet, ["sweet"]))
    >>> {name: round(slope.measured, 2) for name, slope in use.slopes.items()}
    {'x': 1.18, 'y': 1.2, 'z': 0.62}
    """
    return tuple(
        _one(name, table) for name, table in zip(scores.attributes, crossed_tables(scores), strict=True)
    )


def _one(name: str, table: Crossed) -> ScaleUse:
    from scipy.special import fdtrc

    if len(table.tasters) < FEWEST_TASTERS:
        return ScaleUse(name, {}, why_not=FEW)
    fit = additive_fit(table)
    n_slopes = len(table.tasters) - 1
    df = fit.rest_df - n_slopes
    if fit.lot_df < 2 or df < 1:
        return ScaleUse(name, {}, why_not=FEW)
    if not fit.rest_square > 0 or fdtrc(fit.lot_df, fit.rest_df, fit.lot_square / fit.rest_square) >= ALPHA:
        return ScaleUse(name, {}, why_not=HARDLY)
    measured, information = _measured(table, fit)
    scaling = float(((measured - 1.0) ** 2 * information).sum())
    left = max(fit.rest_square * fit.rest_df - scaling, 0.0) / df
    if left <= 0:
        return ScaleUse(name, {}, why_not="The scores leave no disagreement to hold a slope against.")
    f = scaling / n_slopes / left
    slopes = _drawn(measured, information, left)
    return ScaleUse(
        name, dict(zip(table.tasters, slopes, strict=True)), f, n_slopes, df, float(fdtrc(n_slopes, df, f))
    )


def _measured(table: Crossed, fit: Additive) -> tuple[Floats, Floats]:
    """Return each taster's least-squares slope on the panel's lots and the squares it rests on."""
    lots = np.where(table.there, fit.lots, np.nan)
    lots = lots - np.nanmean(lots, axis=1, keepdims=True)
    own = table.means - np.nanmean(table.means, axis=1, keepdims=True)
    information = np.nansum(lots**2, axis=1)
    across = np.nansum(lots * own, axis=1)
    return np.divide(across, information, out=np.ones_like(across), where=information > 0), information


def _drawn(measured: Floats, information: Floats, left: float) -> list[Slope]:
    """Draw the slopes towards 1: by the share of their spread that is more than chance."""
    chance = left / np.maximum(information, 1e-300)
    spread = max(float(((measured - 1.0) ** 2).sum() / (measured.size - 1) - chance.mean()), 0.0)
    kept = spread / (spread + chance)
    drawn = 1.0 + kept * (measured - 1.0)
    return [Slope(*map(float, one)) for one in zip(measured, np.sqrt(chance), drawn, strict=True)]
