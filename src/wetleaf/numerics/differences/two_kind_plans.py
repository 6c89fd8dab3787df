"""How many trials of same-different or A-not-A find a difference, by exact count over all outcomes."""

from dataclasses import dataclass

from wetleaf.numerics.differences.counts import check_level
from wetleaf.numerics.differences.criteria import best_criterion, model_of
from wetleaf.numerics.differences.fisher import fisher_power
from wetleaf.numerics.differences.methods import LARGEST_D_PRIME
from wetleaf.numerics.differences.two_kinds import two_kind_method
from wetleaf.trade.errors import BadInput

_MOST_OF_A_KIND = 400
_BELOW_NORMAL = 0.6
"""Fisher's test never needs fewer than this share of the trials that the normal reckoning asks."""


@dataclass(frozen=True, slots=True)
class TwoKindPlan:
    """`trials` in all, half of each kind, for Fisher's test; `criterion` is the one assumed of the taster."""

    method: str
    trials: int
    power: float
    risk: float
    first: int
    d_prime: float
    criterion: float
    alpha: float
    wanted_power: float


def plan_two_kinds(method: str, d_prime: float, *, power: float = 0.8, alpha: float = 0.05) -> TwoKindPlan:
    """Return the trials by which Fisher's exact test finds a d-prime, half of them of each kind.

    Power is counted exactly over all outcomes. The taster is assumed to set the criterion that gives most
    right answers (half-way for A-not-A); a cautious or a bold taster needs more. Raises BadInput for a
    size, level or power that cannot be and where more than 800 trials would be needed.

    >>> plan = plan_two_kinds("a-not-a", 1.5)
    >>> plan.trials, round(plan.power, 3)
    (24, 0.843)
    """
    how = two_kind_method(method)
    check_level("alpha", alpha)
    check_level("power", power)
    if not 0 < d_prime <= LARGEST_D_PRIME:
        raise BadInput(
            f"A d-prime of {d_prime:g} cannot be declared.", way_out="Give the size that matters, such as 1."
        )
    criterion = best_criterion(how.key, d_prime)
    shares = model_of(how.key)(d_prime, criterion)
    reached = _power_by_number(shares, alpha, power)
    first = min(each for each, (found, _) in reached.items() if found >= power)
    lasting = max((each for each, (found, _) in reached.items() if found < power), default=first - 1) + 1
    found, risk = reached[lasting]
    return TwoKindPlan(how.key, 2 * lasting, found, risk, 2 * first, d_prime, criterion, alpha, power)


def _power_by_number(
    shares: tuple[float, float], alpha: float, power: float
) -> dict[int, tuple[float, float]]:
    """Power and risk by the number of each kind, until the power has long been enough."""
    each = max(1, int(_BELOW_NORMAL * _normal_guess(shares, alpha, power)) - 10)
    reached: dict[int, tuple[float, float]] = {}
    enough_for = 0
    while enough_for < max(12, each // 5):
        if each > _MOST_OF_A_KIND:
            raise BadInput(
                f"More than {2 * _MOST_OF_A_KIND} trials would be needed.",
                way_out="Declare a larger size, or take a method whose answers are right or wrong.",
            )
        reached[each] = fisher_power(each, *shares, alpha)
        enough_for = enough_for + 1 if reached[each][0] >= power else 0
        each += 1
    return reached


def _normal_guess(shares: tuple[float, float], alpha: float, power: float) -> float:
    from scipy.special import ndtri

    spread = sum(share * (1 - share) for share in shares)
    return float((ndtri(power) - ndtri(alpha)) ** 2 * spread / (shares[0] - shares[1]) ** 2)
