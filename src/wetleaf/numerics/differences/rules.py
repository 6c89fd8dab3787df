"""By which rule a count becomes an answer: tested once, looked at within a plan, or extended after a look."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from wetleaf.numerics.differences.binomials import at_least, least_right, most_right
from wetleaf.numerics.differences.looks import check_looks, error_of_looks
from wetleaf.numerics.differences.spending import Spending, group_boundaries

Kind = Literal["fixed", "planned", "extended"]


@dataclass(frozen=True, slots=True)
class Rule:
    """Yes from so many right answers on, no up to so many (-1: no cannot be said).

    `error` is the exact chance that guessing has been called a difference by now under this rule,
    `plain_error` the same had every look been judged at the level as if it were the only one.
    """

    kind: Kind
    looks: tuple[int, ...]
    planned: int | None
    yes_from: int
    no_up_to: int
    error: float
    plain_error: float


def rule_for(
    trials: int,
    guessing: float,
    alpha: float,
    *,
    declared: float | None = None,
    looks: Sequence[int] = (),
    planned: int | None = None,
    spending: Spending = "obrien-fleming",
) -> Rule:
    """Return the rule for so many trials, given the earlier looks and what was planned before tasting.

    `declared` is the share right at the declared size. No plan and no earlier look: a test of fixed size.
    Within a plan: its spending. Looked at without a plan, or gone beyond it: extended, and the level is
    paid back exactly, so that guessing still passes at one of the looks with at most alpha. Raises BadInput
    for looks out of order.

    >>> rule_for(30, 1 / 3, 0.05).yes_from, rule_for(30, 1 / 3, 0.05, looks=[12, 18, 24]).yes_from
    (15, 16)
    """
    all_looks = _all_looks(looks, planned, trials)
    check_looks(all_looks)
    plain = error_of_looks(all_looks, guessing, alpha)
    if planned is None or trials > planned:
        if len(all_looks) > 1:
            return _extended(all_looks, guessing, alpha, declared, plain)
        return _fixed(trials, guessing, alpha, declared, plain)
    if all_looks == (planned,):
        return _fixed(trials, guessing, alpha, declared, plain)
    found = group_boundaries(
        all_looks, planned, guessing, alpha=alpha, declared=declared, beta=alpha, spending=spending
    )
    return Rule("planned", all_looks, planned, found.yes_from[-1], found.no_up_to[-1], found.spent[-1], plain)


def _all_looks(looks: Sequence[int], planned: int | None, trials: int) -> tuple[int, ...]:
    """The earlier looks, the planned end if it was passed, and now."""
    if planned is not None and trials > planned and planned not in looks:
        return (*looks, planned, trials)
    return (*looks, trials)


def _fixed(trials: int, guessing: float, alpha: float, declared: float | None, plain: float) -> Rule:
    most = -1 if declared is None else int(most_right(trials, alpha, declared))
    return Rule("fixed", (trials,), None, int(least_right(trials, alpha, guessing)), most, plain, plain)


def _extended(
    looks: tuple[int, ...], guessing: float, alpha: float, declared: float | None, plain: float
) -> Rule:
    trials = looks[-1]
    yes_from = _fewest_after_looks(looks, guessing, alpha)
    no_up_to = -1 if declared is None else trials - _fewest_after_looks(looks, 1 - declared, alpha)
    return Rule("extended", looks, None, yes_from, no_up_to, p_after_looks(yes_from, looks, guessing), plain)


def p_after_looks(count: int, looks: Sequence[int], guessing: float) -> float:
    """Return the chance that guessing looks as good as `count` of the last look's trials at any of the looks.

    >>> round(p_after_looks(15, [30], 1 / 3), 4), round(p_after_looks(15, [12, 18, 24, 30], 1 / 3), 4)
    (0.0435, 0.0737)
    """
    now = float(at_least(count, looks[-1], guessing))
    return now if len(looks) == 1 or not 0 < now < 1 else error_of_looks(looks, guessing, now)


def _fewest_after_looks(looks: Sequence[int], guessing: float, alpha: float) -> int:
    return _first(lambda count: p_after_looks(count, looks, guessing) <= alpha, looks[-1] + 1)


def _first(enough: Callable[[int], bool], most: int) -> int:
    """The smallest number up to `most` that is enough, when all larger ones are too; `most` is."""
    low, high = 0, most
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle + 1, high)
    return low
