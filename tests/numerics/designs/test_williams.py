"""Williams squares and rings without common neighbours, counted one by one."""

import tomllib
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest

from wetleaf.numerics.designs.williams import neighbour_cycles, twofold_cycles, williams_square
from wetleaf.trade.errors import BadInput

PUBLISHED = tomllib.loads((Path(__file__).parents[2] / "published/designs.toml").read_text("utf-8"))


def _neighbours(orders: list[list[int]]) -> Counter[tuple[int, int]]:
    return Counter(pair for order in orders for pair in pairwise(order))


@pytest.mark.parametrize("n", range(2, 31))
def test_every_tea_follows_every_other_equally_often_and_stands_everywhere_equally_often(n: int) -> None:
    times = 1 if n % 2 == 0 else 2

    orders = williams_square(n).tolist()

    assert len(orders) == times * n
    assert len(_neighbours(orders)) == n * (n - 1)
    assert set(_neighbours(orders).values()) == {times}
    places = Counter((place, tea) for order in orders for place, tea in enumerate(order))
    assert len(places) == n * n
    assert set(places.values()) == {times}


def test_the_square_of_six_is_the_published_one() -> None:
    orders = {"".join(str(tea + 1) for tea in order) for order in williams_square(6).tolist()}

    assert orders == set(PUBLISHED["williams_six"]["orders"])


@pytest.mark.parametrize("n", range(4, 31))
def test_no_two_rings_put_the_same_teas_side_by_side_and_there_are_as_many_as_can_be(n: int) -> None:
    rings = neighbour_cycles(n).tolist()

    sides = Counter(
        frozenset(pair) for ring in rings for pair in zip(ring, [*ring[1:], ring[0]], strict=True)
    )
    assert len(rings) == (n - 1) // 2
    assert all(sorted(ring) == list(range(n)) for ring in rings)
    assert set(sides.values()) == {1}
    assert len(sides) == n * len(rings)


@pytest.mark.parametrize("n", range(4, 31, 2))
def test_the_twofold_rings_put_every_two_teas_side_by_side_twice(n: int) -> None:
    rings = twofold_cycles(n).tolist()

    sides = Counter(
        frozenset(pair) for ring in rings for pair in zip(ring, [*ring[1:], ring[0]], strict=True)
    )
    assert len(sides) == n * (n - 1) // 2
    assert set(sides.values()) == {2}


def test_an_order_of_nothing_is_refused() -> None:
    with pytest.raises(BadInput, match="An order of 0 cups"):
        williams_square(0)
