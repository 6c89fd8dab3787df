"""Incomplete blocks: the catalogue is balanced, the search stays under the bound and links everything."""

import tomllib
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetleaf.numerics.designs.balanced_blocks import FAMILIES, balanced_blocks
from wetleaf.numerics.designs.efficiency import (
    a_efficiency,
    efficiency_bound,
    efficiency_of,
    incidence_of,
    is_connected,
    regular_bound,
)
from wetleaf.numerics.designs.incomplete_blocks import incomplete_blocks, resolvable_blocks
from wetleaf.trade.errors import BadInput

PUBLISHED = tomllib.loads((Path(__file__).parents[2] / "published/designs.toml").read_text("utf-8"))


def _meetings(blocks: tuple[tuple[int, ...], ...], teas: int) -> set[int]:
    return {
        sum(one in block and two in block for block in blocks) for one, two in combinations(range(teas), 2)
    }


@pytest.mark.parametrize(
    "plan", PUBLISHED["balanced_plans"]["rows"], ids=lambda plan: f"{plan['t']}-{plan['k']}"
)
def test_every_plan_of_the_catalogue_is_found_and_balanced(plan: dict[str, int]) -> None:
    blocks = incomplete_blocks(plan["t"], [plan["k"]] * plan["b"], np.random.default_rng(1))

    assert all(len(set(block)) == plan["k"] for block in blocks)
    assert {sum(tea in block for block in blocks) for tea in range(plan["t"])} == {plan["r"]}
    assert _meetings(blocks, plan["t"]) == {plan["lambda"]}
    found = efficiency_of(incidence_of(blocks, plan["t"]))
    assert found.kind == "balanced"
    by_theory = plan["t"] * plan["lambda"] / (plan["r"] * plan["k"])
    assert found.a_efficiency == pytest.approx(by_theory)
    assert found.bound == pytest.approx(by_theory)


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: "-".join(map(str, family[:3])))
def test_every_family_of_first_blocks_is_balanced_when_turned(
    family: tuple[int, int, int, int, tuple],
) -> None:
    teas, size, meet = family[:3]
    n_blocks = meet * teas * (teas - 1) // (size * (size - 1))

    blocks = balanced_blocks(teas, n_blocks, size)

    assert blocks is not None
    assert len(blocks) == n_blocks
    assert _meetings(blocks, teas) == {meet}


@pytest.mark.parametrize(
    "row", PUBLISHED["difference_sets"]["rows"], ids=lambda row: f"{row['t']}-{row['meet']}"
)
def test_efficiency_of_the_classical_difference_sets_is_that_of_theory(row: dict) -> None:
    teas, block = row["t"], row["block"]
    blocks = tuple(tuple((tea + turn) % teas for tea in block) for turn in range(teas))

    found = efficiency_of(incidence_of(blocks, teas))

    assert (found.together_least, found.together_most) == (row["meet"], row["meet"])
    assert found.a_efficiency == pytest.approx(teas * row["meet"] / len(block) ** 2)


def test_the_bound_is_the_published_one() -> None:
    published = PUBLISHED["efficiency_bounds"]

    off = {
        (row["t"], row["b"], row["k"]): regular_bound(row["t"], row["b"], row["k"]) - row["bound"]
        for row in published["rows"]
    }

    assert len(off) == 60
    assert {case: gap for case, gap in off.items() if abs(gap) > published["within"]} == {}


def test_a_ring_of_pairs_has_the_efficiency_worked_out_by_hand() -> None:
    # Four teas in blocks AB, BC, CD, DA: a difference of neighbours has variance 2 (1 in parallel with 3,
    # each block 2: 2 x 3/4 = 1.5), one across 2 x 1 = 2; complete blocks would give 2/2 = 1.
    ring = incidence_of(((0, 1), (1, 2), (2, 3), (0, 3)), 4)

    value = a_efficiency(ring)

    assert value == pytest.approx(1 / ((4 * 1.5 + 2 * 2) / 6))


def test_a_bridge_tea_links_blocks_and_the_variance_is_the_one_worked_out_by_hand() -> None:
    # A, X in one sitting, B, X in another: A - B = (A - X) - (B - X), variance 4, where two cups side by
    # side give 2.
    table = incidence_of(((0, 2), (1, 2)), 3)

    assert a_efficiency(table, extra=1) == pytest.approx(0.5)
    assert not is_connected(table[:, :2])


@settings(max_examples=60, deadline=None)
@given(teas=st.integers(2, 14), n_blocks=st.integers(1, 12), data=st.data())
def test_blocks_have_the_sizes_asked_for_use_teas_evenly_and_stay_under_the_bound(
    teas: int, n_blocks: int, data: st.DataObject
) -> None:
    sizes = data.draw(st.lists(st.integers(1, teas), min_size=n_blocks, max_size=n_blocks))

    blocks = incomplete_blocks(teas, sizes, np.random.default_rng(1))

    assert [len(set(block)) for block in blocks] == sizes
    uses = [sum(tea in block for block in blocks) for tea in range(teas)]
    assert max(uses) - min(uses) <= 1
    table = incidence_of(blocks, teas)
    assert a_efficiency(table) <= efficiency_bound(table) + 1e-9


@settings(max_examples=60, deadline=None)
@given(teas=st.integers(2, 20), parts=st.integers(1, 5), replicates=st.integers(1, 4))
def test_each_replicate_of_resolvable_blocks_holds_every_tea_once(
    teas: int, parts: int, replicates: int
) -> None:
    parts = min(parts, teas)
    sizes = [len(range(part, teas, parts)) for part in range(parts)]

    blocks = resolvable_blocks(teas, sizes, replicates, np.random.default_rng(1))

    assert [len(block) for block in blocks] == sizes * replicates
    for first in range(0, len(blocks), parts):
        held = sorted(tea for block in blocks[first : first + parts] for tea in block)
        assert held == list(range(teas))
    table = incidence_of(blocks, teas)
    assert a_efficiency(table) <= efficiency_bound(table, replicates=replicates) + 1e-9


@pytest.mark.parametrize(
    ("teas", "n_blocks", "size", "share"),
    [(8, 8, 3, 0.999), (9, 9, 4, 0.995), (10, 10, 3, 0.99), (12, 9, 4, 0.999), (15, 15, 5, 0.995)],
)
def test_where_no_balance_is_possible_the_search_comes_near_the_bound(
    teas: int, n_blocks: int, size: int, share: float
) -> None:
    found = efficiency_of(
        incidence_of(incomplete_blocks(teas, [size] * n_blocks, np.random.default_rng(1)), teas)
    )

    assert found.kind == "best found"
    assert share <= found.a_efficiency / found.bound <= 1


def test_a_block_larger_than_the_teas_is_refused() -> None:
    with pytest.raises(BadInput, match="Blocks of 4, 2 cups cannot be filled from 3 teas"):
        incomplete_blocks(3, [4, 2], np.random.default_rng(1))


@pytest.mark.parametrize(("teas", "sittings"), [(12, 3), (24, 3), (30, 5), (42, 6), (56, 7)])
def test_two_replicates_share_teas_as_evenly_as_whole_numbers_allow(teas: int, sittings: int) -> None:
    blocks = resolvable_blocks(teas, [teas // sittings] * sittings, 2, np.random.default_rng(1))

    shared = [len(set(one) & set(two)) for one in blocks[:sittings] for two in blocks[sittings:]]

    assert max(shared) - min(shared) <= 1


def test_twelve_teas_in_two_replicates_of_three_sittings_have_the_efficiency_worked_out_by_hand() -> None:
    # Shared teas 2, 1, 1 in each row and column: singular values 4, 1, 1, so eigenvalues (1 +- 1/4) / 2 twice
    # each, and seven of 1.
    blocks = resolvable_blocks(12, [4, 4, 4], 2, np.random.default_rng(1))

    found = efficiency_of(incidence_of(blocks, 12), replicates=2)

    by_hand = 11 / (7 + 2 / 0.375 + 2 / 0.625)
    assert found.a_efficiency == pytest.approx(by_hand)
    assert found.bound == pytest.approx(by_hand)
