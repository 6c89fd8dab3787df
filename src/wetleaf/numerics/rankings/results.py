"""What a ranking answers: frozen records, each repeating its question."""

from dataclasses import dataclass
from typing import Literal

from wetleaf.numerics.rankings.evidence import ModelName

Answer = Literal["yes", "can't tell"]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A middle and its 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class LotRank:
    """One lot: strength against the mean of all lots, drawn towards it by the prior, with its 95 %
    interval; the chance that it is the best, and among the `top`; the loss to expect of choosing it now;
    its answers."""

    lot: str
    strength: float
    low: float
    high: float
    chance_best: float
    chance_top: float
    expected_loss: float
    answers: int
    wins: int
    losses: int
    ties: int


@dataclass(frozen=True, slots=True)
class TasterRank:
    """One taster: steadiness against the tasters' geometric mean, 1: a careless one is below."""

    taster: str
    steadiness: Estimate
    answers: int


@dataclass(frozen=True, slots=True)
class AtSpread:
    """The answer had the prior's spread been this alone; `chance` that it is, of the three weighed."""

    spread: float
    chance: float
    leader: str
    chance_best: float
    expected_loss: float
    shortlist: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ranking:
    """Which lot is the best, and how the lots stand. Lots stand in order of strength.

    `best`: the lot that is named, if one is. `order_effect`: advantage of the first bowl, in units of
    strength. `ties`: log of the ties' weight (Davidson's nu) or of Case V's threshold. `effective`:
    effective draws.
    """

    question: str
    answer: Answer
    best: str | None
    leader: str
    chance_best: float
    expected_loss: float
    shortlist: tuple[str, ...]
    holds_best: float
    lots: tuple[LotRank, ...]
    top: int
    model: ModelName
    spread: float
    at_half: AtSpread
    at_spread: AtSpread
    at_twice: AtSpread
    order_effect: Estimate | None
    ties: tuple[Estimate, ...]
    tasters: tuple[TasterRank, ...]
    answers: int
    words: str
    would_settle: str
    warnings: tuple[str, ...]
    effective: float
