"""Scores with every taster's level in every sitting taken out: lot means, and what is left around them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from wetleaf.numerics.maps.axes import Floats
from wetleaf.numerics.profiles.scores import Scores, levels_and_codes
from wetleaf.trade.errors import BadInput

Codes = NDArray[np.intp]
TASTERS_AT_LARGE: Final = 8  # from here on tasters are resampled; three tasters have only ten resamples


@dataclass(frozen=True, slots=True)
class Pots:
    """Pot means less their lot's (pots, attributes), whose pot, and the degrees of freedom between pots."""

    residuals: Floats
    lot_of_pot: Codes
    df: float

    @property
    def pots_per_lot(self) -> Codes:
        """How many pots each lot came from (lots,)."""
        return np.bincount(self.lot_of_pot)


@dataclass(frozen=True, slots=True)
class Levelled:
    """Lot means (lots, attributes) and the units around them: a taster's mean of a lot, or a cup.

    `units` (units, attributes) hold scores less the level of taster and sitting, nan where none was given;
    `lot_of_unit` and `taster_of_unit` say whose. `df` (attributes,) are what is left for noise. `left_out`
    names attributes that some lot has no score for. `pots` is None when some lot came from one pot only: then
    nothing tells the tea from its pot. With one taster the units are pots already, and `pots` repeats them.
    """

    lots: tuple[str, ...]
    tasters: tuple[str, ...]
    attributes: tuple[str, ...]
    means: Floats
    units: Floats
    lot_of_unit: Codes
    taster_of_unit: Codes
    df: Floats
    left_out: tuple[str, ...]
    pots: "Pots | None"

    @property
    def residuals(self) -> Floats:
        """What is left around the lot means (units, attributes); 0 where no score was given."""
        return np.nan_to_num(self.units - self.means[self.lot_of_unit])

    @property
    def units_per_lot(self) -> Codes:
        """How many units each lot has (lots,)."""
        return np.bincount(self.lot_of_unit, minlength=len(self.lots))


def levelled(scores: Scores) -> Levelled:
    """Return scores with levels of taster and sitting taken out, by least squares on lot + level.

    With two tasters or more a unit is one taster's mean of one lot, for repeated cups share that taster's
    taste; with one taster it is a pot. Pots that are not named are taken as a row of bowls for all: a
    taster's second cup of a lot in a sitting comes from the second pot. Raises BadInput when lots share no
    taster and sitting even by way of others, and when no attribute is scored on every lot.
    """
    lots, lot = levels_and_codes(scores.lots)
    tasters, taster = levels_and_codes(scores.tasters)
    sittings = scores.sittings if scores.sittings is not None else [""] * scores.n_rows
    _, level = levels_and_codes(
        [f"{who}\0{when}" for who, when in zip(scores.tasters, sittings, strict=True)]
    )
    values = np.where(np.isfinite(scores.values), scores.values, np.nan)
    whole = np.array([np.unique(lot[~gap]).size == len(lots) for gap in np.isnan(values).T], dtype=bool)
    left_out = tuple(name for name, kept in zip(scores.attributes, whole, strict=True) if not kept)
    if not whole.any():
        raise BadInput(
            "No attribute is scored on every lot, so the lots cannot stand on one map.",
            way_out="Leave out the lots that were hardly scored, or map the others.",
        )
    values = values[:, whole]
    flat, _ = _without_levels(values, lot, level, lots)
    pot = _pots_of(scores, lot, taster, sittings)
    alone = len(tasters) == 1
    units, owner, whose = _averaged(flat, lot, pot if alone else taster, len(lots))
    counts = (~np.isnan(units)).astype(float)
    means = _summed(np.nan_to_num(units), owner, len(lots)) / _summed(counts, owner, len(lots))
    free = 1 if alone else _levels_of_cells(lot, taster, level, len(tasters))
    df = np.maximum(counts.sum(axis=0) - len(lots) - free + 1, 0)
    attributes = tuple(name for name in scores.attributes if name not in left_out)
    whose = np.zeros_like(whose) if alone else whose
    pots = _between_pots(flat, lot, pot, means)
    return Levelled(lots, tasters, attributes, means, units, owner, whose, df, left_out, pots)


def _summed(values: Floats, owner: Codes, size: int) -> Floats:
    sums = np.zeros((size, values.shape[1]))
    np.add.at(sums, owner, values)
    return sums


def _pots_of(scores: Scores, lot: Codes, taster: Codes, sittings: Sequence[str]) -> Codes:
    """Return each cup's pot within its lot: by name and sitting, else by how many cups the taster had."""
    met: Counter[tuple[int, int, str]] = Counter()
    keys = []
    for row, sitting in enumerate(sittings):
        if scores.brews is not None:
            keys.append(f"{sitting}\0{scores.brews[row]}")
            continue
        met[int(lot[row]), int(taster[row]), sitting] += 1
        keys.append(f"{sitting}\0{met[int(lot[row]), int(taster[row]), sitting]}")
    return np.unique(np.asarray(keys, dtype=str), return_inverse=True)[1].reshape(-1)


def _between_pots(flat: Floats, lot: Codes, pot: Codes, means: Floats) -> Pots | None:
    """Return pot means around their lot's, or None when a lot came from one pot."""
    units, owner, _ = _averaged(flat, lot, pot, len(means))
    if np.bincount(owner, minlength=len(means)).min() < 2:
        return None
    held = (~np.isnan(units)).astype(float)
    own = _summed(np.nan_to_num(units), owner, len(means)) / np.maximum(_summed(held, owner, len(means)), 1)
    df = float(held.sum(axis=0).min()) - len(means)
    return Pots(np.nan_to_num(units - own[owner]), owner, df) if df >= 1 else None


def _without_levels(values: Floats, lot: Codes, level: Codes, lots: tuple[str, ...]) -> tuple[Floats, Floats]:
    """Take the levels out, attribute by attribute where gaps differ; their mean stays in."""
    n_levels = int(level.max()) + 1
    design = np.zeros((len(lot), len(lots) + n_levels))
    design[np.arange(len(lot)), lot] = 1
    design[np.arange(len(lot)), len(lots) + level] = 1
    patterns, which = np.unique(np.isnan(values), axis=1, return_inverse=True)
    flat, df = values.copy(), np.zeros(values.shape[1])
    for index, gap in enumerate(patterns.T):
        columns = np.flatnonzero(which.reshape(-1) == index)
        seen = ~gap
        _refuse_apart(lot[seen], level[seen], lots, n_levels)
        found, _, rank, _ = np.linalg.lstsq(design[seen], values[np.ix_(seen, columns)], rcond=None)
        levels = found[len(lots) :]
        present = np.bincount(level[seen], minlength=n_levels) > 0
        flat[:, columns] -= (levels - levels[present].mean(axis=0))[level]
        df[columns] = seen.sum() - rank
    return flat, df


def _refuse_apart(lot: Codes, level: Codes, lots: tuple[str, ...], n_levels: int) -> None:
    size = len(lots) + n_levels
    links = coo_array((np.ones(len(lot)), (lot, len(lots) + level)), shape=(size, size))
    piece = connected_components(links, directed=False)[1][: len(lots)]
    if (piece != piece[0]).any():
        other = lots[int(np.flatnonzero(piece != piece[0])[0])]
        raise BadInput(
            f"{lots[0]} and {other} share no taster and sitting, not even by way of other lots.",
            way_out="Map them apart, or serve one tea in both sittings.",
        )


def _averaged(flat: Floats, lot: Codes, by: Codes, n_lots: int) -> tuple[Floats, Codes, Codes]:
    """Return the means of cups of one lot and one taster or pot, their lot, and their taster or pot."""
    cell = by * n_lots + lot
    size = (int(by.max()) + 1) * n_lots
    sums = _summed(np.nan_to_num(flat), cell, size)
    counts = _summed((~np.isnan(flat)).astype(float), cell, size)
    with np.errstate(invalid="ignore"):
        means = sums / counts
    held = np.flatnonzero(counts.any(axis=1))
    return means[held], held % n_lots, held // n_lots


def _levels_of_cells(lot: Codes, taster: Codes, level: Codes, n_tasters: int) -> int:
    """Levels that cells can tell apart: a taster who met every lot in both sittings counts once."""
    met = np.unique(np.stack([taster, lot, level]), axis=1)
    pairs, cups = np.unique(met[:2], axis=1, return_counts=True)
    if (cups > 1).all():
        return n_tasters
    return int(np.unique(level).size) if pairs.size else n_tasters
