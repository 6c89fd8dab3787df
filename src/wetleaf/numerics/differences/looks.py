"""What looking more than once does to a test, exactly: the course of a count from look to look.

Between looks the right answers grow by a binomial count; who has stopped stays stopped. No approximation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from wetleaf.numerics.differences.binomials import chances, least_right
from wetleaf.numerics.differences.counts import check_chance, check_trials
from wetleaf.trade.errors import BadInput

LONGEST_WITH_LOOKS = 20_000


@dataclass(frozen=True, slots=True)
class Course:
    """The chance to stop with yes or no at each look, to be left open at the last, and the trials spent."""

    looks: tuple[int, ...]
    yes: tuple[float, ...]
    no: tuple[float, ...]
    unsettled: float
    expected_trials: float


def course(
    looks: Sequence[int], right: float, *, yes_from: Sequence[int], no_up_to: Sequence[int] | None = None
) -> Course:
    """Follow all courses of a test whose answers are right with chance `right`.

    `looks` are the numbers of trials at which the count is looked at; the test stops with yes at `yes_from`
    right answers or more (n + 1: never at this look) and with no at `no_up_to` or fewer (-1: never).

    >>> course([1, 2], 0.5, yes_from=[1, 2]).yes
    (0.5, 0.0)
    """
    below = [-1] * len(looks) if no_up_to is None else no_up_to
    yes, no, spent = [], [], 0.0
    going, before = np.array([1.0]), 0
    grown = {step: chances(step, right) for step in _steps(looks)}
    for at, least, most in zip(looks, yes_from, below, strict=True):
        going = np.convolve(going, grown[at - before])
        yes.append(float(going[max(least, 0) :].sum()))
        no.append(float(going[: most + 1].sum()))
        going[max(least, 0) :] = 0.0
        going[: most + 1] = 0.0
        spent += at * (yes[-1] + no[-1])
        before = at
    left = float(going.sum())
    return Course(tuple(looks), tuple(yes), tuple(no), left, spent + before * left)


def _steps(looks: Sequence[int]) -> set[int]:
    return {at - before for before, at in pairwise((0, *looks))}


def error_of_looks(looks: Sequence[int], guessing: float, level: float) -> float:
    """Return the chance that guessing passes a test of this level at one look or another.

    For a test of fixed size that was looked at and extended. With `level` the smallest p seen, it is the p
    that is left after the looks.

    >>> round(error_of_looks([12, 18, 24, 30], 1 / 3, 0.05), 3)
    0.074
    """
    check_looks(looks)
    check_chance("the level", level)
    least = least_right(np.array(looks), level, guessing)
    return min(1.0, sum(course(looks, guessing, yes_from=least.tolist()).yes))


def check_looks(looks: Sequence[int]) -> None:
    """Raise BadInput unless the looks are numbers of trials, each larger than the one before, and few enough.

    >>> check_looks([12, 18])
    """
    for at in looks:
        check_trials(at)
    if any(later <= earlier for earlier, later in pairwise(looks)):
        listed = ", ".join(map(str, looks))
        raise BadInput(f"Looks at {listed} trials are not in order.", way_out="Each look has more trials.")
    if len(looks) > 1 and looks[-1] > LONGEST_WITH_LOOKS:
        raise BadInput(
            f"{looks[-1]} trials with looks on the way are too many to follow exactly.",
            way_out=f"At most {LONGEST_WITH_LOOKS} can be followed.",
        )
