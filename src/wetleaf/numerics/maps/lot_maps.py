"""The map of lots: principal components of their means, and an ellipse for what tasting again might show."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from scipy.stats import f as f_distribution

from wetleaf.numerics.maps.axes import Floats
from wetleaf.numerics.maps.clouds import RESAMPLES, resampled_means
from wetleaf.numerics.maps.components import Components, principal_components
from wetleaf.numerics.maps.levelled import TASTERS_AT_LARGE, Levelled, levelled
from wetleaf.numerics.profiles.scores import Scores

CONFIDENCE: Final = 0.95
SHOWN: Final = 2  # axes of a drawn map


@dataclass(frozen=True, slots=True)
class Ellipse:
    """One lot on the map: `x`, `y`, half axes and the turn of the long one from the x axis, in radians.

    The half axes are nan when there is nothing to tell how sure the place is.
    """

    lot: str
    x: float
    y: float
    half_long: float
    half_short: float
    turn: float


@dataclass(frozen=True, slots=True)
class LotMap:
    """Where do the lots stand, and how sure is that? The first two principal axes with 95 % ellipses.

    `whose` says what an ellipse is about: "these tasters" below eight of them, "tasters at large" from eight;
    `of_pots` is True when some lot came from one pot, so that nothing tells the teas from their pots.
    Two ellipses that overlap are no proof of sameness: `wetleaf.numerics.maps.distances` answers that.
    """

    components: Components
    ellipses: tuple[Ellipse, ...]
    whose: Literal["this taster", "these tasters", "tasters at large"]
    tasters: int
    of_pots: bool
    resamples: int
    table: Levelled
    means: Floats | None
    warnings: tuple[str, ...]


def map_of_lots(
    scores: Scores, *, rng: np.random.Generator, scaled: bool = True, resamples: int = RESAMPLES
) -> LotMap:
    """Return the map of lots with an ellipse for each.

    Every resample of the lot means gets its own principal axes, turned onto the first map by orthogonal
    Procrustes, so that an axis that might have come out otherwise widens the ellipses. Each has the
    covariance of its lot's resampled places times Hotelling's factor. Raises BadInput as `levelled` and
    `principal_components` do.

    >>> from itertools import product
    >>> cups = list(product(["one", "two", "three", "four"], ["A", "B", "C"]))
    >>> rng = np.random.default_rng(3)
    >>> level = {"one": [1, 5], "two": [4, 4], "three": [6, 1], "four": [2, 2]}
    >>> values = np.array([level[lot] for lot, _ in cups]) + rng.normal(0, 0.3, (12, 2))
    >>> table = Scores([lot for lot, _ in cups], [who for _, who in cups], values, ["peas", "cream"])
    >>> found = map_of_lots(table, rng=rng)
    >>> found.whose, [spot.lot for spot in found.ellipses]
    ('these tasters', ['four', 'one', 'three', 'two'])
    """
    table = levelled(scores)
    components = principal_components(table.means, rows=table.lots, columns=table.attributes, scaled=scaled)
    moving = [table.attributes.index(name) for name in components.columns]
    means = resampled_means(table, rng=rng, resamples=resamples)
    places = None if means is None else aligned_places(components, means[:, :, moving])
    tasters = len(table.tasters)
    return LotMap(
        components=components,
        ellipses=_ellipses(components, places, _noise_df(table)),
        whose="this taster" if tasters == 1 else _whose(tasters),
        tasters=tasters,
        of_pots=table.pots is None,
        resamples=0 if means is None else resamples,
        table=table,
        means=means,
        warnings=_warnings(table, components, means),
    )


def aligned_places(components: Components, means: Floats) -> Floats:
    """Return each resample's places (resamples, lots, 2) on its own axes, turned onto the first map."""
    apart = (means - means.mean(axis=1, keepdims=True)) / components.scale
    own = _first_axes(apart)
    # Means on one line have one axis; their resamples have two, so the other is held against nothing.
    first = np.zeros((apart.shape[1], own.shape[2]))
    axes = min(own.shape[2], components.row_scores.shape[1])
    first[:, :axes] = components.row_scores[:, :axes]
    left, _, right = np.linalg.svd(np.einsum("rla,lb->rab", own, first))
    return np.asarray(own @ (left @ right))


def _first_axes(apart: Floats) -> Floats:
    """Return scores (resamples, lots, axes) on each table's own first axes, by its smaller cross product."""
    _, lots, width = apart.shape
    count = min(SHOWN, lots - 1, width)
    if width <= lots:
        _, vectors = np.linalg.eigh(np.swapaxes(apart, 1, 2) @ apart)
        return np.asarray(apart @ vectors[:, :, -count:][:, :, ::-1])
    values, vectors = np.linalg.eigh(apart @ np.swapaxes(apart, 1, 2))
    size = np.sqrt(np.maximum(values[:, None, -count:], 0))
    return np.asarray((vectors[:, :, -count:] * size)[:, :, ::-1])


def _noise_df(table: Levelled) -> float:
    tasters = len(table.tasters)
    own = float(tasters - 1 if tasters >= TASTERS_AT_LARGE else table.df.min(initial=np.inf))
    return own if table.pots is None else min(own, table.pots.df)


def _ellipses(components: Components, places: Floats | None, df: float) -> tuple[Ellipse, ...]:
    spots = np.zeros((len(components.rows), SHOWN))
    axes = min(SHOWN, components.row_scores.shape[1])
    spots[:, :axes] = components.row_scores[:, :axes]
    shapes = [(np.nan, np.nan, np.nan)] * len(spots)
    if places is not None:
        padded = np.zeros((*places.shape[:2], SHOWN))
        padded[:, :, : places.shape[2]] = places
        shapes = [_shape(padded[:, lot], df) for lot in range(len(spots))]
    return tuple(
        Ellipse(lot, float(x), float(y), *shape)
        for lot, (x, y), shape in zip(components.rows, spots, shapes, strict=True)
    )


def _shape(cloud: Floats, df: float) -> tuple[float, float, float]:
    """Half axes and turn from the cloud's covariance; Hotelling's T-squared in two dimensions."""
    values, vectors = np.linalg.eigh(np.cov(cloud, rowvar=False))
    short, long = np.sqrt(np.maximum(values, 0) * _hotelling(df))
    return float(long), float(short), float(np.arctan2(vectors[1, 1], vectors[0, 1]) % np.pi)


def _hotelling(df: float) -> float:
    if not df > 1:
        return float("nan")
    return 2 * df / (df - 1) * float(f_distribution.ppf(CONFIDENCE, 2, df - 1))


def _whose(tasters: int) -> Literal["these tasters", "tasters at large"]:
    return "tasters at large" if tasters >= TASTERS_AT_LARGE else "these tasters"


def _warnings(table: Levelled, components: Components, means: Floats | None) -> tuple[str, ...]:
    said = list(components.warnings)
    if table.left_out:
        said.append(f"Not scored on every lot, left out: {', '.join(table.left_out)}.")
    if table.pots is None:
        said.append(
            "A lot came from one pot: places, distances and ellipses are of these pots, not of the teas."
        )
    if means is None:
        said.append("One cup a lot and taster leaves nothing to tell how sure a place is: no ellipses.")
    if components.row_scores.shape[1] > SHOWN:
        hidden = 1 - float(components.share[:SHOWN].sum())
        if hidden > 0.4:
            said.append(f"The map shows {1 - hidden:.0%} of what sets the lots apart; the rest is hidden.")
    return tuple(said)
