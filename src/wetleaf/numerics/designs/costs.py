"""What a plan costs: brews, cups, grams against what is left, water, minutes."""

from collections import Counter
from collections.abc import Mapping, Sequence
from decimal import Decimal

from wetleaf.numerics.designs.records import Brew, Cost, Leaf
from wetleaf.numerics.designs.timing import BREAK_MINUTES, Preparation, litres_of_water

LEAST_ML_EACH = 15
"""Less than this is hardly a sip (common practice)."""


def cost_of(
    teas: Sequence[str],
    grams_left: Mapping[str, Decimal],
    brews: Sequence[Brew],
    poured: Sequence[str],
    minutes: Sequence[float],
    made: Preparation,
) -> Cost:
    """Return the cost of a plan: `poured` names the brew of every cup, `minutes` holds each sitting's."""
    return Cost(
        brews=len(brews),
        cups=len(poured),
        sittings=len(minutes),
        grams=made.grams * len(brews),
        leaf=leaf_of(Counter(brew.sample for brew in brews), teas, made.grams, grams_left),
        litres=litres_of_water(len(brews), len(poured), made),
        minutes=sum(minutes) + BREAK_MINUTES * (len(minutes) - 1),
        ml_each=round(made.fill_ml / max(Counter(poured).values()), 1),
    )


def leaf_of(
    brews: Mapping[str, int], teas: Sequence[str], grams: Decimal, left: Mapping[str, Decimal]
) -> tuple[Leaf, ...]:
    """Return the leaf each tea spends, and what is missing of the grams left.

    >>> leaf_of({"A": 3}, ["A"], Decimal(3), {"A": Decimal(7)})[0].short_grams
    Decimal('2')
    """
    return tuple(_leaf(tea, brews.get(tea, 0), grams, left.get(tea)) for tea in teas)


def _leaf(tea: str, brews: int, grams: Decimal, left: Decimal | None) -> Leaf:
    spent = brews * grams
    short = Decimal(0) if left is None else max(Decimal(0), spent - left)
    return Leaf(tea, brews, spent, left, short)


def notes_on_cost(cost: Cost) -> list[str]:
    """Return what the cost warns of: too little leaf, too small sips."""
    short = [one for one in cost.leaf if one.short_grams > 0]
    notes = [
        f"{one.sample} needs {one.grams} g and has {one.grams_left} g left: {one.short_grams} g short."
        for one in short
    ]
    if cost.ml_each < LEAST_ML_EACH:
        notes.append(
            f"A brew gives each taster {cost.ml_each} mL, hardly a sip: use a larger vessel (--protocol)."
        )
    return notes
