"""Simulated flights with a known truth: few tasters, pots with errors of their own, scales used unlike."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles import Scores

BASELINE = "L00"
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Panel:
    """One design. A cup's variance is 1, so effects are in residual standard deviations.

    `effect` is what the last lot has more than every other; `taste` the variance of taster x lot, `pot` of a
    brew (two brews a lot), `scale` the standard deviation of the logarithm of how much of the scale a taster
    uses, `missing` the share of cups without a score.
    """

    tasters: int
    lots: int
    cups: int = 2
    effect: float = 0.0
    taste: float = 0.0
    pot: float | None = None
    scale: float = 0.0
    missing: float = 0.0

    def label(self) -> str:
        """Return the design in words."""
        said = f"{self.tasters} tasters, {self.lots} lots, {self.cups} cups"
        said += "" if self.pot is None else f" from two pots (variance {self.pot:g})"
        said += f", taste {self.taste:g}" + (f", scales unlike {self.scale:g}" if self.scale else "")
        return said + (f", {self.missing:.0%} missing" if self.missing else "")


@dataclass(frozen=True)
class Drawn:
    """Draws of a panel as the attributes of one table, and as a block (lots, tasters, cups, draws)."""

    scores: Scores
    cells: Floats


def draw(panel: Panel, draws: int, rng: np.random.Generator) -> Drawn:
    """Return `draws` independent tables of the panel."""
    shape = (panel.lots, panel.tasters, panel.cups, draws)
    lots = np.zeros(panel.lots)
    lots[-1] = panel.effect
    stretch = np.exp(panel.scale * rng.normal(size=(1, panel.tasters, 1, draws)))
    values = (lots - lots.mean())[:, None, None, None] * stretch + rng.normal(size=shape)
    values += rng.normal(size=(1, panel.tasters, 1, draws))
    values += np.sqrt(panel.taste) * rng.normal(size=(panel.lots, panel.tasters, 1, draws))
    if panel.pot is not None:
        values += np.sqrt(panel.pot) * rng.normal(size=(panel.lots, 1, panel.cups, draws))
    values[rng.random(shape) < panel.missing] = np.nan
    return Drawn(scores_of(values, brews=panel.pot is not None), values)


def scores_of(cells: Floats, *, brews: bool = False) -> Scores:
    """Return a block of cups (lots, tasters, cups, attributes) as a table; `brews`: a cup number is a pot."""
    lot, taster, cup = (axis.ravel() for axis in np.indices(cells.shape[:3]))
    return Scores(
        lots=[f"L{one:02d}" for one in lot],
        tasters=[f"T{one:02d}" for one in taster],
        values=cells.reshape(lot.size, -1),
        attributes=[str(number) for number in range(cells.shape[3])],
        brews=[f"B{one}" for one in cup] if brews else None,
    )
