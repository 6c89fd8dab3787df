"""One taster alone, over the season: how steadily the same tea was liked twice in one sitting.

Liking is what a choice rests on, so it is the summary: an overall column of a sheet, or the liking of a first
pass. A pair is two cups of one lot in one sitting; blind and open ones, and scales, are never put together.
"""

from collections import defaultdict
from dataclasses import dataclass

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.grounds import digest_of
from wetleaf.findings.readings.cups import Scale, is_liking, label_of
from wetleaf.findings.readings.profiles import ANSWER_WORDS
from wetleaf.findings.records import SeasonRecords
from wetleaf.numerics.profiles import Measured, season_alone

METHOD = "pairs of repeated cups: standard deviation of a cup (chi-squared), ICC(1,1) (exact interval)"
FEWEST_TOLD = 3  # pairs; two would give an interval as wide as the scale

NOT_BLIND = "Not said to be blind: who knows the tea repeats the answer."

_Where = tuple[str, bool, Scale]


@dataclass(frozen=True)
class AloneRead:
    """How steady one taster was over the season. `strays` is the standard deviation of one cup, in points.

    `alike`: how alike two cups of one lot are against cups of different lots, 1 the same, 0 as unlike.
    """

    taster: str
    blind: bool
    scale: Scale
    pairs: int
    strays: Measured
    alike: Measured
    steady: AnswerWord
    rule: str
    digest: str


def read_alone(records: SeasonRecords) -> tuple[AloneRead, ...]:
    """Return each taster's steadiness, who has most pairs first; with fewer than three pairs nothing."""
    found = [_read(where, pairs) for where, pairs in _pairs(records).items() if len(pairs) >= FEWEST_TOLD]
    return tuple(sorted(found, key=lambda one: (-one.pairs, one.taster, not one.blind)))


def _read(where: _Where, pairs: list[tuple[float, float]]) -> AloneRead:
    taster, blind, scale = where
    found = season_alone([first for first, _ in pairs], [second for _, second in pairs])
    steady: AnswerWord = ANSWER_WORDS[found.steady] if blind else "can't tell yet"
    return AloneRead(
        taster,
        blind,
        scale,
        found.pairs,
        found.repeat_sd,
        found.self_consistency,
        steady,
        found.rule if blind else NOT_BLIND,
        digest_of(pairs, taster=taster, blind=blind, scale=list(scale)),
    )


def _pairs(records: SeasonRecords) -> dict[_Where, list[tuple[float, float]]]:
    """Two cups of one lot in one sitting, first with second, third with fourth: no cup is counted twice."""
    found: dict[_Where, list[tuple[float, float]]] = defaultdict(list)
    for (taster, blind, scale, _, _), likings in _likings(records).items():
        found[taster, blind, scale] += zip(likings[::2], likings[1::2], strict=False)
    return found


def _likings(records: SeasonRecords) -> dict[tuple[str, bool, Scale, str, int | None], list[float]]:
    """Every liking of this season by taster, blindness, scale, tea and sitting (None: the first pass)."""
    found: dict[tuple[str, bool, Scale, str, int | None], list[float]] = defaultdict(list)
    scored = set()
    for row in records.scores:
        flight = records.flight_of[row.flight]
        if row.value is not None and is_liking(row.attribute) and flight.season == records.season:
            tea = label_of(records.lot_of_sample(row.sample), records.sample_of[row.sample])
            found[row.taster, flight.blind is True, flight.scale, tea, flight.pk].append(row.value)
            scored.add((row.taster, row.sample, flight.pk))
    mine = {lot.pk for lot in records.lots}
    for given in records.verdicts:
        lot = records.lot_of_sample(given.sample)
        of_the_same_cup = (given.taster, given.sample, given.flight) in scored
        if given.liking is None or lot.pk not in mine or of_the_same_cup:
            continue
        held = records.flight_of.get(given.flight) if given.flight is not None else None
        blind = held is not None and held.blind is True
        found[given.taster, blind, given.scale, lot.key, given.flight].append(given.liking)
    return found
