"""Which lots are liked: likings of verdicts and an "Overall" of sheets, ranked within a line or a class only.

Ratings of one scale, blind or open, make a set; sets are never pooled and no scale is converted. A group of
lots is ranked by the set that holds most of its lots, among the blind ones where these together hold half of
the rated lots, and what is left out is said. Whatever ranks it, a lot that was liked blind shows its blind
liking, with the open one beside. Lots of which neither a line nor a class is said are not ranked: each has
its own mean and no more.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wetleaf.findings.grounds import digest_of
from wetleaf.findings.readings.cups import Scale, is_liking
from wetleaf.findings.readings.groups import NOT_RANKED, LotGroup
from wetleaf.findings.records import ScoreRow, SeasonRecords
from wetleaf.numerics.likings import Rating, Steadiness, pots_of, steadiness_from_repeats
from wetleaf.numerics.shortlists import LotStanding, Shortlist, shortlist

METHOD = (
    "likings with a level for each taster and sitting, lots drawn to the mean of their group; a shortlist"
)
FIRST_PASS = "first pass"
MEAN_METHOD = "the mean of its own cups, beside no other lot"


@dataclass(frozen=True)
class RatingSet:
    """Ratings that may stand together."""

    blind: bool
    scale: Scale
    ratings: tuple[Rating, ...]

    def of(self, lots: Iterable[str]) -> "RatingSet":
        """The ratings of some lots."""
        wanted = frozenset(lots)
        return RatingSet(self.blind, self.scale, tuple(r for r in self.ratings if r.lot in wanted))

    @property
    def lots(self) -> frozenset[str]:
        """The lots that were rated."""
        return frozenset(rating.lot for rating in self.ratings)

    @property
    def digest(self) -> str:
        """The digest of the ratings."""
        rows = ((r.lot, r.taster, r.liking, r.brew, r.sitting) for r in self.ratings)
        return digest_of(rows, blind=self.blind, scale=list(self.scale))

    @property
    def told(self) -> str:
        """How they were given, in words."""
        return f"{'blind' if self.blind else 'open'}, on {self.scale[0]:g} to {self.scale[1]:g}"


@dataclass(frozen=True)
class LikedLot:
    """How one lot of a group is liked.

    `ranked` is False where its cups cannot stand with those of the group. `beside` are its likings of other
    sets: plain means, the blind ones first.
    """

    value: float
    low: float
    high: float
    scale: Scale
    told: str
    ranked: bool
    chance_best: float | None
    cups: int
    tasters: int
    blind: bool
    mean: float  # of its own cups alone, not drawn to its group
    beside: tuple["LikedLot", ...] = ()

    @property
    def shown(self) -> "LikedLot":
        """The liking that speaks for the lot: the blind one where there is one, whichever set ranks it."""
        return self if self.blind else next((one for one in self.beside if one.blind), self)


@dataclass(frozen=True)
class LikedGroup:
    """The lots of one group by how they are liked.

    `says` is what may be claimed, `left_out` what was not pooled and why; `more_cups` of each of `again` by
    every taster would settle it, None where even a dozen would not.
    """

    used: RatingSet | None  # None where lots without line and class are not ranked
    lots: dict[str, LikedLot]
    shortlist: tuple[str, ...]
    best: str | None
    holds_best: float
    says: str
    would_settle: str
    again: tuple[str, ...]
    more_cups: int | None
    left_out: str
    notes: tuple[str, ...]
    digest: str


def rating_sets(records: SeasonRecords) -> tuple[RatingSet, ...]:
    """Return this season's ratings, set by set: likings of verdicts, and scores of an overall column.

    A verdict of a flight whose overall column its taster filled in for that tea is left out: the same
    cups.
    """
    sets: dict[tuple[bool, Scale], list[Rating]] = defaultdict(list)
    mine = {lot.pk for lot in records.lots}
    scored: set[tuple[int, int, str, Scale]] = set()
    for score in records.scores:
        lot, held = records.lot_of_sample(score.sample), records.flight_of[score.flight]
        if score.value is None or lot.pk not in mine or not is_liking(score.attribute):
            continue
        if _is_inside(score.value, held.scale):
            sets[held.blind is True, held.scale].append(
                Rating(lot.key, score.taster, score.value, _pot_of(records, score), held.name)
            )
            scored.add((score.flight, score.sample, score.taster, held.scale))
    for verdict in records.verdicts:
        lot = records.lot_of_sample(verdict.sample)
        flight = records.flight_of.get(verdict.flight) if verdict.flight is not None else None
        if (verdict.flight, verdict.sample, verdict.taster, verdict.scale) in scored:
            continue
        if verdict.liking is not None and lot.pk in mine and _is_inside(verdict.liking, verdict.scale):
            blind = flight is not None and flight.blind is True
            sitting = flight.name if flight else FIRST_PASS
            sets[blind, verdict.scale].append(Rating(lot.key, verdict.taster, verdict.liking, None, sitting))
    return tuple(RatingSet(*key, tuple(ratings)) for key, ratings in sets.items())


def _pot_of(records: SeasonRecords, score: ScoreRow) -> str | None:
    """The pot by its name, else by the replicate's: a replicate is a new brew. Every sample has its own."""
    name = score.brew or score.replicate
    return f"{records.sample_of[score.sample].code}/{name}" if name else None


def set_for(sets: Iterable[RatingSet], lots: Iterable[str]) -> RatingSet | None:
    """Return the set to rank these lots by: the fullest blind one, or the fullest of all.

    Blind goes first where the blind sets together hold half of the rated lots or more: an open first
    impression does not set aside what was answered blind, and two blind cups do not leave ten lots unranked.
    """
    wanted = frozenset(lots)
    held = [part for part in (ratings.of(wanted) for ratings in sets) if part.ratings]
    if not held:
        return None
    rated = frozenset().union(*(part.lots for part in held))
    blind = [part for part in held if part.blind]
    are_enough = 2 * len(frozenset().union(*(part.lots for part in blind))) >= len(rated)
    return max(
        blind if blind and are_enough else held,
        key=lambda part: (len(part.lots), len(part.ratings), part.scale),
    )


def read_liking(sets: tuple[RatingSet, ...], groups: tuple[LotGroup, ...]) -> dict[str, LikedGroup]:
    """Return how the lots of each group are liked, by the group's name; unrated groups are left out."""
    found: dict[str, LikedGroup] = {}
    for group in groups:
        used = set_for(sets, group.keys)
        if used is not None:
            found[group.name] = _group(used, sets, group) if group.can_be_ranked else _apart(sets, group)
    return found


def _apart(sets: tuple[RatingSet, ...], group: LotGroup) -> LikedGroup:
    """Lots that nobody knows to be of one kind: each by itself, none before another."""
    held = [part for part in (one.of(group.keys) for one in sets) if part.ratings]
    return LikedGroup(
        used=None,
        lots=_with_others(held, {}),
        shortlist=(),
        best=None,
        holds_best=0.0,
        says=NOT_RANKED,
        would_settle="Say of which class each is.",
        again=(),
        more_cups=None,
        left_out="",
        notes=(),
        digest=digest_of((part.digest,) for part in held),
    )


def _group(used: RatingSet, sets: tuple[RatingSet, ...], group: LotGroup) -> LikedGroup:
    whole = next(s for s in sets if (s.blind, s.scale) == (used.blind, used.scale))
    steadiness = _steadiness(whole, without=used.lots)
    digest = digest_of(
        ((name, known.sd, known.df) for name, known in steadiness.items()),
        ratings=used.digest,
        lots=sorted(used.lots),
    )
    # Chance is drawn from the inputs themselves: the same cups give the same numbers, in any order.
    rng = np.random.default_rng(int(digest[:16], 16))
    ratings = sorted(
        used.ratings, key=lambda r: (r.lot, r.taster, r.sitting or "", r.brew or "", r.liking or 0.0)
    )
    listed = shortlist(ratings, scale=used.scale, rng=rng, steadiness=steadiness)
    ranked = {standing.lot: _ranked(standing, used, alone=len(listed.lots) < 2) for standing in listed.lots}
    others = [
        part for part in (one.of(group.keys) for one in sets) if part.told != used.told and part.ratings
    ]
    return LikedGroup(
        used=used,
        lots=_with_others(others, ranked),
        shortlist=listed.shortlist,
        best=listed.best,
        holds_best=listed.holds_best,
        says=listed.words,
        would_settle=listed.would_settle,
        again=listed.settling.lots if listed.settling else (),
        more_cups=listed.settling.more_cups if listed.settling else None,
        left_out=_left_out(others, used),
        notes=(*listed.warnings, *_assumed(listed)),
        digest=digest,
    )


def _steadiness(ratings: RatingSet, *, without: frozenset[str]) -> dict[str, Steadiness]:
    """How steady each taster is, from cups met twice in a sitting, of the season's other lots.

    Of one pot where such cups are as many as those of new pots, in which the pots' own error is held.
    """
    others = [rating for rating in ratings.ratings if rating.lot not in without]
    found: dict[str, Steadiness] = {}
    for taster in sorted({rating.taster for rating in ratings.ratings}):
        own = [rating for rating in others if rating.taster == taster]
        one_pot = steadiness_from_repeats(_met_twice(own, pots_of(own)))
        any_pot = steadiness_from_repeats(_met_twice(own, [""] * len(own)))
        if any_pot is None:
            continue
        enough = one_pot is not None and 2 * one_pot.df >= any_pot.df
        found[taster] = one_pot if one_pot and enough else replace(any_pot, of_new_pots=True)
    return found


def _met_twice(own: list[Rating], pots: Sequence[str]) -> list[list[float]]:
    met: dict[tuple[str, str, str], list[float]] = defaultdict(list)
    for rating, pot in zip(own, pots, strict=True):
        if rating.liking is not None:
            met[rating.lot, rating.sitting or "", pot].append(rating.liking)
    return [sorted(likings) for _, likings in sorted(met.items())]


def _ranked(standing: LotStanding, used: RatingSet, *, alone: bool) -> LikedLot:
    own = [rating.liking or 0.0 for rating in used.ratings if rating.lot == standing.lot]
    return LikedLot(
        value=standing.estimate,
        low=max(standing.low, used.scale[0]),
        high=min(standing.high, used.scale[1]),
        scale=used.scale,
        told=used.told,
        ranked=not alone,
        chance_best=None if alone else standing.chance_best,
        cups=standing.cups,
        tasters=len({rating.taster for rating in used.ratings if rating.lot == standing.lot}),
        blind=used.blind,
        mean=sum(own) / len(own),
    )


def _with_others(others: list[RatingSet], ranked: dict[str, LikedLot]) -> dict[str, LikedLot]:
    """Put each lot's likings of other sets beside its rank; a lot with no others has its first, unranked."""
    means: dict[str, list[LikedLot]] = {lot: [one] for lot, one in ranked.items()}
    for part in sorted(others, key=lambda one: (not one.blind, -len(one.ratings))):
        for lot in sorted(part.lots):
            means.setdefault(lot, []).append(_mean(part, lot))
    return {lot: replace(found[0], beside=tuple(found[1:])) for lot, found in means.items()}


def _mean(part: RatingSet, lot: str) -> LikedLot:
    """How a lot is liked by the cups of one set alone: their mean, without an interval."""
    cups = [rating for rating in part.ratings if rating.lot == lot]
    mean = sum(rating.liking or 0.0 for rating in cups) / len(cups)
    return LikedLot(
        value=mean,
        low=math.nan,
        high=math.nan,
        scale=part.scale,
        told=part.told,
        ranked=False,
        chance_best=None,
        cups=len(cups),
        tasters=len({rating.taster for rating in cups}),
        blind=part.blind,
        mean=mean,
    )


def _left_out(others: list[RatingSet], used: RatingSet) -> str:
    if not others:
        return ""
    counts = ", ".join(f"{len(part.ratings)} {part.told}" for part in others)
    return f"ranked by likings given {used.told}; not pooled with them: {counts}"


def _assumed(listed: Shortlist) -> tuple[str, ...]:
    said = []
    if listed.steadiness != "repeated cups":
        which = "partly " if listed.steadiness == "partly assumed" else ""
        said.append(f"How steady the tasters are is {which}assumed: too few cups were met twice.")
    if listed.pots != "second pots" and len(listed.lots) > 1:
        few = "each lot had one pot" if listed.pots == "assumed" else "few lots had a second pot"
        said.append(f"How far one pot strays from the next is assumed: {few}.")
    return tuple(said)


def _is_inside(value: float, scale: Scale) -> bool:
    return scale[0] <= value <= scale[1]
