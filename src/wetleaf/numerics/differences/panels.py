"""Who can tell? Right answers taster by taster, what may be claimed of whom, and whether tasters differ.

For few tasters the claim is about *them*, and stands on their own trials alone. If all of them guess, their
right answers together are binomial however the trials are shared out, so the plain exact test of the sum
says "not all of them guess". That each of them can tell is a further claim, made by name (Holm's adjustment
over the tasters).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from wetleaf.numerics.differences.counts import Counted
from wetleaf.numerics.differences.dispersion import Dispersion, dispersion
from wetleaf.numerics.differences.pooling import pool

TASTERS_TO_SPEAK_WIDER: Final = 8
"""Below so many tasters nothing is said about tasters at large, and their spread is not estimated."""
TRIALS_TO_SHOW_SPREAD: Final = 2
"""One trial a taster cannot show a spread between tasters."""


@dataclass(frozen=True, slots=True)
class TasterScore:
    """One taster's right answers over all methods, the exact chance by guessing, and Holm's adjusted one."""

    taster: str
    correct: int
    trials: int
    p_value: float
    p_adjusted: float
    d_prime: float
    can_tell: bool


@dataclass(frozen=True, slots=True)
class PanelScore:
    """Tasters in order of name. `dispersion` is None where they are too few to tell; `why_none` says so."""

    tasters: tuple[TasterScore, ...]
    dispersion: Dispersion | None
    why_none: str
    claim: str


def score_panel(
    by_taster: Mapping[str, Sequence[Counted]], *, alpha: float = 0.05, rng: np.random.Generator
) -> PanelScore:
    """Return each taster's own answer, and what may be claimed of whom.

    Chance enters only the test of spread between tasters, which draws from `rng`. Raises BadInput when a
    taster has no trials.

    >>> from wetleaf.numerics.differences.counts import counted
    >>> rng = np.random.default_rng(1)
    >>> wren, ottil = counted("triangle", 9, 12), counted("triangle", 4, 12)
    >>> found = score_panel({"Wren": [wren], "Ottil": [ottil]}, rng=rng)
    >>> [(one.taster, round(one.p_adjusted, 3), one.can_tell) for one in found.tasters]
    [('Ottil', 0.607, False), ('Wren', 0.008, True)]
    >>> found.claim
    'These two tasters only: Wren can tell.'
    """
    names = sorted(by_taster)
    pooled = [pool(by_taster[name]) for name in names]
    adjusted = _holm([one.p_value for one in pooled])
    tasters = tuple(
        TasterScore(
            taster=name,
            correct=sum(one.correct for one in by_taster[name]),
            trials=sum(one.trials for one in by_taster[name]),
            p_value=found.p_value,
            p_adjusted=p,
            d_prime=found.estimate.d_prime,
            can_tell=p <= alpha,
        )
        for name, found, p in zip(names, pooled, adjusted, strict=True)
    )
    why_none = _too_few(by_taster)
    spread = None if why_none else dispersion([found.counts[0] for found in pooled], rng=rng)
    return PanelScore(tasters, spread, why_none, _claim(tasters, spread))


def _too_few(by_taster: Mapping[str, Sequence[Counted]]) -> str:
    trials = [sum(one.trials for one in counts) for counts in by_taster.values()]
    enough = sum(each >= TRIALS_TO_SHOW_SPREAD for each in trials)
    if enough < TASTERS_TO_SPEAK_WIDER:
        return (
            f"{enough} tasters with {TRIALS_TO_SHOW_SPREAD} trials or more: below "
            f"{TASTERS_TO_SPEAK_WIDER} their spread is not estimated, and the claim stays with them."
        )
    if len({one.method.key for counts in by_taster.values() for one in counts}) > 1:
        return "The spread between tasters is estimated for one method at a time only."
    return ""


def _holm(p_values: Sequence[float]) -> list[float]:
    """Holm (1979): the smallest p times the number, the next times one fewer, never falling."""
    order = sorted(range(len(p_values)), key=lambda place: p_values[place])
    adjusted, highest = [0.0] * len(p_values), 0.0
    for rank, place in enumerate(order):
        highest = max(highest, min(1.0, (len(p_values) - rank) * p_values[place]))
        adjusted[place] = highest
    return adjusted


_NUMBERS: Final = {
    1: "This taster",
    2: "These two tasters",
    3: "These three tasters",
    4: "These four tasters",
}


def _claim(tasters: Sequence[TasterScore], spread: Dispersion | None) -> str:
    who = _NUMBERS.get(len(tasters), f"These {len(tasters)} tasters")
    able = [one.taster for one in tasters if one.can_tell]
    if not able:
        by_name = "nobody by name can be said to tell yet"
    elif len(able) == len(tasters) > 1:
        by_name = "each of them can tell"
    else:
        by_name = f"{', '.join(able)} can tell"
    if spread is None:
        return f"{who} only: {by_name}."
    wider = f"{spread.mean_low:.0%} to {spread.mean_high:.0%}"
    return f"{who}: {by_name}. Tasters like them would be right in {wider} of such trials."
