"""Can they be told apart? Right answers of one method in, the answer with everything it stands on out."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from wetleaf.numerics.differences.binomials import at_least, at_most, exact_interval
from wetleaf.numerics.differences.counts import Counted, check_level, check_trials, counted
from wetleaf.numerics.differences.estimates import Estimate, estimate
from wetleaf.numerics.differences.methods import DeclaredSize, Method, d_prime_at, declared_size
from wetleaf.numerics.differences.rules import Rule, p_after_looks, rule_for
from wetleaf.numerics.differences.spending import Spending

Answer = Literal["yes", "no", "can't tell"]


@dataclass(frozen=True, slots=True)
class Share:
    """A share with its interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Findable:
    """The d-prime that so many trials find with this power; inf when they find nothing, however large."""

    d_prime: float
    power: float


@dataclass(frozen=True, slots=True)
class DifferenceScore:
    """The answer to "can they be told apart?" and its ground.

    `p_value`: chance of so many right or more by guessing. `p_after_looks`: the same when earlier looks
    would have stopped as gladly. `proportion`: exact interval; `discriminators`: the same as a share of
    tasters (or trials) that tell while all others guess; `exact`: the same as a d-prime, which holds it
    with the confidence or more where the likelihood interval of `estimate` does so on the average.
    `within_tolerable`: the declared size is excluded, `p_tolerable` the chance of so few right at that
    size. `more_trials`: only within a plan made before tasting.
    """

    method: str
    correct: int
    trials: int
    alpha: float
    p_value: float
    p_after_looks: float | None
    proportion: Share
    discriminators: Share
    estimate: Estimate
    exact: tuple[float, float]
    answer: Answer
    rule: Rule
    tolerable: DeclaredSize | None
    p_tolerable: float | None
    within_tolerable: bool | None
    would_have_found: tuple[Findable, ...]
    more_trials: int | None


def score_trials(
    method: str,
    correct: int,
    trials: int,
    *,
    alpha: float = 0.05,
    tolerable: float | None = None,
    tolerable_discriminators: float | None = None,
    planned: int | None = None,
    looks: Sequence[int] = (),
    spending: Spending = "obrien-fleming",
    powers: Sequence[float] = (0.8, 0.9),
    confidence: float = 0.95,
) -> DifferenceScore:
    """Return whether the teas can be told apart, as far as these trials say.

    *Yes*: guessing does so well with at most `alpha`. *No*: a size was declared (`tolerable` d-prime or
    share of discriminators) and a difference of that size or more does so badly with at most `alpha`; never
    without one. Else *can't tell*. Where both hold the answer is yes, and `within_tolerable` says that it
    is a small one. `planned` and `looks` as in `rule_for`. Raises BadInput for counts, sizes or levels that
    cannot be.

    >>> score = score_trials("triangle", 14, 24)
    >>> score.answer, round(score.p_value, 4), round(score.estimate.d_prime, 2)
    ('yes', 0.0103, 1.89)
    >>> score_trials("triangle", 9, 24).answer, score_trials("triangle", 6, 24, tolerable=1.5).answer
    ("can't tell", 'no')
    """
    counts = counted(method, correct, trials)
    _check_levels(alpha, confidence, powers)
    size = _tolerable_size(counts.method, tolerable, tolerable_discriminators)
    if planned is not None:
        check_trials(planned)
    rule = rule_for(
        trials,
        counts.method.guessing,
        alpha,
        declared=size.right if size else None,
        looks=looks,
        planned=planned,
        spending=spending,
    )
    return _score(counts, alpha, size, rule, powers, confidence)


def _check_levels(alpha: float, confidence: float, powers: Sequence[float]) -> None:
    check_level("alpha", alpha)
    check_level("confidence", confidence)
    for power in powers:
        check_level("power", power)


def _tolerable_size(
    method: Method, d_prime: float | None, discriminators: float | None
) -> DeclaredSize | None:
    if d_prime is None and discriminators is None:
        return None
    return declared_size(method, d_prime=d_prime, discriminators=discriminators)


def _score(
    counts: Counted,
    alpha: float,
    size: DeclaredSize | None,
    rule: Rule,
    powers: Sequence[float],
    confidence: float,
) -> DifferenceScore:
    guessing = counts.method.guessing
    within = None if size is None else counts.correct <= rule.no_up_to
    proportion = Share(counts.proportion, *exact_interval(counts.correct, counts.trials, confidence))
    answer = _answer(counts.correct, rule)
    return DifferenceScore(
        method=counts.method.key,
        correct=counts.correct,
        trials=counts.trials,
        alpha=alpha,
        p_value=float(at_least(counts.correct, counts.trials, guessing)),
        p_after_looks=p_after_looks(counts.correct, rule.looks, guessing)
        if rule.kind == "extended"
        else None,
        proportion=proportion,
        discriminators=_discriminators(proportion, guessing),
        estimate=estimate([counts], confidence=confidence),
        exact=(d_prime_at(counts.method, proportion.low), d_prime_at(counts.method, proportion.high)),
        answer=answer,
        rule=rule,
        tolerable=size,
        p_tolerable=None if size is None else float(at_most(counts.correct, counts.trials, size.right)),
        within_tolerable=within,
        would_have_found=tuple(
            findable(counts.method, counts.trials, rule.yes_from, power) for power in powers
        ),
        more_trials=_more_trials(answer, rule, counts.trials),
    )


def _answer(correct: int, rule: Rule) -> Answer:
    if correct >= rule.yes_from:
        return "yes"
    return "no" if correct <= rule.no_up_to else "can't tell"


def _more_trials(answer: Answer, rule: Rule, trials: int) -> int | None:
    if rule.planned is None or answer != "can't tell" or trials >= rule.planned:
        return None
    return rule.planned - trials


def _discriminators(right: Share, guessing: float) -> Share:
    """Right = g + (1 - g) discriminators, turned round; a share below guessing counts as none."""
    return Share(
        *(max(0.0, (end - guessing) / (1 - guessing)) for end in (right.value, right.low, right.high))
    )


def findable(method: Method, trials: int, yes_from: int, power: float) -> Findable:
    """Return the d-prime at which `yes_from` or more right of the trials come with this chance.

    >>> from wetleaf.numerics.differences.methods import METHODS
    >>> round(findable(METHODS["triangle"], 24, 13, 0.8).d_prime, 2)
    2.0
    """
    from scipy.special import betaincinv

    if yes_from > trials:
        return Findable(float("inf"), power)
    right = float(betaincinv(yes_from, trials - yes_from + 1, power))
    return Findable(d_prime_at(method, right), power)
