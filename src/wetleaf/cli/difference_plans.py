"""What `wetleaf difference plan` says: trials, critical number, power, and the cost at the table."""

from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any, cast

from wetleaf.cli.said import Said, shown
from wetleaf.numerics.differences import (
    METHODS,
    TWO_KIND_METHODS,
    Cost,
    GroupPlan,
    TrialPlan,
    TwoKindPlan,
    cost_of_trials,
    method_key,
    plan_looks,
    plan_trials,
    plan_two_kinds,
    sequential_test,
    trials_from_leaf,
)
from wetleaf.numerics.differences.binomials import least_right
from wetleaf.numerics.differences.scoring import findable
from wetleaf.numerics.differences.spending import Spending
from wetleaf.trade.errors import BadInput

_BRIEFLY = ("2-afc", "triangle", "duo-trio", "tetrad", "3-afc", "two-out-of-five")


@dataclass(frozen=True)
class Wanted:
    """The size, the errors, and the kind of plan."""

    d_prime: float | None
    discriminators: float | None
    power: float
    alpha: float
    similar: bool
    true_d_prime: float
    looks: int | None
    spending: str


@dataclass(frozen=True)
class Table:
    """Who tastes, and how a brew is made."""

    tasters: int
    shared_brews: bool
    protocol: str
    grams: Decimal | None
    grams_left: Decimal | None

    def cost(self, trials: int, cups: int) -> Cost:
        """Return what so many trials cost at this table."""
        return cost_of_trials(
            trials,
            cups,
            tasters=self.tasters,
            shared_brews=self.shared_brews,
            protocol=self.protocol,
            grams=self.grams,
        )


def plan(method: str, wanted: Wanted, table: Table) -> Said:
    """Plan by any method."""
    key = method_key(method)
    if key in TWO_KIND_METHODS:
        return _two_kinds(key, wanted, table)
    if wanted.looks is not None:
        return _with_looks(key, wanted, table)
    found = plan_trials(
        key,
        d_prime=wanted.d_prime,
        discriminators=wanted.discriminators,
        power=wanted.power,
        alpha=wanted.alpha,
        similar=wanted.similar,
        true_d_prime=wanted.true_d_prime,
    )
    cost = table.cost(found.trials, METHODS[key].cups)
    others = _others(found, wanted, table)
    left = _from_leaf(key, wanted, table)
    shorter = None if wanted.similar else _sequential(found)
    content = {**_fixed(found), **_cost(cost), "others": others, "sequential": shorter, "leaf_left": left}
    lines = [*_fixed_lines(found, cost, others, shorter), *_leaf_lines(left)]
    return Said(content, tuple(lines))


def _from_leaf(key: str, wanted: Wanted, table: Table) -> dict[str, Any] | None:
    """What the leaf that is left can find at the most."""
    if table.grams_left is None:
        return None
    method = METHODS[key]
    trials = trials_from_leaf(table.grams_left, method.cups, protocol=table.protocol, grams=table.grams)
    if trials == 0:
        raise BadInput(
            f"{table.grams_left} g are not enough for one {method.name} trial.",
            way_out="Brew less a cup (--grams), or take a directed pair.",
        )
    least = int(least_right(trials, wanted.alpha, method.guessing))
    reached = findable(method, trials, least, wanted.power)
    return {
        "grams_left": float(table.grams_left),
        "trials": trials,
        "critical": least if least <= trials else None,
        "finds": {"d_prime": reached.d_prime, "power": reached.power},
    }


def _leaf_lines(left: dict[str, Any] | None) -> list[str]:
    if left is None:
        return []
    start = f"  {left['grams_left']:g} g left allow {left['trials']} trials: "
    if left["critical"] is None:
        return [start + "too few to find any difference; brew less a cup, or look at leaf and liquor instead"]
    finds = left["finds"]
    return [
        f"{start}told apart with {left['critical']} right; they find a d-prime of {shown(finds['d_prime'])} "
        f"with {finds['power']:.0%}"
    ]


def _fixed(found: TrialPlan) -> dict[str, Any]:
    return {
        "method": found.method,
        "similar": found.similar,
        "trials": found.trials,
        "critical": found.critical,
        "power": found.power,
        "risk": found.risk,
        "first": {"trials": found.first, "critical": found.first_critical},
        "d_prime": found.size.d_prime,
        "discriminators": found.size.discriminators,
        "true_d_prime": found.true_d_prime,
        "alpha": found.alpha,
        "wanted_power": found.wanted_power,
    }


def _cost(cost: Cost) -> dict[str, Any]:
    return {
        "brews": cost.brews,
        "cups": cost.cups,
        "grams": float(cost.grams),
        "grams_each_tea": float(cost.grams_each),
        "grams_per_brew": float(cost.grams_per_brew),
        "tasters": cost.tasters,
        "sittings": cost.sittings,
        "trials_a_sitting": cost.trials_a_sitting,
    }


def _others(found: TrialPlan, wanted: Wanted, table: Table) -> list[dict[str, Any]]:
    """The other methods for the same d-prime; a pair or a 3-AFC only helps who knows what to look for."""
    listed = []
    for key in _BRIEFLY:
        if key == found.method:
            continue
        try:
            other = plan_trials(
                key,
                d_prime=found.size.d_prime,
                power=wanted.power,
                alpha=wanted.alpha,
                similar=wanted.similar,
                true_d_prime=wanted.true_d_prime,
            )
            cost = table.cost(other.trials, METHODS[key].cups)
        except BadInput:
            continue
        listed.append(
            {"method": key, "trials": other.trials, "cups": cost.cups, "brews": cost.brews}
            | {"grams": float(cost.grams), "sittings": cost.sittings}
        )
    return listed


def _sequential(found: TrialPlan) -> dict[str, Any] | None:
    try:
        test = sequential_test(
            found.method,
            discriminators=found.size.discriminators,
            alpha=found.alpha,
            beta=1 - found.wanted_power,
        )
    except BadInput:
        return None
    return {
        "most": test.most,
        "expected_without_difference": test.by_guessing.expected_trials,
        "expected_at_size": test.at_size.expected_trials,
        "power": test.at_size.yes,
    }


def _fixed_lines(
    found: TrialPlan, cost: Cost, others: list[dict[str, Any]], shorter: dict[str, Any] | None
) -> list[str]:
    size = f"d-prime {shown(found.size.d_prime)} (discriminators {found.size.discriminators:.0%})"
    if found.similar:
        rule = f'"none as large as {size}" with {found.critical} right or fewer'
        chances = (
            f"said with {found.power:.1%} when the d-prime is {found.true_d_prime:g}, "
            f"wrongly with {found.risk:.1%}"
        )
    else:
        rule = f'"told apart" with {found.critical} right or more'
        chances = f"said with {found.power:.1%} at {size}, by guessing with {found.risk:.1%}"
    lines = [f"{found.method}: {found.trials} trials", f"  {rule}: {chances}", *_cost_lines(cost)]
    if found.first < found.trials:
        lines.append(
            f"  {found.first} trials reach the power too (critical number {found.first_critical}), but some "
            "numbers between fall short of it"
        )
    if shorter is not None:
        lines.append(
            f"  stopping as soon as it is clear (wetleaf difference next): at most {shorter['most']} trials, "
            f"on average {shorter['expected_without_difference']:.1f} without a difference, "
            f"{shorter['expected_at_size']:.1f} at this one (power {shorter['power']:.0%})"
        )
    lines += [
        f"  or {one['method']}: {one['trials']} trials, {one['cups']} cups, {one['grams']:g} g"
        for one in others
    ]
    return lines


def _cost_lines(cost: Cost) -> list[str]:
    return [
        f"  {cost.brews} brews, {cost.cups} cups, {cost.grams:f} g of leaf "
        f"({cost.grams_each:f} g of each tea in balanced orders), "
        f"{cost.sittings} sittings of {cost.trials_a_sitting} trials a taster"
    ]


def _with_looks(key: str, wanted: Wanted, table: Table) -> Said:
    if wanted.similar or wanted.looks is None:
        raise BadInput(
            "A plan with looks answers both ways already.", way_out="Leave out --similar, or --looks."
        )
    found = plan_looks(
        key,
        wanted.looks,
        d_prime=wanted.d_prime,
        discriminators=wanted.discriminators,
        power=wanted.power,
        alpha=wanted.alpha,
        spending=cast(Spending, wanted.spending),
    )
    cost = table.cost(found.trials, METHODS[key].cups)
    return Said({**_looks(found), **_cost(cost)}, tuple(_look_lines(found, cost)))


def _looks(found: GroupPlan) -> dict[str, Any]:
    bounds = found.boundaries
    rows = zip(bounds.looks, bounds.yes_from, bounds.no_up_to, bounds.spent, bounds.missed, strict=True)
    return {
        "method": found.method,
        "similar": False,
        "trials": found.trials,
        "critical": bounds.yes_from[-1],
        "power": found.power,
        "risk": sum(found.by_guessing.yes),
        "d_prime": found.size.d_prime,
        "discriminators": found.size.discriminators,
        "alpha": found.alpha,
        "wanted_power": found.wanted_power,
        "spending": bounds.spending,
        "looks": [
            {"trials": at, "yes_from": yes, "no_up_to": no, "error_spent": spent, "miss_spent": missed}
            for at, yes, no, spent, missed in rows
        ],
        "expected_without_difference": found.by_guessing.expected_trials,
        "expected_at_size": found.at_size.expected_trials,
    }


def _look_lines(found: GroupPlan, cost: Cost) -> list[str]:
    bounds = found.boundaries
    steps = [
        f"  after {at} trials: yes from {_or_never(yes, yes <= at)} right on, "
        f"no up to {_or_never(no, no >= 0)}"
        for at, yes, no in zip(bounds.looks, bounds.yes_from, bounds.no_up_to, strict=True)
    ]
    return [
        f"{found.method}: {found.trials} trials at most, {len(bounds.looks)} looks",
        *steps,
        f"  power {found.power:.1%}; by guessing yes with {sum(found.by_guessing.yes):.1%}; on average "
        f"{found.by_guessing.expected_trials:.1f} trials without a difference, "
        f"{found.at_size.expected_trials:.1f} at d-prime {shown(found.size.d_prime)}",
        *_cost_lines(cost),
    ]


def _or_never(count: int, possible: bool) -> str:
    return str(count) if possible else "(never)"


def _two_kinds(key: str, wanted: Wanted, table: Table) -> Said:
    if wanted.similar or wanted.looks is not None or wanted.d_prime is None:
        raise BadInput(
            f"{key} is planned for a difference of a d-prime, tasted once.",
            way_out="Give --d-prime alone; to exclude a size take a directed pair, triangle or tetrad.",
        )
    found = plan_two_kinds(key, wanted.d_prime, power=wanted.power, alpha=wanted.alpha)
    cost = table.cost(found.trials, TWO_KIND_METHODS[key].cups)
    return Said({**_two_kind_content(found), **_cost(cost)}, tuple(_two_kind_lines(found, cost)))


def _two_kind_content(found: TwoKindPlan) -> dict[str, Any]:
    return {**asdict(found), "similar": False, "critical": None, "first": {"trials": found.first}}


def _two_kind_lines(found: TwoKindPlan, cost: Cost) -> list[str]:
    return [
        f"{found.method}: {found.trials} trials, half of each kind",
        f"  judged by Fisher's exact test: power {found.power:.1%} at d-prime {shown(found.d_prime)}, if the "
        "taster cuts where most answers are right; by guessing at most "
        f"{found.alpha:.0%}",
        *_cost_lines(cost),
    ]
