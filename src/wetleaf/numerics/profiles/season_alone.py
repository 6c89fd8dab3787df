"""One taster alone: how steady, from all the cups of a season that were met twice without knowing it.

A pair is two cups of one lot, scored blind in one sitting on one attribute. Three pairs say next to nothing;
pooled over a season they add up. Two answers: the standard deviation of one cup (repeatability, with its
chi-squared interval), and how alike the two cups of a lot are against cups of different lots
(self-consistency, the intraclass correlation ICC(1,1) with its exact interval).

References
----------
Shrout, Fleiss (1979) Intraclass correlations, Psychological Bulletin 86: 420-428: ICC(1,1) and its interval.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.results import number
from wetleaf.numerics.profiles.tasters import Measured, Steady
from wetleaf.trade.errors import BadInput

FEWEST_PAIRS = 10
HALF = 0.5


@dataclass(frozen=True)
class SeasonAlone:
    """What the pairs of a season say of one taster, on one attribute or summary."""

    pairs: int
    repeat_sd: Measured
    self_consistency: Measured
    steady: Steady
    rule: str


def season_alone(first: Sequence[float], second: Sequence[float]) -> SeasonAlone:
    """Return how steady one taster is by `first` and `second` cups of the same lots, a place a pair.

    A pair with a missing score (nan) is left out. Raises BadInput when the lengths differ.

    >>> alone = season_alone([2, 5, 7, 3, 6, 8, 1, 4, 5, 7], [3, 5, 6, 3, 7, 8, 2, 4, 4, 7])
    >>> alone.pairs, round(alone.repeat_sd.value, 2), round(alone.self_consistency.value, 2), alone.steady
    (10, 0.5, 0.95, 'yes')
    """
    if len(first) != len(second):
        raise BadInput(
            f"{len(first)} first cups and {len(second)} second cups.", way_out="Give them in pairs."
        )
    cups = np.column_stack([np.asarray(first, dtype=float), np.asarray(second, dtype=float)])
    cups = cups[np.isfinite(cups).all(axis=1)]
    n = len(cups)
    if n == 0:
        nothing = Measured(None, None, None)
        return SeasonAlone(0, nothing, nothing, "can't tell", "No lot was met twice.")
    alike = _self_consistency(cups)
    steady, rule = _judge(n, alike)
    return SeasonAlone(n, _repeat_sd(cups), alike, steady, rule)


def _repeat_sd(cups: Floats) -> Measured:
    from scipy.special import chdtri

    n = len(cups)
    squares = float(((cups[:, 0] - cups[:, 1]) ** 2).sum() / 2.0)
    low, high = (float(np.sqrt(squares / chdtri(n, tail))) for tail in (0.025, 0.975))
    return Measured(float(np.sqrt(squares / n)), low, high)


def _self_consistency(cups: Floats) -> Measured:
    """Return ICC(1,1) and its exact 95 % interval, by the mean squares between and within rows."""
    n, k = cups.shape
    if n < 2:
        return Measured(None, None, None)
    rows = cups.mean(axis=1)
    between = k * float(((rows - rows.mean()) ** 2).sum()) / (n - 1)
    within = float(((cups - rows[:, None]) ** 2).sum()) / (n * (k - 1))
    if between + within == 0.0:
        return Measured(None, None, None)
    if within == 0.0:
        return Measured(1.0, None, None)
    from scipy.special import fdtri

    f = between / within
    low = f / float(fdtri(n - 1, n * (k - 1), 0.975))
    high = f * float(fdtri(n * (k - 1), n - 1, 0.975))
    return Measured(*(number((ratio - 1.0) / (ratio + k - 1.0)) for ratio in (f, low, high)))


def _judge(n: int, alike: Measured) -> tuple[Steady, str]:
    if n < FEWEST_PAIRS:
        return "can't tell", f"{n} of the {FEWEST_PAIRS} pairs of repeated cups that it takes."
    if alike.value is None:
        return "can't tell", "Every cup scored the same: nothing to be consistent about."
    if alike.low is None or alike.high is None:
        return "yes", "Both cups of every lot scored the same."
    said = f"Two cups of one lot are alike by {alike.value:.2f} ({alike.low:.2f} to {alike.high:.2f})"
    if alike.value >= HALF and alike.low > 0:
        return "yes", f"{said}: at least one half, and clearly more than chance. Nothing is said of others."
    if alike.high < HALF:
        return (
            "can't tell",
            f"{said}: clearly below one half; unsteady, or the lots are alike. One cup is little.",
        )
    return "can't tell", f"{said}: neither clearly more than chance nor clearly below one half."
