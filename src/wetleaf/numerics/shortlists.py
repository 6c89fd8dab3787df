"""Which lots of a class may be the best, when most have one liking from one taster: a shortlist.

Open `shortlist`. The model is in `wetleaf.numerics.likings`; docs/reference/methods.md says what it claims.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.likings import (
    PRIOR_SHARE_OF_SCALE,
    LikingDraws,
    Rating,
    Steadiness,
    draw_likings,
)
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]

HOLDS_THE_BEST: Final = 0.9
_STOP_AT: Final = 0.92  # computed chance at which the true one was 90 % in simulation, see docs/reference
WORTH_ANOTHER_CUP: Final = (
    0.975  # lots to taste again hold the best with this chance, or 90 % is out of reach
)
INTERVAL: Final = 0.95
MOST_MORE_CUPS: Final = 12


@dataclass(frozen=True, slots=True)
class LotStanding:
    """One lot: its liking drawn towards the class by as much as one cup is unsure, with a 95 % interval."""

    lot: str
    estimate: float
    low: float
    high: float
    chance_best: float
    cups: int
    brews: int


@dataclass(frozen=True, slots=True)
class Settling:
    """What would settle it: `more_cups` of each of `lots` by every taster, side by side, then the lot in the
    lead is the best with `chance`. `more_cups` is None when 12 more of each would still leave it open."""

    lots: tuple[str, ...]
    more_cups: int | None
    chance: float


@dataclass(frozen=True, slots=True)
class Shortlist:
    """Which lot of the class is the best? `answer` is "yes" only when `best` names it.

    `lots` from the best liked down; `shortlist` is the smallest set that holds the best with chance
    `holds_best` (90 % or more); `expected_loss` is the liking given up on average by choosing `leader` now.
    `at_half` and `at_twice` are the shortlist when unsteadiness was assumed (`steadiness` "assumed") and is
    in truth half or twice as large.
    """

    question: str
    answer: Literal["yes", "can't tell"]
    lots: tuple[LotStanding, ...]
    shortlist: tuple[str, ...]
    holds_best: float
    leader: str | None
    best: str | None
    expected_loss: float
    settling: Settling | None
    steadiness: Literal["repeated cups", "partly assumed", "assumed"]
    at_half: tuple[str, ...] | None
    at_twice: tuple[str, ...] | None
    words: str
    would_settle: str
    warnings: tuple[str, ...]


def shortlist(
    ratings: Sequence[Rating],
    *,
    scale: tuple[float, float],
    rng: np.random.Generator,
    steadiness: Mapping[str, Steadiness] | None = None,
) -> Shortlist:
    """Return which lots of one class may be the best.

    `ratings` are likings on `scale` (lowest, highest), one record a cup; `steadiness` is what repeated cups
    of the season, other than these, say about each taster. A best lot is named only when its chance is 92 %
    and it was met in two brews or more; a second cup by the same taster counts as a second brew unless brews
    are given. The claim is about these tasters. Raises BadInput for an empty scale or a liking off it.

    >>> cups = [Rating(lot, "A", liking) for lot, liking in {"one": 8, "two": 7, "three": 3}.items()]
    >>> found = shortlist(cups, scale=(1, 9), rng=np.random.default_rng(7))
    >>> found.answer, found.leader, found.best
    ("can't tell", 'one', None)
    """
    given = _checked(ratings, scale)
    lots = tuple(dict.fromkeys(rating.lot for rating in given))
    warnings = _warnings(ratings, given)
    if len(lots) < 2:
        return _nothing_to_compare(given, lots, warnings)
    known = dict(steadiness or {})
    prior_sd = (scale[1] - scale[0]) * PRIOR_SHARE_OF_SCALE
    draws = draw_likings(given, known, lots=lots, prior_sd=prior_sd, rng=rng)
    source = _steadiness_source(given, known)
    half, twice = (
        tuple(
            _smallest_set(draw_likings(given, {}, lots=lots, prior_sd=prior_sd * by, rng=rng).lots, lots)[0]
        )
        if source == "assumed"
        else None
        for by in (0.5, 2.0)
    )
    return _assemble(given, lots, draws, source, half, twice, warnings, rng)


def _checked(ratings: Sequence[Rating], scale: tuple[float, float]) -> list[Rating]:
    low, high = scale
    if not (np.isfinite(low) and np.isfinite(high) and low < high):
        raise BadInput(
            f"A scale from {low:g} to {high:g} is none.", way_out="Give the lowest, then the highest."
        )
    given = [rating for rating in ratings if rating.liking is not None and not np.isnan(rating.liking)]
    for rating in given:
        if not low <= float(rating.liking or 0.0) <= high:
            raise BadInput(
                f"{rating.lot}: {rating.taster}'s liking {rating.liking:g} is outside {low:g} to {high:g}.",
                way_out="Correct the liking or the scale.",
            )
    return given


def _warnings(ratings: Sequence[Rating], given: Sequence[Rating]) -> tuple[str, ...]:
    said = []
    missing = len(ratings) - len(given)
    if missing:
        said.append(f"{missing} of {len(ratings)} cups have no liking and were left out.")
    if len(given) > 1 and len({rating.liking for rating in given}) == 1:
        said.append("Every cup got the same liking.")
    if not _tied(given):
        said.append(
            "Some lots share no taster and sitting, even by way of others: they are compared by guess."
        )
    return tuple(said)


def _tied(given: Sequence[Rating]) -> bool:
    """Whether every lot can be reached from every other through tasters who met both in a sitting."""
    groups: list[set[object]] = []
    for rating in given:
        joined: set[object] = {("lot", rating.lot), ("level", rating.taster, rating.sitting)}
        for group in [group for group in groups if group & joined]:
            groups.remove(group)
            joined |= group
        groups.append(joined)
    return len(groups) <= 1


def _steadiness_source(
    given: Sequence[Rating], known: Mapping[str, Steadiness]
) -> Literal["repeated cups", "partly assumed", "assumed"]:
    met = Counter((rating.taster, rating.sitting, rating.lot) for rating in given)
    repeated = {taster for (taster, _, _), cups in met.items() if cups > 1}
    repeated |= {taster for taster, steady in known.items() if steady.df > 0}
    with_evidence = {rating.taster in repeated for rating in given}
    if with_evidence == {True}:
        return "repeated cups"
    return "partly assumed" if True in with_evidence else "assumed"


def _smallest_set(
    draws: Floats, lots: Sequence[str], holds: float = _STOP_AT
) -> tuple[list[str], Floats, float]:
    """The fewest lots that hold the best with that chance, the chance of each lot, and the chance held."""
    chances = np.bincount(draws.argmax(axis=1), minlength=len(lots)) / len(draws)
    order = np.lexsort((-draws.mean(axis=0), -chances))
    held = chances[order].cumsum()
    size = int(np.searchsorted(held, holds - 1e-12)) + 1
    return [lots[i] for i in order[:size]], chances, float(held[size - 1])


def _brews(given: Sequence[Rating], lot: str) -> int:
    """Pots of this lot: by name where named, else as many as the cups that one taster had of it."""
    own = [rating for rating in given if rating.lot == lot]
    named = len({rating.brew for rating in own if rating.brew is not None})
    unnamed = Counter(rating.taster for rating in own if rating.brew is None)
    return max(named, max(unnamed.values(), default=0))


def _assemble(
    given: Sequence[Rating],
    lots: tuple[str, ...],
    draws: LikingDraws,
    source: Literal["repeated cups", "partly assumed", "assumed"],
    half: tuple[str, ...] | None,
    twice: tuple[str, ...] | None,
    warnings: tuple[str, ...],
    rng: np.random.Generator,
) -> Shortlist:
    chosen, chances, held = _smallest_set(draws.lots, lots)
    standings = _standings(given, lots, draws, chances)
    leader = standings[0]
    steady_whatever = all(other is None or len(other) == 1 for other in (half, twice))
    named = chosen == [leader.lot] and leader.brews > 1 and steady_whatever
    settling = None if named else _settling(draws, lots, rng)
    loss = float((draws.lots.max(axis=1) - draws.lots[:, lots.index(leader.lot)]).mean())
    return Shortlist(
        question="Which lot of this class is the best?",
        answer="yes" if named else "can't tell",
        lots=standings,
        shortlist=tuple(chosen),
        holds_best=held,
        leader=leader.lot,
        best=leader.lot if named else None,
        expected_loss=loss,
        settling=settling,
        steadiness=source,
        at_half=half,
        at_twice=twice,
        words=_words(given, lots, chosen, held, leader, named),
        would_settle=_settling_words(settling, leader, loss),
        warnings=warnings,
    )


def _standings(
    given: Sequence[Rating], lots: Sequence[str], draws: LikingDraws, chances: Floats
) -> tuple[LotStanding, ...]:
    low, high = np.quantile(draws.lots, [(1 - INTERVAL) / 2, (1 + INTERVAL) / 2], axis=0)
    cups = Counter(rating.lot for rating in given)
    middle = draws.lots.mean(axis=0)
    return tuple(
        LotStanding(
            lots[i],
            float(middle[i]),
            float(low[i]),
            float(high[i]),
            float(chances[i]),
            cups[lots[i]],
            _brews(given, lots[i]),
        )
        for i in np.argsort(-middle, kind="stable")
    )


def _settling(draws: LikingDraws, lots: Sequence[str], rng: np.random.Generator) -> Settling:
    """Add more cups to what is known, each draw as if it were true; count how often the leader is right.

    What is known is taken as normal with the draws' mean and covariance; the new sitting has its own level.
    """
    worth = _smallest_set(draws.lots, lots, WORTH_ANOTHER_CUP)[0]
    again = [lots.index(lot) for lot in worth] if len(worth) > 1 else _top_two(draws)
    names = tuple(lots[i] for i in again)
    one_round = float(np.mean(1 / (1 / draws.sigma**2).sum(axis=1)))
    noise = rng.standard_normal((len(draws.lots), len(again))) * np.sqrt(one_round)
    chance = 0.0
    for more in range(1, MOST_MORE_CUPS + 1):
        chance = _chance_of_right_leader(draws.lots, again, noise / np.sqrt(more), one_round / more)
        if chance >= HOLDS_THE_BEST:
            return Settling(names, more, chance)
    return Settling(names, None, chance)


def _top_two(draws: LikingDraws) -> list[int]:
    return [int(i) for i in np.argsort(-draws.lots.mean(axis=0))[:2]]


def _chance_of_right_leader(lots: Floats, again: list[int], noise: Floats, variance: float) -> float:
    centre = lots.mean(axis=0)
    spread = np.cov(lots, rowvar=False)
    seen = lots[:, again] + noise
    level = 100 * (variance + float(np.diag(spread).max()))
    doubt = spread[np.ix_(again, again)] + variance * np.eye(len(again)) + level
    gain = np.linalg.solve(doubt, spread[again]).T
    after = centre + (seen - centre[again]) @ gain.T
    return float((after.argmax(axis=1) == lots.argmax(axis=1)).mean())


def _nothing_to_compare(
    given: Sequence[Rating], lots: tuple[str, ...], warnings: tuple[str, ...]
) -> Shortlist:
    nan = float("nan")
    words = (
        "No lot of this class has a liking." if not lots else f"Only {lots[0]} of this class has a liking."
    )
    standing = [
        LotStanding(
            lot, float(np.mean([rating.liking or 0.0 for rating in given])), nan, nan, 1.0, len(given), 0
        )
        for lot in lots
    ]
    return Shortlist(
        question="Which lot of this class is the best?",
        answer="can't tell",
        lots=tuple(standing),
        shortlist=lots,
        holds_best=1.0 if lots else nan,
        leader=lots[0] if lots else None,
        best=None,
        expected_loss=0.0 if lots else nan,
        settling=None,
        steadiness="assumed",
        at_half=None,
        at_twice=None,
        words=f"{words} There is nothing to compare.",
        would_settle="Rate two lots or more of the class in one sitting.",
        warnings=warnings,
    )


def _words(
    given: Sequence[Rating],
    lots: Sequence[str],
    chosen: Sequence[str],
    held: float,
    leader: LotStanding,
    named: bool,
) -> str:
    tasters = len({rating.taster for rating in given})
    whose = "this taster" if tasters == 1 else f"these {tasters} tasters"
    if named:
        return f"{leader.lot} is the best of {len(lots)} for {whose} (chance {leader.chance_best:.0%})."
    if len(chosen) == len(lots):
        return f"Any of the {len(lots)} lots may be the best for {whose}."
    if len(chosen) == 1:
        return f"{leader.lot} leads the {len(lots)} for {whose}, but more than one brew is needed to name it."
    return (
        f"The best of {len(lots)} for {whose} is among {_listed(chosen)} (chance {held:.0%}); "
        f"{leader.lot} leads."
    )


def _settling_words(settling: Settling | None, leader: LotStanding, loss: float) -> str:
    if settling is None:
        return "Nothing is open."
    listed = _listed(settling.lots)
    if settling.more_cups is None:
        return (
            f"Even {MOST_MORE_CUPS} more cups each of {listed} would leave it open "
            f"(chance {settling.chance:.0%}): they are close. Choosing {leader.lot} now gives up about "
            f"{loss:.1f} points of liking on average."
        )
    cups = "one more cup" if settling.more_cups == 1 else f"{settling.more_cups} more cups"
    return (
        f"Taste {listed} side by side again, {cups} each from new brews by every taster: the lot that leads "
        f"then is the best with a chance of {settling.chance:.0%}. Choosing {leader.lot} now gives up about "
        f"{loss:.1f} points of liking on average."
    )


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
