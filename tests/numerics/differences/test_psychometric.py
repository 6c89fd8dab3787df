"""How often a taster is right: closed forms against quadrature, base R and simulated tasters."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from tests.numerics.differences.published import PUBLISHED

from wetleaf.numerics.differences import METHODS, method_key
from wetleaf.numerics.differences.methods import Method, d_prime_at, declared_size
from wetleaf.trade.errors import BadInput

ALL = list(METHODS.values())
DRAWS = 200_000


def picks_right(method: str, d_prime: float, rng: np.random.Generator) -> NDArray[np.bool_]:
    """Tasters who answer by the rule of the method, in the most literal way."""
    same, other = rng.normal(size=(DRAWS, 3)), rng.normal(size=(DRAWS, 3)) + d_prime
    a, b = same[:, :2].T
    d, e, f = other.T
    if method == "2-afc":
        return d > a
    if method == "3-afc":
        return (d > a) & (d > b)
    if method == "triangle":
        return (abs(a - b) < abs(a - d)) & (abs(a - b) < abs(b - d))
    if method == "duo-trio":
        return abs(b - a) < abs(d - a)
    if method == "tetrad":
        return (np.maximum(a, b) < np.minimum(d, e)) | (np.minimum(a, b) > np.maximum(d, e))
    cups = np.stack([a, b, d, e, f], axis=1)
    return _least_spread(cups) == 0


def _least_spread(cups: NDArray[np.float64]) -> NDArray[np.int64]:
    """Which of the ten ways to part five cups has the least sum of squares; 0 is the true one."""
    pairs = [(i, j) for i in range(5) for j in range(i + 1, 5)]
    within = []
    for pair in pairs:
        three = [cup for cup in range(5) if cup not in pair]
        within.append(cups[:, pair].var(axis=1) * 2 + cups[:, three].var(axis=1) * 3)
    return np.argmin(np.stack(within), axis=0)


@pytest.mark.parametrize("key", ["triangle", "duo-trio", "2-afc", "3-afc", "tetrad"])
def test_shares_right_agree_with_integrals_in_base_r(key: str) -> None:
    block = PUBLISHED["psychometric"]

    found = 1 - METHODS[key].miss(np.array(block["d_prime"]))

    np.testing.assert_allclose(found, block[key], atol=block["within"])


@pytest.mark.parametrize("method", ALL, ids=lambda method: method.key)
@pytest.mark.parametrize("d_prime", [0.0, 0.8, 2.2])
def test_tasters_who_follow_the_rule_are_right_so_often(method: Method, d_prime: float) -> None:
    rng = np.random.default_rng(7)

    share = picks_right(method.key, d_prime, rng).mean()

    assert share == pytest.approx(method.right(d_prime), abs=4.5 * np.sqrt(0.25 / DRAWS))


@pytest.mark.parametrize("method", ALL, ids=lambda method: method.key)
def test_no_difference_is_guessing_and_a_huge_one_is_never_missed(method: Method) -> None:
    assert method.right(0) == pytest.approx(method.guessing, abs=1e-12)
    assert method.right(40) == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize("method", ALL, ids=lambda method: method.key)
def test_more_difference_is_always_seen_more_often(method: Method) -> None:
    shares = method.miss(np.linspace(0, 9, 181))

    assert all(later < earlier for earlier, later in pairwise(shares))


@pytest.mark.parametrize("method", [m for m in ALL if m.key not in ("2-afc", "3-afc")], ids=lambda m: m.key)
def test_which_tea_is_the_stronger_does_not_matter_where_nothing_is_named(method: Method) -> None:
    d_prime = np.array([0.3, 1.0, 2.5])

    np.testing.assert_allclose(method.miss(-d_prime), method.miss(d_prime), atol=1e-12)


@given(d_prime=st.floats(0.05, 8), method=st.sampled_from(ALL))
def test_slopes_are_derivatives(d_prime: float, method: Method) -> None:
    step = 1e-5

    rise = float(method.miss(d_prime - step) - method.miss(d_prime + step)) / (2 * step)

    assert rise == pytest.approx(float(method.slope(d_prime)), abs=1e-8)


@given(d_prime=st.floats(0.05, 6), method=st.sampled_from(ALL))
def test_a_share_right_leads_back_to_its_d_prime(d_prime: float, method: Method) -> None:
    assert d_prime_at(method, method.right(d_prime)) == pytest.approx(d_prime, abs=1e-6)


@given(share=st.floats(0.02, 0.99), method=st.sampled_from(ALL))
def test_a_size_in_discriminators_is_the_same_size_in_d_prime(share: float, method: Method) -> None:
    by_share = declared_size(method, discriminators=share)

    by_d_prime = declared_size(method, d_prime=by_share.d_prime)

    assert by_d_prime.right == pytest.approx(by_share.right, abs=1e-9)
    assert by_d_prime.discriminators == pytest.approx(share, abs=1e-8)


def test_guessing_or_worse_is_a_d_prime_of_nothing_and_all_right_has_no_end() -> None:
    triangle = METHODS["triangle"]

    assert d_prime_at(triangle, 0.2) == 0
    assert d_prime_at(triangle, 1 / 3) == 0
    assert d_prime_at(triangle, 1.0) == float("inf")


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("Triangle", "triangle"),
        ("2AFC", "2-afc"),
        ("two out of five", "two-out-of-five"),
        ("A/not-A", "a-not-a"),
    ],
)
def test_a_method_is_found_by_the_ways_it_is_written(said: str, key: str) -> None:
    assert method_key(said) == key


def test_an_unknown_method_is_refused_with_the_known_ones() -> None:
    with pytest.raises(BadInput, match=r"'pentagon' is no method.*tetrad"):
        method_key("pentagon")


@pytest.mark.parametrize(
    "size",
    [
        {},
        {"d_prime": 0.0},
        {"d_prime": -1.0},
        {"d_prime": 11.0},
        {"d_prime": 1e-9},
        {"discriminators": 1e-9},
        {"d_prime": float("nan")},
        {"discriminators": 0.0},
        {"discriminators": 1.0},
        {"d_prime": 1.0, "discriminators": 0.2},
    ],
)
def test_a_size_that_cannot_be_declared_is_refused(size: dict[str, float]) -> None:
    with pytest.raises(BadInput, match="declared"):
        declared_size(METHODS["triangle"], **size)
