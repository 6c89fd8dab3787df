"""What trials cost at the table: brews, cups, grams and sittings."""

from dataclasses import dataclass
from decimal import Decimal

from wetleaf.numerics.differences.counts import check_trials
from wetleaf.trade.errors import BadInput
from wetleaf.trade.protocols import grams_per_brew
from wetleaf.trade.stages import sitting_limit

USUAL_PROTOCOL = "column_cup"


@dataclass(frozen=True, slots=True)
class Cost:
    """Brews, cups and grams in all; grams of each of the two teas in balanced orders; sittings a taster."""

    trials: int
    tasters: int
    brews: int
    cups: int
    grams: Decimal
    grams_each: Decimal
    grams_per_brew: Decimal
    trials_a_sitting: int
    sittings: int


def cost_of_trials(
    trials: int,
    cups_per_trial: int,
    *,
    tasters: int = 1,
    shared_brews: bool = False,
    protocol: str = USUAL_PROTOCOL,
    grams: Decimal | None = None,
) -> Cost:
    """Return what so many trials cost.

    Every cup is a brew of its own, unless `shared_brews`: then the tasters of one round drink from the same
    brews, which saves leaf, but a fault of one pot is shared by all of them. Two cups of one pot in one
    trial are never reckoned with: they would be alike because of the pot. A sitting holds as many trials as
    its largest number of cups for difference tests (`trade`'s table), one at least. `grams` a brew
    overrides the protocol's.

    >>> cost = cost_of_trials(24, 3, tasters=4)
    >>> cost.brews, cost.cups, cost.grams, cost.sittings
    (72, 72, Decimal('216'), 3)
    >>> cost_of_trials(24, 3, tasters=4, shared_brews=True).brews
    18
    """
    check_trials(trials)
    check_trials(cups_per_trial)
    if tasters < 1:
        raise BadInput(f"{tasters} tasters cannot taste.", way_out="Give one taster or more.")
    each = _grams_of(protocol, grams)
    rounds = -(-trials // tasters)
    brews = cups_per_trial * (rounds if shared_brews else trials)
    bears = max(1, sitting_limit("difference").cups_most // cups_per_trial)
    return Cost(
        trials=trials,
        tasters=tasters,
        brews=brews,
        cups=cups_per_trial * trials,
        grams=brews * each,
        grams_each=brews * each / 2,
        grams_per_brew=each,
        trials_a_sitting=bears,
        sittings=-(-rounds // bears),
    )


def trials_from_leaf(
    grams_left: Decimal, cups_per_trial: int, *, protocol: str = USUAL_PROTOCOL, grams: Decimal | None = None
) -> int:
    """Return how many trials the leaf left of one of the two teas allows, in balanced orders.

    In balanced orders half of the brews are of each tea. Raises BadInput for grams below 0.

    >>> trials_from_leaf(Decimal(10), 2), trials_from_leaf(Decimal(10), 3)
    (3, 2)
    """
    if not grams_left.is_finite() or grams_left < 0:
        raise BadInput(
            f"{grams_left} grams left cannot be.", way_out="Give the grams that are left, 0 or more."
        )
    return int(2 * grams_left / (cups_per_trial * _grams_of(protocol, grams)))


def _grams_of(protocol: str, grams: Decimal | None) -> Decimal:
    if grams is None:
        return grams_per_brew(protocol)
    if not grams.is_finite() or grams <= 0:
        raise BadInput(f"{grams} grams a brew cannot be.", way_out="Give grams above 0, such as 3.")
    return grams
