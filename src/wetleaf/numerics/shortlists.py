"""Which lots of a class may be the best, when most have one liking from one taster: a shortlist.

Open `shortlist`. The model is in `wetleaf.numerics.likings`; docs/reference/methods.md says what it claims.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.further_cups import MOST_MORE_CUPS, Settling, further_cups
from wetleaf.numerics.likings import (
    PRIOR_SHARE_OF_SCALE,
    USUAL_POT,
    LikingDraws,
    Rating,
    Steadiness,
    draw_likings,
    pots_of,
)
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]

_STOP_AT: Final = 0.92  # computed chance at which the true one was 90 % in simulation, see docs/reference
WORTH_ANOTHER_CUP: Final = (
    0.975  # lots to taste again hold the best with this chance, or 90 % is out of reach
)
INTERVAL: Final = 0.95
ENOUGH_SECOND_POTS: Final = 3  # beyond each lot's first: with fewer the pots' spread is partly assumed
FEWEST_POINTS: Final = 150  # effective ones, below which no chance is trusted
Source = Literal["repeated cups", "partly assumed", "assumed"]
PotsSource = Literal["second pots", "partly assumed", "assumed"]


@dataclass(frozen=True, slots=True)
class LotStanding:
    """One lot: its liking drawn towards the class by as much as its cups and pots are unsure, with a 95 %
    interval. `brews` counts its pots."""

    lot: str
    estimate: float
    low: float
    high: float
    chance_best: float
    cups: int
    brews: int


@dataclass(frozen=True, slots=True)
class Shortlist:
    """Which lot of the class is the best? `answer` is "yes" only when `best` names it.

    `lots` from the best liked down; `shortlist` is the smallest set that holds the best with chance
    `holds_best` (90 % or more); `expected_loss` is the liking given up on average by choosing `leader` now.
    `pots` says whether the pots' own error is known from second pots of the same lots. `at_half` and
    `at_twice` are the shortlist when what was assumed (`steadiness`, else the pots' error) is in truth half
    or twice as large; None when neither was assumed. `effective` is the number of points behind the chances.
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
    steadiness: Source
    pots: PotsSource
    at_half: tuple[str, ...] | None
    at_twice: tuple[str, ...] | None
    words: str
    would_settle: str
    warnings: tuple[str, ...]
    effective: float


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
    and it was met in two brews or more; which cups share a brew, where none is named: `likings.pots_of`. The
    claim is about these tasters, as an average. Raises BadInput for an empty scale or a liking off it.

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
    assumed = _Assumed(_steadiness_source(given, known), _pots_source(given), prior_sd)
    draws = draw_likings(given, known, lots=lots, prior_sd=prior_sd, rng=rng)
    half, twice = (_shortlist_at(by, given, known, lots, assumed, rng) for by in (0.5, 2.0))
    return _assemble(given, lots, draws, assumed, half, twice, warnings, rng)


@dataclass(frozen=True, slots=True)
class _Assumed:
    """Where the tasters' steadiness and the pots' error come from, and the prior sd of the former."""

    steadiness: Source
    pots: PotsSource
    prior_sd: float


def _shortlist_at(
    by: float,
    given: Sequence[Rating],
    known: Mapping[str, Steadiness],
    lots: tuple[str, ...],
    assumed: _Assumed,
    rng: np.random.Generator,
) -> tuple[str, ...] | None:
    """The shortlist if what is assumed were `by` times as large; None when nothing is."""
    if assumed.steadiness == "assumed":
        draws = draw_likings(given, {}, lots=lots, prior_sd=assumed.prior_sd * by, rng=rng)
    elif assumed.pots != "second pots":
        draws = draw_likings(
            given, known, lots=lots, prior_sd=assumed.prior_sd, rng=rng, usual_pot=USUAL_POT * by
        )
    else:
        return None
    return tuple(_smallest_set(draws.lots, lots)[0])


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


def _steadiness_source(given: Sequence[Rating], known: Mapping[str, Steadiness]) -> Source:
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


def _brews(given: Sequence[Rating]) -> Counter[str]:
    """Pots of each lot."""
    return Counter(lot for lot, _ in set(zip((rating.lot for rating in given), pots_of(given), strict=True)))


def _pots_source(given: Sequence[Rating]) -> PotsSource:
    second = sum(brews - 1 for brews in _brews(given).values())
    if not second:
        return "assumed"
    return "second pots" if second >= ENOUGH_SECOND_POTS else "partly assumed"


def _pots_are_shared(given: Sequence[Rating]) -> bool:
    """Whether two tasters ever drank of one pot."""
    met = {(rating.lot, pot, rating.taster) for rating, pot in zip(given, pots_of(given), strict=True)}
    return max(Counter((lot, pot) for lot, pot, _ in met).values()) > 1


def _assemble(
    given: Sequence[Rating],
    lots: tuple[str, ...],
    draws: LikingDraws,
    assumed: _Assumed,
    half: tuple[str, ...] | None,
    twice: tuple[str, ...] | None,
    warnings: tuple[str, ...],
    rng: np.random.Generator,
) -> Shortlist:
    chosen, chances, held = _smallest_set(draws.lots, lots)
    standings = _standings(given, lots, draws, chances)
    leader = standings[0]
    steady_whatever = all(other is None or len(other) == 1 for other in (half, twice))
    trusted = draws.effective >= FEWEST_POINTS
    named = chosen == [leader.lot] and leader.brews > 1 and steady_whatever and trusted
    settling = None if named else _settling(draws, lots, given, rng)
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
        steadiness=assumed.steadiness,
        pots=assumed.pots,
        at_half=half,
        at_twice=twice,
        words=_words(given, standings, chosen, held, named=named),
        would_settle=_settling_words(settling, leader, loss),
        warnings=warnings if trusted else (*warnings, _untrusted(draws)),
        effective=draws.effective,
    )


def _untrusted(draws: LikingDraws) -> str:
    return (
        f"The chances rest on {draws.effective:.0f} effective points, fewer than {FEWEST_POINTS}: take them "
        "as rough, and look for likings that were given on another scale."
    )


def _standings(
    given: Sequence[Rating], lots: Sequence[str], draws: LikingDraws, chances: Floats
) -> tuple[LotStanding, ...]:
    low, high = np.quantile(draws.lots, [(1 - INTERVAL) / 2, (1 + INTERVAL) / 2], axis=0)
    cups, brews = Counter(rating.lot for rating in given), _brews(given)
    middle = draws.lots.mean(axis=0)
    return tuple(
        LotStanding(
            lots[i],
            float(middle[i]),
            float(low[i]),
            float(high[i]),
            float(chances[i]),
            cups[lots[i]],
            brews[lots[i]],
        )
        for i in np.argsort(-middle, kind="stable")
    )


def _settling(
    draws: LikingDraws, lots: Sequence[str], given: Sequence[Rating], rng: np.random.Generator
) -> Settling:
    worth = _smallest_set(draws.lots, lots, WORTH_ANOTHER_CUP)[0]
    return further_cups(
        draws,
        lots,
        again=worth if len(worth) > 1 else _top_two(draws, lots),
        pots_are_shared=_pots_are_shared(given),
        pots_are_known=_pots_source(given) != "assumed",
        rng=rng,
    )


def _top_two(draws: LikingDraws, lots: Sequence[str]) -> list[str]:
    return [lots[int(i)] for i in np.argsort(-draws.lots.mean(axis=0))[:2]]


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
        pots="assumed",
        at_half=None,
        at_twice=None,
        words=f"{words} There is nothing to compare.",
        would_settle="Rate two lots or more of the class in one sitting.",
        warnings=warnings,
        effective=nan,
    )


def _words(
    given: Sequence[Rating], lots: Sequence[LotStanding], chosen: Sequence[str], held: float, *, named: bool
) -> str:
    tasters = len({rating.taster for rating in given})
    whose = "this taster" if tasters == 1 else f"these {tasters} tasters"
    leader, of_pots = lots[0], max(lot.brews for lot in lots) < 2
    assumed = ", with the pots' own error assumed" if of_pots else ""
    if named:
        return f"{leader.lot} is the best of {len(lots)} for {whose} (chance {leader.chance_best:.0%})."
    if len(chosen) == len(lots):
        return f"Any of the {len(lots)} lots may be the best for {whose}{assumed}."
    if len(chosen) == 1 and leader.brews < 2:
        return (
            f"{leader.lot} leads the {len(lots)} for {whose}, but more than one brew is needed to name it: "
            "one pot cannot tell a better lot from a better pot."
        )
    if len(chosen) == 1:
        return f"{leader.lot} leads the {len(lots)} for {whose}, but too much is assumed to name it."
    return (
        f"The best of {len(lots)} for {whose} is among {_listed(chosen)} (chance {held:.0%}{assumed}); "
        f"{leader.lot} leads."
    )


def _settling_words(settling: Settling | None, leader: LotStanding, loss: float) -> str:
    if settling is None:
        return "Nothing is open."
    listed = _listed(settling.lots)
    now = f"Choosing {leader.lot} now gives up about {loss:.1f} points of liking on average."
    if settling.more_cups is None:
        return (
            f"Even {MOST_MORE_CUPS} more pots each of {listed} would leave it open "
            f"(chance {settling.chance:.0%}): they are close. {now}"
        )
    if settling.first_step:
        return (
            f"First a second pot of each of {listed}, side by side, a cup for every taster: without one "
            f"nobody knows whether lots or pots differ. The lot that leads then is the best with a chance of "
            f"{settling.chance:.0%}. {now}"
        )
    pots = "one new pot" if settling.more_cups == 1 else f"each of {settling.more_cups} new pots"
    return (
        f"Taste {listed} side by side again, for every taster a cup of {pots} of each lot: the lot that "
        f"leads then is the best with a chance of {settling.chance:.0%}. {now}"
    )


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
