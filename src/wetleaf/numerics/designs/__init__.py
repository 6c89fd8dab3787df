"""Serving designs: brews, cups, positions and minutes of a flight, with the fewest brews and cups.

Start at `lay_out.lay_out` (several teas side by side) and `trials.lay_out_trials` (difference
tests). The way through: `asked` (what is wanted, checked) -> `sittings` (who sits with what, by
`incomplete_blocks`, `balanced_blocks`, `efficiency`) -> `orders` (one row for all, or private, by `williams`,
`choosing`, `evenness`) -> `codes`, `timing`, `costs` -> `records`. `writing` makes plain values of a design.
May import numpy and the plain values of `trade`; chance is an argument.
"""

from wetleaf.numerics.designs.asked import Asked
from wetleaf.numerics.designs.lay_out import balance_of, lay_out
from wetleaf.numerics.designs.records import Balance, Brew, Cost, Cup, Design, Leaf, Sitting, Walk
from wetleaf.numerics.designs.timing import Part
from wetleaf.numerics.designs.trials import AskedTrials, OrderBalance, TrialCup, TrialDesign, lay_out_trials
from wetleaf.numerics.designs.writing import as_mapping, as_rows

__all__ = [
    "Asked",
    "AskedTrials",
    "Balance",
    "Brew",
    "Cost",
    "Cup",
    "Design",
    "Leaf",
    "OrderBalance",
    "Part",
    "Sitting",
    "TrialCup",
    "TrialDesign",
    "Walk",
    "as_mapping",
    "as_rows",
    "balance_of",
    "lay_out",
    "lay_out_trials",
]
