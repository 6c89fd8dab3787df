"""Do the lots fall into families? Hierarchical clusters, and whether they would come out again."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.cluster.hierarchy import fcluster, linkage

from wetleaf.numerics.maps.axes import Floats
from wetleaf.numerics.maps.lot_maps import LotMap

STABLE: Final = 0.75  # mean overlap of a family with its best likeness, from Hennig (2007)
_TRIED: Final = 200  # resamples looked at; more moves the second decimal only


@dataclass(frozen=True, slots=True)
class Family:
    """Lots that stand together; `stability` 0 to 1 is how far they come out together again, nan: not told."""

    lots: tuple[str, ...]
    stability: float


@dataclass(frozen=True, slots=True)
class Families:
    """Do the lots fall into families? `answer` is "yes" only when every family is stable and the same number
    of families would seldom look as clear in lots without any (`chance_alone`)."""

    question: str
    answer: Literal["yes", "can't tell"]
    families: tuple[Family, ...]
    chance_alone: float
    words: str


def families_of_lots(found: LotMap, *, rng: np.random.Generator) -> Families:
    """Return the division of the lots into families that holds best.

    Ward's clusters on the lots in units of the attributes' spread, cut at two to half as many families as
    lots; of the cuts whose families are all stable (Jaccard overlap 0.75 or more under resampling [1]_) the
    one that gains most over lots scattered evenly with the same covariance. Without resamples, or with fewer
    than five lots, nothing is claimed.

    References
    ----------
    .. [1] Hennig, Cluster-wise assessment of cluster stability, CSDA 52 (2007) 258-271.
    """
    components = found.components
    spots = components.row_scores @ components.directions.T
    if found.means is None or len(spots) < 5:
        return _nothing(components.rows)
    moving = [found.table.attributes.index(name) for name in components.columns]
    moved = (found.means[:_TRIED, :, moving] - components.centre) / components.scale
    cuts = range(2, len(spots) // 2 + 1)
    labels = _cut(spots, cuts)
    again = [_cut(one, cuts) for one in moved]
    clear, alone = _clearness(spots, cuts, rng)
    best: tuple[float, int] | None = None
    overlaps = {}
    for place, _ in enumerate(cuts):
        overlaps[place] = _overlaps(labels[place], [one[place] for one in again])
        if overlaps[place].min() >= STABLE and (best is None or clear[place] > best[0]):
            best = (clear[place], place)
    if best is None:
        return _nothing(components.rows)
    return _assembled(components.rows, labels[best[1]], overlaps[best[1]], alone[best[1]])


def _cut(spots: Floats, cuts: range) -> list[NDArray[np.intp]]:
    tree = linkage(spots, method="ward")
    return [np.asarray(fcluster(tree, count, criterion="maxclust") - 1, dtype=np.intp) for count in cuts]


def _overlaps(labels: NDArray[np.intp], again: list[NDArray[np.intp]]) -> Floats:
    """Mean over resamples of each family's Jaccard overlap with its best likeness there."""
    own = np.eye(labels.max() + 1)[labels]
    total = np.zeros(own.shape[1])
    for other in again:
        its = np.eye(other.max() + 1)[other]
        both = own.T @ its
        total += (both / (own.sum(axis=0)[:, None] + its.sum(axis=0) - both)).max(axis=1)
    return np.asarray(total / len(again))


def _explained(spots: Floats, labels: NDArray[np.intp]) -> float:
    """Share of the spread that lies between the families."""
    own = np.eye(labels.max() + 1)[labels]
    means = (own.T @ spots) / own.sum(axis=0)[:, None]
    apart = spots - spots.mean(axis=0)
    return float(1 - ((spots - means[labels]) ** 2).sum() / (apart**2).sum())


def _clearness(spots: Floats, cuts: range, rng: np.random.Generator) -> tuple[list[float], list[float]]:
    """Gain over normal lots of the same covariance, and how often those look as clear, cut by cut."""
    seen = np.array([_explained(spots, labels) for labels in _cut(spots, cuts)])
    apart = spots - spots.mean(axis=0)
    chance = np.empty((_TRIED, len(seen)))
    for draw in range(_TRIED):
        scattered = rng.standard_normal((len(spots), len(spots))) @ apart / np.sqrt(len(spots))
        chance[draw] = [_explained(scattered, labels) for labels in _cut(scattered, cuts)]
    gain = (seen - chance.mean(axis=0)) / np.maximum(chance.std(axis=0), 1e-12)
    alone = (1 + (chance >= seen).sum(axis=0)) / (1 + _TRIED)
    return gain.tolist(), alone.tolist()


def _assembled(rows: tuple[str, ...], labels: NDArray[np.intp], overlaps: Floats, alone: float) -> Families:
    families = sorted(
        (
            Family(tuple(lot for lot, label in zip(rows, labels, strict=True) if label == k), float(stable))
            for k, stable in enumerate(overlaps)
        ),
        key=lambda family: (-len(family.lots), family.lots),
    )
    clear = alone <= 0.05
    listed = "; ".join(", ".join(family.lots) for family in families)
    words = (
        f"The lots fall into {len(families)} families: {listed}."
        if clear
        else f"Cut into {len(families)} they come out again ({listed}), but so would lots scattered evenly."
    )
    return Families(_QUESTION, "yes" if clear else "can't tell", tuple(families), alone, words)


def _nothing(rows: tuple[str, ...]) -> Families:
    words = "No division into families would come out again, or there is too little to tell."
    return Families(_QUESTION, "can't tell", (Family(rows, float("nan")),), float("nan"), words)


_QUESTION: Final = "Do the lots fall into families?"
