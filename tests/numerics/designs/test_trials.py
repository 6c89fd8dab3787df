"""Difference tests laid out: orders even per taster and over all, cups from pots of their own."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetleaf.numerics.designs.codes import collide_by_eye
from wetleaf.numerics.designs.difference_orders import ORDERS, orders_of
from wetleaf.numerics.designs.trials import AskedTrials, lay_out_trials
from wetleaf.trade.errors import BadInput

METHODS = sorted(ORDERS)


@pytest.mark.parametrize(
    ("method", "count"),
    [
        ("triangle", 6),
        ("duo-trio", 4),
        ("tetrad", 6),
        ("2-afc", 2),
        ("3-afc", 3),
        ("two-out-of-five", 20),
        ("same-different", 4),
        ("a-not-a", 2),
    ],
)
def test_a_method_has_as_many_orders_as_its_standard_names(method: str, count: int) -> None:
    orders = orders_of(method)

    assert len(orders) == len(set(orders)) == count


def test_the_orders_of_the_triangle_are_those_of_the_standard() -> None:
    assert set(orders_of("triangle")) == {"AAB", "ABA", "BAA", "BBA", "BAB", "ABB"}  # ISO 4120, from memory


def test_a_constant_reference_leaves_two_orders_of_the_duo_trio() -> None:
    assert orders_of("duo-trio", constant_reference=True) == ("A:AB", "A:BA")


@settings(max_examples=80, deadline=None)
@given(
    method=st.sampled_from(METHODS),
    tasters=st.integers(1, 5),
    trials=st.integers(1, 8),
    number=st.integers(0, 2**32),
    shared=st.booleans(),
)
def test_orders_are_used_evenly_for_each_taster_and_over_all_and_no_pot_fills_two_cups_of_a_trial(
    method: str, tasters: int, trials: int, number: int, shared: bool
) -> None:
    people = [f"P{one}" for one in range(tasters)]
    asked = AskedTrials(method, ["old", "new"], people, trials, shared_brews=shared)

    design = lay_out_trials(asked, np.random.default_rng(number))

    letter = {"old": "A", "new": "B"}
    served: dict[str, list[str]] = {person: [] for person in people}
    for person in people:
        for trial in range(1, trials + 1):
            cups = [cup for cup in design.cups if cup.taster == person and cup.trial == trial]
            assert len({cup.brew for cup in cups}) == len(cups)
            assert [cup.position for cup in cups] == list(range(1, len(cups) + 1))
            order = "".join(letter[cup.sample] + (":" if cup.reference else "") for cup in cups)
            served[person].append(order)
    assert {person: tuple(orders) for person, orders in served.items()} == dict(design.orders)
    for orders in (*served.values(), [order for share in served.values() for order in share]):
        counts = [orders.count(order) for order in ORDERS[method]]
        assert max(counts) - min(counts) <= 1
    assert design.balance.variance == pytest.approx(design.balance.bound)
    assert design.balance.worst_taster_variance == pytest.approx(design.balance.taster_bound)
    tea_of = {brew.name: brew.sample for brew in design.brews}
    assert all(tea_of[cup.brew] == cup.sample for cup in design.cups)
    poured = Counter(cup.brew for cup in design.cups)
    assert set(poured) == set(tea_of)
    assert shared or set(poured.values()) == {1}


def test_with_shared_pots_the_tasters_of_a_round_have_the_same_teas_so_that_three_pots_serve_all() -> None:
    asked = AskedTrials("triangle", ["old", "new"], ["Wren", "Ottil", "Sable", "Ash"], 6, shared_brews=True)

    design = lay_out_trials(asked, np.random.default_rng(4))

    assert design.cost.brews == 18
    assert design.balance.variance == 0


def test_codes_never_repeat_and_nobody_is_tired_out() -> None:
    asked = AskedTrials("triangle", ["old", "new"], ["Wren", "Ottil", "Sable"], 12)

    design = lay_out_trials(asked, np.random.default_rng(1))

    codes = [cup.code for cup in design.cups]
    assert len(set(codes)) == len(codes) == 108
    for sitting in range(1, design.cost.sittings + 1):
        mine = [cup.code for cup in design.cups if cup.sitting == sitting and cup.taster == "Wren"]
        assert len(mine) <= 8
        assert not any(collide_by_eye(a, b) for a in mine for b in mine if a != b)


def test_a_not_a_begins_each_sitting_with_a_cup_of_the_first_tea_that_is_named() -> None:
    design = lay_out_trials(AskedTrials("A-not-A", ["old", "new"], ["Wren"], 10), np.random.default_rng(1))

    known = [(cup.sitting, cup.sample, cup.code) for cup in design.cups if cup.reference]

    assert known == [(1, "old", "R"), (2, "old", "R")]


def test_no_cup_is_tasted_before_it_is_poured_and_cooled() -> None:
    design = lay_out_trials(
        AskedTrials("tetrad", ["old", "new"], ["Wren", "Ottil"], 5), np.random.default_rng(1)
    )

    poured = {brew.name: brew.poured_minute for brew in design.brews}

    assert min(cup.minute - poured[cup.brew] for cup in design.cups) >= 3


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (AskedTrials("sniff", ["A", "B"], ["Wren"], 3), "no method of telling teas apart"),
        (AskedTrials("triangle", ["A"], ["Wren"], 3), "takes two teas"),
        (AskedTrials("triangle", ["A", "B", "C"], ["Wren"], 3), "3 samples are more than 2"),
        (AskedTrials("triangle", ["A", "B"], [], 3), "No taster is named"),
        (AskedTrials("triangle", ["A", "B"], ["Wren"], 0), "0 trials for each taster"),
        (AskedTrials("triangle", ["A", "B"], ["Wren"], -2), "-2 trials for each taster"),
        (AskedTrials("triangle", ["A", "A"], ["Wren"], 3), "'A' is named twice"),
        (
            AskedTrials("tetrad", ["A", "B"], ["Wren"], 3, limit=3),
            "A trial takes 4 cups, and a sitting at most 3",
        ),
        (AskedTrials("tetrad", ["A", "B"], ["Wren"], 3, constant_reference=True), "no reference to keep"),
    ],
)
def test_what_cannot_be_laid_out_is_refused_by_name(asked: AskedTrials, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        lay_out_trials(asked, np.random.default_rng(1))
