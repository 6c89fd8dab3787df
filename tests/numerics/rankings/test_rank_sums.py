"""Rank sums against tables, R and plain counting."""

import tomllib
from itertools import permutations, product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from wetleaf.numerics.rankings import durbin, friedman, kramer, page
from wetleaf.numerics.rankings.exact_sums import page_chance, spread_chance
from wetleaf.trade.errors import BadInput

PUBLISHED: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[2] / "published" / "rankings" / "rank_sums.toml").read_text("utf-8")
)


def in_order(tasters: int, lots: int) -> np.ndarray:
    return np.tile(np.arange(1.0, lots + 1), (tasters, 1))


def every_table(ranks: list[list[float]]) -> list[np.ndarray]:
    return [np.array(table) for table in product(*(list(permutations(row)) for row in ranks))]


@pytest.mark.parametrize("row", PUBLISHED["friedman"], ids=str)
def test_friedmans_chances_are_those_of_the_table(row: dict[str, float]) -> None:
    lots, tasters = int(row["lots"]), int(row["tasters"])
    apart = row["statistic"] * tasters * lots * (lots + 1) / 12

    chance = spread_chance(in_order(tasters, lots), round(apart, 1) - 0.05)

    assert chance == pytest.approx(row["p"], abs=0.00055 if row["p"] > 0.01 else 0.00006)


@pytest.mark.parametrize("row", PUBLISHED["page"], ids=str)
def test_pages_critical_values_are_those_of_the_table(row: dict[str, Any]) -> None:
    ranks = in_order(row["tasters"], row["lots"])
    highest = int(row["tasters"] * (np.arange(1, row["lots"] + 1) ** 2).sum())

    chances = {value: page_chance(ranks, value) or 0.0 for value in range(highest // 2, highest + 1)}

    least = [min((v for v, p in chances.items() if p <= alpha), default=0) for alpha in (0.05, 0.01, 0.001)]
    assert least == row["least"]


def test_open_data_agree_with_r() -> None:
    macon = PUBLISHED["macon"]
    ranks = np.array(macon["ranks"]).T

    agreed, trend = friedman(ranks), page(ranks)

    assert agreed.statistic == pytest.approx(macon["statistic"], abs=1e-10)
    assert (agreed.p, agreed.exact) == (pytest.approx(macon["p"], rel=1e-9), False)
    assert agreed.agreement == pytest.approx(macon["agreement"], abs=1e-12)
    assert list(agreed.sums) == macon["sums"]
    assert trend.statistic == macon["page"]
    assert (trend.p, trend.exact) == (pytest.approx(macon["page_p"], abs=0.004), True)  # R's is normal


@pytest.mark.parametrize(
    "ranks",
    [
        [[1, 2, 3], [2, 1, 3], [1, 3, 2]],
        [[1, 1, 2], [2, 1, 3], [1, 2, 2], [1, 2, 3]],
        [[1, 2, 3, 4], [2, 2, 1, 1]],
        [[1, 1, 1, 2], [4, 3, 2, 1], [1, 2, 2, 4]],
    ],
    ids=["plain", "ties", "two pairs of ties", "triple"],
)
def test_exact_chances_are_those_of_counting_every_order(ranks: list[list[float]]) -> None:
    agreed, trend = friedman(ranks), page(ranks)

    tables = every_table([list(stats.rankdata(row)) for row in ranks])
    spreads = [((table.sum(axis=0) - table.sum() / table.shape[1]) ** 2).sum() for table in tables]
    sums = np.array(agreed.sums)
    apart = ((sums - sums.mean()) ** 2).sum()
    trends = [table.sum(axis=0) @ np.arange(1, table.shape[1] + 1) for table in tables]
    assert agreed.exact
    assert agreed.p == pytest.approx(np.mean(np.array(spreads) >= apart - 1e-9), abs=1e-12)
    assert trend.p == pytest.approx(np.mean(np.array(trends) >= trend.statistic - 1e-9), abs=1e-12)


@given(st.lists(st.lists(st.integers(1, 4), min_size=4, max_size=4), min_size=2, max_size=5))
@settings(max_examples=40, deadline=None)
def test_the_statistic_is_scipys_with_any_ties(ranks: list[list[int]]) -> None:
    if all(len(set(row)) == 1 for row in ranks):
        assert friedman(ranks).p == 1.0
        return

    found = friedman(ranks)

    assert found.statistic == pytest.approx(stats.friedmanchisquare(*np.array(ranks).T).statistic, abs=1e-9)
    assert 0 < found.p <= 1


def test_pages_exact_chance_is_scipys() -> None:
    ranks = np.array([[1, 2, 4, 3], [2, 1, 3, 4], [1, 3, 2, 4], [1, 2, 3, 4], [4, 2, 1, 3]])

    found = page(ranks)

    scipy = stats.page_trend_test(ranks, ranked=True, method="exact")
    assert (found.statistic, found.p) == (scipy.statistic, pytest.approx(scipy.pvalue, abs=1e-12))


def test_a_lot_all_put_last_stands_out() -> None:
    found = {
        lot.lot: lot for lot in kramer([[1, 2, 3, 4], [2, 1, 3, 4], [3, 1, 2, 4], [2, 3, 1, 4]], list("abcd"))
    }

    assert found["d"].rank_sum == 16
    assert found["d"].p == pytest.approx(4 * 2 / 4**4)  # four of either end, times four lots
    assert found["a"].p == 1.0


def test_balanced_incomplete_rows_are_durbins_formula() -> None:
    """12 (t-1) / (r t (k-1) (k+1)) * sum (R_j - r (k+1) / 2)^2: Durbin (1951); Conover (1999) 5.9."""
    rows = [[1, 2, None, 3], [None, 1, 2, 3], [2, None, 1, 3], [1, 2, 3, None]]
    sums = np.array([4, 5, 6, 9])

    found = durbin(rows)

    lots, served, bowls = 4, 3, 3
    expected = 12 * (lots - 1) / (served * lots * (bowls - 1) * (bowls + 1))
    expected *= ((sums - served * (bowls + 1) / 2) ** 2).sum()
    assert found.statistic == pytest.approx(expected, abs=1e-10)
    assert found.exact


def test_incomplete_rows_are_counted_exactly() -> None:
    rows = [[1, 2, None], [None, 1, 2], [1, 3, 2], [2, None, 1]]
    served = [[lot for lot, rank in enumerate(row) if rank is not None] for row in rows]

    found = durbin(rows)

    statistics = []
    for orders in product(*(list(permutations(range(1, len(lots) + 1))) for lots in served)):
        table: list[list[float | None]] = [[None] * 3 for _ in rows]
        for row, lots, order in zip(table, served, orders, strict=True):
            for lot, rank in zip(lots, order, strict=True):
                row[lot] = rank
        statistics.append(durbin(table).statistic)
    assert len(statistics) == 2 * 2 * 6 * 2
    assert found.p == pytest.approx(np.mean(np.array(statistics) >= found.statistic - 1e-9))


def test_many_incomplete_rows_are_judged_by_chi_squared() -> None:
    rng = np.random.default_rng(1)
    rows = [
        [None if lot in rng.choice(9, 3, replace=False) else float(lot) for lot in range(9)]
        for _ in range(12)
    ]

    found = durbin(rows)

    assert (found.exact, found.p) == (False, pytest.approx(stats.chi2.sf(found.statistic, 8)))


def test_complete_rows_are_friedmans() -> None:
    ranks = [[1, 2, 3], [1, 3, 2], [2, 1, 3], [1, 2, 3]]

    assert durbin(ranks).statistic == pytest.approx(friedman(ranks).statistic)


@pytest.mark.parametrize(
    "ranks", [[[1, 2, 3]], [[1], [1]], [[1, float("nan")], [1, 2]], [[1, float("inf")], [1, 2]]], ids=str
)
def test_too_little_or_missing_ranks_are_refused(ranks: list[list[float]]) -> None:
    with pytest.raises(BadInput, match=r"are needed|is missing"):
        friedman(ranks)


def test_rows_that_fall_apart_are_refused() -> None:
    with pytest.raises(BadInput, match="do not join"):
        durbin([[1, 2, None, None], [None, None, 1, 2]])


def test_everyone_level_tells_nothing() -> None:
    found = friedman([[1, 1, 1], [2, 2, 2]])

    assert (found.statistic, found.p) == (0.0, 1.0)
    assert page([[1, 1, 1], [2, 2, 2]]).p == 1.0
