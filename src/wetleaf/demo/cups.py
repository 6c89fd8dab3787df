"""The invented scores: each cup drawn from a known model, on the house's line of 0 to 7."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from wetleaf.demo.scenario import Palate, Scenario, Tasting

MIDDLE, BREW_SD, TASTE_SD, TOP = 3.5, 0.12, 0.12, 7


@dataclass(frozen=True)
class CupScores:
    """What one taster wrote of one pot."""

    taster: str
    lot: str
    pot: int
    scores: tuple[int, ...]


def pour(told: Scenario, tasting: Tasting, rng: np.random.Generator) -> Iterator[CupScores]:
    """Every cup of a tasting, taster by taster.

    A score is the lot's true intensity, this pot's own error, this taster's own view of the lot, level and
    stretch, then noise; rounded to the eight steps of the sheet. Who does not follow the tea answers around
    the middle whatever is in the cup.
    """
    size = len(told.attributes)
    pots = {
        (lot, pot): np.asarray(means) + rng.normal(0, BREW_SD, size)
        for lot, means in tasting.means.items()
        for pot in range(1, tasting.brews + 1)
    }
    for name in tasting.tasters:
        palate = told.palates[name]
        views = {lot: rng.normal(0, TASTE_SD, size) for lot in tasting.means}
        for (lot, pot), taste in pots.items():
            yield CupScores(name, lot, pot, _answer(palate, taste + views[lot], rng))


def _answer(palate: Palate, taste: np.ndarray, rng: np.random.Generator) -> tuple[int, ...]:
    felt = MIDDLE + palate.follows * palate.stretch * (taste - MIDDLE)
    written = felt + palate.level + rng.normal(0, palate.noise, taste.size)
    return tuple(int(score) for score in np.clip(np.rint(written), 0, TOP))
