"""Triangles and preferences of a season, pair by pair, with their exact chances."""

import math
from collections import Counter, defaultdict
from dataclasses import dataclass

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.grounds import digest_of
from wetleaf.findings.readings.words import NOBODY
from wetleaf.findings.records import SeasonRecords, TrialRow
from wetleaf.numerics.differences import triangle_pvalue
from wetleaf.numerics.preferences import preference

TRIANGLE_METHOD = "triangle test, exact one-sided binomial at 1/3 (ISO 4120)"
PREFERENCE_METHOD = "paired preference, exact two-sided binomial at 1/2 (ISO 5495)"
ALPHA = 0.05


@dataclass(frozen=True)
class TriangleRead:
    """All triangles of one pair of lots. `p` is None when none could be used."""

    pair: tuple[str, str]
    correct: int
    usable: int
    left_out: int
    tasters: tuple[str, ...]
    p: float | None
    answer: AnswerWord  # to "can these tasters tell them apart?"
    digest: str


@dataclass(frozen=True)
class PreferenceRead:
    """All preferences between one pair of lots."""

    pair: tuple[str, str]
    wins: tuple[int, int]
    ties: int
    left_out: int
    tasters: tuple[str, ...]
    p: float | None
    answer: AnswerWord  # to "is one preferred?"
    digest: str


def read_triangles(records: SeasonRecords) -> tuple[TriangleRead, ...]:
    """Return the triangles of every pair of lots. A trial that does not hold exactly two teas is left out."""
    by_pair: dict[tuple[str, str], list[TrialRow]] = defaultdict(list)
    for trial in records.trials:
        served = sorted({records.lot_of_sample(sample).key for sample in trial.cups})
        if len(served) == 2:
            by_pair[served[0], served[1]].append(trial)
    return tuple(_triangles(pair, trials) for pair, trials in sorted(by_pair.items()))


def read_preferences(records: SeasonRecords) -> tuple[PreferenceRead, ...]:
    """Return the preferences of every pair of lots."""
    by_pair: dict[tuple[str, str], list[tuple[str, str]]] = defaultdict(list)
    for row in records.preferences:
        first, second = (records.lot_of_sample(sample).key for sample in (row.first, row.second))
        winner = records.lot_of_sample(row.winner).key if row.winner is not None else ""
        won = winner or ("tie" if row.tie else "")
        if first != second:
            by_pair[min(first, second), max(first, second)].append((row.taster, won))
    return tuple(_preference(pair, given) for pair, given in sorted(by_pair.items()))


def _triangles(pair: tuple[str, str], trials: list[TrialRow]) -> TriangleRead:
    used = [trial for trial in trials if trial.correct is not None]
    correct = sum(trial.correct is True for trial in used)
    p = triangle_pvalue(correct, len(used)) if used else None
    return TriangleRead(
        pair=pair,
        correct=correct,
        usable=len(used),
        left_out=len(trials) - len(used),
        tasters=tuple(sorted({trial.taster or NOBODY for trial in used})),
        p=p,
        answer="yes" if p is not None and p <= ALPHA else "can't tell yet",
        digest=digest_of(((trial.taster, trial.correct) for trial in trials), pair=list(pair)),
    )


def _preference(pair: tuple[str, str], given: list[tuple[str, str]]) -> PreferenceRead:
    won = Counter(winner for _, winner in given)
    found = preference(won[pair[0]], won[pair[1]], won["tie"])
    p = None if math.isnan(found.pvalue) else found.pvalue
    return PreferenceRead(
        pair=pair,
        wins=(found.first, found.second),
        ties=found.ties,
        left_out=won[""],
        tasters=tuple(sorted({taster or NOBODY for taster, winner in given if winner})),
        p=p,
        answer="yes" if p is not None and p <= ALPHA else "can't tell yet",
        digest=digest_of(given, pair=list(pair)),
    )
