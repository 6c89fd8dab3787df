"""How the lots stand: from draws to chances, losses, the shortlist and the answer. Open `rank_lots`."""

from collections import Counter
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, ndtr

from wetleaf.numerics.rankings.evidence import Evidence
from wetleaf.numerics.rankings.posterior import SPREADS, Draws
from wetleaf.numerics.rankings.results import AtSpread, Estimate, LotRank, Ranking, TasterRank
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]

HOLDS_THE_BEST: Final = 0.9
NAMED_AT: Final = 0.9
INTERVAL: Final = 0.95
FEWEST_DRAWS: Final = 400
"""Effective draws below which nothing is named."""
_DRAWS: Final = 8000


def rank_lots(evidence: Evidence, *, rng: np.random.Generator, top: int = 3, draws: int = _DRAWS) -> Ranking:
    """Return how the lots stand, which may be the best, and whether one can be named.

    Named is a lot that is the best with a chance of 90 %, leads at half and at twice the prior's spread
    too, and was met in two rows or more. `top`: k of the chance to be among the top k. Raises BadInput for
    no lots or a top below 1, Unsettled when no mode is found.

    >>> from wetleaf.numerics.rankings import evidence_of, pair_answer
    >>> heard = evidence_of([pair_answer("a", "b", "a")] * 3 + [pair_answer("b", "a", "a")] * 3)
    >>> found = rank_lots(heard, rng=np.random.default_rng(1))
    >>> found.leader, found.answer, 0.75 < found.chance_best < 0.95
    ('a', 'yes', True)
    """
    if not evidence.lots:
        raise BadInput("There are no lots to rank.", way_out="Give at least one answer.")
    if top < 1:
        raise BadInput(f"A top of {top} is none.", way_out="Ask for the top 1 or more.")
    known = evidence.draw(draws, rng)
    lots = _lot_ranks(evidence, known, min(top, len(evidence.lots)))
    return _assembled(evidence, known, lots, min(top, len(lots)))


def _assembled(evidence: Evidence, known: Draws, lots: tuple[LotRank, ...], top: int) -> Ranking:
    chances = np.array([lot.chance_best for lot in lots])
    shortlist, held = _shortlist([lot.lot for lot in lots], chances)
    half, same, twice = (_at_spread(evidence, known, i) for i in range(len(SPREADS)))
    leader = lots[0]
    named = len(lots) > 1 and _is_named(evidence, known, leader, (half, twice))
    return Ranking(
        question="Which lot is the best?",
        answer="yes" if named else "can't tell",
        best=leader.lot if named else None,
        leader=leader.lot,
        chance_best=leader.chance_best,
        expected_loss=leader.expected_loss,
        shortlist=shortlist,
        holds_best=held,
        lots=lots,
        top=top,
        model=evidence.assumed.model,
        spread=evidence.assumed.spread,
        at_half=half,
        at_spread=same,
        at_twice=twice,
        order_effect=_order_effect(evidence, known),
        ties=_ties(evidence, known),
        tasters=_tasters(evidence, known),
        answers=len(evidence.answers),
        words=_words(evidence, lots, shortlist, held, named=named),
        would_settle=_would_settle(shortlist, leader, named=named),
        warnings=(*evidence.warnings, *_warnings(evidence, known, leader)),
        effective=known.effective,
    )


def _is_named(evidence: Evidence, known: Draws, leader: LotRank, others: Sequence[AtSpread]) -> bool:
    """Sure enough, whatever the spread, in more than one row of bowls, and by enough draws."""
    return (
        leader.chance_best >= NAMED_AT
        and all(at.leader == leader.lot for at in others)
        and _rows_of(evidence, leader.lot) > 1
        and known.effective >= FEWEST_DRAWS
    )


def _lot_ranks(evidence: Evidence, known: Draws, top: int) -> tuple[LotRank, ...]:
    weights = known.weights
    strengths = known.strengths - known.strengths.mean(axis=1, keepdims=True)
    middle = weights @ strengths
    best = strengths.max(axis=1)
    low, high = _quantiles(strengths, weights)
    chance_best = np.bincount(strengths.argmax(axis=1), weights, minlength=strengths.shape[1])
    among = weights @ ((-strengths).argsort(axis=1).argsort(axis=1) < top)
    loss = weights @ best - middle
    met = _records(evidence)
    return tuple(
        LotRank(
            lot,
            float(middle[i]),
            float(low[i]),
            float(high[i]),
            float(min(1.0, chance_best[i])),
            float(min(1.0, among[i])),
            float(max(0.0, loss[i])),
            *met[lot],
        )
        for i in np.argsort(-middle, kind="stable")
        for lot in [evidence.lots[i]]
    )


def _quantiles(values: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """The ends of the 95 % interval of each column."""
    order = values.argsort(axis=0)
    reached = weights[order].cumsum(axis=0)
    ends = []
    for share in ((1 - INTERVAL) / 2, (1 + INTERVAL) / 2):
        place = np.minimum((reached < share).sum(axis=0), len(values) - 1)
        ends.append(np.take_along_axis(values, np.take_along_axis(order, place[None], axis=0), axis=0)[0])
    return ends[0], ends[1]


def _records(evidence: Evidence) -> dict[str, tuple[int, int, int, int]]:
    """Of each lot: rows it was in, lots it was put above, below and level with."""
    found = {lot: np.zeros(4, dtype=int) for lot in evidence.lots}
    for answer in evidence.answers:
        below = len(answer.lots)
        for place in answer.places:
            below -= len(place)
            above = len(answer.lots) - below - len(place)
            for lot in place:
                found[lot] += (1, below, above, len(place) - 1)
        for lot in answer.rest:
            found[lot] += (1, 0, len(answer.lots) - len(answer.rest), 0)
    return {lot: (int(n[0]), int(n[1]), int(n[2]), int(n[3])) for lot, n in found.items()}


def _rows_of(evidence: Evidence, lot: str) -> int:
    """Rows of bowls that held the lot; an answer without a row stands for its own."""
    rows = [answer.row for answer in evidence.answers if lot in answer.lots]
    return len({row for row in rows if row is not None}) + rows.count(None) + (lot in evidence.rated)


def _shortlist(lots: Sequence[str], chances: Floats) -> tuple[tuple[str, ...], float]:
    """The fewest lots that hold the best with 90 %."""
    order = np.argsort(-chances, kind="stable")
    held = chances[order].cumsum()
    size = min(int(np.searchsorted(held, HOLDS_THE_BEST - 1e-12)) + 1, len(lots))
    return tuple(lots[i] for i in order[:size]), float(min(1.0, held[size - 1]))


def _at_spread(evidence: Evidence, known: Draws, which: int) -> AtSpread:
    weights, strengths = known.by_spread[which], known.strengths
    means = weights @ strengths
    chances: Floats = np.bincount(strengths.argmax(axis=1), weights, minlength=len(means)).astype(float)
    order = np.argsort(-means, kind="stable")
    shortlist, _ = _shortlist([evidence.lots[i] for i in order], chances[order])
    leader = int(order[0])
    return AtSpread(
        float(evidence.assumed.spread * SPREADS[which]),
        float(known.evidence[which]),
        evidence.lots[leader],
        float(min(1.0, chances[leader])),
        float(max(0.0, weights @ strengths.max(axis=1) - means[leader])),
        shortlist,
    )


def _estimate(values: Floats, weights: Floats) -> Estimate:
    low, high = _quantiles(values[:, None], weights)
    return Estimate(float(weights @ values), float(low[0]), float(high[0]))


def _order_effect(evidence: Evidence, known: Draws) -> Estimate | None:
    if not evidence.has_order:
        return None
    return _estimate(known.points[:, len(evidence.lots)], known.weights)


def _ties(evidence: Evidence, known: Draws) -> tuple[Estimate, ...]:
    first = len(evidence.lots) + evidence.has_order
    return tuple(_estimate(known.points[:, first + one], known.weights) for one in range(evidence.ties))


def _tasters(evidence: Evidence, known: Draws) -> tuple[TasterRank, ...]:
    answers = Counter(answer.taster for answer in evidence.answers)
    logs = np.log(evidence.steadiness(known))
    return tuple(
        TasterRank(taster, _exponential(_estimate(logs[:, i], known.weights)), answers[taster])
        for i, taster in enumerate(evidence.tasters)
    )


def _exponential(logs: Estimate) -> Estimate:
    return Estimate(*(float(np.exp(value)) for value in (logs.value, logs.low, logs.high)))


def _warnings(evidence: Evidence, known: Draws, leader: LotRank) -> list[str]:
    found = []
    untasted = [lot for lot, met in _records(evidence).items() if not met[0] and lot not in evidence.rated]
    if len(evidence.lots) == 1:
        found.append(f"There is only one lot, {evidence.lots[0]}: nothing to compare.")
    elif untasted:
        found.append(f"Never tasted, known from the prior alone: {', '.join(untasted)}.")
    if evidence.answers and _rows_of(evidence, leader.lot) == 1:
        found.append(
            f"{leader.lot} was met in one row only: one pot cannot tell a better lot from a better pot. "
            "Brew it again."
        )
    if known.effective < FEWEST_DRAWS:
        found.append(f"The chances rest on {known.effective:.0f} effective draws: take them as rough.")
    return found


def _words(
    evidence: Evidence, lots: Sequence[LotRank], shortlist: Sequence[str], held: float, *, named: bool
) -> str:
    if len(lots) == 1:
        return f"Only {lots[0].lot} was met. There is nothing to compare."
    tasters = max(1, len(evidence.tasters))
    whose = "this taster" if tasters == 1 else f"these {tasters} tasters"
    leader = lots[0]
    if named:
        return f"{leader.lot} is the best of {len(lots)} for {whose} (chance {leader.chance_best:.0%})."
    if len(shortlist) == len(lots):
        return f"Any of the {len(lots)} lots may be the best for {whose}; {leader.lot} leads."
    listed = " or ".join(shortlist)
    return (
        f"The best of {len(lots)} for {whose} is {listed} (chance {held:.0%}); {leader.lot} leads with a "
        f"chance of {leader.chance_best:.0%}. Choosing it now gives up "
        f"{_loss_said(evidence, leader.expected_loss)}."
    )


def _loss_said(evidence: Evidence, loss: float) -> str:
    """A loss in units of strength, and how often a lot that much stronger would be preferred."""
    chance = ndtr(loss) if evidence.assumed.model == "thurstone" else expit(loss)
    return (
        f"{loss:.2f} of strength on average (a lot that much better is preferred {100 * chance:.0f} "
        "times in 100)"
    )


def _would_settle(shortlist: Sequence[str], leader: LotRank, *, named: bool) -> str:
    if named:
        return "Nothing is open."
    rivals = [lot for lot in shortlist if lot != leader.lot]
    if not rivals:
        return f"Brew {leader.lot} again beside the next best."
    return f"Brew {leader.lot} again beside {', '.join(rivals)}; `wetleaf rank next` names the row."
