"""The methods by name: what is served, what is asked, how often a guess is right, and how d-prime shows."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.differences import psychometric
from wetleaf.trade.errors import BadInput

LARGEST_D_PRIME = 10.0
"""Beyond this nearly nobody errs at any method; a larger size is taken for a slip of the pen."""

SMALLEST_D_PRIME = 0.01
"""Below this no number of cups that people can drink would tell."""

_Curve = Callable[[Any], NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class Method:
    """A method whose answers are right or wrong.

    `guessing` is the chance of a right answer by luck, `cups` what a taster drinks in one trial. `miss` and
    `slope` give the share of wrong answers and the derivative of the share of right ones at a d-prime
    (arrays too).
    """

    key: str
    name: str
    guessing: float
    cups: int
    question: str
    source: str
    miss: _Curve = field(repr=False)
    slope: _Curve = field(repr=False)

    def right(self, d_prime: float) -> float:
        """Return the chance of a right answer at a d-prime.

        >>> round(METHODS["tetrad"].right(2), 4)
        0.7777
        """
        return float(1 - self.miss(d_prime))


@dataclass(frozen=True, slots=True)
class TwoKindMethod:
    """A method with two kinds of trial, whose answers lean on a criterion of the taster's own."""

    key: str
    name: str
    cups: int
    question: str
    hit: str
    false_alarm: str
    source: str


_BINARY = (
    Method(
        "2-afc",
        "directed pair (2-AFC)",
        1 / 2,
        2,
        "which of the two has more of it?",
        "ISO 5495; Thurstone",
        psychometric.directed_pair_miss,
        psychometric.directed_pair_slope,
    ),
    Method(
        "triangle",
        "triangle",
        1 / 3,
        3,
        "which of the three is the odd one?",
        "ISO 4120; Frijters 1979",
        psychometric.triangle_miss,
        psychometric.triangle_slope,
    ),
    Method(
        "duo-trio",
        "duo-trio",
        1 / 2,
        3,
        "which of the two is like the reference?",
        "ISO 10399; Ennis 1993",
        psychometric.duo_trio_miss,
        psychometric.duo_trio_slope,
    ),
    Method(
        "tetrad",
        "tetrad",
        1 / 3,
        4,
        "which two go together, and which other two?",
        "ASTM E3009; Ennis and Jesionka 2011",
        psychometric.tetrad_miss,
        psychometric.tetrad_slope,
    ),
    Method(
        "3-afc",
        "3-AFC",
        1 / 3,
        3,
        "which of the three has most of it?",
        "Ennis 1993; Thurstone",
        psychometric.three_cup_miss,
        psychometric.three_cup_slope,
    ),
    Method(
        "two-out-of-five",
        "two out of five",
        1 / 10,
        5,
        "which two are the same tea, the other three being another?",
        "rule of grouping: our own",
        psychometric.two_out_of_five_miss,
        psychometric.two_out_of_five_slope,
    ),
)
METHODS: dict[str, Method] = {method.key: method for method in _BINARY}
TWO_KIND_METHODS: dict[str, TwoKindMethod] = {
    "same-different": TwoKindMethod(
        "same-different",
        "same-different",
        2,
        "are these two the same or different?",
        '"different" said of two different teas',
        '"different" said of twice the same tea',
        "Macmillan, Kaplan and Creelman 1977, differencing rule",
    ),
    "a-not-a": TwoKindMethod(
        "a-not-a",
        "A-not-A",
        1,
        "is this A?",
        '"not A" said of the other tea',
        '"not A" said of A',
        "ISO 8588; signal detection, equal spreads",
    ),
}
_OTHER_NAMES = {
    "2afc": "2-afc",
    "directedpair": "2-afc",
    "paired": "2-afc",
    "pairedcomparison": "2-afc",
    "3afc": "3-afc",
    "2outof5": "two-out-of-five",
    "twooutoffive": "two-out-of-five",
    "anota": "a-not-a",
    "aornota": "a-not-a",
    "samedifferent": "same-different",
}


def method_key(name: str) -> str:
    """Return the key of a method by any of its names. Raises BadInput for a name of none.

    >>> method_key("2AFC"), method_key("Directed pair"), method_key("duo trio"), method_key("A, not-A")
    ('2-afc', '2-afc', 'duo-trio', 'a-not-a')
    """
    squashed = "".join(sign for sign in name.casefold() if sign.isalnum())
    known = {key.replace("-", ""): key for key in (*METHODS, *TWO_KIND_METHODS)} | _OTHER_NAMES
    if squashed in known:
        return known[squashed]
    listed = ", ".join((*METHODS, *TWO_KIND_METHODS))
    raise BadInput(f"{name!r} is no method of telling teas apart.", way_out=f"Use one of: {listed}.")


def binary_method(name: str) -> Method:
    """Return the method whose answers are right or wrong. Raises BadInput for any other name.

    >>> binary_method("triangle").cups
    3
    """
    key = method_key(name)
    if key in METHODS:
        return METHODS[key]
    listed = ", ".join(METHODS)
    raise BadInput(
        f"{key} has two kinds of trial and no right answer by guessing.",
        way_out=f"Where answers are right or wrong, use one of: {listed}.",
    )


def d_prime_at(method: Method, right: float) -> float:
    """Return the d-prime at which a share `right` of the answers is right; 0 at guessing or below, inf at 1.

    Beyond `LARGEST_D_PRIME` it is given as inf. Raises BadInput for a share outside 0..1.

    >>> round(d_prime_at(METHODS["triangle"], 21 / 45), 3)
    1.287
    """
    from scipy.optimize import brentq

    if not 0 <= right <= 1:
        raise BadInput(f"A share of {right} right cannot be.", way_out="Give a share between 0 and 1.")
    if right <= method.guessing:
        return 0.0
    if 1 - right <= float(method.miss(LARGEST_D_PRIME)):
        return float("inf")
    return float(brentq(lambda d: float(method.miss(d)) - (1 - right), 0.0, LARGEST_D_PRIME, xtol=1e-13))


@dataclass(frozen=True, slots=True)
class DeclaredSize:
    """A size of difference fixed before tasting: its d-prime, share of discriminators, and share right."""

    d_prime: float
    discriminators: float
    right: float


def declared_size(
    method: Method, *, d_prime: float | None = None, discriminators: float | None = None
) -> DeclaredSize:
    """Return a declared size on every scale, from a d-prime or from a share of discriminators.

    The two scales are different ideas of a panel (everyone a little unsure, or some sure and the rest
    guessing); they meet in the share of right answers, right = g + (1 - g) discriminators. Raises BadInput
    unless exactly one is given, and for one too small to be tasted or too large to be meant.

    >>> declared_size(METHODS["triangle"], discriminators=0.5).right
    0.6666666666666667
    """
    if (d_prime is None) == (discriminators is None):
        raise BadInput("A size is declared once.", way_out="Give a d-prime or a share of discriminators.")
    if discriminators is None:
        assert d_prime is not None
        return _size_of_d_prime(method, d_prime)
    right = method.guessing + (1 - method.guessing) * discriminators
    if not 0 < discriminators < 1 or not SMALLEST_D_PRIME <= d_prime_at(method, right) <= LARGEST_D_PRIME:
        raise BadInput(
            f"A share of discriminators of {discriminators:g} cannot be declared.",
            way_out="Give a share well above 0 and below 1, such as 0.3.",
        )
    return DeclaredSize(d_prime_at(method, right), discriminators, right)


def _size_of_d_prime(method: Method, d_prime: float) -> DeclaredSize:
    if not SMALLEST_D_PRIME <= d_prime <= LARGEST_D_PRIME:
        raise BadInput(
            f"A d-prime of {d_prime:g} cannot be declared.",
            way_out=f"Give the size that matters, above 0 and at most {LARGEST_D_PRIME:g}, such as 1.",
        )
    right = method.right(d_prime)
    return DeclaredSize(d_prime, (right - method.guessing) / (1 - method.guessing), right)
