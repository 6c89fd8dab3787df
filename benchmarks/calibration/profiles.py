"""Is "do they differ?" right as often as it says, and does it answer when the cups hold an answer?

    python benchmarks/calibration/profiles.py [draws per cell]

For every cell: "yes" to "do the lots differ?" where none does, and where one lot has 1.5, 2 and 3 residual
standard deviations more, beside the best possible test of the same cups: the exact F test of one who knows
which variances are nought. For the last lot against the first, tolerance 1: what its interval holds,
a false "yes", "no" where the truth is 0, and a wrong "no" where it is 1.5.
"""

import os
import sys
from dataclasses import dataclass, replace
from itertools import product

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from numpy.typing import NDArray
from panels import BASELINE, Panel, draw
from scipy.stats import f as f_distribution

from wetleaf.numerics.profiles import fit_profiles
from wetleaf.numerics.profiles.results import Decision

SEED = 20261125
EFFECTS = (1.5, 2.0, 3.0)
TOLERANCE = 1.0
AT_ONCE = 500
GAPS_COST = 10  # a table with gaps of its own takes so many times longer, and gets so many times fewer draws


@dataclass(frozen=True)
class Counted:
    """Shares over the draws of one panel. `best` is nan where no exact test is known."""

    yes: float
    best: float
    held: float
    pair_yes: float
    pair_no: float


def count(panel: Panel, draws: int, rng: np.random.Generator) -> Counted:
    """Return what the answers of one panel come to."""
    chunks = [min(AT_ONCE, draws - start) for start in range(0, draws, AT_ONCE)]
    shares = np.array([_shares(panel, size, rng) for size in chunks])
    return Counted(*np.average(shares, axis=0, weights=chunks).tolist())


def _shares(panel: Panel, draws: int, rng: np.random.Generator) -> tuple[float, ...]:
    drawn = draw(panel, draws, rng)
    fitted = fit_profiles(drawn.scores, baseline=BASELINE, tolerance=TOLERANCE).attributes
    decisions = [one.decision for one in fitted]
    yes = [decision.answer == "yes" for decision in decisions]
    pairs = np.array([_pair(decision, panel.effect) for decision in decisions])
    return (
        float(np.mean(yes)),
        float(np.mean(best_possible(panel, drawn.cells))),
        *pairs.mean(axis=0).tolist(),
    )


def _pair(decision: Decision, effect: float) -> tuple[bool, bool, bool]:
    """Does the last lot's interval against the first hold the truth; is the answer yes; is it no?"""
    if not decision.against:
        return True, False, False
    verdict = decision.against[-1]
    if verdict.low is None or verdict.high is None:
        return True, False, False
    return verdict.low <= effect <= verdict.high, verdict.answer == "yes", verdict.answer == "no"


def best_possible(panel: Panel, cells: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return whether the exact F test says yes (draws,), nan where none is known.

    It knows which variances are nought and pools what it may: without taste or pots all that is left over
    of lots and tasters; with taste, taster x lot; with pots and no taste, pots within lots.
    """
    lots, tasters, cups, draws = cells.shape
    if panel.missing or panel.scale or (panel.pot and panel.taste):
        return np.full(draws, np.nan)
    means = cells.mean(axis=(1, 2))
    between = tasters * cups * ((means - means.mean(axis=0)) ** 2).sum(axis=0)
    left = cells - means[:, None, None] - cells.mean(axis=(0, 2))[None, :, None] + cells.mean(axis=(0, 1, 2))
    if panel.pot:
        pots = cells.mean(axis=1)
        beside, df = tasters * ((pots - means[:, None]) ** 2).sum(axis=(0, 1)), lots * (cups - 1)
    elif panel.taste and tasters > 1:
        beside, df = cups * (left.mean(axis=2) ** 2).sum(axis=(0, 1)), (lots - 1) * (tasters - 1)
    else:
        beside, df = (left**2).sum(axis=(0, 1, 2)), lots * tasters * cups - lots - tasters + 1
    ratio = between / (lots - 1) / (beside / df)
    return (f_distribution.sf(ratio, lots - 1, df) < 0.05).astype(float)


def panels() -> list[Panel]:
    """Return the designs of the table in docs/reference/calibration.md, without effects."""
    found = []
    for tasters, lots in product((1, 2, 4, 8, 12), (3, 6, 12)):
        plain = Panel(tasters, lots)
        found.append(plain)
        if tasters > 1:
            found += [replace(plain, taste=0.5), replace(plain, taste=0.5, missing=0.2)]
            found += [replace(plain, taste=0.5, scale=0.3)]
        found += [replace(plain, pot=0.0), replace(plain, pot=0.5)]
    return found


def row(panel: Panel, draws: int, rng: np.random.Generator) -> str:
    """Return one line of the table."""
    draws = max(draws // GAPS_COST, min(draws, 200)) if panel.missing else draws
    none = count(panel, draws, rng)
    some = {effect: count(replace(panel, effect=effect), draws, rng) for effect in EFFECTS}
    shares = [
        "-" if np.isnan(one.best) or one.best < 0.05 else f"{one.yes:.2f} of {one.best:.2f}"
        for one in some.values()
    ]
    if np.isnan(none.best):
        shares = [f"{one.yes:.2f}" for one in some.values()]
    held = min(one.held for one in (none, *some.values()))
    cells = [panel.label(), str(draws), f"{none.yes:.3f}", *shares, f"{held:.3f}", f"{none.pair_yes:.3f}"]
    return " | ".join([*cells, f"{none.pair_no:.2f}", f"{some[1.5].pair_no:.3f}"])


def main() -> None:
    """Print the table as Markdown, a line as soon as it is known."""
    draws = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    rng = np.random.default_rng(SEED)
    print(f"{draws} draws a cell, seed {SEED}\n")
    print("| panel | draws | false yes | yes at 1.5 | at 2 | at 3 | held | pair: yes | no at 0 | wrong no |")
    print("|---|---|---|---|---|---|---|---|---|---|")
    for panel in panels():
        print(f"| {row(panel, draws, rng)} |", flush=True)


if __name__ == "__main__":
    main()
