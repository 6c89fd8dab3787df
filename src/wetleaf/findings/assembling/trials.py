"""The trials of a season in words: can they be told apart, by how much, and what would settle it."""

import math

from wetleaf.findings.assembling.sentences import counted, listed, said_count, sentence
from wetleaf.findings.book import Answer, Estimate, Ground, TrialPair
from wetleaf.findings.drawings.spoken import said_number
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings import trials
from wetleaf.findings.readings.trials import (
    DifferenceRead,
    FreshTest,
    MethodCount,
    PreferenceRead,
    right_in_pairs,
)

_WIDEST = 4.0  # of the drawn scale of d-prime: at 4 a directed pair is hardly ever missed
_NAMES = {"2-afc": ("directed pair", "directed pairs"), "triangle": ("triangle", "triangles")}
_TELLING_ROUND = 100


def trial_pair(read: DifferenceRead, grounds: Grounds) -> TrialPair:
    """Put the trials of a pair into words."""
    who = listed(read.tasters) or "they"
    question = f"Can {who} tell {read.pair[0]} and {read.pair[1]} apart?"
    ground = difference_ground(read, grounds)
    return TrialPair(
        pair=read.pair,
        answer=Answer(question, read.answer, _why(read), ground=ground),
        counted=_counted(read),
        size=_size(read, ground),
        size_said=_size_said(read),
        tells=tuple(part for part in (read.claim, _would_have_found(read), _left_out(read.left_out)) if part),
        settle=_settle(read),
    )


def difference_ground(read: DifferenceRead, grounds: Grounds) -> Ground:
    """What the answer about a pair rests on."""
    return grounds.of(
        f"Can {listed(read.tasters) or 'they'} tell {read.pair[0]} and {read.pair[1]} apart?",
        method=trials.DIFFERENCE_METHOD,
        digest=read.digest,
        rests_on=tuple((_trials_of(one), f"answered by {listed(read.tasters)}") for one in read.counts)
        or (("No trial could be used", ""),),
    )


def size_key() -> str:
    """What a d-prime means at the table, for who has not met the word."""
    told = [f"{round(_TELLING_ROUND * right_in_pairs(size))} at {size}" for size in (1, 2)]
    return (
        "d-prime says how far apart two teas taste: of 100 directed pairs ("
        "which has more of it?) 50 are right at 0, "
        f"{listed(told)}; the line holds 19 times in 20."
    )


def said_preference(read: PreferenceRead) -> str:
    """Say what the preferences between a pair allow to claim, and about whom."""
    first, second = read.pair
    if read.p is None:
        return f"{first} or {second}: nobody preferred either.{_spaced(_left_out(read.left_out))}"
    ties = f", {counted(read.ties, 'tie')} not counted" if read.ties else ""
    count = f"{read.wins[0]} for {first}, {read.wins[1]} for {second}{ties} ({said_p(read.p)}, two-sided)"
    liked = first if read.wins[0] > read.wins[1] else second
    who = f"{listed(read.tasters)} prefer{'s' if len(read.tasters) == 1 else ''}"
    claim = f"{who} {liked}: yes" if read.answer == "yes" else f"whether {who} either: can't tell yet"
    return f"{first} or {second}: {count}; {claim}.{_spaced(_left_out(read.left_out))}"


def preference_ground(read: PreferenceRead, grounds: Grounds) -> Ground:
    """What the answer about a preference rests on."""
    return grounds.of(
        f"Which is preferred, {read.pair[0]} or {read.pair[1]}?",
        method=trials.PREFERENCE_METHOD,
        digest=read.digest,
        rests_on=((counted(sum(read.wins), "choice"), f"made by {listed(read.tasters)}"),),
    )


def said_p(p: float | None) -> str:
    """Say an exact chance.

    >>> said_p(0.0004), said_p(0.0039), said_p(0.32)
    ('exact p under 0.001', 'exact p 0.0039', 'exact p 0.32')
    """
    if p is None:
        return "no chance to name"
    return "exact p under 0.001" if p < 0.001 else f"exact p {p:.2g}" if p < 0.1 else f"exact p {p:.2f}"


def _counted(read: DifferenceRead) -> str:
    if not read.counts:
        return "no trial could be used"
    told = [
        f"{one.correct} of {_trials_of(one)} right, {said_number(one.by_guessing)} by guessing"
        for one in read.counts
    ]
    return f"{listed(told)} ({said_p(read.p)})"


def _trials_of(one: MethodCount) -> str:
    return f"{one.trials} {_NAMES[one.method][one.trials != 1]}"


def _why(read: DifferenceRead) -> str:
    if read.answer == "no":
        return f"none as large as the d-prime of {said_number(read.tolerable or 0)} that the line declares"
    if read.answer == "yes" and read.tolerable and read.high is not None and read.high < read.tolerable:
        return (
            f"told apart, yet by less than the d-prime of {said_number(read.tolerable)} that the line allows"
        )
    return ""


def _size(read: DifferenceRead, ground: Ground) -> Estimate | None:
    if read.d_prime is None or read.low is None or read.high is None:
        return None
    ends = (min(read.low, _WIDEST), min(read.high, _WIDEST))
    return Estimate(min(read.d_prime, _WIDEST), *ends, 0, _WIDEST, ground=ground)


def _size_said(read: DifferenceRead) -> str:
    """The d-prime and its interval, in full where the drawing ends at its scale."""
    if read.d_prime is None or read.low is None or read.high is None:
        return "can't tell yet"
    high = f"to {said_number(read.high)}" if math.isfinite(read.high) else "and more"
    value = said_number(read.d_prime) if math.isfinite(read.d_prime) else "all were right: no end to name"
    return f"{value} ({said_number(read.low)} {high})"


def _would_have_found(read: DifferenceRead) -> str:
    if read.answer != "can't tell yet" or not read.counts:
        return ""
    trials_told = listed([_trials_of(one) for one in read.counts])
    if read.would_have_found is None:
        return sentence(f"{trials_told} are too few to find any difference, however large")
    right = round(_TELLING_ROUND * right_in_pairs(read.would_have_found))
    return (
        f"So few would have found only a d-prime of {said_number(read.would_have_found)} or more "
        f"({right} of 100 directed pairs right), 8 times in 10."
    )


def _settle(read: DifferenceRead) -> str:
    if read.answer != "can't tell yet":
        return ""
    declare = "Say before tasting how large a difference would matter: else it is never no."
    parts = [] if read.tolerable else [declare]
    return " ".join([*parts, _said_fresh(read.fresh, read.tolerable)] if read.fresh else parts)


def _said_fresh(fresh: FreshTest, tolerable: float | None) -> str:
    size = said_number(fresh.d_prime)
    one = f"the declared d-prime of {size}" if tolerable else f"a d-prime of {size}, say,"
    pairs = f"{said_count(fresh.pairs)} fresh directed pairs ({fresh.pair_cups} cups)"
    triangles = f"{said_count(fresh.triangles)} triangles ({fresh.triangle_cups} cups)"
    return (
        f"{one[:1].upper()}{one[1:]} is found 8 times in 10 by {pairs} on what they may differ in, or by "
        f"{triangles}. Adding to the trials above would be a second look."
    )


def _left_out(count: int) -> str:
    return sentence(f"{counted(count, 'answer')} could not be used") if count else ""


def _spaced(text: str) -> str:
    return f" {text}" if text else ""
