"""How often a taster is right at a given d-prime, for every method where an answer is right or wrong.

The model (Thurstone; Frijters 1979; Ennis 1993): a cup of tea A is felt as a normal value with mean 0, a
cup of tea B as one with mean d-prime, both with spread 1, all independent. The taster answers by the rule
that the method asks for. What follows is the chance of a *wrong* answer, which keeps its digits when nearly
all are right.

T(h, a) is Owen's (1956) function, dT/dh = -phi(h) (Phi(a h) - 1/2), and Phi, phi the normal distribution and
density. Two facts are used: for a bivariate normal with correlation r, the chance that both are below h is
Phi(h) - 2 T(h, sqrt((1 - r) / (1 + r))), and T is even in h.

References: Owen (1956), Ann. Math. Stat. 27: 1075; Frijters (1979), Brit. J. Math. Stat. Psych. 32: 229;
Ennis (1993), J. Sensory Studies 8: 353 (the models, from memory; the closed forms are derived here).
"""

from collections.abc import Callable
from functools import lru_cache
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_ROOT2: Final = sqrt(2)
_ROOT3: Final = sqrt(3)
_ROOT6: Final = sqrt(6)
_NODES_ACROSS, _NODES_ALONG = 96, 64


def _density(x: Floats) -> Floats:
    density: Floats = np.exp(-0.5 * x * x) / sqrt(2 * np.pi)
    return density


def _below(x: Floats) -> Floats:
    from scipy.special import ndtr

    below: Floats = ndtr(x)
    return below


def _owen(h: Floats, a: float) -> Floats:
    from scipy.special import owens_t

    volume: Floats = owens_t(h, a)
    return volume


def _owen_slope(h: Floats, a: float) -> Floats:
    return -_density(h) * (_below(a * h) - 0.5)


def directed_pair_miss(d_prime: ArrayLike) -> Floats:
    """Return how often the wrong cup of two is said to have more of the thing asked about.

    The difference of the two cups is normal with mean d and spread sqrt 2: wrong with Phi(-d / sqrt 2).

    >>> round(1 - float(directed_pair_miss(1.0)), 4)
    0.7602
    """
    return _below(-np.asarray(d_prime, float) / _ROOT2)


def directed_pair_slope(d_prime: ArrayLike) -> Floats:
    """Return the derivative of the share of right answers, by d-prime."""
    return _density(np.asarray(d_prime, float) / _ROOT2) / _ROOT2


def three_cup_miss(d_prime: ArrayLike) -> Floats:
    """Return how often the strongest of three (3-AFC) is wrongly named.

    Right when the strong cup is above both weak ones: two differences with mean d, spread sqrt 2 and
    correlation 1/2, so right with Phi(h) - 2 T(h, 1 / sqrt 3), h = d / sqrt 2.

    >>> round(1 - float(three_cup_miss(0.0)), 6), round(1 - float(three_cup_miss(1.0)), 4)
    (0.333333, 0.6337)
    """
    h = np.asarray(d_prime, float) / _ROOT2
    return _below(-h) + 2 * _owen(h, 1 / _ROOT3)


def three_cup_slope(d_prime: ArrayLike) -> Floats:
    """Return the derivative of the share of right answers, by d-prime."""
    h = np.asarray(d_prime, float) / _ROOT2
    return _ROOT2 * _density(h) * _below(h / _ROOT3)


def triangle_miss(d_prime: ArrayLike) -> Floats:
    """Return how often the odd cup of three is missed.

    The odd cup is found when the two alike are nearer to each other than either is to it: with u the scaled
    difference of the two alike and v the scaled distance of the odd one from their middle (mean d
    sqrt(2/3)), independent with spread 1, when |v| > sqrt(3) |u|. That is v - sqrt(3) u and v + sqrt(3) u
    of one sign: two normals, scaled to spread 1, with mean d / sqrt 6 and correlation -1/2. Both above 0:
    Phi(h) - 2 T(h, sqrt 3); both below: Phi(-h) - 2 T(h, sqrt 3). So wrong with 4 T(d / sqrt 6, sqrt 3).

    >>> round(1 - float(triangle_miss(0.0)), 6), round(1 - float(triangle_miss(1.0)), 4)
    (0.333333, 0.418)
    """
    return 4 * _owen(np.asarray(d_prime, float) / _ROOT6, _ROOT3)


def triangle_slope(d_prime: ArrayLike) -> Floats:
    """Return the derivative of the share of right answers, by d-prime."""
    return -4 / _ROOT6 * _owen_slope(np.asarray(d_prime, float) / _ROOT6, _ROOT3)


def duo_trio_miss(d_prime: ArrayLike) -> Floats:
    """Return how often the cup like the reference is missed.

    With R the reference, S the same tea and D the other, right when |S - R| < |D - R|, that is when D - S
    and D + S - 2 R have one sign. They are independent, mean d each, spread sqrt 2 and sqrt 6. Wrong when
    the signs differ: a (1 - b) + b (1 - a), a = Phi(-d / sqrt 2), b = Phi(-d / sqrt 6).

    >>> round(1 - float(duo_trio_miss(1.0)), 4)
    0.5825
    """
    d = np.asarray(d_prime, float)
    a, b = _below(-d / _ROOT2), _below(-d / _ROOT6)
    return a * (1 - b) + b * (1 - a)


def duo_trio_slope(d_prime: ArrayLike) -> Floats:
    """Return the derivative of the share of right answers, by d-prime."""
    d = np.asarray(d_prime, float)
    two, six = d / _ROOT2, d / _ROOT6
    return _density(two) / _ROOT2 * (2 * _below(six) - 1) + _density(six) / _ROOT6 * (2 * _below(two) - 1)


def tetrad_miss(d_prime: ArrayLike) -> Floats:
    """Return how often four cups, two and two, are wrongly parted.

    The taster puts the two lowest together and the two highest. Right when both cups of one tea are below
    both of the other: with z the higher cup of A, integral of 2 phi(z) Phi(z) [1 - Phi(z - d)]^2, and the
    same from above. The sum is 1 - 2 integral of phi(z) [2 Phi(z) Phi(z - d) - Phi(z - d)^2]. With h = d /
    sqrt 2 the first product integrates to Phi(-h) / 2 + T(h, 1 / sqrt 3), the square to Phi(-h) - 2 T(h, 1
    / sqrt 3); what is left is: wrong with 8 T(d / sqrt 2, 1 / sqrt 3).

    >>> round(1 - float(tetrad_miss(0.0)), 6), round(1 - float(tetrad_miss(1.0)), 4)
    (0.333333, 0.4938)
    """
    return 8 * _owen(np.asarray(d_prime, float) / _ROOT2, 1 / _ROOT3)


def tetrad_slope(d_prime: ArrayLike) -> Floats:
    """Return the derivative of the share of right answers, by d-prime."""
    return -8 / _ROOT2 * _owen_slope(np.asarray(d_prime, float) / _ROOT2, 1 / _ROOT3)


def two_out_of_five_miss(d_prime: ArrayLike) -> Floats:
    """Return how often five cups, two and three, are wrongly parted.

    The taster parts the five so that the cups of a group lie as near together as can be (least sum of
    squares), which means: the middle cup goes with the three if it is above the mean of all when the lowest
    two are taken for the pair, below it when the highest two are. This rule is our own choice; the
    literature knows others.

    Let c be the lowest cup of the three, t the sum of its heights above the two, w the sum of the other
    two's heights above it. Given c, t has density N(2 c, 2) erf(t / 2), w N(2 d - 2 c, 2) erf(w / 2); c is
    N(d, 1), in three ways. Over c: (t, w) normal with means (2 d, 0), variances 6, covariance -4. The pair
    is lowest and is found with G(d) = 3 integral over 0 < w < t of erf(t / 2) erf(w / 2) N(t, w); highest
    and found with G(-d).

    >>> round(1 - float(two_out_of_five_miss(0.0)), 9)
    0.1
    """
    return _each(lambda d: 1 - _five(d)[0] - _five(-d)[0], d_prime)


def two_out_of_five_slope(d_prime: ArrayLike) -> Floats:
    """Return the derivative of the share of right answers, by d-prime."""
    return _each(lambda d: _five(d)[1] - _five(-d)[1], d_prime)


def _each(curve: Callable[[float], float], d_prime: ArrayLike) -> Floats:
    return np.asarray(np.vectorize(curve, otypes=[float])(d_prime), float)


@lru_cache(maxsize=1024)
def _five(d: float) -> tuple[float, float]:
    """G(d) of the docstring above, and its derivative, by Gauss-Legendre over t and w / t."""
    from scipy.special import erf

    t_unit, t_weight = _gauss(_NODES_ACROSS)
    share, share_weight = _gauss(_NODES_ALONG)
    longest = 2 * max(d, 0) + 22  # nine spreads beyond the mean
    t = (longest * t_unit)[:, None]
    w = t * share[None, :]
    x = t - 2 * d
    density = np.exp(-0.5 * (0.3 * x * x + 0.4 * x * w + 0.3 * w * w)) / (2 * np.pi * sqrt(20))
    mass = 3 * density * erf(t / 2) * erf(w / 2) * t * longest * t_weight[:, None] * share_weight
    return float(mass.sum()), float((mass * (0.6 * x + 0.4 * w)).sum())


@lru_cache(maxsize=4)
def _gauss(nodes: int) -> tuple[Floats, Floats]:
    """Nodes and weights of Gauss-Legendre on 0..1."""
    at, weight = np.polynomial.legendre.leggauss(nodes)
    return (at + 1) / 2, weight / 2
