"""Would further brews show that nothing has changed? The chance of it, from what a standard error is made of.

Tasters who place two teas differently go on doing so however often they are brewed: that part of the
variance of a difference lasts, and so do its few degrees of freedom. Pots and cups lessen with every brew.
None of these is known better than its own df allow, and the brews already drunk stay in the table; both are
counted.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EVER: Final = 10**6  # brews: what still cannot be told then, no number of them tells
USUAL_TASTE: Final = 0.5  # a taster's lasting taste for a tea as a multiple of a cup's spread, before tasting
PRIOR_DF: Final = 3.0  # what that guess weighs; chosen by benchmarks/continuity.py, see methods.md
_POINTS: Final = 256
_LEAST: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Parts:
    """What the square of a standard error is made of, as shares of it, each with its degrees of freedom.

    `lasting` is the taster by lot mean square; of it `cups` is due to cups (what is left of both lasts).
    `brews` is what pots add and further brews lessen. With pots of their own for every taster (`brews` None)
    `lasting` is the whole and the part due to cups is what lessens.
    """

    lasting: float
    lasting_df: float
    cups: float
    cups_df: float
    brews: float | None = None
    brews_df: float = float("nan")


@lru_cache(maxsize=4096)
def chance_to_show_sameness(
    parts: Parts, *, difference: float, se: float, tolerance: float, brews_each: int, more: int
) -> float:
    """Return the chance that two one-sided tests at 5 % pass after `more` brews of both, if nothing changed.

    `difference` and `se` are as now, after `brews_each`. The unknown variances are drawn from their scaled
    inverse chi-squared distributions given the mean squares, at fixed points (no chance is used); the
    difference and the mean squares to come are drawn given those of now.

    >>> parts = Parts(lasting=0.6, lasting_df=6, cups=0.4, cups_df=40, brews=0.8, brews_df=4)
    >>> now = {"difference": 0.2, "se": 0.5, "tolerance": 1.25, "brews_each": 2}
    >>> [round(chance_to_show_sameness(parts, **now, more=more), 1) for more in (1, 6)]
    [0.7, 0.9]
    """
    from scipy.special import ndtr, stdtrit

    true, kept = _drawn(parts, se, brews_each), brews_each / (brews_each + more)
    sure = true.lasting + true.brews * kept  # the variance of the difference to come
    share = sure / (true.lasting + true.brews)
    middle, sd = difference * share, np.sqrt(np.maximum(sure * (1 - share), _LEAST * sure))
    square, df = _yardstick(parts, true, se, kept, more)
    room = tolerance - stdtrit(df, 0.95) * np.sqrt(square)
    inside = ndtr((room - middle) / sd) - ndtr((-room - middle) / sd)
    return float(np.where(room > 0, inside, 0.0).mean())


@dataclass(frozen=True, slots=True)
class _True:
    """Variances of the difference as they may be: what lasts, what brews lessen, what is due to cups."""

    lasting: Floats
    brews: Floats
    cups: Floats


@lru_cache(maxsize=256)
def _drawn(parts: Parts, se: float, brews_each: int) -> _True:
    points = _points()
    cups = _variance(parts.cups * se**2, parts.cups_df, points[1])
    usual = parts.cups * (1 + USUAL_TASTE**2 * brews_each)
    squares, df = parts.lasting * parts.lasting_df + usual * PRIOR_DF, parts.lasting_df + PRIOR_DF
    between = _variance(squares / df * se**2, df, points[0])
    brews = cups if parts.brews is None else _variance(parts.brews * se**2, parts.brews_df, points[2])
    return _True(np.maximum(between - cups, 0.0), np.maximum(brews, _LEAST * se**2), cups)


def _yardstick(parts: Parts, true: _True, se: float, kept: float, more: int) -> tuple[Floats, Floats]:
    """The square of the standard error to come, and its df."""
    points = _points()
    tasters = _tasters_to_come(parts, true, se, kept, points[3])
    df = np.full(_POINTS, parts.lasting_df if parts.lasting_df > 0 else np.nan)
    if parts.brews is None:
        return tasters, df
    new = 2.0 * more
    squares = parts.brews_df * parts.brews * se**2 + true.brews * _chi_squared(new, points[4])
    pots_df = parts.brews_df + new
    pots = kept * squares / pots_df
    return _put_together(tasters, pots, true.cups * kept, df, pots_df, parts.cups_df)


def _put_together(
    tasters: Floats, pots: Floats, cups: Floats, tasters_df: Floats, pots_df: float, cups_df: float
) -> tuple[Floats, Floats]:
    """As in a decision: both less the cups they both hold (Satterthwaite's df), at least the larger."""
    larger = tasters > pots
    whole = tasters + pots - cups
    spread = tasters**2 / tasters_df + pots**2 / pots_df + np.nan_to_num(cups**2 / cups_df)
    has_cups = (cups > 0) & (cups < np.minimum(tasters, pots))
    return (
        np.where(has_cups, whole, np.where(larger, tasters, pots)),
        np.where(has_cups, whole**2 / spread, np.where(larger, tasters_df, pots_df)),
    )


def _tasters_to_come(parts: Parts, true: _True, se: float, kept: float, points: Floats) -> Floats:
    """The taster by lot mean square to come given that of now: a noncentral chi-squared, as a gamma."""
    if not parts.lasting_df > 0:
        return np.zeros(_POINTS)
    now, then = true.lasting + true.cups, true.lasting + true.cups * kept
    share = then / now
    new = then * (1 - share)
    middle = new + share**2 * parts.lasting * se**2
    variance = (2 * new**2 + 4 * new * share**2 * parts.lasting * se**2) / parts.lasting_df
    shape = middle**2 / np.maximum(variance, _LEAST * middle**2)
    return np.asarray(middle * _gamma(shape, points) / shape)


def _variance(mean_square: float, df: float, points: Floats) -> Floats:
    if not df > 0 or not mean_square > 0:
        return np.zeros(_POINTS)
    return np.asarray(mean_square * df / _chi_squared(df, points))


def _chi_squared(df: float, points: Floats) -> Floats:
    return np.asarray(2.0 * _gamma(np.full(_POINTS, df / 2.0), points))


def _gamma(shape: Floats, points: Floats) -> Floats:
    from scipy.special import gammaincinv

    return np.asarray(gammaincinv(shape, points))


@lru_cache(maxsize=1)
def _points() -> Floats:
    """Five rows of evenly spread points in (0, 1): an additive recurrence on the root of x^6 = x + 1."""
    root = 1.13472413840151949
    steps = root ** -np.arange(1.0, 6.0)
    found = (0.5 + np.arange(1, _POINTS + 1)[None, :] * steps[:, None]) % 1.0
    return np.asarray(np.clip(found, 1e-6, 1 - 1e-6))
