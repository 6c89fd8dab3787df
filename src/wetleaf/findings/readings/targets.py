"""Is a lot what its line should be: its profile held against the target's values and tolerances.

"Yes" needs every attribute's 90 % interval inside its band (two one-sided tests at 5 %, all must hold, so nothing is
to be adjusted). "No" needs one attribute's interval wholly outside, at 5 % shared among the attributes (Bonferroni).
"""

from dataclasses import dataclass

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.grounds import digest_of
from wetleaf.findings.readings.profiles import MeanRead, ProfileRead, read_means
from wetleaf.findings.records import LotRow, SeasonRecords, TargetRow
from wetleaf.trade.spelling import fold

Band = tuple[float, float]
ALPHA = 0.05


@dataclass(frozen=True)
class TargetRead:
    """A lot against its line's target, attribute by attribute; `why` says what decided or stands in the way."""

    answer: AnswerWord
    why: str
    inside: tuple[str, ...]
    outside: tuple[str, ...]
    open: tuple[str, ...]
    bands: dict[str, Band]
    digest: str


def read_targets(records: SeasonRecords, profiles: tuple[ProfileRead, ...]) -> dict[int, TargetRead]:
    """Return how each lot stands to its line's target, by the lot's row; lots without target or scores are left out."""
    found: dict[int, TargetRead] = {}
    means_of: dict[tuple[int, float], dict[str, dict[str, MeanRead]]] = {}
    for lot in records.lots:
        targets = _with_values(records.targets.get(lot.line, {}))
        held = [one for one in profiles if lot.key in one.table.lots]
        profile = max(held, key=lambda one: (one.table.blind, len(one.table.cups)), default=None)
        if targets and profile is not None:
            found[lot.pk] = _read(lot, targets, profile, means_of)
    return found


def _with_values(targets: dict[str, TargetRow]) -> dict[str, Band]:
    """The bands of a line; a tolerance said once for all serves where an attribute has none of its own."""
    for_all = targets[""].tolerance if "" in targets else None
    bands: dict[str, Band] = {}
    for attribute, target in targets.items():
        tolerance = target.tolerance if target.tolerance is not None else for_all
        if attribute and target.value is not None and tolerance is not None:
            bands[fold(attribute)] = (target.value - tolerance, target.value + tolerance)
    return bands


def _read(
    lot: LotRow,
    targets: dict[str, Band],
    profile: ProfileRead,
    means_of: dict[tuple[int, float], dict[str, dict[str, MeanRead]]],
) -> TargetRead:
    bands = {
        column.label: targets[fold(column.attribute)]
        for column in profile.table.attributes
        if fold(column.attribute) in targets
    }
    near = _means(profile, 1 - 2 * ALPHA, means_of)
    far = _means(profile, 1 - 2 * ALPHA / max(1, len(bands)), means_of)
    inside = tuple(
        label for label, band in bands.items() if _is_inside(near.get(label, {}).get(lot.key), band)
    )
    outside = tuple(
        label for label, band in bands.items() if _is_outside(far.get(label, {}).get(lot.key), band)
    )
    open_ = tuple(label for label in bands if label not in inside and label not in outside)
    answer, why = _decided(bands, outside, open_)
    rows = [(label, *band) for label, band in bands.items()]
    return TargetRead(
        answer, why, inside, outside, open_, bands, digest_of(rows, table=profile.table.digest, lot=lot.key)
    )


def _means(
    profile: ProfileRead, confidence: float, kept: dict[tuple[int, float], dict[str, dict[str, MeanRead]]]
) -> dict[str, dict[str, MeanRead]]:
    key = (id(profile), confidence)
    if key not in kept:
        kept[key] = read_means(profile.table, confidence)
    return kept[key]


def _is_inside(mean: MeanRead | None, band: Band) -> bool:
    if mean is None or mean.low is None or mean.high is None:
        return False
    return band[0] <= mean.low and mean.high <= band[1]


def _is_outside(mean: MeanRead | None, band: Band) -> bool:
    if mean is None or mean.low is None or mean.high is None:
        return False
    return mean.high < band[0] or mean.low > band[1]


def _decided(
    bands: dict[str, Band], outside: tuple[str, ...], open_: tuple[str, ...]
) -> tuple[AnswerWord, str]:
    if outside:
        return "no", f"outside its tolerance: {', '.join(outside)}"
    if bands and not open_:
        return "yes", "every attribute of the target lies inside its tolerance"
    if not bands:
        return "can't tell yet", "nothing that the target names was scored"
    return "can't tell yet", f"not surely inside its tolerance, nor outside: {', '.join(open_)}"
