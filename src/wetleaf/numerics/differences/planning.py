"""How many trials answer the question: power by exact count, critical numbers, the saw-tooth kept in sight.

Power does not rise steadily with the number of trials: with one more trial the critical number may step up
and the power fall. `trials` is therefore the number *from which on* the power stays, `first` the one that
reaches it first.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.differences.binomials import at_least, at_most, least_right, most_right
from wetleaf.numerics.differences.counts import MOST_TRIALS, check_level
from wetleaf.numerics.differences.methods import DeclaredSize, Method, binary_method, declared_size
from wetleaf.trade.errors import BadInput

_MARGIN = 1.25
"""How far beyond the normal guess the search goes on, as a factor; a few dozen trials are added to it."""


@dataclass(frozen=True, slots=True)
class TrialPlan:
    """A test of fixed size. `critical` right or more say yes; for similarity, so many or fewer say no.

    `power` is the chance of that answer at the declared size (for similarity: when the teas are
    `true_d_prime` apart), `risk` the exact chance of the wrong answer it may give. `first` trials would do
    as well, though not every number between `first` and `trials`.
    """

    method: str
    similar: bool
    trials: int
    critical: int
    power: float
    risk: float
    first: int
    first_critical: int
    size: DeclaredSize
    true_d_prime: float
    alpha: float
    wanted_power: float


def plan_trials(
    method: str,
    *,
    d_prime: float | None = None,
    discriminators: float | None = None,
    power: float = 0.8,
    alpha: float = 0.05,
    similar: bool = False,
    true_d_prime: float = 0.0,
) -> TrialPlan:
    """Return the trials that find a difference of the declared size, or exclude it (`similar`).

    Difference: guessing passes with at most `alpha`, a difference of the size with at least `power`.
    Similarity: a difference of the size is called none with at most `alpha`, teas `true_d_prime` apart (0:
    the same) are called so with at least `power`. Raises BadInput for a size, level or power that cannot
    be, and where more than 100,000 trials are needed.

    >>> plan = plan_trials("2-afc", d_prime=1)
    >>> plan.trials, plan.critical, plan.first
    (26, 18, 23)
    >>> plan_trials("triangle", discriminators=0.3, similar=True).trials
    46
    """
    how = binary_method(method)
    check_level("alpha", alpha)
    check_level("power", power)
    size = declared_size(how, d_prime=d_prime, discriminators=discriminators)
    _check_power_above_level(power, alpha)
    truth = _true_rate(how, size, true_d_prime, similar)
    search = _Search(how.guessing, size.right, truth, alpha, power, similar)
    first, lasting = search.trials()
    return TrialPlan(
        method=how.key,
        similar=similar,
        trials=lasting,
        critical=int(search.critical(np.array([lasting]))[0]),
        power=float(search.power_of(np.array([lasting]))[0]),
        risk=search.risk(lasting),
        first=first,
        first_critical=int(search.critical(np.array([first]))[0]),
        size=size,
        true_d_prime=true_d_prime,
        alpha=alpha,
        wanted_power=power,
    )


def difference_power(method: str, trials: int, d_prime: float, *, alpha: float = 0.05) -> float:
    """Return the exact chance that so many trials find a difference of this d-prime.

    >>> round(difference_power("triangle", 24, 1.5), 4)
    0.4445
    """
    how = binary_method(method)
    least = least_right(trials, alpha, how.guessing)
    return float(at_least(least, trials, how.right(d_prime)))


def similarity_power(
    method: str, trials: int, tolerable: float, *, true_d_prime: float = 0.0, alpha: float = 0.05
) -> float:
    """Return the exact chance that so many trials exclude a difference of `tolerable` or more.

    >>> round(similarity_power("2-afc", 40, 1.0), 4)
    0.9597
    """
    how = binary_method(method)
    most = most_right(trials, alpha, how.right(tolerable))
    return float(at_most(most, trials, how.right(true_d_prime)))


def _check_power_above_level(power: float, alpha: float) -> None:
    if power <= alpha:
        raise BadInput(
            f"A power of {power:g} is not above the level of {alpha:g}.",
            way_out="Ask a power such as 0.8 or 0.9.",
        )


def _true_rate(method: Method, size: DeclaredSize, true_d_prime: float, similar: bool) -> float:
    if not similar:
        return size.right
    if not 0 <= true_d_prime < size.d_prime:
        raise BadInput(
            f"Teas a d-prime of {true_d_prime:g} apart cannot be shown to be within {size.d_prime:.3g}.",
            way_out="The true d-prime lies between 0 and the declared one.",
        )
    return method.right(true_d_prime)


@dataclass(frozen=True, slots=True)
class _Search:
    """One question about numbers of trials: null, size and truth as shares right."""

    guessing: float
    declared: float
    truth: float
    alpha: float
    power: float
    similar: bool

    def critical(self, n: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return the critical number for each number of trials."""
        if self.similar:
            return most_right(n, self.alpha, self.declared)
        return least_right(n, self.alpha, self.guessing)

    def power_of(self, n: NDArray[np.int64]) -> NDArray[np.float64]:
        """Return the exact power for each number of trials."""
        tail = at_most if self.similar else at_least
        return tail(self.critical(n), n, self.truth)

    def risk(self, n: int) -> float:
        """Return the exact chance of the wrong answer that the level bounds."""
        critical = int(self.critical(np.array([n]))[0])
        if self.similar:
            return float(at_most(critical, n, self.declared))
        return float(at_least(critical, n, self.guessing))

    def trials(self) -> tuple[int, int]:
        """Return the number that reaches the power first, and the one from which on it stays."""
        guess = self._normal_guess()
        last = int(_MARGIN * guess) + 60
        if last > MOST_TRIALS:
            raise BadInput(
                f"About {guess:,.0f} trials would be needed, more than anyone tastes.",
                way_out="Declare a larger size, ask less power, or take a directed pair or tetrad.",
            )
        n = np.arange(1, last + 1)
        enough = self.power_of(n) >= self.power
        return int(n[np.argmax(enough)]), int(n[~enough][-1] + 1) if (~enough).any() else 1

    def _normal_guess(self) -> float:
        """The usual normal reckoning, only to know how far to search."""
        from scipy.special import ndtri

        null = self.declared if self.similar else self.guessing
        spread = -ndtri(self.alpha) * np.sqrt(null * (1 - null))
        spread += ndtri(self.power) * np.sqrt(self.truth * (1 - self.truth))
        return float((spread / (null - self.truth)) ** 2)
