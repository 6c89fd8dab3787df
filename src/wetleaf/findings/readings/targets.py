"""Is a lot what its line should be: its means held against the target's values and tolerances."""

import math
from dataclasses import dataclass, field

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.grounds import digest_of
from wetleaf.findings.readings.cups import brews_of, tasters_of
from wetleaf.findings.readings.profiles import ANSWER_WORDS, ProfileRead
from wetleaf.findings.readings.years import is_about_pots, tolerances_of
from wetleaf.findings.records import LotRow, SeasonRecords, TargetRow
from wetleaf.numerics.continuity import AGAINST_TARGET, Change, continuity
from wetleaf.trade.spelling import fold

Band = tuple[float, float]
METHOD = "means less the target's values, judged together (Holm; two one-sided tests against the tolerance)"
ONE_POT = (
    "it had one pot, so this is about that pot and not about the lot: a second pot would tell tea from pot"
)


@dataclass(frozen=True)
class TargetRead:
    """A lot against its line's target, by attribute; `why` says what decided or stands in the way."""

    answer: AnswerWord
    why: str
    inside: tuple[str, ...]
    outside: tuple[str, ...]
    bands: dict[str, Band]
    digest: str
    off: dict[str, Band] = field(default_factory=dict)  # the 90 % interval of mean less value, which decides


def read_targets(records: SeasonRecords, profiles: tuple[ProfileRead, ...]) -> dict[int, TargetRead]:
    """Return how each lot stands to its line's target, by the lot's row.

    Lots whose line has no value to be held against, and lots without a score, are left out.
    """
    found: dict[int, TargetRead] = {}
    for lot in records.lots:
        targets = records.targets.get(lot.line, {})
        held = [one for one in profiles if lot.key in one.table.lots]
        profile = max(held, key=lambda one: (one.table.blind, len(one.table.cups)), default=None)
        if profile is not None and any(target.value is not None for target in targets.values()):
            found[lot.pk] = _read(lot, targets, profile)
    return found


def _read(lot: LotRow, targets: dict[str, TargetRow], profile: ProfileRead) -> TargetRead:
    wanted = _wanted(targets, profile)
    tolerances = tolerances_of(profile, targets)
    changes = [
        Change(label, mean.value - value, _or_nan(mean.se), _or_nan(mean.df), tolerances.get(label))
        for label, value in wanted.items()
        if (mean := profile.by_label[label].means.get(lot.key)) is not None
    ]
    unscored = _unscored(targets, profile, [change.attribute for change in changes])
    rows = [(label, value, tolerances.get(label)) for label, value in wanted.items()]
    digest = digest_of(rows, table=profile.table.digest, lot=lot.key)
    bands = {
        label: (value - tolerances[label], value + tolerances[label])
        for label, value in wanted.items()
        if label in tolerances
    }
    if not changes:
        return TargetRead("can't tell yet", "nothing that the target names was scored", (), (), bands, digest)
    brews, people = brews_of(profile.table, lot.key), tasters_of(profile.table, lot.key)
    found = continuity(changes, brews_each=brews, tasters=len(people), tied=True, against=AGAINST_TARGET)
    about_pots = is_about_pots(profile, lot.key)
    inside = () if about_pots else tuple(one.attribute for one in found.attributes if one.answer == "yes")
    outside = () if about_pots else tuple(one.attribute for one in found.attributes if one.answer == "no")
    answer: AnswerWord = "can't tell yet" if about_pots else ANSWER_WORDS[found.answer]
    off = {one.attribute: (one.low_90, one.high_90) for one in found.attributes if math.isfinite(one.low_90)}
    if unscored and answer == "yes":
        why = f"what was scored lies inside its tolerance, but not scored: {', '.join(unscored)}"
        return TargetRead("can't tell yet", why, inside, outside, bands, digest, off)
    why = ONE_POT if about_pots else _why(answer, [change.attribute for change in changes], inside, outside)
    return TargetRead(answer, why, inside, outside, bands, digest, off)


def _unscored(targets: dict[str, TargetRow], profile: ProfileRead, scored: list[str]) -> list[str]:
    """What the target names a value for and this lot was never scored on."""
    done = {fold(column.attribute) for column in profile.table.attributes if column.label in scored}
    return [name for name, target in targets.items() if target.value is not None and fold(name) not in done]


def _wanted(targets: dict[str, TargetRow], profile: ProfileRead) -> dict[str, float]:
    values = {fold(name): target.value for name, target in targets.items() if target.value is not None}
    return {
        column.label: value
        for column in profile.table.attributes
        if (value := values.get(fold(column.attribute))) is not None
    }


def _why(answer: AnswerWord, asked: list[str], inside: tuple[str, ...], outside: tuple[str, ...]) -> str:
    if answer == "yes":
        return "every attribute of the target lies inside its tolerance"
    if answer == "no":
        return f"off its target: {', '.join(outside)}"
    open_ = [label for label in asked if label not in inside]
    return f"neither surely inside its tolerance nor surely off: {', '.join(open_)}"


def _or_nan(value: float | None) -> float:
    return math.nan if value is None else value
