"""The measure of evenness and its bound, against counting by hand and against trying everything."""

from itertools import combinations_with_replacement, pairwise, product

import numpy as np
import pytest

from wetleaf.numerics.designs.asked import Asked
from wetleaf.numerics.designs.evenness import evenness, least_squares
from wetleaf.numerics.designs.lay_out import lay_out
from wetleaf.numerics.designs.williams import all_orders, walks_along


def _measures(pool: np.ndarray, tasters: int) -> np.ndarray:
    """The measure of every choice of `tasters` orders from the pool, the first fixed (names are free)."""
    n = pool.shape[1]
    features = np.zeros((len(pool), 2 * n * n))
    for number, order in enumerate(pool):
        for place, tea in enumerate(order):
            features[number, tea * n + place] = 1
        for before, after in pairwise(order):
            features[number, n * n + before * n + after] = 1
    weights = np.concatenate([np.full(n * n, 1 / (n * n)), np.full(n * n, 1 / (n * (n - 1)))])
    share = np.concatenate([np.full(n * n, 1 / n), ((1 - np.eye(n)) / n).ravel()]) * tasters
    chosen = np.array(list(combinations_with_replacement(range(len(pool)), tasters - 1)), dtype=int)
    sums = features[chosen].sum(1) + features[0] if tasters > 1 else features[:1]
    return ((sums - share) ** 2 * weights).sum(1)


@pytest.mark.parametrize(
    ("teas", "tasters"), [(3, 1), (3, 2), (3, 3), (3, 4), (3, 5), (4, 3), (5, 3), (5, 4)]
)
def test_no_choice_of_private_orders_whatever_is_more_even_than_the_one_found(
    teas: int, tasters: int
) -> None:
    least = _measures(all_orders(teas), tasters).min()

    design = lay_out(
        Asked([f"T{tea}" for tea in range(teas)], [f"P{one}" for one in range(tasters)], way="private"),
        np.random.default_rng(3),
    )

    assert design.balance.unevenness == pytest.approx(least)
    assert design.balance.bound <= least + 1e-12


@pytest.mark.parametrize(
    ("teas", "tasters"), [(4, 2), (4, 4), (5, 2), (5, 3), (6, 3), (7, 3), (8, 3), (8, 4)]
)
def test_no_choice_of_walks_along_one_row_is_more_even_than_the_one_found(teas: int, tasters: int) -> None:
    least = _measures(walks_along(np.arange(teas))[0], tasters).min()

    design = lay_out(
        Asked([f"T{tea}" for tea in range(teas)], [f"P{one}" for one in range(tasters)]),
        np.random.default_rng(3),
    )

    assert design.balance.unevenness == pytest.approx(least)
    assert design.balance.bound <= least + 1e-12


def test_with_everybody_tasting_everything_the_measure_is_the_variance_of_the_counts() -> None:
    orders = [np.array([0, 1, 2]), np.array([1, 0, 2])]

    found = evenness(orders, 3)

    assert found.position_variance == pytest.approx(np.var([1, 1, 0, 1, 1, 0, 0, 0, 2]))
    assert found.previous_variance == pytest.approx(np.var([1, 1, 1, 1, 0, 0]))
    assert found.position_bound == pytest.approx(2 / 3 * 1 / 3)


def test_the_least_sum_of_squares_is_what_trying_all_whole_numbers_gives() -> None:
    shares = np.array([0.2, 0.7, 1.3, 0.1])

    tried = {
        total: min(
            float(((np.array(whole) - shares) ** 2).sum())
            for whole in product(range(6), repeat=4)
            if sum(whole) == total
        )
        for total in (2, 3, 5)
    }

    assert {total: least_squares(shares, total) for total in tried} == pytest.approx(tried)


def test_two_brews_of_one_tea_right_after_each_other_are_counted() -> None:
    found = evenness([np.array([0, 0, 1, 1])], 2)

    assert found.repeats == 2
