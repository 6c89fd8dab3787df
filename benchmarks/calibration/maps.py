"""What ellipses and distances of a map hold, and how often families are claimed: for the methods of maps.

python benchmarks/calibration/maps.py [flights per cell]
"""

import os
import sys
from dataclasses import dataclass
from itertools import product

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from panels import Floats, scores_of

from wetleaf.numerics.maps import LotMap, distances_between, families_of_lots, map_of_lots
from wetleaf.numerics.maps.lot_maps import aligned_places

SEED = 20261125
ATTRIBUTES = 8
TASTE, CUP = 0.5, 0.7  # standard deviations of a taster's lasting taste of a lot, and of a cup


@dataclass(frozen=True)
class Cell:
    """One line of the table."""

    lots: int
    tasters: int
    spread: float
    groups: int = 0
    pot: float = 0.0

    def truth(self) -> str:
        """Return the truth in words."""
        if self.groups:
            return f"{self.groups} families"
        return f"{self.spread:g} apart" + (f", two pots of {self.pot:g}" if self.pot else "")


def flight(
    lots: int, tasters: int, spread: float, groups: int, pot: float, rng: np.random.Generator
) -> tuple[LotMap, Floats]:
    """Return the map of a simulated flight, and the truth (lots, attributes).

    With `groups` the lots stand about that many centres 1.5 apart, 0.2 from them; else `spread` apart. With
    `pot` every lot comes from two pots of that standard deviation, shared by all. One taster has two cups of
    every lot, and the truth is what that taster finds.
    """
    truth = rng.normal(0, 0.2 if groups else spread, (lots, ATTRIBUTES))
    if groups:
        truth += rng.normal(0, 1.5, (groups, ATTRIBUTES))[np.arange(lots) % groups]
    shape = (lots, tasters, 2 if tasters == 1 or pot else 1, ATTRIBUTES)
    values = (
        truth[:, None, None] + rng.normal(size=(1, tasters, 1, ATTRIBUTES)) + CUP * rng.normal(size=shape)
    )
    values += pot * rng.normal(size=(lots, 1, *shape[2:]))
    taste = TASTE * rng.normal(size=(lots, tasters, 1, ATTRIBUTES))
    if tasters == 1:
        truth = truth + taste[:, 0, 0]
    return map_of_lots(scores_of(values + taste), rng=rng, resamples=300), truth


def held_by_ellipses(found: LotMap, truth: Floats) -> list[bool]:
    """Return whether each lot's ellipse holds its true place, the true map turned onto this one."""
    places = aligned_places(found.components, truth[None])[0]
    held = []
    for one, (x, y) in zip(found.ellipses, places, strict=True):
        along = np.cos(one.turn) * (x - one.x) + np.sin(one.turn) * (y - one.y)
        across = np.cos(one.turn) * (y - one.y) - np.sin(one.turn) * (x - one.x)
        held.append(bool((along / one.half_long) ** 2 + (across / one.half_short) ** 2 <= 1))
    return held


def held_by_distances(found: LotMap, truth: Floats) -> list[bool]:
    """Return whether each pair's interval holds its true distance."""
    place = {lot: k for k, lot in enumerate(found.table.lots)}
    held = []
    for one in distances_between(found):
        true = float(np.sqrt(((truth[place[one.a]] - truth[place[one.b]]) ** 2).mean()))
        held.append(one.low - 1e-9 <= true <= one.high)
    return held


def row(cell: Cell, flights: int, rng: np.random.Generator) -> str:
    """Return one line of the table."""
    ellipses: list[bool] = []
    distances: list[bool] = []
    families: list[bool] = []
    for _ in range(flights):
        found, truth = flight(cell.lots, cell.tasters, cell.spread, cell.groups, cell.pot, rng)
        ellipses += held_by_ellipses(found, truth)
        distances += held_by_distances(found, truth)
        families.append(families_of_lots(found, rng=rng).answer == "yes")
    shares = [f"{np.mean(one):.3f}" for one in (ellipses, distances, families)]
    return " | ".join([str(cell.lots), str(cell.tasters), cell.truth(), *shares])


def cells() -> list[Cell]:
    """Return the cells of the table."""
    found = []
    for lots, tasters in product((4, 6, 12), (1, 2, 4, 8, 12)):
        found += [Cell(lots, tasters, spread) for spread in (0.0, 0.5, 1.5)]
        found += [Cell(lots, tasters, 0.5, pot=0.7)]
        if lots >= 6:
            found += [Cell(lots, tasters, 0.0, groups=3)]
    return found


def main() -> None:
    """Print the table as Markdown."""
    flights = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    rng = np.random.default_rng(SEED)
    print(f"{flights} flights a cell, {ATTRIBUTES} attributes, seed {SEED}\n")
    print("| lots | tasters | truth | ellipses hold | distances hold | families claimed |")
    print("|---|---|---|---|---|---|")
    for cell in cells():
        print(f"| {row(cell, flights, rng)} |", flush=True)


if __name__ == "__main__":
    main()
