"""Laying rows better over several sittings: two bowls change places, or one taster begins elsewhere.

With one sitting the row's own order does not matter, all rows being alike but for the names. Over several it
does: which teas are neighbours again, and which tea is met early twice.
"""

from collections.abc import Sequence

import numpy as np

from wetleaf.numerics.designs.choosing import Tally
from wetleaf.numerics.designs.evenness import IntArray

_TRIES = 400
_HEAT = 1.0
"""At the start of annealing, in weights of one cell; found by trial on flights of 6 to 60 teas."""
_NEARLY = 1e-9

Laid = tuple[IntArray, IntArray]
"""A row of teas by place, and for each taster the places in the order of the walk."""


def walked_places(starts: IntArray, directions: IntArray, bowls: int) -> IntArray:
    """Return the places of each taster's walk along a row that goes on at the other end.

    >>> walked_places(np.array([1]), np.array([-1]), 4).tolist()
    [[1, 0, 3, 2]]
    """
    return (starts[:, None] + directions[:, None] * np.arange(bowls)) % bowls


def exchange_bowls(
    laid: Sequence[Laid], teas: Sequence[IntArray], n_teas: int, bound: float, rng: np.random.Generator
) -> list[Laid]:
    """Return the best rows and walks met in a walk by simulated annealing; stops at `bound`.

    `laid` holds each sitting's row as numbers in `teas` of that sitting, and the places each taster walks.
    """
    tally = Tally(
        [tea[row[walk]] for (row, walks), tea in zip(laid, teas, strict=True) for walk in walks], n_teas
    )
    current = list(laid)
    for sitting, tea in zip(current, teas, strict=True):
        _count(tally, sitting, tea, 1)
    now = best = tally.measure()
    kept = list(current)
    for turn in range(_TRIES):
        if best <= bound + _NEARLY:
            break
        one = int(rng.integers(len(current)))
        before, other = tally.weighted.copy(), _changed(current[one], rng)
        _count(tally, current[one], teas[one], -1)
        _count(tally, other, teas[one], 1)
        new = tally.measure()
        if _taken(new - now, _HEAT * tally.unit * (1 - turn / _TRIES), rng):
            current[one], now = other, new
        else:
            tally.weighted = before
        if now < best - _NEARLY:
            best, kept = now, list(current)
    return kept


def _count(tally: Tally, laid: Laid, teas: IntArray, sign: int) -> None:
    row, walks = laid
    for cells in tally.cells(teas[row[walks]]):
        tally.add(cells, sign)


def _taken(worse_by: float, heat: float, rng: np.random.Generator) -> bool:
    return worse_by <= 0 or bool(rng.random() < np.exp(-worse_by / heat))


def _changed(laid: Laid, rng: np.random.Generator) -> Laid:
    """Exchange two bowls, or let one taster begin at another bowl or walk the other way."""
    row, walks = laid[0].copy(), laid[1].copy()
    if rng.random() < 0.5:
        one, two = rng.integers(len(row), size=2)
        row[[one, two]] = row[[two, one]]
    else:
        start, way = rng.integers(len(row), size=1), rng.choice((1, -1), size=1)
        walks[rng.integers(len(walks))] = walked_places(start, way, len(row))[0]
    return row, walks
