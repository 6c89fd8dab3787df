"""Stop or one more? Wald's test of the ratio of likelihoods, trial by trial, with its exact errors beside it.

Wald (1947), Sequential Analysis; ISO 16820 for triangle, duo-trio, 2-AFC, 3-AFC. With right answers of
chance g by guessing and p at the declared size, each right answer adds log(p / g), each wrong one log((1 -
p) / (1 - g)). The test stops with yes at log((1 - beta) / alpha), with no at log(beta / (1 - alpha)). These
bounds make the errors only about alpha and beta (at most alpha / (1 - beta) and beta / (1 - alpha)); here
the true ones are counted, the bounds are drawn back by an answer where they would exceed what was asked,
and what is left is spent at the last trial.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.differences.counts import check_level, check_trials
from wetleaf.numerics.differences.looks import Course, course
from wetleaf.numerics.differences.methods import DeclaredSize, Method, binary_method, declared_size
from wetleaf.numerics.differences.planning import plan_trials
from wetleaf.trade.errors import BadInput

Decision = Literal["stop yes", "stop no", "stop can't tell", "one more"]
LONGEST = 1_000
_FINENESS = 20
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class WaldLines:
    """Right answers against trials n: yes on or above slope n + upper, no on or below slope n + lower."""

    slope: float
    lower: float
    upper: float


@dataclass(frozen=True, slots=True)
class Characteristic:
    """How the test ends when a share `right` of the answers is right, and the trials it takes on average."""

    right: float
    yes: float
    no: float
    unsettled: float
    expected_trials: float


@dataclass(frozen=True, slots=True)
class SequentialTest:
    """A sequential test: its lines, its whole-number boundaries at each trial, and its exact characteristic.

    `yes_from[k]`, `no_up_to[k]` belong to trial k + 1. `by_guessing` and `at_size` are exact: their `yes`
    and `no` are the true errors. `wald_trials` are his approximations of the trials expected by guessing
    and at the size.
    """

    method: str
    size: DeclaredSize
    alpha: float
    beta: float
    most: int
    lines: WaldLines
    yes_from: tuple[int, ...]
    no_up_to: tuple[int, ...]
    by_guessing: Characteristic
    at_size: Characteristic
    wald_trials: tuple[float, float]


@dataclass(frozen=True, slots=True)
class State:
    """Where the test stands after a trial."""

    trial: int
    correct: int
    yes_from: int
    no_up_to: int
    decision: Decision


def sequential_test(
    method: str,
    *,
    d_prime: float | None = None,
    discriminators: float | None = None,
    alpha: float = 0.05,
    beta: float = 0.1,
    most: int | None = None,
) -> SequentialTest:
    """Return the sequential test of "no difference" against the declared size, ended after `most` trials.

    Without `most` it ends where it finds the declared size with 1 - beta: a little later than a test of
    fixed size would. At the last trial yes is said as far down, and no as far up, as the exact errors still
    allow; what lies between can't be told. Raises BadInput for a size or errors that cannot be, and for
    more than 1,000 trials.

    >>> test = sequential_test("triangle", discriminators=0.5)
    >>> [round(line, 3) for line in (test.lines.slope, test.lines.lower, test.lines.upper)]
    [0.5, -1.624, 2.085]
    >>> test.most, round(test.by_guessing.yes, 4), round(test.at_size.no, 4)
    (22, 0.0411, 0.0955)
    """
    how = binary_method(method)
    size = declared_size(how, d_prime=d_prime, discriminators=discriminators)
    check_level("alpha", alpha)
    check_level("beta", beta)
    if alpha + beta >= 1:
        raise BadInput(f"alpha {alpha:g} and beta {beta:g} reach 1 together.", way_out="Ask smaller errors.")
    if most is not None:
        _check_last(most)
        return _ended_at(how, size, alpha, beta, most)
    return _ended_when_strong_enough(how, size, alpha, beta)


def _ended_when_strong_enough(
    method: Method, size: DeclaredSize, alpha: float, beta: float
) -> SequentialTest:
    """From the length of the fixed test to twice that, by halving: where yes is as likely as was asked."""
    fixed = plan_trials(method.key, discriminators=size.discriminators, power=1 - beta, alpha=alpha).trials
    _check_last(fixed)
    found = _ended_at(method, size, alpha, beta, fixed)
    if found.at_size.yes >= 1 - beta:
        return found
    short, long = fixed, min(2 * fixed, LONGEST)
    found = _ended_at(method, size, alpha, beta, long)
    while long - short > max(1, fixed // _FINENESS):
        last = (short + long) // 2
        test = _ended_at(method, size, alpha, beta, last)
        if test.at_size.yes >= 1 - beta:
            found, long = test, last
        else:
            short = last
    return found


def _ended_at(method: Method, size: DeclaredSize, alpha: float, beta: float, last: int) -> SequentialTest:
    guessing, right = method.guessing, size.right
    lines = wald_lines(guessing, right, alpha, beta)
    yes_from, no_up_to = _whole_boundaries(guessing, right, lines, alpha, beta, last)
    by_guessing, at_size = (
        _characteristic(course(range(1, last + 1), share, yes_from=yes_from, no_up_to=no_up_to), share)
        for share in (guessing, right)
    )
    return SequentialTest(
        method.key,
        size,
        alpha,
        beta,
        last,
        lines,
        tuple(yes_from),
        tuple(no_up_to),
        by_guessing,
        at_size,
        wald_trials(guessing, right, alpha, beta),
    )


def wald_lines(guessing: float, right: float, alpha: float, beta: float) -> WaldLines:
    """Return Wald's two parallel lines for a share right of `guessing` against `right`.

    >>> lines = wald_lines(0.5, 0.75, 0.05, 0.1)
    >>> [round(line, 4) for line in (lines.slope, lines.lower, lines.upper)]
    [0.6309, -2.0492, 2.6309]
    """
    steepness = log(right / guessing) - log((1 - right) / (1 - guessing))
    return WaldLines(
        slope=log((1 - guessing) / (1 - right)) / steepness,
        lower=log(beta / (1 - alpha)) / steepness,
        upper=log((1 - beta) / alpha) / steepness,
    )


def wald_trials(guessing: float, right: float, alpha: float, beta: float) -> tuple[float, float]:
    """Return Wald's approximation of the trials expected by guessing, and at the declared size.

    >>> [round(trials, 1) for trials in wald_trials(1 / 3, 2 / 3, 0.05, 0.1)]
    [8.6, 10.3]
    """
    up, down = log(right / guessing), log((1 - right) / (1 - guessing))
    yes, no = log((1 - beta) / alpha), log(beta / (1 - alpha))
    under_guessing = (alpha * yes + (1 - alpha) * no) / (guessing * up + (1 - guessing) * down)
    under_size = ((1 - beta) * yes + beta * no) / (right * up + (1 - right) * down)
    return under_guessing, under_size


def follow(test: SequentialTest, answers: Sequence[bool]) -> tuple[State, ...]:
    """Return the state after each answer, up to where the test stops; answers beyond that are not used.

    >>> test = sequential_test("triangle", discriminators=0.5)
    >>> [state.decision for state in follow(test, [True] * 6)]
    ['one more', 'one more', 'one more', 'one more', 'stop yes']
    """
    states: list[State] = []
    correct = 0
    for trial, right in enumerate(answers[: test.most], start=1):
        correct += bool(right)
        states.append(_state(test, trial, correct))
        if states[-1].decision != "one more":
            break
    return tuple(states)


def characteristic(test: SequentialTest, d_prime: float) -> Characteristic:
    """Return how the test ends, exactly, when the teas are `d_prime` apart.

    >>> test = sequential_test("triangle", d_prime=2)
    >>> round(characteristic(test, 0).yes, 6) == round(test.by_guessing.yes, 6)
    True
    """
    right = binary_method(test.method).right(d_prime)
    gone = course(range(1, test.most + 1), right, yes_from=test.yes_from, no_up_to=test.no_up_to)
    return _characteristic(gone, right)


def _state(test: SequentialTest, trial: int, correct: int) -> State:
    yes_from, no_up_to = test.yes_from[trial - 1], test.no_up_to[trial - 1]
    decision: Decision = "one more" if trial < test.most else "stop can't tell"
    if correct >= yes_from:
        decision = "stop yes"
    elif correct <= no_up_to:
        decision = "stop no"
    return State(trial, correct, yes_from, no_up_to, decision)


def _characteristic(gone: Course, right: float) -> Characteristic:
    return Characteristic(right, sum(gone.yes), sum(gone.no), gone.unsettled, gone.expected_trials)


def _check_last(most: int) -> None:
    check_trials(most)
    if most > LONGEST:
        raise BadInput(
            f"A sequence of up to {most} trials is longer than {LONGEST}.",
            way_out="Declare a larger size, or set the most trials you would taste.",
        )


def _whole_boundaries(
    guessing: float, right: float, lines: WaldLines, alpha: float, beta: float, last: int
) -> tuple[list[int], list[int]]:
    """Wald's lines as whole numbers, drawn back where the exact errors would exceed what was asked.

    The two courses, by guessing and at the size, are followed side by side; the last trial spends what is
    left.
    """
    by_guessing, at_size = np.array([1.0]), np.array([1.0])
    alarm_left, miss_left = alpha, beta
    yes_from: list[int] = []
    no_up_to: list[int] = []
    for n in range(1, last + 1):
        by_guessing = np.convolve(by_guessing, (1 - guessing, guessing))
        at_size = np.convolve(at_size, (1 - right, right))
        allowed_yes = _least_within(by_guessing, alarm_left)
        allowed_no = n - _least_within(at_size[::-1], miss_left)
        yes = allowed_yes if n == last else max(ceil(lines.slope * n + lines.upper - _ROUNDING), allowed_yes)
        no = allowed_no if n == last else min(floor(lines.slope * n + lines.lower + _ROUNDING), allowed_no)
        yes_from.append(min(yes, n + 1))
        no_up_to.append(max(min(no, yes - 1), -1))
        alarm_left -= float(by_guessing[yes_from[-1] :].sum())
        miss_left -= float(at_size[: no_up_to[-1] + 1].sum())
        for going in (by_guessing, at_size):
            going[yes_from[-1] :] = 0.0
            going[: no_up_to[-1] + 1] = 0.0
    return yes_from, no_up_to


def _least_within(mass: NDArray[np.float64], room: float) -> int:
    """The smallest count whose upper tail fits the room; one beyond the last count where none does."""
    tail = np.append(np.cumsum(mass[::-1])[::-1], 0.0)
    return int(np.argmax(tail <= max(room, 0.0)))
