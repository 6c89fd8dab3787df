"""What likings say about lots: levels of tasters, lots of one class, and each taster's own unsteadiness.

    liking = level of taster (in that sitting) + lot + noise; lot ~ N(0, tau^2), noise ~ N(0, sigma_taster^2)

Levels are free. sigma comes from cups that a taster met twice, pooled with a weak prior; tau has a prior that
is flat in tau / (tau + sigma). Both stay uncertain in the answer. Used by `wetleaf.numerics.shortlists`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]

PRIOR_DF: Final = 3.0  # what the prior on unsteadiness weighs, in repeated cups
PRIOR_SHARE_OF_SCALE: Final = 1 / 8  # its middle: one point on a scale of 1 to 9 (common practice)
VERDICT_AS_SHARE_OF_SCALE: Final[Mapping[str, float]] = {"keep": 0.75, "maybe": 0.5, "no": 0.25, "tick": 0.75}
_POINTS: Final = 1200  # of (tau, sigma), in each of three rounds
_DRAWS: Final = 4000
_LEAST_SHARE: Final = 1e-3  # of tau / (tau + sigma), and of its complement, so that equations can be solved
_TAILS: Final = 5.0  # degrees of freedom of the t that proposes points


@dataclass(frozen=True, slots=True)
class Rating:
    """One liking of one cup. `brew` names the pot it came from; `sitting` the tasting. None: not known."""

    lot: str
    taster: str
    liking: float | None
    brew: str | None = None
    sitting: str | None = None


@dataclass(frozen=True, slots=True)
class Steadiness:
    """The standard deviation of one taster's likings of one tea, and the degrees of freedom behind it."""

    sd: float
    df: float


@dataclass(frozen=True, slots=True)
class LikingDraws:
    """Draws from what is known after tasting: `lots` (draws, lots) on the tasters' scale, `sigma` (draws,
    tasters), `tau` (draws,). `effective` is the effective number of (tau, sigma) points behind them."""

    lots: Floats
    sigma: Floats
    tau: Floats
    effective: float


def steadiness_from_repeats(repeats: Sequence[Sequence[float]]) -> Steadiness | None:
    """Return one taster's steadiness from likings of teas met more than once, a sequence for each tea.

    None when no tea was met twice.

    >>> steadiness_from_repeats([[6, 7], [4, 4], [5, 7, 6]]).df
    4.0
    """
    groups = [np.asarray(group, dtype=float) for group in repeats if len(group) > 1]
    df = sum(len(group) - 1 for group in groups)
    if not df:
        return None
    squares = sum(float(((group - group.mean()) ** 2).sum()) for group in groups)
    return Steadiness(float(np.sqrt(squares / df)), float(df))


def ratings_from_verdicts(
    verdicts: Sequence[tuple[str, str, str]],
    *,
    scale: tuple[float, float],
    shares: Mapping[str, float] = VERDICT_AS_SHARE_OF_SCALE,
) -> tuple[Rating, ...]:
    """Return verdicts (lot, taster, verdict) as ratings, by a stated map from verdict to share of the scale.

    keep and a tick stand at 3/4 of the scale, maybe at 1/2, no at 1/4. The map is ours and rough: a verdict
    holds less than a liking. Raises BadInput for a verdict that the map does not know.

    >>> ratings_from_verdicts([("one", "A", "keep")], scale=(1, 9))
    (Rating(lot='one', taster='A', liking=7.0, brew=None, sitting=None),)
    """
    unknown = sorted({verdict for _, _, verdict in verdicts if verdict not in shares})
    if unknown:
        raise BadInput(f"Verdict {unknown[0]!r} is not known.", way_out=f"Use one of: {', '.join(shares)}.")
    low, high = scale
    return tuple(
        Rating(lot, taster, low + shares[verdict] * (high - low)) for lot, taster, verdict in verdicts
    )


def draw_likings(
    ratings: Sequence[Rating],
    steadiness: Mapping[str, Steadiness],
    *,
    lots: Sequence[str],
    prior_sd: float,
    rng: np.random.Generator,
) -> LikingDraws:
    """Return draws of the lots' levels given the ratings (all with a liking) and the tasters' steadiness.

    Importance sampling in three rounds over (tau, sigma of each taster); given these the lots are normal and
    drawn exactly. Raises BadInput without ratings.
    """
    if not ratings:
        raise BadInput("There are no likings to work on.", way_out="Rate at least one cup.")
    table = _Table.of(ratings, steadiness, lots, prior_sd)
    points, weights, given = _points(table, rng)
    kept = rng.choice(weights.size, size=_DRAWS, p=weights)
    return LikingDraws(
        lots=_draw_lots(table, points[kept], given, kept, rng),
        sigma=np.exp(points[kept, 1:]),
        tau=np.exp(points[kept, 0]),
        effective=float(1 / (weights**2).sum()),
    )


@dataclass(frozen=True, slots=True)
class _Table:
    """Cells (lot by level): cups and means; each level's taster; each taster's scatter and its df."""

    cups: Floats
    means: Floats
    taster_of_level: NDArray[np.intp]
    scatter: Floats
    df: Floats

    @classmethod
    def of(
        cls,
        ratings: Sequence[Rating],
        steadiness: Mapping[str, Steadiness],
        lots: Sequence[str],
        prior_sd: float,
    ) -> "_Table":
        tasters = sorted({rating.taster for rating in ratings})
        levels = sorted({(rating.taster, rating.sitting or "") for rating in ratings})
        row, column = {lot: i for i, lot in enumerate(lots)}, {level: g for g, level in enumerate(levels)}
        cups, sums, squares = (np.zeros((len(lots), len(levels))) for _ in range(3))
        for rating in ratings:
            cell = row[rating.lot], column[rating.taster, rating.sitting or ""]
            liking = float(rating.liking or 0.0)
            cups[cell] += 1
            sums[cell] += liking
            squares[cell] += liking**2
        means = sums / np.maximum(cups, 1)
        own = np.array([tasters.index(taster) for taster, _ in levels])
        within = np.maximum(squares - cups * means**2, 0).sum(axis=0)
        repeats = np.maximum(cups - 1, 0).sum(axis=0)
        before = [steadiness.get(taster, Steadiness(0.0, 0.0)) for taster in tasters]
        scatter = [prior_sd**2 * PRIOR_DF + known.df * known.sd**2 for known in before]
        df = [PRIOR_DF + known.df for known in before]
        count = len(tasters)
        return cls(
            cups,
            means,
            own,
            np.array(scatter) + np.bincount(own, within, count),
            np.array(df) + np.bincount(own, repeats, count),
        )


@dataclass(frozen=True, slots=True)
class _Given:
    """Of each point: log likelihood of the cell means, the lots' conditional mean and root of precision."""

    log_likelihood: Floats
    mean: Floats
    root: Floats


def _points(table: _Table, rng: np.random.Generator) -> tuple[Floats, Floats, _Given]:
    """Three rounds: from the prior, then twice from a t fitted to the round before."""
    points = _from_prior(table, rng)
    given = _given(table, points)
    weights = _normalised(given.log_likelihood)
    for _ in range(2):
        points, log_proposal = _from_t(points, _tempered(weights), rng)
        log_prior = _log_prior(table, points)
        points, log_prior, log_proposal = (
            v[np.isfinite(log_prior)] for v in (points, log_prior, log_proposal)
        )
        given = _given(table, points)
        weights = _normalised(given.log_likelihood + log_prior - log_proposal)
    return points, weights, given


def _from_prior(table: _Table, rng: np.random.Generator) -> Floats:
    sigma = np.sqrt(table.scatter / rng.chisquare(table.df, size=(_POINTS, table.df.size)))
    share = rng.uniform(_LEAST_SHARE, 1 - _LEAST_SHARE, size=_POINTS)
    tau = np.sqrt((sigma**2).mean(axis=1)) * share / (1 - share)
    return np.asarray(np.log(np.column_stack([tau, sigma])))


def _log_prior(table: _Table, points: Floats) -> Floats:
    tau, sigma = np.exp(points[:, 0]), np.exp(points[:, 1:])
    typical = np.sqrt((sigma**2).mean(axis=1))
    spread = np.log(tau) + np.log(typical) - 2 * np.log(typical + tau)
    unsteady = -(table.df * points[:, 1:] + table.scatter / (2 * sigma**2)).sum(axis=1)
    share = tau / (typical + tau)
    solvable = (share > _LEAST_SHARE) & (1 - share > _LEAST_SHARE) & (sigma.min(axis=1) > 1e-5 * tau)
    return np.where(solvable, spread + unsteady, -np.inf)


def _tempered(weights: Floats) -> Floats:
    """Flatten weights that rest on a few points, so that the next proposal is not too narrow."""
    while 1 / (weights**2).sum() < 100:
        weights = np.sqrt(weights)
        weights = weights / weights.sum()
    return weights


def _from_t(points: Floats, weights: Floats, rng: np.random.Generator) -> tuple[Floats, Floats]:
    centre = weights @ points
    apart = points - centre
    root = np.linalg.cholesky(1.2 * (weights * apart.T) @ apart + 1e-4 * np.eye(points.shape[1]))
    normal = rng.standard_normal(points.shape)
    stretch = np.sqrt(_TAILS / rng.chisquare(_TAILS, size=len(points)))
    distance = ((normal * stretch[:, None]) ** 2).sum(axis=1)
    log_density = -(_TAILS + points.shape[1]) / 2 * np.log1p(distance / _TAILS)
    return centre + (normal * stretch[:, None]) @ root.T, log_density


def _normalised(log_weights: Floats) -> Floats:
    weights = np.exp(log_weights - log_weights.max())
    return np.asarray(weights / weights.sum())


def _given(table: _Table, points: Floats) -> _Given:
    """Levels integrated out flat: precision P = diag(sum w) - w w' / sum w, right side h."""
    weight = table.cups / np.exp(2 * points[:, None, 1 + table.taster_of_level])
    total = weight.sum(axis=1)
    centre = (weight * table.means).sum(axis=1) / total
    apart = table.means - centre[:, None, :]
    precision = -np.einsum("sig,skg->sik", weight / total[:, None, :], weight)
    lots = np.arange(table.cups.shape[0])
    precision[:, lots, lots] += weight.sum(axis=2) + np.exp(-2 * points[:, :1])
    side = (weight * apart).sum(axis=2)
    root = np.linalg.cholesky(precision)
    mean = np.linalg.solve(precision, side[..., None])[..., 0]
    held = table.cups > 0
    log_likelihood = (
        0.5 * np.log(weight[:, held]).sum(axis=1)
        - 0.5 * np.log(total).sum(axis=1)
        - 0.5 * (weight * apart**2).sum(axis=(1, 2))
        - lots.size * points[:, 0]
        - np.log(root[:, lots, lots]).sum(axis=1)
        + 0.5 * (side * mean).sum(axis=1)
    )
    return _Given(log_likelihood, mean, root)


def _draw_lots(
    table: _Table, points: Floats, given: _Given, kept: NDArray[np.intp], rng: np.random.Generator
) -> Floats:
    """Lots relative to their class, then the tasters' levels given them, to come back to the scale."""
    normal = rng.standard_normal((kept.size, given.mean.shape[1]))
    upper = np.swapaxes(given.root, 1, 2)[kept]
    lots = given.mean[kept] + np.linalg.solve(upper, normal[..., None])[..., 0]
    weight = table.cups / np.exp(2 * points[:, None, 1 + table.taster_of_level])
    total = weight.sum(axis=1)
    levels = (weight * (table.means - lots[:, :, None])).sum(axis=1) / total
    levels += rng.standard_normal(levels.shape) / np.sqrt(total)
    return np.asarray(lots + levels.mean(axis=1)[:, None])
