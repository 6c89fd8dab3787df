"""A test planned with several looks: each look spends its share of the error, and the whole keeps the level.

Lan and DeMets (1983), Biometrika 70: 659. The share spent when a fraction t of the trials is in is a
function fixed beforehand, so neither the number of looks nor their places need be. Boundaries are exact for
the binomial.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import e, log, sqrt
from typing import Final, Literal

import numpy as np

from wetleaf.numerics.differences.binomials import chances
from wetleaf.numerics.differences.counts import check_level, check_trials
from wetleaf.numerics.differences.looks import Course, check_looks, course
from wetleaf.trade.errors import BadInput

Spending = Literal["obrien-fleming", "pocock"]
SPENDINGS: Final = ("obrien-fleming", "pocock")
_A_HAIR = 1e-12


@dataclass(frozen=True, slots=True)
class GroupBoundaries:
    """At each look: yes from so many right answers on, no at so many or fewer; n + 1 and -1 where never.

    `spent` is the chance that guessing has passed by each look (never above what may be spent), `missed` the
    chance that a difference of the declared size was called none by then (0 where no size was declared).
    """

    planned: int
    looks: tuple[int, ...]
    yes_from: tuple[int, ...]
    no_up_to: tuple[int, ...]
    spent: tuple[float, ...]
    missed: tuple[float, ...]
    spending: str

    def course(self, right: float) -> Course:
        """Return how the test goes when a share `right` of the answers is right."""
        return course(self.looks, right, yes_from=self.yes_from, no_up_to=self.no_up_to)


def may_spend(fraction: float, alpha: float, spending: Spending = "obrien-fleming") -> float:
    """Return how much of the error may be spent when a fraction of the planned trials is in.

    O'Brien-Fleming type: 2 - 2 Phi(z(alpha / 2) / sqrt t), almost nothing early. Pocock type:
    alpha log(1 + (e - 1) t), more evenly. Raises BadInput for another name.

    >>> round(may_spend(0.5, 0.05), 7), may_spend(1, 0.05)
    (0.0055746, 0.05)
    """
    from scipy.special import ndtr, ndtri

    if spending not in SPENDINGS:
        raise BadInput(f"{spending!r} is no way of spending.", way_out=f"Use one of: {', '.join(SPENDINGS)}.")
    if fraction >= 1:
        return alpha
    if spending == "pocock":
        return alpha * log(1 + (e - 1) * fraction)
    return float(2 * ndtr(ndtri(alpha / 2) / sqrt(fraction)))


def group_boundaries(
    looks: Sequence[int],
    planned: int,
    guessing: float,
    *,
    alpha: float = 0.05,
    declared: float | None = None,
    beta: float = 0.05,
    spending: Spending = "obrien-fleming",
) -> GroupBoundaries:
    """Return the boundaries of a test planned for so many trials, looked at as often as `looks` says.

    `declared` is the share right at the declared size of difference; with it a look may end in no, spending
    `beta` in the same way. Each side is reckoned as if the other did not stop the test, so each error holds
    even if a taster goes on after the other side was reached; and where both would be reached, yes stands.
    Raises BadInput for looks out of order or beyond what was planned.

    >>> found = group_boundaries([12, 18, 24, 30], 30, 1 / 3)
    >>> found.yes_from, round(found.spent[-1], 4)
    ((10, 12, 14, 15), 0.0447)
    """
    check_looks(looks)
    check_trials(planned)
    check_level("alpha", alpha)
    check_level("beta", beta)
    if looks[-1] > planned:
        raise BadInput(
            f"A look at {looks[-1]} trials is beyond the {planned} planned.", way_out="Plan for more."
        )
    yes_from, spent = _boundary(looks, planned, guessing, alpha, spending)
    if declared is None:
        return GroupBoundaries(
            planned, tuple(looks), yes_from, (-1,) * len(looks), spent, (0.0,) * len(looks), spending
        )
    wrong_from, missed = _boundary(looks, planned, 1 - declared, beta, spending)
    no_up_to = tuple(
        min(at - wrong, least - 1) for at, wrong, least in zip(looks, wrong_from, yes_from, strict=True)
    )
    return GroupBoundaries(planned, tuple(looks), yes_from, no_up_to, spent, missed, spending)


def _boundary(
    looks: Sequence[int], planned: int, guessing: float, alpha: float, spending: Spending
) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """The fewest right at each look whose chance by guessing stays within what may be spent by then."""
    going, before, gone = np.array([1.0]), 0, 0.0
    least, spent = [], []
    for at in looks:
        going = np.convolve(going, chances(at - before, guessing))
        tail = np.append(np.cumsum(going[::-1])[::-1], 0.0)
        left = max(may_spend(at / planned, alpha, spending) - gone, 0.0)
        least.append(int(np.argmax(tail <= left * (1 + _A_HAIR))))
        gone += float(tail[least[-1]])
        spent.append(gone)
        going[least[-1] :] = 0.0
        before = at
    return tuple(least), tuple(spent)
