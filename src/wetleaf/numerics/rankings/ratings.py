"""Likings and verdicts on the same scale as preferences, by each taster's own steadiness.

One cup gives one impression, whether it is then ranked or rated: strength plus noise. Plackett-Luce's noise
has the standard deviation pi / sqrt(6), Case V's 1 / sqrt(2). A taster whose likings of one tea stray by
sigma points thus has on this scale

    (that noise / sigma) * liking = level of taster in that sitting + strength + noise,

the level free and taken out. Sigma is pooled: 3 degrees of freedom at one eighth of the scale and those of
the taster's repeated cups. Cups of one brew by several tasters count as less, as in `repeats`.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.likings import (
    PRIOR_DF,
    PRIOR_SHARE_OF_SCALE,
    Rating,
    Steadiness,
    steadiness_from_repeats,
)
from wetleaf.numerics.rankings.posterior import Levels
from wetleaf.numerics.rankings.repeats import SHARED_BREWS, weight_of_shared
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]

LOGISTIC_CUP: Final = float(np.pi / np.sqrt(6))
NORMAL_CUP: Final = float(np.sqrt(0.5))


def cup_sd_of(model: str) -> float:
    """Return the noise of one cup on a model's scale."""
    return NORMAL_CUP if model == "thurstone" else LOGISTIC_CUP


def levels_from_ratings(
    ratings: Sequence[Rating],
    steadiness: Mapping[str, Steadiness],
    *,
    lots: Sequence[str],
    scale: tuple[float, float],
    cup_sd: float = LOGISTIC_CUP,
    shared_brews: float = SHARED_BREWS,
) -> Levels:
    """Return what the ratings (all with a liking) say of the strengths, as precision and pull.

    Steadiness of a taster not in `steadiness` is found from cups met twice among the ratings. Raises
    BadInput for a liking off the scale.

    >>> two = [Rating("a", "Wren", 7), Rating("b", "Wren", 5)]
    >>> levels_from_ratings(two, {}, lots=["a", "b"], scale=(1, 9)).pull.round(2).tolist()
    [0.78, -0.78]
    """
    found = Levels.none(len(lots))
    place = {lot: i for i, lot in enumerate(lots)}
    known = {**steadiness_in(ratings), **steadiness}
    likings = {id(rating): _on_scale(rating, scale) for rating in ratings}
    shared = Counter((rating.lot, rating.sitting, rating.brew) for rating in _first_cups(ratings))
    for taster, sitting in sorted({(rating.taster, rating.sitting or "") for rating in ratings}):
        own = [r for r in ratings if r.taster == taster and (r.sitting or "") == sitting]
        sigma = _pooled(known.get(taster, Steadiness(0.0, 0.0)), scale)
        weights = np.array(
            [weight_of_shared(max(1, shared[r.lot, r.sitting, r.brew]), shared_brews) for r in own]
        )
        _add(
            found,
            np.array([place[r.lot] for r in own]),
            np.array([cup_sd / sigma * likings[id(r)] for r in own]),
            weights / cup_sd**2,
        )
    return found


def steadiness_in(ratings: Sequence[Rating]) -> dict[str, Steadiness]:
    """Return the steadiness of every taster who met a lot twice in a sitting."""
    found = {}
    for taster in sorted({rating.taster for rating in ratings}):
        groups: dict[tuple[str, str | None], list[float]] = {}
        for rating in ratings:
            if rating.taster == taster and rating.liking is not None:
                groups.setdefault((rating.lot, rating.sitting), []).append(rating.liking)
        steady = steadiness_from_repeats(list(groups.values()))
        if steady is not None:
            found[taster] = steady
    return found


def _first_cups(ratings: Sequence[Rating]) -> list[Rating]:
    """A taster's cups of one brew, once."""
    return list({(r.lot, r.sitting, r.brew, r.taster): r for r in ratings}.values())


def _on_scale(rating: Rating, scale: tuple[float, float]) -> float:
    low, high = scale
    if rating.liking is None or not low <= rating.liking <= high:
        raise BadInput(
            f"{rating.taster or 'A taster'} rates {rating.lot!r} {rating.liking}, "
            f"off the scale {low:g} to {high:g}.",
            way_out="Correct it, or give the scale.",
        )
    return float(rating.liking)


def _pooled(steady: Steadiness, scale: tuple[float, float]) -> float:
    prior = (scale[1] - scale[0]) * PRIOR_SHARE_OF_SCALE
    squares = PRIOR_DF * prior**2 + steady.df * steady.sd**2
    return float(np.sqrt(squares / (PRIOR_DF + steady.df)))


def _add(levels: Levels, place: NDArray[np.intp], values: Floats, weights: Floats) -> None:
    """Add one taster's cups of one sitting, their level taken out."""
    share = weights / weights.sum()
    centred = np.diag(weights) - np.outer(weights, share)
    np.add.at(levels.information, (place[:, None], place[None, :]), centred)
    np.add.at(levels.pull, place, centred @ values)
