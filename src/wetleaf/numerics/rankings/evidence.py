"""From answers and ratings to draws: which model, which priors, which parameters; warnings on the way."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.rankings.answers import RowAnswer, checked, lots_of, tasters_of
from wetleaf.numerics.rankings.choices import choices_of, steadiness_contrasts
from wetleaf.numerics.rankings.posterior import (
    SPREADS,
    Draws,
    Levels,
    Likelihood,
    Target,
    draw_strengths,
    find_modes,
)
from wetleaf.numerics.rankings.repeats import RECOGNISED, SHARED_BREWS, weights_of
from wetleaf.numerics.rankings.thurstone import normal_pairs_of
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]
ModelName = Literal["plackett-luce", "bradley-terry", "thurstone"]

MODELS: Final[tuple[ModelName, ...]] = ("plackett-luce", "bradley-terry", "thurstone")
USUAL_SPREAD: Final = {"plackett-luce": 1.0, "bradley-terry": 1.0, "thurstone": 0.6}
"""Of lots about their mean. One logit: the better of two lots one spread apart is preferred 73 times in
100."""
MOST_LOTS: Final = 200


@dataclass(frozen=True, slots=True)
class Assumed:
    """The model and its priors. `order_sd`, `tie_sd` (of log delta), `steadiness_sd` (of log steadiness)."""

    model: ModelName = "plackett-luce"
    spread: float = 1.0
    order_sd: float = 0.5
    tie_sd: float = 1.5
    steadiness_sd: float = 0.5
    recognised: float = RECOGNISED
    shared_brews: float = SHARED_BREWS

    @classmethod
    def usual(cls, model: ModelName) -> "Assumed":
        """The usual assumptions under a model. Raises BadInput for a model that is not known."""
        if model not in MODELS:
            raise BadInput(f"The model {model!r} is not known.", way_out=f"Use one of: {', '.join(MODELS)}.")
        return cls(model, USUAL_SPREAD[model])


@dataclass(frozen=True, slots=True)
class Evidence:
    """Everything heard of the lots, checked. Made by `evidence_of`."""

    answers: tuple[RowAnswer, ...]
    lots: tuple[str, ...]
    tasters: tuple[str, ...]
    levels: Levels
    assumed: Assumed
    rated: frozenset[str]
    warnings: tuple[str, ...]

    @property
    def has_order(self) -> bool:
        """Whether a first bowl is known in any answer."""
        return any(answer.first is not None for answer in self.answers)

    @property
    def ties(self) -> int:
        """How many kinds of ties were answered: pairs of equals, threes."""
        return max((len(place) for answer in self.answers for place in answer.places), default=1) - 1

    def target(self) -> Target:
        """The log posterior of strengths, order effect, ties and steadiness."""
        steady = len(self.tasters) > 1
        of = normal_pairs_of if self.assumed.model == "thurstone" else choices_of
        weights = weights_of(
            self.answers, recognised=self.assumed.recognised, shared_brews=self.assumed.shared_brews
        )
        likelihood: Likelihood = of(
            self.answers, weights, lots=self.lots, tasters=self.tasters, order=self.has_order, steady=steady
        )
        sd = [self.assumed.order_sd] * self.has_order + [self.assumed.tie_sd] * self.ties
        sd += [self.assumed.steadiness_sd] * (len(self.tasters) - 1 if steady else 0)
        spreads = self.assumed.spread * np.array(SPREADS)
        return Target(likelihood, self.levels, spreads, np.zeros(len(sd)), np.array(sd))

    def draw(self, count: int, rng: np.random.Generator) -> Draws:
        """Return weighted draws of what is known. Raises Unsettled if no mode is found."""
        target = self.target()
        return draw_strengths(target, find_modes(target), count, rng)

    def steadiness(self, draws: Draws) -> Floats:
        """Return each taster's steadiness in each draw (draws, tasters)."""
        tasters = len(self.tasters)
        if tasters < 2:
            return np.ones((len(draws.points), max(tasters, 1)))
        logs = draws.points[:, len(self.lots) + self.has_order + self.ties :]
        return np.asarray(np.exp(logs @ steadiness_contrasts(tasters).T))


def evidence_of(
    answers: Sequence[RowAnswer],
    *,
    assumed: Assumed | None = None,
    lots: Sequence[str] | None = None,
    levels: Levels | None = None,
    rated: Sequence[str] = (),
) -> Evidence:
    """Return the answers, checked, with what is to be assumed.

    `lots`: all lots in question, also those never tasted (default: those in answers and `rated`); `levels`:
    what ratings of the lots `rated` say, over the same lots in the same order. Raises BadInput for answers
    that cannot be used, an answer on a lot not among `lots`, and priors that are no numbers above zero.
    """
    assumed = assumed or Assumed()
    _check(assumed)
    heard = tuple(checked(answer) for answer in answers)
    if assumed.model == "bradley-terry":
        _refuse_rows(heard)
    named = tuple(lots) if lots is not None else tuple(sorted({*lots_of(heard), *rated}))
    _check_lots(named, heard)
    found = Evidence(
        heard,
        named,
        tasters_of(heard),
        levels or Levels.none(len(named)),
        assumed,
        frozenset(rated),
        (),
    )
    return replace(found, warnings=_warnings(found))


def _check(assumed: Assumed) -> None:
    Assumed.usual(assumed.model)
    for name in ("spread", "order_sd", "tie_sd", "steadiness_sd"):
        value = getattr(assumed, name)
        if not (np.isfinite(value) and 0 < value <= 1e6):
            raise BadInput(
                f"{name.replace('_', ' ')} {value} is no spread.", way_out="Give a number above 0, such as 1."
            )
    for name in ("recognised", "shared_brews"):
        value = getattr(assumed, name)
        if not 0 <= value <= 1:
            raise BadInput(f"{name.replace('_', ' ')} {value} is no share.", way_out="Give 0 to 1.")


def _refuse_rows(answers: Sequence[RowAnswer]) -> None:
    long = [answer for answer in answers if len(answer.lots) > 2]
    if long:
        raise BadInput(
            f"A row of {len(long[0].lots)} bowls ({', '.join(long[0].lots)}): Bradley-Terry is for pairs.",
            way_out="Use plackett-luce, which is the same for pairs.",
        )


def _check_lots(lots: Sequence[str], answers: Sequence[RowAnswer]) -> None:
    if len(set(lots)) < len(lots):
        doubled = next(lot for lot, times in Counter(lots).items() if times > 1)
        raise BadInput(f"The lot {doubled!r} is named twice.", way_out="Name each lot once.")
    if len(lots) > MOST_LOTS:
        raise BadInput(f"{len(lots)} lots, more than {MOST_LOTS}.", way_out="Rank within one class and line.")
    unknown = sorted(set(lots_of(answers)) - set(lots))
    if unknown:
        raise BadInput(
            f"The lot {unknown[0]!r} is in an answer but not among the lots.", way_out="Check its name."
        )


def _warnings(evidence: Evidence) -> tuple[str, ...]:
    found = []
    groups = groups_of(evidence)
    if len(groups) > 1:
        listed = " | ".join(", ".join(group) for group in groups)
        found.append(
            f"These groups of lots were never compared with each other: {listed}. Only the prior ties them; "
            "taste one lot of each side by side."
        )
    met = Counter((answer.taster, frozenset(answer.lots)) for answer in evidence.answers)
    again = sum(times - 1 for times in met.values() if times > 1)
    if again and evidence.assumed.recognised:
        found.append(
            f"Lots the same taster had compared before, who may know them again: {again} answers, each "
            f"counted as {1 - evidence.assumed.recognised:g} of one."
        )
    return tuple(found)


def groups_of(evidence: Evidence) -> list[list[str]]:
    """Return the lots in groups that answers and ratings join, in the order of the lots."""
    group = {lot: {lot} for lot in evidence.lots}
    rated = [tuple(sorted(evidence.rated))] if evidence.rated else []
    for joined in [*(answer.lots for answer in evidence.answers), *rated]:
        whole = set().union(*(group[lot] for lot in joined))
        for lot in whole:
            group[lot] = whole
    found: list[list[str]] = []
    for lot in evidence.lots:
        if not any(lot in one for one in found):
            found.append([other for other in evidence.lots if other in group[lot]])
    return found
