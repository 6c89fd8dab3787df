"""What likings say about lots: levels of tasters, lots of a class, pots, and each taster's own unsteadiness.

    liking = level of taster (in that sitting) + lot + this taster's own taste for it + pot + noise

A lot is its mean over these tasters. The spreads are uncertain and stay so in the answer: sigma (noise, a
taster's own) from cups that were met twice, pooled with a weak prior; those of lots (tau), pots and tastes
relative to sigma: of lots and tastes with a prior flat in spread / (spread + its usual size), of pots with a
half-t, whose tail is shorter. At fixed spreads all is normal: `wetleaf.numerics.liking_model`.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, gammaln

from wetleaf.numerics.liking_model import Cup, LikingTable, Spreads, draw_lots, log_likelihood
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]

PRIOR_DF: Final = 3.0  # what the prior on unsteadiness weighs, in repeated cups
PRIOR_SHARE_OF_SCALE: Final = 1 / 8  # its middle: one point on a scale of 1 to 9 (common practice)
USUAL_LOTS: Final = 1.0  # middle of the prior of tau, as a multiple of the tasters' noise
USUAL_POT: Final = 0.7  # the same of the pot's own error; chosen by benchmarks/best_lots.py, see methods.md
POT_TAILS: Final = (
    2.0  # degrees of freedom of that prior, a half-t: pots that stray ten times as far are rare
)
USUAL_TASTE: Final = 0.5  # the same of a taster's own lasting taste for a lot
VERDICT_AS_SHARE_OF_SCALE: Final[Mapping[str, float]] = {"keep": 0.75, "maybe": 0.5, "no": 0.25, "tick": 0.75}
ENOUGH_POINTS: Final = 400  # effective points at which the rounds stop
_POINTS: Final = 1000  # of spreads, in each round
_FEWEST_ROUNDS: Final = 3
_MOST_ROUNDS: Final = 10
_DRAWS: Final = 4000
_LEAST_SHARE: Final = (
    1e-3  # of spread / (spread + usual), and of its complement, so that equations can be solved
)
_POT: Final = 1  # the place of the pots' spread among those of lots, pots and tastes
_TAILS: Final = 5.0  # degrees of freedom of the t that proposes points


@dataclass(frozen=True, slots=True)
class Rating:
    """One liking of one cup. `brew` names the pot (of this lot, in this sitting) it came from; `sitting` the
    tasting. None: not known, see `pots_of`."""

    lot: str
    taster: str
    liking: float | None
    brew: str | None = None
    sitting: str | None = None


@dataclass(frozen=True, slots=True)
class Steadiness:
    """The standard deviation of one taster's likings of one tea, and the degrees of freedom behind it.

    `of_new_pots`: the tea was brewed anew for every cup, so that the pot's own error is in `sd`.
    """

    sd: float
    df: float
    of_new_pots: bool = False


@dataclass(frozen=True, slots=True)
class LikingDraws:
    """Draws from what is known after tasting: `lots` (draws, lots) on the tasters' scale, and the `spreads`
    behind each draw. `effective` is the effective number of points (of spreads) that they rest on."""

    lots: Floats
    spreads: Spreads
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


def pots_of(ratings: Sequence[Rating]) -> tuple[str, ...]:
    """Return the pot of each cup, named within its lot.

    Where no brew is named, a taster's second cup of a lot in a sitting is from a second pot, since a
    replicate is a new brew; and all tasters of a sitting have their first cup from the first pot, their
    second from the second: one row of bowls is the usual way. Pots of two sittings are never the same.

    >>> pots_of([Rating("one", "A", 7), Rating("one", "B", 6), Rating("one", "A", 8)])
    ('cup 1', 'cup 1', 'cup 2')
    """
    met: Counter[tuple[str, str, str | None]] = Counter()
    found = []
    for rating in ratings:
        where = (rating.lot, rating.taster, rating.sitting)
        met[where] += rating.brew is None
        name = f"cup {met[where]}" if rating.brew is None else f"pot {rating.brew}"
        found.append(name if rating.sitting is None else f"{rating.sitting}: {name}")
    return tuple(found)


def draw_likings(
    ratings: Sequence[Rating],
    steadiness: Mapping[str, Steadiness],
    *,
    lots: Sequence[str],
    prior_sd: float,
    rng: np.random.Generator,
    usual_pot: float = USUAL_POT,
) -> LikingDraws:
    """Return draws of the lots' levels given the ratings (all with a liking) and the tasters' steadiness.

    `usual_pot` is the middle of the prior of the pots' spread, as a multiple of the tasters' noise. Adaptive
    importance sampling over the spreads; given these the lots are normal and drawn exactly. Look at
    `effective` before the draws are trusted. Raises BadInput without ratings.
    """
    if not ratings:
        raise BadInput("There are no likings to work on.", way_out="Rate at least one cup.")
    tasters = sorted({rating.taster for rating in ratings})
    table = table_of(ratings, lots)
    known = [steadiness.get(taster, Steadiness(0.0, 0.0)) for taster in tasters]
    target = _Target.of(table, known, prior_sd, usual_pot)
    points, weights = _points(target, rng)
    kept, which = np.unique(rng.choice(weights.size, size=_DRAWS, p=weights), return_inverse=True)
    spreads = target.spreads(points[kept])
    order = rng.permutation(which)
    return LikingDraws(
        lots=draw_lots(table, spreads, order, rng),
        spreads=spreads.at(order),
        effective=float(1 / (weights**2).sum()),
    )


def table_of(ratings: Sequence[Rating], lots: Sequence[str]) -> LikingTable:
    """Return the ratings (all with a liking) ready to work on; tasters stand in order of their names."""
    tasters = sorted({rating.taster for rating in ratings})
    return LikingTable.of(_cups(ratings, lots, tasters), lots=len(lots), tasters=len(tasters))


def _cups(ratings: Sequence[Rating], lots: Sequence[str], tasters: Sequence[str]) -> list[Cup]:
    levels = sorted({(rating.taster, rating.sitting or "") for rating in ratings})
    row, person = ({name: i for i, name in enumerate(names)} for names in (lots, tasters))
    level = {name: i for i, name in enumerate(levels)}
    return [
        Cup(
            row[rating.lot],
            person[rating.taster],
            level[rating.taster, rating.sitting or ""],
            pot,
            float(rating.liking or 0.0),
        )
        for rating, pot in zip(ratings, pots_of(ratings), strict=True)
    ]


@dataclass(frozen=True, slots=True)
class _Target:
    """What is sampled: logs of tau, the pot's spread, the taste's (two tasters or more) and each sigma.

    `scatter` and `df`: sigma is a scaled inverse chi by its prior and by cups of one pot. `new_scatter` and
    `new_df`: the same for what is known of sigma and the pot together.
    """

    table: LikingTable
    scatter: Floats
    df: Floats
    new_scatter: Floats
    new_df: Floats
    usual: Floats

    @classmethod
    def of(
        cls, table: LikingTable, known: Sequence[Steadiness], prior_sd: float, usual_pot: float
    ) -> "_Target":
        df = np.array([steady.df for steady in known])
        scatter = df * np.array([steady.sd for steady in known]) ** 2
        new = np.array([steady.of_new_pots for steady in known])
        return cls(
            table,
            scatter=prior_sd**2 * PRIOR_DF + table.within + np.where(new, 0, scatter),
            df=PRIOR_DF + table.repeats + np.where(new, 0, df),
            new_scatter=np.where(new, scatter, 0),
            new_df=np.where(new, df, 0),
            usual=np.array([USUAL_LOTS, usual_pot, USUAL_TASTE][: 3 if table.tasters > 1 else 2]),
        )

    def spreads(self, points: Floats) -> Spreads:
        sd = np.exp(points)
        shared = self.usual.size
        taste = sd[:, 2] if shared == 3 else np.zeros(len(sd))
        return Spreads(sd[:, 0], sd[:, 1], taste, sd[:, shared:])

    def from_prior(self, count: int, rng: np.random.Generator) -> Floats:
        sigma = np.sqrt(self.scatter / rng.chisquare(self.df, size=(count, self.df.size)))
        share = rng.uniform(_LEAST_SHARE, 1 - _LEAST_SHARE, size=(count, self.usual.size))
        ratio = share / (1 - share)
        ratio[:, _POT] = np.abs(rng.standard_t(POT_TAILS, size=count))
        shared = _typical(sigma)[:, None] * self.usual * ratio
        return np.asarray(np.log(np.column_stack([shared, sigma])))

    def solvable(self, points: Floats) -> tuple[Floats, Floats]:
        """Those of the points at which the equations can be solved, and their log prior."""
        log_prior = self.log_prior(points)
        return points[np.isfinite(log_prior)], log_prior[np.isfinite(log_prior)]

    def log_prior(self, points: Floats) -> Floats:
        """The log density of the points, with its constant."""
        shared, log_sigma = points[:, : self.usual.size], points[:, self.usual.size :]
        sigma = np.exp(log_sigma)
        log_ratio = shared - np.log(_typical(sigma)[:, None] * self.usual)
        of_pots = _log_half_t(log_ratio[:, _POT])
        share = expit(np.delete(log_ratio, _POT, axis=1))
        inside = (np.abs(share - 0.5) <= 0.5 - _LEAST_SHARE).all(axis=1)
        inside &= np.exp(shared).max(axis=1) * _LEAST_SHARE**1.5 < sigma.min(axis=1)
        share = np.clip(share, _LEAST_SHARE, 1 - _LEAST_SHARE)
        flat = np.log(share) + np.log1p(-share) - np.log(1 - 2 * _LEAST_SHARE)
        half = self.df / 2
        unsteady = np.log(2) + half * np.log(self.scatter / 2) - gammaln(half)
        unsteady = unsteady - self.df * log_sigma - self.scatter / (2 * sigma**2)
        return np.where(inside, of_pots + flat.sum(axis=1) + unsteady.sum(axis=1), -np.inf)

    def log_likelihood(self, points: Floats) -> Floats:
        spreads = self.spreads(points)
        both = spreads.sigma**2 + spreads.pot[:, None] ** 2
        of_new_pots = -(self.new_df * np.log(both) + self.new_scatter / both).sum(axis=1) / 2
        return np.asarray(log_likelihood(self.table, spreads) + of_new_pots)


def _log_half_t(log_ratio: Floats) -> Floats:
    """The log density of the logarithm of a half-t."""
    constant = gammaln((POT_TAILS + 1) / 2) - gammaln(POT_TAILS / 2) - np.log(POT_TAILS * np.pi) / 2
    tail = (POT_TAILS + 1) / 2 * np.log1p(np.exp(2 * log_ratio) / POT_TAILS)
    return np.asarray(np.log(2) + log_ratio + constant - tail)


def _typical(sigma: Floats) -> Floats:
    return np.asarray(np.sqrt((sigma**2).mean(axis=1)))


@dataclass(frozen=True, slots=True)
class _Proposal:
    """A multivariate t on the logs."""

    centre: Floats
    root: Floats

    @classmethod
    def fitted(cls, points: Floats, weights: Floats) -> "_Proposal":
        centre = weights @ points
        apart = points - centre
        spread = 1.2 * (weights * apart.T) @ apart + 1e-4 * np.eye(points.shape[1])
        return cls(centre, np.asarray(np.linalg.cholesky(spread), dtype=float))

    def draw(self, count: int, rng: np.random.Generator) -> Floats:
        normal = rng.standard_normal((count, self.centre.size))
        stretch = np.sqrt(_TAILS / rng.chisquare(_TAILS, size=(count, 1)))
        return np.asarray(self.centre + (normal * stretch) @ self.root.T)

    def log_density(self, points: Floats) -> Floats:
        size = self.centre.size
        distance = (np.linalg.solve(self.root, (points - self.centre).T) ** 2).sum(axis=0)
        constant = gammaln((_TAILS + size) / 2) - gammaln(_TAILS / 2) - size / 2 * np.log(_TAILS * np.pi)
        constant -= np.log(np.diag(self.root)).sum()
        return np.asarray(constant - (_TAILS + size) / 2 * np.log1p(distance / _TAILS))


def _points(target: _Target, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Rounds from the prior, then from a t fitted to all before, until enough points are effective.

    Every point is weighed against the mixture of all rounds (Cornuet, Marin, Mira and Robert 2012), the prior
    among them, so that no weight can run away.
    """
    points, log_prior = target.solvable(target.from_prior(_POINTS, rng))
    log_target = log_prior + target.log_likelihood(points)
    proposals: list[_Proposal] = []
    log_weights = log_target - log_prior
    while len(proposals) < _MOST_ROUNDS:
        proposals.append(_Proposal.fitted(points, _tempered(log_weights)))
        new, new_prior = target.solvable(proposals[-1].draw(_POINTS, rng))
        points, log_prior = np.concatenate([points, new]), np.concatenate([log_prior, new_prior])
        log_target = np.concatenate([log_target, new_prior + target.log_likelihood(new)])
        densities = [log_prior, *(proposal.log_density(points) for proposal in proposals)]
        log_weights = log_target - np.logaddexp.reduce(densities, axis=0)
        weights = _normalised(log_weights)
        if len(proposals) >= _FEWEST_ROUNDS and 1 / (weights**2).sum() >= ENOUGH_POINTS:
            break
    return points, weights


def _tempered(log_weights: Floats) -> Floats:
    """Flatten weights until at least a tenth of a round counts, so that a t can be fitted."""
    weights = _normalised(log_weights)
    while 1 / (weights**2).sum() < 0.1 * _POINTS:
        log_weights = log_weights / 2
        weights = _normalised(log_weights)
    return weights


def _normalised(log_weights: Floats) -> Floats:
    weights = np.exp(log_weights - log_weights.max())
    return np.asarray(weights / weights.sum())
