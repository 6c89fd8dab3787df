"""Is it last year's tea? This year's lot against last year's, through the cups in which the two met.

They meet when last year's kept sample is served beside this year's lots, or through another tea that was
served in flights of both. Where they never met there is nothing to compute: only the words of both years
can be read. A kept sample that has faded for all we know gives differences from itself as it is now, and no
answer about last year.
"""

import math
from dataclasses import dataclass, replace

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.grounds import digest_of
from wetleaf.findings.readings.cups import brews_of, tasters_of
from wetleaf.findings.readings.forebears import is_same_tea, kept_sample
from wetleaf.findings.readings.kept import KeptRead
from wetleaf.findings.readings.profiles import ANSWER_WORDS, AttributeRead, ProfileRead
from wetleaf.findings.readings.stated import StatedLot
from wetleaf.findings.readings.ties import Tie, Ties
from wetleaf.findings.records import LotRow, SeasonRecords, TargetRow
from wetleaf.numerics.continuity import (
    FEWEST_TO_DISAGREE,
    LEVEL,
    AttributeContinuity,
    Change,
    Continuity,
    continuity,
)
from wetleaf.trade.spelling import fold

METHOD = "differences on the taster by lot stratum, judged together (Holm; two one-sided tests)"
_MOST_OPEN = 3
ONLY_TWO = (
    "Two tasters cannot show that they are divided about this tea: it rests on how far they differ over all."
)
FEWEST_POTS = 2  # with fewer, and no pot named, a difference may be the pot's
ONE_POT = (
    "each had one pot, so this is about these two pots and not about the lots: "
    "a second pot would tell tea from pot"
)


@dataclass(frozen=True)
class ChangeRead:
    """How one attribute moved from last year's lot to this year's, with its plain 95 % interval.

    `low_90` to `high_90` is the interval held against the tolerance: it decides.
    """

    label: str
    difference: float
    low: float | None
    high: float | None
    tolerance: float | None
    answer: AnswerWord  # to "has it moved?"
    low_90: float | None = None
    high_90: float | None = None

    @property
    def excluded(self) -> float | None:
        """The smallest change that could be excluded, up or down: the tolerance that would just have held."""
        return smallest_excluded(self.low_90, self.high_90)


@dataclass(frozen=True)
class YearsRead:
    """This year's lot against last year's. `answer`: is it last year's tea? Without a profile they never met.

    `more_brews` of each of the two would settle it, if nothing has changed; None where brews would not.
    `kept` are the kept samples poured in its profile, `faded` those it rests on that may not have lasted:
    then there is no answer, and the changes are from the sample as it is now. `left_out` are faded ones that
    another tea made needless.
    """

    lot: LotRow
    before: LotRow
    answer: AnswerWord
    why: str
    changes: tuple[ChangeRead, ...]
    profile: ProfileRead | None
    how_met: str
    has_tolerance: bool
    more_brews: int | None
    digest: str
    kept: tuple[KeptRead, ...] = ()
    faded: tuple[KeptRead, ...] = ()
    left_out: tuple[KeptRead, ...] = ()
    resting: tuple[str, ...] = ()  # how far its tasters can bear it: divided, or only two

    @property
    def is_own_faded(self) -> bool:
        """Whether it is last year's own kept sample that may not have lasted, and not only a tie."""
        return any(one.lot.pk == self.before.pk for one in self.faded)

    @property
    def tea_before(self) -> str:
        """What last year's lot is called: by its own name where it is the same tea, else by its line."""
        same = is_same_tea(self.lot, self.before)
        return self.before.name if same or not self.before.line else self.before.line

    @property
    def moved(self) -> tuple[ChangeRead, ...]:
        """What moved, the largest first."""
        moved = [change for change in self.changes if change.answer == "yes"]
        return tuple(sorted(moved, key=lambda change: -abs(change.difference)))

    def change(self, label: str) -> ChangeRead | None:
        """The change of one attribute."""
        return next((change for change in self.changes if change.label == label), None)


def read_years(
    records: SeasonRecords, profiles: tuple[ProfileRead, ...], stated: dict[int, StatedLot]
) -> dict[int, YearsRead]:
    """Return how each lot stands to last year's tea, by the lot's row; lots without one are left out."""
    ties = Ties(records, stated, profiles)
    tied = {lot.pk: (lot, tie) for lot in records.lots if (tie := ties.of(lot)) is not None}
    return {pk: _compared(records, lot, tie) for pk, (lot, tie) in tied.items()}


def _compared(records: SeasonRecords, lot: LotRow, tie: Tie) -> YearsRead:
    if tie.profile is None:
        why = _why_never_met(records, lot, tie.before)
        return YearsRead(lot, tie.before, "can't tell yet", why, (), None, "", False, None, "")
    return _as_it_kept(_met(lot, tie, tie.profile, records.targets.get(lot.line, {})), tie)


def _as_it_kept(read: YearsRead, tie: Tie) -> YearsRead:
    """The comparison with the kept samples it rests on; without an answer where one may have faded."""
    read = replace(read, kept=tie.kept, faded=tie.faded, left_out=tie.left_out)
    if not tie.faded:
        return read
    return replace(read, answer="can't tell yet", why=_why_faded(tie), more_brews=None)


def _why_faded(tie: Tie) -> str:
    own = [one for one in tie.faded if one.lot.pk == tie.before.pk]
    one = own[0] if own else tie.faded[0]
    which = "the kept sample" if own else f"the tie, the kept sample of {one.lot.key},"
    does = "turned" if one.keeping and one.keeping.keeps == "turns" else "faded"
    return f"{which} has {does} for all we know, so it ties the scales of two sittings and no more"


def _met(lot: LotRow, tie: Tie, profile: ProfileRead, targets: dict[str, TargetRow]) -> YearsRead:
    before = tie.before
    tolerances = tolerances_of(profile, targets)
    changes = _changes(lot, before, profile, tolerances)
    tied = any(not math.isnan(change.difference) for change in changes)
    brews = min(brews_of(profile.table, lot.key), brews_of(profile.table, before.key))
    shared = tasters_of(profile.table, lot.key) | tasters_of(profile.table, before.key)
    found = continuity(changes, brews_each=brews, tasters=len(shared), tied=tied)
    about_pots = is_about_pots(profile, lot.key, before.key)
    answer: AnswerWord = "can't tell yet" if about_pots else ANSWER_WORDS[found.answer]
    return YearsRead(
        lot=lot,
        before=before,
        answer=answer,
        why=ONE_POT if about_pots else _why(found, tolerances),
        changes=tuple(_change(attribute, about_pots) for attribute in found.attributes),
        profile=profile,
        how_met=_how_met(lot, before, profile),
        has_tolerance=bool(tolerances),
        resting=() if about_pots else _resting(found),
        more_brews=1 if about_pots else found.more_brews,
        digest=digest_of(
            [*tolerances.items(), *(_as_row(one) for one in (*tie.kept, *tie.left_out))],
            table=profile.table.digest,
            pair=[lot.key, before.key],
            season=lot.season,
        ),
    )


def _as_row(one: KeptRead) -> tuple[str | int | None, ...]:
    """What an answer rests on in a kept sample: how its kind keeps, how it was kept and its age."""
    kind = one.keeping.kind if one.keeping else ""
    return "kept", one.lot.key, kind, one.how, one.months_since_picking, one.months_since_arrival


def _changes(lot: LotRow, before: LotRow, profile: ProfileRead, tolerances: dict[str, float]) -> list[Change]:
    """Every attribute that either tea was scored on; one that the other lacks stays, and can't be told."""
    return [
        _change_of(profile, attribute, lot, before, tolerances.get(attribute.label))
        for attribute in profile.attributes
        if {lot.key, before.key} & set(attribute.means)
    ]


def _change_of(
    profile: ProfileRead, attribute: AttributeRead, lot: LotRow, before: LotRow, tolerance: float | None
) -> Change:
    pair = attribute.pair(lot.key, before.key)
    if pair is None or pair.difference is None:
        return Change(attribute.label, math.nan, math.nan, math.nan, tolerance)
    return Change(
        attribute.label,
        pair.difference,
        _or_nan(pair.se),
        _or_nan(pair.df),
        tolerance,
        lasting_se=pair.se or 0.0,  # all of it, where the parts are not told
        parts=attribute.parts,
        by_taster=profile.table.differences(attribute.label, lot.key, before.key),
    )


def _or_nan(value: float | None) -> float:
    return math.nan if value is None else value


def tolerances_of(profile: ProfileRead, targets: dict[str, TargetRow]) -> dict[str, float]:
    """How far each attribute may lie off, as the house declared it; a tolerance said once serves for all."""
    for_all = targets[""].tolerance if "" in targets else None
    own = {fold(name): target.tolerance for name, target in targets.items() if name}
    found = {}
    for column in profile.table.attributes:
        tolerance = own.get(fold(column.attribute)) or for_all
        if tolerance is not None and tolerance > 0:
            found[column.label] = tolerance
    return found


def _change(attribute: AttributeContinuity, about_pots: bool) -> ChangeRead:
    stayed = ANSWER_WORDS[attribute.answer]
    turned: dict[AnswerWord, AnswerWord] = {"yes": "no", "no": "yes", "can't tell yet": "can't tell yet"}
    moved = "can't tell yet" if about_pots else turned[stayed]
    return ChangeRead(
        attribute.attribute,
        attribute.difference,
        _or_none(attribute.low),
        _or_none(attribute.high),
        attribute.tolerance,
        moved,
        _or_none(attribute.low_90),
        _or_none(attribute.high_90),
    )


def _resting(found: Continuity) -> tuple[str, ...]:
    divided = [one.attribute for one in found.attributes if one.is_divided and one.adjusted_p < LEVEL]
    said = f"The tasters are divided about {', '.join(divided)}, so no change is claimed there."
    only_two = found.answer == "no" and found.tasters == FEWEST_TO_DISAGREE - 1
    return (*([said] if divided else []), *([ONLY_TWO] if only_two else []))


def is_about_pots(profile: ProfileRead, *lots: str) -> bool:
    """Tell whether what is said of these lots may be their pots': one pot a lot, or one that nobody named."""
    table = profile.table
    one_pot = any(brews_of(table, lot) < FEWEST_POTS and lot in table.unnamed for lot in lots)
    return one_pot or any(attribute.claim == "these pots" for attribute in profile.attributes)


def smallest_excluded(low_90: float | None, high_90: float | None) -> float | None:
    """Return the smallest change that two one-sided tests at 5 % exclude, None without an interval.

    >>> smallest_excluded(-0.4, 1.1), smallest_excluded(None, None)
    (1.1, None)
    """
    return None if low_90 is None or high_90 is None else max(-low_90, high_90)


def _or_none(value: float) -> float | None:
    return None if math.isnan(value) else value


def _why(found: Continuity, tolerances: dict[str, float]) -> str:
    if found.answer == "yes":
        return "nothing moved beyond the tolerance"
    if found.answer == "no":
        return "it moved"
    if not tolerances:
        return "nothing surely moved, and without a tolerance sameness can't be shown"
    open_ = [attribute.attribute for attribute in found.attributes if attribute.answer == "can't tell"]
    named = ", ".join(open_[:_MOST_OPEN])
    more = f" and {len(open_) - _MOST_OPEN} more" if len(open_) > _MOST_OPEN else ""
    return f"nothing surely moved; still open: {named}{more}"


def _why_never_met(records: SeasonRecords, lot: LotRow, before: LotRow) -> str:
    scored = {records.lot_of_sample(row.sample).pk for row in records.scores if row.value is not None}
    if lot.pk not in scored:
        return "this year's was not scored, so only the words of both years can be read"
    if before.pk not in scored:
        return "last year's was never scored, so only the words of both years can be read"
    if kept_sample(records, before) is None:
        return "the two were never served together, no tea ties their flights, and no sample was kept"
    return "the two were never served together and no tea ties their flights; a kept sample is there"


def _how_met(lot: LotRow, before: LotRow, profile: ProfileRead) -> str:
    table = profile.table
    flights_of = {key: {cup.flight for cup in table.cups if cup.lot == key} for key in (lot.key, before.key)}
    both = flights_of[lot.key] & flights_of[before.key]
    how = "blind" if table.blind else "open"
    if both:
        names = [flight.told for flight in table.flights if flight.pk in both]
        return f"{before.code} was served beside it, {how}, in {' and '.join(names)}"
    ties = sorted({cup.lot for cup in table.cups} - {lot.key, before.key})
    return f"the two flights are tied by other teas ({', '.join(ties)}), {how}"
