"""What happens to findings: a season's answers are kept, each once, with what they rest on."""

import math
from collections.abc import Iterator
from typing import Any

from django.db import transaction

from wetleaf import __version__
from wetleaf.findings.book import AnswerWord
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.models import Finding
from wetleaf.findings.readings import liking, maps, panels, profiles, targets, trials, years
from wetleaf.findings.readings.seasons import SeasonRead, read_season
from wetleaf.lots.models import Season


def record_findings(season: Season) -> int:
    """Keep what the season's cups say now and return how many findings are new.

    The same inputs, method and version give the same finding, so a second call on an unchanged season adds
    none; after new cups the new answers stand beside the old ones.
    """
    found = list(findings_of(season, read_season(fetch_season(season))))
    with transaction.atomic():
        before = Finding.objects.filter(season=season).count()
        Finding.objects.bulk_create(found, ignore_conflicts=True)
        return Finding.objects.filter(season=season).count() - before


def findings_of(season: Season, read: SeasonRead) -> Iterator[Finding]:
    """Every finding of a season as read, not stored yet."""
    yield from _profiles(season, read)
    yield from _liking(season, read)
    yield from _years_and_targets(season, read)
    yield from _panels(season, read)
    yield from _trials(season, read)
    yield from _maps(season, read)


def _finding(
    season: Season,
    question: str,
    subject: str,
    answer: AnswerWord | str,
    digest: str,
    method: str,
    result: Any,
) -> Finding:
    return Finding(
        season=season,
        question=question,
        subject=subject[:120],
        answer="can't tell" if answer == "can't tell yet" else answer,
        input_digest=digest,
        method=method[:80],
        method_version=__version__,
        result=result,
    )


def _profiles(season: Season, read: SeasonRead) -> Iterator[Finding]:
    for profile in read.profiles:
        names = ", ".join(flight.told for flight in profile.table.flights)
        for attribute in profile.attributes:
            means = {lot: [mean.value, mean.low, mean.high] for lot, mean in attribute.means.items()}
            result = {"means": means, "p": attribute.p, "rule": attribute.rule, "claim": attribute.claim}
            question = f"Do the lots differ in {attribute.label}?"
            yield _finding(
                season, question, names, attribute.answer, profile.table.digest, profiles.METHOD, result
            )


def _liking(season: Season, read: SeasonRead) -> Iterator[Finding]:
    for name, group in read.liking.items():
        lots = {
            lot: [one.value, _number(one.low), _number(one.high), one.chance_best]
            for lot, one in group.lots.items()
        }
        result = {"lots": lots, "shortlist": list(group.shortlist), "best": group.best, "says": group.says}
        answer = "yes" if group.best else "can't tell yet"
        yield _finding(season, "Which lot is liked best?", name, answer, group.digest, liking.METHOD, result)


def _years_and_targets(season: Season, read: SeasonRead) -> Iterator[Finding]:
    keys = {lot.pk: lot.key for lot in read.records.lots}
    for lot, one in read.years.items():
        if one.profile is None:
            continue
        changes = {
            change.label: [_number(change.difference), change.low, change.high, change.answer]
            for change in one.changes
        }
        result = {"before": one.before.key, "changes": changes, "why": one.why}
        yield _finding(
            season, "Is it last year's tea?", keys[lot], one.answer, one.digest, years.METHOD, result
        )
    for lot, held in read.targets.items():
        result = {"inside": list(held.inside), "outside": list(held.outside), "why": held.why}
        question = "Is it what its line should be?"
        yield _finding(season, question, keys[lot], held.answer, held.digest, targets.METHOD, result)


def _panels(season: Season, read: SeasonRead) -> Iterator[Finding]:
    for flight in read.flights:
        for taster in flight.tasters if flight.digest else ():
            result = {"level": taster.level.value, "spread": taster.spread.value, "rule": taster.rule}
            question, subject = f"Did {taster.name} taste steadily?", flight.flight.told
            yield _finding(season, question, subject, taster.steady, flight.digest, panels.METHOD, result)


def _trials(season: Season, read: SeasonRead) -> Iterator[Finding]:
    for pair in read.differences:
        result: dict[str, Any] = {
            "counts": {one.method: [one.correct, one.trials] for one in pair.counts},
            "p": pair.p,
            "d_prime": [None if end is None else _number(end) for end in (pair.d_prime, pair.low, pair.high)],
            "tolerable": pair.tolerable,
        }
        subject, question = " and ".join(pair.pair), "Can they be told apart?"
        yield _finding(season, question, subject, pair.answer, pair.digest, trials.DIFFERENCE_METHOD, result)
    for one in read.preferences:
        result = {"wins": list(one.wins), "ties": one.ties, "p": one.p}
        subject, question = " or ".join(one.pair), "Is one preferred?"
        yield _finding(season, question, subject, one.answer, one.digest, trials.PREFERENCE_METHOD, result)


def _maps(season: Season, read: SeasonRead) -> Iterator[Finding]:
    for one in read.maps.values():
        names = ", ".join(flight.told for flight in one.table.flights)
        gap = one.gap
        result = {
            "places": {spot.lot: [spot.x, spot.y] for spot in one.spots},
            "nearest": {spot.lot: [spot.nearest.lot, spot.nearest.apart] for spot in one.spots},
            "gap": None if gap is None else {"around": list(gap.around), "scores": dict(gap.scores)},
        }
        unsure = (
            gap is None or one.of_pots or gap.reached_by or all(spot.half_long is None for spot in one.spots)
        )
        answer = "can't tell yet" if unsure else "yes"
        yield _finding(
            season, "Is there a gap between them?", names, answer, one.table.digest, maps.METHOD, result
        )


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
