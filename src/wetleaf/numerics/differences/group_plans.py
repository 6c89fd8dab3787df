"""A test with a few looks, planned before tasting: where to stop, and the trials it takes on average."""

from dataclasses import dataclass

from wetleaf.numerics.differences.looks import Course
from wetleaf.numerics.differences.methods import DeclaredSize, binary_method, declared_size
from wetleaf.numerics.differences.planning import plan_trials
from wetleaf.numerics.differences.spending import GroupBoundaries, Spending, group_boundaries
from wetleaf.trade.errors import BadInput

MOST_LOOKS = 10
_GROWTH = 3


@dataclass(frozen=True, slots=True)
class GroupPlan:
    """The looks and boundaries, and the exact course of the test by guessing and at the declared size."""

    method: str
    size: DeclaredSize
    alpha: float
    wanted_power: float
    trials: int
    boundaries: GroupBoundaries
    by_guessing: Course
    at_size: Course

    @property
    def power(self) -> float:
        """Return the chance to end in yes at the declared size."""
        return sum(self.at_size.yes)


def plan_looks(
    method: str,
    looks: int,
    *,
    d_prime: float | None = None,
    discriminators: float | None = None,
    power: float = 0.8,
    alpha: float = 0.05,
    spending: Spending = "obrien-fleming",
) -> GroupPlan:
    """Return the smallest test of so many even looks that finds the declared size with `power`.

    A look may end in yes or in no; each spends `alpha`, as `rule_for` does when the trials are judged.
    Trials in all are a multiple of the looks. Raises BadInput for looks, sizes or levels that cannot be.

    >>> plan = plan_looks("triangle", 3, d_prime=2)
    >>> plan.boundaries.looks, plan.boundaries.yes_from, round(plan.at_size.expected_trials, 1)
    ((8, 16, 24), (8, 10, 13), 19.5)
    """
    if not 2 <= looks <= MOST_LOOKS:
        raise BadInput(f"{looks} looks cannot be planned.", way_out=f"Plan 2 to {MOST_LOOKS} looks.")
    how = binary_method(method)
    size = declared_size(how, d_prime=d_prime, discriminators=discriminators)
    fixed = plan_trials(method, d_prime=d_prime, discriminators=discriminators, power=power, alpha=alpha)
    for each in range(max(1, fixed.first // looks), _GROWTH * fixed.trials + looks):
        at = [each * look for look in range(1, looks + 1)]
        plan = _plan(how.key, how.guessing, size, at, power, alpha, spending)
        if plan.power >= power:
            return plan
    raise BadInput(f"No plan with {looks} looks was found.", way_out="Plan fewer looks.")


def _plan(
    key: str,
    guessing: float,
    size: DeclaredSize,
    looks: list[int],
    power: float,
    alpha: float,
    spending: Spending,
) -> GroupPlan:
    boundaries = group_boundaries(
        looks, looks[-1], guessing, alpha=alpha, declared=size.right, beta=alpha, spending=spending
    )
    return GroupPlan(
        key,
        size,
        alpha,
        power,
        looks[-1],
        boundaries,
        boundaries.course(guessing),
        boundaries.course(size.right),
    )
