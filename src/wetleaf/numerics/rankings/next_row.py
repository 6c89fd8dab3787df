"""The next row to brew: the pair, or the row of three to six bowls, that lowers the expected loss most.

For each row that might be served and each answer it might bring, the draws are weighed anew and the best
lot chosen anew; the mean gain over choosing now is the expected value of the answer (Raiffa and Schlaifer
1961; one step of the knowledge gradient, Frazier, Powell and Dayanik 2009). Where no single answer could
change the choice, the row that tells most of *which lot is best* is taken (mutual information). All pairs
are weighed; a row grows from the best pair by the bowl that adds most. Of a row of five or six the first
three places are weighed.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import reduce
from math import perm
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, ndtr

from wetleaf.numerics.rankings.evidence import Evidence
from wetleaf.numerics.rankings.posterior import Draws
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]

LARGEST_ROW: Final = 6
MOST_PLANNED: Final = 40
USUAL_BOWLS: Final = 4
STOP_CHANCE: Final = 0.9
STOP_LOSS: Final = 0.05
_PLACES: Final = 3  # of a row that are weighed
_NO_GAIN: Final = 1e-6
_LEAST: Final = 1e-300
_PLANNING_DRAWS: Final = 1000


@dataclass(frozen=True, slots=True)
class SuggestedRow:
    """Lots to brew side by side, in serving order. `gain`: expected lowering of the expected loss, `told`:
    what it tells of which lot is best (nats), each by one taster's answer."""

    lots: tuple[str, ...]
    gain: float
    told: float

    @property
    def gain_per_cup(self) -> float:
        return self.gain / len(self.lots)


@dataclass(frozen=True, slots=True)
class NextRow:
    """What to brew next. `stop`: whether to stop instead, and `why`."""

    question: str
    stop: bool
    why: str
    pair: SuggestedRow | None
    row: SuggestedRow | None
    leader: str
    chance_best: float
    expected_loss: float
    warnings: tuple[str, ...]


def next_row(
    evidence: Evidence,
    *,
    rng: np.random.Generator,
    bowls: int = USUAL_BOWLS,
    taster: str | None = None,
    stop_chance: float = STOP_CHANCE,
    stop_loss: float = STOP_LOSS,
) -> NextRow:
    """Return the next pair and the next row of `bowls` (2 to 6), and whether to stop.

    Stop when the leader is the best with `stop_chance`, or the expected loss of choosing it is `stop_loss` or
    less: what another cup is worth, in units of strength. `taster`: who will taste, for steadiness and
    recognition. Raises BadInput for fewer than two lots, other bowls, levels that are no chances, an
    unknown taster.

    >>> from wetleaf.numerics.rankings import evidence_of, pair_answer
    >>> heard = evidence_of([pair_answer("a", "b", "a"), pair_answer("c", "b", "c")])
    >>> next_row(heard, rng=np.random.default_rng(1)).pair.lots
    ('a', 'c')
    """
    _check(evidence, bowls, taster, stop_chance, stop_loss)
    draws = evidence.draw(2 * _PLANNING_DRAWS, rng)
    kept = _resampled(draws.weights, rng)
    plan = _Plan.of(evidence, draws.strengths[kept], _steadiness(evidence, taster, draws)[kept], taster)
    chances = np.bincount(draws.strengths.argmax(axis=1), draws.weights, minlength=len(evidence.lots))
    means = draws.weights @ draws.strengths
    leader = int(means.argmax())
    loss = float(draws.weights @ draws.strengths.max(axis=1) - means[leader])
    chance = float(chances[leader])
    path = plan.grown(min(bowls, len(evidence.lots), MOST_PLANNED))
    stop, why = _stopping(chance, loss, stop_chance, stop_loss, evidence.lots[leader])
    return NextRow(
        question="Which lots should be brewed next?",
        stop=stop,
        why=why,
        pair=path[0],
        row=path[-1] if len(path) > 1 else None,
        leader=evidence.lots[leader],
        chance_best=chance,
        expected_loss=loss,
        warnings=evidence.warnings,
    )


def _check(evidence: Evidence, bowls: int, taster: str | None, chance: float, loss: float) -> None:
    if len(evidence.lots) < 2:
        raise BadInput("There is only one lot: nothing to compare.", way_out="Name two lots or more.")
    if not 2 <= bowls <= LARGEST_ROW:
        raise BadInput(f"A row of {bowls} bowls is not planned.", way_out=f"Ask for 2 to {LARGEST_ROW}.")
    if not 0 < chance < 1:
        raise BadInput(f"{chance} is no chance to stop at.", way_out="Give a chance such as 0.9.")
    if not loss >= 0:
        raise BadInput(f"A cup cannot be worth {loss}.", way_out="Give 0 or more, such as 0.05.")
    if taster is not None and evidence.answers and taster not in evidence.tasters:
        raise BadInput(
            f"The taster {taster!r} is in no answer.",
            way_out=f"Name one of: {', '.join(evidence.tasters)}; or none.",
        )


def _steadiness(evidence: Evidence, taster: str | None, draws: Draws) -> Floats:
    """The steadiness of who will taste; of nobody in particular: the unit."""
    if taster is None or len(evidence.tasters) < 2:
        return np.ones(len(draws.points))
    return evidence.steadiness(draws)[:, evidence.tasters.index(taster)]


def _resampled(weights: Floats, rng: np.random.Generator) -> NDArray[np.intp]:
    """Systematic resampling to equal weights."""
    places = (np.arange(_PLANNING_DRAWS) + rng.random()) / _PLANNING_DRAWS
    return np.minimum(np.searchsorted(weights.cumsum(), places), len(weights) - 1)


def _stopping(
    chance: float, loss: float, stop_chance: float, stop_loss: float, leader: str
) -> tuple[bool, str]:
    if chance >= stop_chance:
        return True, f"{leader} is the best with a chance of {chance:.0%}: enough."
    if loss <= stop_loss:
        return (
            True,
            f"Choosing {leader} now gives up {loss:.3f} on average, no more than another cup is worth.",
        )
    return False, (
        f"{leader} leads (chance {chance:.0%}, asked {stop_chance:.0%}); choosing it now gives up {loss:.2f} "
        "on average."
    )


@dataclass(frozen=True, slots=True)
class _Plan:
    """Equally weighted draws and what they say: `seen` strengths as the taster meets them, `is_best` one
    per draw."""

    lots: tuple[str, ...]
    strengths: Floats
    seen: Floats
    is_best: Floats
    normal: bool
    met: frozenset[frozenset[str]]
    recognised: float
    been_first: Counter[str]

    @classmethod
    def of(cls, evidence: Evidence, strengths: Floats, steadiness: Floats, taster: str | None) -> "_Plan":
        asked = taster if taster is not None or len(evidence.tasters) != 1 else evidence.tasters[0]
        return cls(
            evidence.lots,
            strengths - strengths.mean(axis=0).max(),
            strengths * steadiness[:, None],
            np.eye(len(evidence.lots))[strengths.argmax(axis=1)],
            evidence.assumed.model == "thurstone",
            frozenset(frozenset(answer.lots) for answer in evidence.answers if answer.taster == asked),
            evidence.assumed.recognised,
            Counter(answer.first for answer in evidence.answers if answer.first is not None),
        )

    def grown(self, bowls: int) -> list[SuggestedRow]:
        """The best pair and the best row grown from it."""
        likely = self._likeliest()
        rows = np.sort(likely[np.column_stack(np.triu_indices(likely.size, 1))], axis=1)
        best, first = self._best(rows, self._pair_chances(rows))
        found = [first]
        while len(best) < bowls and not self.normal:
            others = [int(lot) for lot in likely if lot not in best]
            rows = np.array([[*best, other] for other in others])
            best, grown = self._best(rows, self._row_chances(best, others))
            found = [first, grown]
        return found

    def _likeliest(self) -> NDArray[np.intp]:
        """The lots that are planned with: of many, those most often best, then strongest."""
        order = np.lexsort((-self.strengths.mean(axis=0), -self.is_best.mean(axis=0)))
        return np.sort(order[:MOST_PLANNED])

    def _best(self, rows: NDArray[np.intp], chances: Floats) -> tuple[list[int], SuggestedRow]:
        """The row of which an answer is worth most, given the chances (rows, answers, draws)."""
        count, answers, draws = chances.shape
        lots = len(self.lots)
        joint = chances.reshape(-1, draws) @ np.hstack([self.strengths, self.is_best]) / draws
        after = joint[:, :lots].max(axis=1).reshape(count, answers).sum(axis=1)
        gain = after - self.strengths.mean(axis=0).max()
        gain = np.where(gain > _NO_GAIN, gain, 0)
        told = _information(joint[:, lots:], self.is_best.mean(axis=0)).reshape(count, answers).sum(axis=1)
        if self.met and self.recognised:
            fresh = self._freshness(rows)
            gain, told = gain * fresh, told * fresh
        chosen = int((gain if gain.max() > 0 else told).argmax())
        best = [int(lot) for lot in rows[chosen]]
        return best, SuggestedRow(self._served(best), float(gain[chosen]), float(told[chosen]))

    def _freshness(self, rows: NDArray[np.intp]) -> Floats:
        """What an answer counts where the taster met these lots before, see `repeats`."""
        known = np.array([frozenset(self.lots[lot] for lot in row) in self.met for row in rows])
        return np.where(known, 1 - self.recognised, 1.0)

    def _served(self, row: Sequence[int]) -> tuple[str, ...]:
        """Who has been first least often is first now."""
        names = [self.lots[lot] for lot in row]
        return tuple(sorted(names, key=lambda name: (self.been_first[name], name)))

    def _pair_chances(self, rows: NDArray[np.intp]) -> Floats:
        seen = np.ascontiguousarray(self.seen.T)
        apart = seen[rows[:, 0]] - seen[rows[:, 1]]
        found = np.empty((len(rows), 2, apart.shape[1]))
        found[:, 0] = ndtr(apart) if self.normal else expit(apart)
        found[:, 1] = 1 - found[:, 0]
        return found

    def _row_chances(self, row: Sequence[int], others: Sequence[int]) -> Floats:
        """Chances (others, answers, draws) of the first places of the row with each of the others added."""
        worth = np.exp(self.seen - self.seen.max(axis=1, keepdims=True)).T + _LEAST
        bowls = [worth[[lot]] for lot in row] + [worth[list(others)]]
        places = min(_PLACES, len(bowls) - 1)
        found = np.empty((len(others), perm(len(bowls), places), worth.shape[1]))
        for number, chance in enumerate(_orders(bowls, 1.0, places)):
            found[:, number] = chance
        return found


def _orders(bowls: list[Floats], chance: Floats | float, places: int) -> Iterator[Floats | float]:
    """Chances of every order of the first places, those that begin alike sharing their beginning."""
    if not places:
        yield chance
        return
    begun = chance / reduce(np.add, bowls)
    for i, bowl in enumerate(bowls):
        yield from _orders(bowls[:i] + bowls[i + 1 :], begun * bowl, places - 1)


def _information(joint: Floats, best: Floats) -> Floats:
    """Each answer's part of what is told on which lot is best, of joint chances (answers, lots)."""
    alone = joint.sum(axis=1, keepdims=True) * best
    return np.asarray((joint * np.log(np.maximum(joint, 1e-300) / np.maximum(alone, 1e-300))).sum(axis=1))
