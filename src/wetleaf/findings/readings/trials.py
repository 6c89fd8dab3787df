"""Trials of difference and preferences of a season, pair by pair, with exact chances and a d-prime.

A trial of three cups is a triangle, one of two a directed pair; several methods of one pair of lots are
judged together on one d-prime.
"""

import math
from collections import Counter, defaultdict
from dataclasses import dataclass

import numpy as np

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.grounds import digest_of
from wetleaf.findings.readings.words import NOBODY
from wetleaf.findings.records import SeasonRecords, TrialRow
from wetleaf.numerics.differences import (
    METHODS,
    Counted,
    DeclaredSize,
    PooledScore,
    counted,
    plan_trials,
    pool,
    score_panel,
)
from wetleaf.numerics.differences.methods import declared_size
from wetleaf.numerics.differences.pooling import pooled_findable
from wetleaf.numerics.preferences import preference
from wetleaf.trade.errors import BadInput
from wetleaf.trade.spelling import squash

DIFFERENCE_METHOD = "exact test of right answers; d-prime with its likelihood interval (ISO 4120, ISO 5495)"
PREFERENCE_METHOD = "paired preference, exact two-sided binomial at 1/2 (ISO 5495)"
ALPHA, POWER = 0.05, 0.8
USUAL_SIZE = 1.5  # the d-prime a fresh test is laid out for where no size was declared
_METHOD_OF = {2: "2-afc", 3: "triangle"}  # by the cups of a trial, as they are stored
_SIZE_NAMES = frozenset(squash(name) for name in ("d-prime", "d prime", "told apart"))


@dataclass(frozen=True)
class MethodCount:
    """Right answers of one method; `by_guessing` is how many luck alone gives."""

    method: str  # a key of `numerics.differences.METHODS`
    correct: int
    trials: int
    by_guessing: float


@dataclass(frozen=True)
class FreshTest:
    """A test laid out anew that finds a difference of `d_prime` with 80 %: trials of either method, cups."""

    d_prime: float
    pairs: int
    pair_cups: int
    triangles: int
    triangle_cups: int


@dataclass(frozen=True)
class DifferenceRead:
    """All trials of one pair of lots: can these tasters tell them apart?

    `d_prime` with its interval is None when no trial could be used; it and `high` are inf when every answer
    was right. `no` is an answer only where the line declares a tolerable d-prime. `would_have_found` is the
    d-prime found with 80 %.
    """

    pair: tuple[str, str]
    counts: tuple[MethodCount, ...]
    left_out: int
    tasters: tuple[str, ...]
    claim: str  # who by name can tell
    p: float | None
    d_prime: float | None
    low: float | None
    high: float | None
    tolerable: float | None
    would_have_found: float | None
    fresh: FreshTest | None
    answer: AnswerWord
    digest: str

    @property
    def correct(self) -> int:
        """Right answers of all methods."""
        return sum(one.correct for one in self.counts)

    @property
    def usable(self) -> int:
        """Trials that could be used."""
        return sum(one.trials for one in self.counts)


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


def right_in_pairs(d_prime: float) -> float:
    """Return how often a directed pair is answered rightly at a d-prime: what the number means at the table.

    >>> round(right_in_pairs(0), 2), round(right_in_pairs(1), 2)
    (0.5, 0.76)
    """
    return METHODS["2-afc"].right(d_prime)


def read_differences(records: SeasonRecords) -> tuple[DifferenceRead, ...]:
    """Return the trials of every pair of lots. A trial that does not hold exactly two teas is left out."""
    by_pair: dict[tuple[str, str], list[TrialRow]] = defaultdict(list)
    for trial in records.trials:
        served = sorted({records.lot_of_sample(sample).key for sample in trial.cups})
        if len(served) == 2 and len(trial.cups) in _METHOD_OF:
            by_pair[served[0], served[1]].append(trial)
    return tuple(_difference(records, pair, trials) for pair, trials in sorted(by_pair.items()))


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


# --- difference ---


def _difference(records: SeasonRecords, pair: tuple[str, str], trials: list[TrialRow]) -> DifferenceRead:
    used = [trial for trial in trials if trial.correct is not None]
    tolerable = _tolerable(records, pair)
    given = ((trial.taster, trial.correct, len(trial.cups)) for trial in trials)
    digest = digest_of(given, pair=list(pair), tolerable=tolerable)
    if not used:
        return DifferenceRead(
            pair,
            (),
            len(trials),
            (),
            "",
            None,
            None,
            None,
            None,
            tolerable,
            None,
            None,
            "can't tell yet",
            digest,
        )
    counts = _counts(used)
    found = pool(counts, tolerable=_size(tolerable))
    answer = _answer(found)
    reached = pooled_findable(counts, POWER)
    return DifferenceRead(
        pair=pair,
        counts=tuple(_told(one) for one in found.counts),
        left_out=len(trials) - len(used),
        tasters=tuple(sorted({trial.taster or NOBODY for trial in used})),
        claim=_claim(used, digest),
        p=found.p_value,
        d_prime=found.estimate.d_prime,
        low=found.estimate.low,
        high=found.estimate.high,
        tolerable=tolerable,
        would_have_found=reached if math.isfinite(reached) else None,
        fresh=_fresh_test(tolerable or USUAL_SIZE) if answer == "can't tell yet" else None,
        answer=answer,
        digest=digest,
    )


def _counts(trials: list[TrialRow]) -> list[Counted]:
    of = Counter(_METHOD_OF[len(trial.cups)] for trial in trials)
    right = Counter(_METHOD_OF[len(trial.cups)] for trial in trials if trial.correct)
    return [counted(method, right[method], number) for method, number in sorted(of.items())]


def _told(one: Counted) -> MethodCount:
    return MethodCount(one.method.key, one.correct, one.trials, one.method.guessing * one.trials)


def _answer(found: PooledScore) -> AnswerWord:
    if found.p_value <= ALPHA:
        return "yes"
    return "no" if found.p_tolerable is not None and found.p_tolerable <= ALPHA else "can't tell yet"


def _claim(trials: list[TrialRow], digest: str) -> str:
    """Who by name can tell; "" where the sheets do not name everybody, or one alone answered."""
    names = {trial.taster for trial in trials}
    if "" in names or len(names) < 2:
        return ""
    by_taster = {name: _counts([trial for trial in trials if trial.taster == name]) for name in names}
    return score_panel(by_taster, rng=np.random.default_rng(int(digest[:16], 16))).claim


def _tolerable(records: SeasonRecords, pair: tuple[str, str]) -> float | None:
    """The d-prime that the line of both lots declares as tolerable, None where it declares none."""
    lines = {lot.line for lot in records.lot_of.values() if lot.key in pair}
    if len(lines) != 1:
        return None
    targets = records.targets.get(lines.pop(), {})
    sizes = [target.tolerance for name, target in targets.items() if squash(name) in _SIZE_NAMES]
    return next((size for size in sizes if size), None)


def _size(tolerable: float | None) -> DeclaredSize | None:
    try:
        return declared_size(METHODS["triangle"], d_prime=tolerable) if tolerable else None
    except BadInput:  # a size nobody could taste, or beyond any scale: as good as none declared
        return None


def _fresh_test(d_prime: float) -> FreshTest | None:
    try:
        pairs = plan_trials("2-afc", d_prime=d_prime, power=POWER).trials
        triangles = plan_trials("triangle", d_prime=d_prime, power=POWER).trials
    except BadInput:
        return None
    cups = (METHODS["2-afc"].cups, METHODS["triangle"].cups)
    return FreshTest(d_prime, pairs, pairs * cups[0], triangles, triangles * cups[1])


# --- preference ---


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
