"""An archive of lots as arrays: their facts, their attributes, who made them and when."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]
Codes = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Archive:
    """Lots of several seasons, a row a lot.

    `attributes` (lots, names) are lot means, nan where not scored. `measured` facts are numbers (lots,), nan
    where unknown, such as elevation in metres; `named` facts are labels, "" where unknown, such as cultivar.
    `makers` and `seasons` name each lot's maker and season.

    Raises BadInput when lengths do not fit.
    """

    attributes: Mapping[str, Floats]
    measured: Mapping[str, Floats]
    named: Mapping[str, Sequence[str]]
    makers: Sequence[str]
    seasons: Sequence[str]

    def __post_init__(self) -> None:
        for kind in (self.attributes, self.measured, self.named):
            for name, values in kind.items():
                if len(values) != len(self.makers) or len(self.seasons) != len(self.makers):
                    raise BadInput(
                        f"{name!r} has {len(values)} values for {len(self.makers)} lots of "
                        f"{len(self.seasons)} seasons.",
                        way_out="Give one value a lot.",
                    )


@dataclass(frozen=True, slots=True)
class Pair:
    """One fact beside one attribute, on the lots that have both, levels of seasons taken out.

    `columns` (lots, k) describe the fact: the number itself in its own spread, or a column for each name.
    """

    attribute: Floats
    columns: Floats
    labels: tuple[str, ...]
    spread: float
    makers: Codes
    seasons: Codes


def pair_of(archive: Archive, fact: str, attribute: str) -> Pair | None:
    """Return a fact beside an attribute, or None when fewer than two values of the fact are left."""
    values = np.asarray(archive.attributes[attribute], dtype=float)
    if fact in archive.measured:
        facts = np.asarray(archive.measured[fact], dtype=float)
        held = np.isfinite(values) & np.isfinite(facts)
        columns, labels, spread = _number(facts[held])
    else:
        names = np.asarray(archive.named[fact], dtype=str)
        held = np.isfinite(values) & (names != "")
        columns, labels, spread = _names(names[held])
    if columns.shape[1] == 0:
        return None
    seasons = np.unique(np.asarray(archive.seasons, dtype=str)[held], return_inverse=True)[1].reshape(-1)
    makers = np.unique(np.asarray(archive.makers, dtype=str)[held], return_inverse=True)[1].reshape(-1)
    return Pair(values[held], columns, labels, spread, makers, seasons)


def _number(facts: Floats) -> tuple[Floats, tuple[str, ...], float]:
    spread = float(facts.std()) if facts.size else 0.0
    if spread == 0:
        return np.empty((facts.size, 0)), (), 0.0
    return ((facts - facts.mean()) / spread)[:, None], ("",), spread


def _names(names: NDArray[np.str_]) -> tuple[Floats, tuple[str, ...], float]:
    labels, codes = np.unique(names, return_inverse=True)
    if labels.size < 2:
        return np.empty((names.size, 0)), (), 1.0
    return np.eye(labels.size)[codes.reshape(-1)], tuple(labels.tolist()), 1.0


def without_means(values: Floats, groups: Codes, weight: Floats | None = None) -> Floats:
    """Return values (lots,) or (lots, k) less the mean of their group, weighted (lots,) if asked.

    >>> without_means(np.array([1.0, 3.0, 10.0]), np.array([0, 0, 1]))
    array([-1.,  1.,  0.])
    """
    table = values.reshape(len(values), -1)
    own = np.eye(int(groups.max(initial=-1)) + 1)[groups]
    if weight is not None:
        own = own * weight[:, None]
    means = (own.T @ table) / np.where(own.any(axis=0), own.sum(axis=0), 1)[:, None]
    return np.asarray((table - means[groups]).reshape(values.shape))
