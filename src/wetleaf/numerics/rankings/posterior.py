"""What is known of lots after the answers: strengths with a Gaussian prior, by Laplace and corrected by
weights.

The prior of each strength is normal about zero with a spread that is itself in doubt: half, once or twice the
`spread` given, each as likely. For each of the three the mode is found by Newton's steps and a multivariate t
is laid on it (Laplace's approximation with longer tails). Draws come from the mixture of the three; each is
weighed by likelihood times prior over the mixture's density (importance sampling with the balance
heuristic, Veach and Guibas 1995), which corrects whatever Laplace gets wrong: skewness where a lot won or
lost everything, and tasters' steadiness.
"""

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, logsumexp

Floats = NDArray[np.float64]

SPREADS: Final = (0.5, 1.0, 2.0)  # of the given spread
_TAILS: Final = 10.0  # degrees of freedom of the t that proposes draws, and one for each parameter
_LEAST_SHARE: Final = 0.1  # of the draws, for each of the spreads
_SETTLED: Final = 1e-10  # of log posterior that the next step promises
_MOST_STEPS: Final = 60
_MOST_AT_ONCE: Final = 4_000_000  # utilities held in memory
_MOST_HALVINGS: Final = 40
_LONGEST_STEP: Final = 5.0  # of any parameter, lest a steadiness run away
_LEAST_CURVATURE: Final = 1e-3  # of the largest, where it must be turned round


class Unsettled(ArithmeticError):  # noqa: N818 (a reader would say it so)
    """The mode was not found; no number is given."""


class Likelihood(Protocol):
    """What a model of answers must say; see `Choices` and `NormalPairs`."""

    @property
    def size(self) -> int: ...
    @property
    def work(self) -> int: ...
    def log_likelihood(self, points: Floats) -> Floats: ...
    def score_and_information(self, points: Floats) -> tuple[Floats, Floats, Floats]: ...


@dataclass(frozen=True, slots=True)
class Levels:
    """What ratings say: -1/2 s' `information` s + `pull`' s of the strengths s. See `ratings`."""

    information: Floats
    pull: Floats

    @classmethod
    def none(cls, lots: int) -> "Levels":
        return cls(np.zeros((lots, lots)), np.zeros(lots))

    def log_likelihood(self, strengths: Floats) -> Floats:
        return np.asarray(
            strengths @ self.pull - ((strengths @ self.information) * strengths).sum(axis=-1) / 2
        )


@dataclass(frozen=True, slots=True)
class Target:
    """The log posterior: the likelihood of answers and ratings, and the priors.

    `spreads` (components,) of the strengths; `middle` and `sd` of the other parameters.
    """

    answers: Likelihood
    levels: Levels
    spreads: Floats
    middle: Floats
    sd: Floats

    @property
    def lots(self) -> int:
        return self.levels.pull.size

    def log_likelihood(self, points: Floats) -> Floats:
        return self.answers.log_likelihood(points) + self.levels.log_likelihood(points[..., : self.lots])

    def log_prior(self, points: Floats) -> Floats:
        """The log prior for each of the spreads (components, ...)."""
        others = -((((points[..., self.lots :] - self.middle) / self.sd) ** 2) / 2 + np.log(self.sd)).sum(
            axis=-1
        )
        squares = (points[..., : self.lots] ** 2).sum(axis=-1)
        wide = self.spreads.reshape(-1, *([1] * squares.ndim))
        constant = points.shape[-1] / 2 * np.log(2 * np.pi)
        return np.asarray(others - constant - squares / (2 * wide**2) - self.lots * np.log(wide))


@dataclass(frozen=True, slots=True)
class Modes:
    """The highest point for each spread (components, parameters), the precision there, the log posterior."""

    points: Floats
    precisions: Floats
    heights: Floats


@dataclass(frozen=True, slots=True)
class Draws:
    """Weighted draws: `points` (draws, parameters), `weights` adding to 1; `by_spread` the weights had the
    spread been each of the three alone; `evidence` the chance of each spread; `effective` draws."""

    points: Floats
    weights: Floats
    by_spread: Floats
    evidence: Floats
    lots: int

    @property
    def strengths(self) -> Floats:
        return self.points[:, : self.lots]

    @property
    def effective(self) -> float:
        return float(1 / (self.weights**2).sum())


def find_modes(target: Target, start: Floats | None = None) -> Modes:
    """Climb to the mode under each spread. Raises Unsettled if the steps do not settle."""
    hill = _Hill.of(target)
    points = np.tile(hill.middle, (target.spreads.size, 1)) if start is None else start.copy()
    height = hill.height(points)
    for _ in range(_MOST_STEPS):
        score, information = hill.score_and_information(points)
        step: Floats = np.linalg.solve(information, score[..., None])[..., 0].astype(float)
        promise = (step * score).sum(axis=-1)
        if (promise < _SETTLED).all():
            return Modes(points, information, height)
        points, height = _climbed(hill, points, step, promise, height)
    raise Unsettled(f"The mode was not found in {_MOST_STEPS} steps.")


@dataclass(frozen=True, slots=True)
class _Hill:
    """The log posterior under each spread, its slope and its curvature."""

    target: Target
    middle: Floats
    precision: Floats

    @classmethod
    def of(cls, target: Target) -> "_Hill":
        precision = np.empty((target.spreads.size, target.answers.size))
        precision[:, : target.lots] = 1 / target.spreads[:, None] ** 2
        precision[:, target.lots :] = 1 / target.sd**2
        return cls(target, np.concatenate([np.zeros(target.lots), target.middle]), precision)

    def height(self, points: Floats) -> Floats:
        prior = (self.precision * (points - self.middle) ** 2).sum(axis=-1) / 2
        return np.asarray(self.target.log_likelihood(points) - prior)

    def score_and_information(self, points: Floats) -> tuple[Floats, Floats]:
        """The slope, and the observed information, made such that it can be climbed by."""
        target, lots = self.target, self.target.lots
        score, information, bend = target.answers.score_and_information(points)
        score[:, :lots] += target.levels.pull - points[:, :lots] @ target.levels.information
        score -= self.precision * (points - self.middle)
        information[:, :lots, :lots] += target.levels.information
        every = np.arange(points.shape[1])
        information[:, every, every] += self.precision
        return score, _climbable(information + bend) if bend.any() else information


def _climbable(information: Floats) -> Floats:
    """Turn curvature that bends the wrong way round, so that a step climbs; at a peak nothing is changed."""
    values, axes = np.linalg.eigh(information)
    if (values[:, 0] > 0).all():
        return information
    values = np.maximum(np.abs(values), _LEAST_CURVATURE * values[:, -1:])
    return np.asarray((axes * values[:, None, :]) @ axes.swapaxes(-1, -2), dtype=float)


def _climbed(
    hill: _Hill, points: Floats, step: Floats, promise: Floats, height: Floats
) -> tuple[Floats, Floats]:
    """Go the step, at most so far, or a half of it again and again for a component that would not rise."""
    share = np.minimum(1, _LONGEST_STEP / np.maximum(np.abs(step).max(axis=1), _LONGEST_STEP))
    for _ in range(_MOST_HALVINGS):
        new = points + share[:, None] * step
        reached = hill.height(new)
        least = height + 1e-4 * share * promise - 1e-9 * (1 + np.abs(height))
        short = ~(reached >= least)  # so that what is no number is short too
        if not short.any():
            return new, reached
        share = np.where(short, share / 2, share)
    raise Unsettled("No step climbs.")


def draw_strengths(target: Target, modes: Modes, count: int, rng: np.random.Generator) -> Draws:
    """Return weighted draws of all parameters."""
    roots: Floats = np.linalg.cholesky(modes.precisions).astype(float)
    shares = _shares(modes, roots, target)
    which = np.repeat(np.arange(shares.size), rng.multinomial(count, shares))
    size = modes.points.shape[1]
    tails = _TAILS + size
    normal = rng.standard_normal((count, size)) * np.sqrt(tails / rng.chisquare(tails, size=(count, 1)))
    points = np.empty((count, size))
    for one in range(shares.size):
        away = np.linalg.solve(roots[one].T, normal[which == one].T).T
        points[which == one] = modes.points[one] + away
    proposed = logsumexp(_log_t(points, modes, roots) + np.log(shares)[:, None], axis=0)
    priors = target.log_prior(points)
    log_weights = _in_parts(target, points) - proposed + priors
    joint = _normalised(logsumexp(log_weights, axis=0))
    evidence = logsumexp(log_weights, axis=1)
    return Draws(
        points,
        joint,
        np.array([_normalised(one) for one in log_weights]),
        np.exp(evidence - logsumexp(evidence)),
        target.lots,
    )


def _in_parts(target: Target, points: Floats) -> Floats:
    """The log likelihood of many points, so many at a time that memory is kept."""
    parts = -(-len(points) * target.answers.work // _MOST_AT_ONCE)
    return np.concatenate([target.log_likelihood(some) for some in np.array_split(points, max(1, parts))])


def _shares(modes: Modes, roots: Floats, target: Target) -> Floats:
    """Laplace's chance of each spread, none below the least share."""
    half_logdet = np.log(np.diagonal(roots, axis1=1, axis2=2)).sum(axis=1)
    evidence = modes.heights - target.lots * np.log(target.spreads) - half_logdet
    chance = _normalised(evidence)
    return (1 - _LEAST_SHARE * chance.size) * chance + _LEAST_SHARE


def _log_t(points: Floats, modes: Modes, roots: Floats) -> Floats:
    """Log density of each spread's t (components, draws)."""
    size = points.shape[1]
    tails = _TAILS + size
    found = np.empty((len(roots), len(points)))
    for one, root in enumerate(roots):
        distance = (((points - modes.points[one]) @ root) ** 2).sum(axis=1)
        found[one] = -(tails + size) / 2 * np.log1p(distance / tails) + np.log(np.diag(root)).sum()
    constant = gammaln((tails + size) / 2) - gammaln(tails / 2) - size / 2 * np.log(tails * np.pi)
    return np.asarray(found + constant)


def _normalised(log_weights: Floats) -> Floats:
    weights = np.exp(log_weights - log_weights.max())
    return np.asarray(weights / weights.sum())
