"""A flight laid out: every count is taken again here from the cups alone, for all sizes."""

import json
from collections import Counter, defaultdict
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st

from wetleaf.numerics.designs import Asked, Design, as_mapping, as_rows, balance_of, lay_out
from wetleaf.numerics.designs.codes import collide_by_eye
from wetleaf.trade.errors import BadInput
from wetleaf.trade.stages import sitting_limit


def _laid(samples: int, tasters: int, number: int = 1, **asked: object) -> Design:
    teas, people = [f"T{tea}" for tea in range(samples)], [f"P{one}" for one in range(tasters)]
    return lay_out(Asked(teas, people, **asked), np.random.default_rng(number))  # type: ignore[arg-type]


def _orders(design: Design) -> dict[tuple[int, str], list[str]]:
    orders: dict[tuple[int, str], list[str]] = defaultdict(list)
    for cup in sorted(design.cups, key=lambda cup: cup.position):
        orders[cup.sitting, cup.taster].append(cup.sample)
    return orders


def _variances(design: Design) -> tuple[float, float]:
    """Squared distances of the counts from the share of a random order that puts no tea after itself."""
    places: Counter[tuple[str, int]] = Counter()
    follows: Counter[tuple[str, str]] = Counter()
    place_share: dict[tuple[str, int], float] = defaultdict(float)
    follow_share: dict[tuple[str, str], float] = defaultdict(float)
    for order in _orders(design).values():
        places.update((tea, place) for place, tea in enumerate(order))
        follows.update(pairwise(order))
        for tea in order:
            for place in range(len(order)):
                place_share[tea, place] += 1 / len(order)
        pairs = [(before, after) for before in order for after in order if before != after]
        for pair in pairs:
            follow_share[pair] += (len(order) - 1) / len(pairs)
    unwanted = sum(times**2 for pair, times in follows.items() if pair not in follow_share)
    positions = [(places[cell] - share) ** 2 for cell, share in place_share.items()]
    previous = [(follows[cell] - share) ** 2 for cell, share in follow_share.items()]
    return sum(positions) / len(positions), (sum(previous) + unwanted) / max(1, len(previous))


def _hold_together(design: Design) -> None:
    """What is true of every design, whatever was asked."""
    brews = {brew.name: brew for brew in design.brews}
    assert len(brews) == len(design.brews)
    for cup in design.cups:
        brew = brews[cup.brew]
        assert (brew.sample, brew.sitting, brew.replicate) == (cup.sample, cup.sitting, cup.replicate)
        assert brew.code in (None, cup.code)
        assert cup.minute >= brew.poured_minute + 3
    for (sitting, taster), order in _orders(design).items():
        mine = [cup for cup in design.cups if (cup.sitting, cup.taster) == (sitting, taster)]
        assert sorted(cup.position for cup in mine) == list(range(1, len(order) + 1))
        assert len({cup.brew for cup in mine}) == len(mine)
        codes = [cup.code for cup in mine]
        assert not any(collide_by_eye(a, b) for a in codes for b in codes if a != b)
    for brew in design.brews:
        again = [other.replicate for other in design.brews if other.sample == brew.sample]
        assert sorted(again) == list(range(1, len(again) + 1))
    positions, previous = _variances(design)
    assert design.balance.position_variance == pytest.approx(positions)
    assert design.balance.previous_variance == pytest.approx(previous)
    assert balance_of(design) == design.balance
    for balance in filter(None, (design.balance, design.beside)):
        assert balance.position_bound <= balance.position_variance + 1e-9
        assert balance.previous_bound <= balance.previous_variance + 1e-9
    assert design.efficiency.a_efficiency <= design.efficiency.bound + 1e-9
    assert design.cost.cups == len(design.cups)
    assert design.cost.grams == sum((brew.grams for brew in design.brews), Decimal(0))


@settings(max_examples=60, deadline=None)
@given(
    samples=st.integers(2, 20),
    tasters=st.integers(1, 12),
    replicates=st.integers(1, 2),
    way=st.sampled_from(["row", "private"]),
    purpose=st.sampled_from(["profile", "ranking", "first_pass"]),
    number=st.integers(0, 2**32),
)
def test_everybody_tastes_every_replicate_of_everything_within_the_limit(
    samples: int, tasters: int, replicates: int, way: str, purpose: str, number: int
) -> None:
    design = _laid(samples, tasters, number, replicates=replicates, way=way, purpose=purpose)

    _hold_together(design)
    bridged = {brew.sample for brew in design.brews if brew.bridge}
    for person in design.asked.tasters:
        met = Counter(cup.sample for cup in design.cups if cup.taster == person)
        assert {tea: met[tea] for tea in design.teas if tea not in bridged} == {
            tea: replicates for tea in design.teas if tea not in bridged
        }
    for order in _orders(design).values():
        assert len(order) <= sitting_limit(purpose).cups_most
        assert len(set(order)) == len(order)
    assert design.efficiency.connected


@settings(max_examples=60, deadline=None)
@given(
    samples=st.integers(2, 12),
    tasters=st.integers(1, 8),
    replicates=st.integers(1, 3),
    part=st.integers(2, 8),
    number=st.integers(0, 2**32),
)
def test_tasters_who_taste_a_part_each_get_so_many_and_all_teas_are_linked(
    samples: int, tasters: int, replicates: int, part: int, number: int
) -> None:
    part = min(part, samples)
    assume(tasters * replicates * (part - 1) >= samples - 1)

    design = _laid(samples, tasters, number, replicates=replicates, way="private", per_taster=part)

    _hold_together(design)
    assert {len(set(order)) for order in _orders(design).values()} == {part}
    uses = Counter(cup.sample for cup in design.cups)
    assert max(uses[tea] for tea in design.teas) - min(uses[tea] for tea in design.teas) <= 1
    assert design.efficiency.connected


@settings(max_examples=60, deadline=None)
@given(
    samples=st.integers(2, 12),
    tasters=st.integers(1, 5),
    replicates=st.integers(1, 4),
    way=st.sampled_from(["row", "private"]),
    limit=st.integers(2, 14),
    sittings=st.none() | st.integers(1, 12),
    part=st.none() | st.integers(1, 12),
    bridges=st.sampled_from([(), ("kept",), ("T0",), ("kept", "T1"), ("T0", "T1")]),
    unlinked=st.booleans(),
    coded=st.sampled_from(["brew", "cup"]),
    number=st.integers(0, 2**32),
)
def test_whatever_is_asked_is_laid_out_whole_or_refused_in_words(
    samples: int,
    tasters: int,
    replicates: int,
    way: str,
    limit: int,
    sittings: int | None,
    part: int | None,
    bridges: tuple[str, ...],
    unlinked: bool,
    coded: str,
    number: int,
) -> None:
    try:
        design = _laid(
            samples,
            tasters,
            number,
            replicates=replicates,
            way=way,
            limit=limit,
            sittings=sittings,
            per_taster=part,
            bridges=bridges,
            unlinked=unlinked,
            coded=coded,
        )
    except BadInput as refusal:
        event(f"refused {'with' if refusal.way_out else 'without'} a way out")
        return

    event("laid out")
    _hold_together(design)
    assert unlinked or design.efficiency.connected
    assert max(map(len, _orders(design).values())) <= limit
    for sitting in design.sittings:
        assert set(bridges) <= set(sitting.samples)
    if part is None:
        met = Counter(cup.sample for cup in design.cups if cup.taster == "P0")
        bridged = {brew.sample for brew in design.brews if brew.bridge}
        assert {met[tea] for tea in design.teas if tea not in bridged} <= {replicates}


@pytest.mark.parametrize("tasters", range(1, 13))
@pytest.mark.parametrize("samples", [2, 4, 6, 8])
def test_private_orders_of_an_even_number_of_teas_reach_the_bound_for_any_number_of_tasters(
    samples: int, tasters: int
) -> None:
    design = _laid(samples, tasters, way="private")

    assert design.balance.unevenness == pytest.approx(design.balance.bound, abs=1e-9)


@pytest.mark.parametrize("samples", [3, 5, 7])
def test_twice_as_many_orders_as_an_odd_number_of_teas_are_perfect(samples: int) -> None:
    design = _laid(samples, 2 * samples, way="private")

    assert design.balance.unevenness == pytest.approx(0, abs=1e-12)


def test_along_one_row_every_taster_walks_the_row_from_the_start_and_in_the_direction_said() -> None:
    design = _laid(7, 4, replicates=3)

    for sitting in design.sittings:
        bowls = {brew.place: brew.code for brew in design.brews if brew.sitting == sitting.number}
        for walk in sitting.walks:
            walked = [bowls[(walk.start - 1 + walk.direction * step) % 7 + 1] for step in range(7)]
            cups = [cup for cup in design.cups if (cup.sitting, cup.taster) == (sitting.number, walk.taster)]
            assert [cup.code for cup in sorted(cups, key=lambda cup: cup.position)] == walked


def test_a_row_laid_anew_for_each_replicate_puts_other_teas_side_by_side() -> None:
    design = _laid(7, 2, replicates=3)

    sides: Counter[frozenset[str]] = Counter()
    for sitting in design.sittings:
        row = sitting.samples
        sides.update(frozenset(pair) for pair in zip(row, (*row[1:], row[0]), strict=True))
    assert len(sides) == 21
    assert set(sides.values()) == {1}


def test_replicates_lie_in_sittings_of_their_own_and_are_new_brews() -> None:
    design = _laid(12, 3, replicates=2)

    assert [len(sitting.samples) for sitting in design.sittings] == [6, 6, 6, 6]
    assert sorted(design.sittings[0].samples + design.sittings[1].samples) == sorted(design.teas)
    assert design.cost.brews == 24
    assert {brew.replicate for brew in design.brews if brew.sitting >= 3} == {2}


def test_bridge_teas_stand_in_every_sitting_and_link_what_is_tasted_once() -> None:
    design = _laid(14, 2, bridges=("kept",))

    assert len(design.sittings) == 2
    assert all(sitting.bridges == ("kept",) for sitting in design.sittings)
    assert design.efficiency.connected
    assert design.cost.brews == 16


def test_without_a_bridge_the_first_sample_is_made_one_and_the_note_says_so() -> None:
    design = _laid(12, 2)

    assert all("T0" in sitting.samples for sitting in design.sittings)
    assert any("T0 is served in each as the bridge cup" in note for note in design.notes)


def test_sittings_may_be_left_unlinked_with_a_warning() -> None:
    design = _laid(12, 2, unlinked=True)

    assert not design.efficiency.connected
    assert design.cost.brews == 12
    assert any("not linked" in note for note in design.notes)


def test_one_taster_can_have_seven_teas_in_seven_balanced_sittings_of_three() -> None:
    design = _laid(7, 1, replicates=3, sittings=7, limit=3)

    assert design.efficiency.kind == "balanced"
    assert design.efficiency.a_efficiency == pytest.approx(7 / 9)


def test_with_too_few_sittings_replicates_share_one_as_brews_of_their_own() -> None:
    design = _laid(3, 2, replicates=2, sittings=1)

    _hold_together(design)
    assert Counter(design.sittings[0].samples) == {"T0": 2, "T1": 2, "T2": 2}
    assert design.balance.same_tea_again == 0


@pytest.mark.parametrize("way", ["row", "private"])
def test_nobody_meets_a_tea_at_the_same_position_in_the_second_replicate(way: str) -> None:
    design = _laid(8, 4, replicates=2, way=way)

    orders = _orders(design)
    again = [
        sum(one == two for one, two in zip(orders[1, person], orders[2, person], strict=True))
        for person in design.asked.tasters
    ]
    assert max(again) <= 1


def test_the_parts_of_a_sitting_add_up_and_say_where_they_come_from() -> None:
    design = _laid(6, 2, tea_class="black")

    sitting = design.sittings[0]

    assert sum(part.minutes for part in sitting.parts) == sitting.minutes
    assert {part.name: part.ground for part in sitting.parts}["steeping"] == "GB/T 23776-2018, public pages"
    assert sum(part.ground == "common practice" for part in sitting.parts) == 4


def test_the_same_draw_gives_the_same_design_and_another_draw_another() -> None:
    assert _laid(8, 3, 5) == _laid(8, 3, 5)
    assert _laid(8, 3, 5) != _laid(8, 3, 6)


def test_codes_of_last_week_are_not_used() -> None:
    last = [brew.code for brew in _laid(8, 3, 5).brews]

    again = _laid(8, 3, 5, spent=tuple(last))

    assert not {brew.code for brew in again.brews} & set(last)


def test_every_cup_can_have_its_own_code() -> None:
    design = _laid(6, 4, way="private", coded="cup")

    assert len({cup.code for cup in design.cups}) == 24
    assert {brew.code for brew in design.brews} == {None}


def test_leaf_that_does_not_suffice_is_named_with_what_is_short() -> None:
    design = _laid(4, 2, replicates=2, grams_left={"T0": Decimal(5), "T1": Decimal(6)})

    leaf = {one.sample: one.short_grams for one in design.cost.leaf}

    assert leaf == {"T0": Decimal(1), "T1": Decimal(0), "T2": Decimal(0), "T3": Decimal(0)}
    assert "T0 needs 6 g and has 5 g left: 1 g short." in design.notes


def test_minutes_come_from_the_protocol_of_the_class() -> None:
    black = _laid(6, 2, tea_class="black")
    ball = _laid(6, 2, group="oolong_ball_light")

    assert [brew.poured_minute - brew.water_minute for brew in black.brews] == [5] * 6
    assert [brew.poured_minute - brew.water_minute for brew in ball.brews] == [6] * 6
    assert black.sittings[0].minutes == 2.5 + 5 + 3 + 6 * 4.5


def test_a_design_is_plain_values_for_json_and_rows_for_a_table() -> None:
    design = _laid(5, 2)

    plain = json.loads(json.dumps(as_mapping(design), allow_nan=False))
    rows = as_rows(design)

    assert [cup["code"] for cup in plain["cups"]] == [row["code"] for row in rows]
    assert len(rows) == 10
    assert plain["balance"]["bound"] == design.balance.bound


ASKED = Asked(["A", "B", "C", "D"], ["Wren", "Ottil"])


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"samples": ["A"]}, r"One sample \(A\)"),
        ({"samples": []}, "No sample is named"),
        ({"samples": ["A", " "]}, "A sample has no name"),
        ({"samples": ["A", "B", "a"]}, "The sample 'A' is named twice"),
        ({"tasters": []}, "No taster is named"),
        ({"tasters": ["Wren", "Wren"]}, "The taster 'Wren' is named twice"),
        ({"replicates": -1}, "-1 replicates"),
        ({"replicates": 0}, "0 replicates"),
        ({"limit": 1}, "at most 1 cups compares nothing"),
        ({"limit": -3}, "at most -3 cups"),
        ({"limit": 2, "bridges": ("x", "y")}, "2 bridge cups leave no place among the 2 cups"),
        ({"bridges": ("x", "x")}, "The bridge tea 'x' is named twice"),
        ({"purpose": "sale"}, "'sale' is not a purpose"),
        ({"way": "ring"}, "'ring' is not a way of serving"),
        ({"coded": "pot"}, "'pot' is not a way of coding"),
        ({"coded": "cup"}, "each bowl has one code"),
        ({"protocol": "bucket"}, "'bucket' is not a way of preparing"),
        ({"tea_class": "rooibos"}, "'rooibos'"),
        ({"group": "oolong_square"}, "'oolong_square' is not a group"),
        ({"tea_class": "black", "group": "oolong_ball_light"}, "oolong_ball_light is not a group of black"),
        ({"per_taster": 1, "way": "private", "bridges": ("x",)}, "2 blocks of 1 cannot hold 4 samples"),
        ({"sittings": 0}, "0 sittings"),
        ({"sittings": 9}, "4 cups do not go into 9 sittings"),
        ({"limit": 2, "sittings": 1}, "4 cups do not go into 1 sittings of at most 2"),
        ({"per_taster": 2}, "Along one row"),
        ({"per_taster": 9, "way": "private"}, "9 samples for each taster"),
        ({"per_taster": 2, "way": "private", "tasters": ["Wren"]}, "1 blocks of 2 cannot link 4 samples"),
        ({"per_taster": 4, "way": "private", "limit": 3}, "4 samples and 0 bridge cups are more than the 3"),
        ({"per_taster": 2, "way": "private", "sittings": 2}, "With --per-taster"),
        ({"spent": ("12",)}, "'12' is not a code"),
        ({"grams_left": {"Z": Decimal(3)}}, "Grams are given for 'Z'"),
        ({"grams_left": {"A": Decimal(-3)}}, "-3 grams of A"),
        ({"grams_left": {"A": Decimal("nan")}}, "NaN grams of A"),
        ({"samples": [f"T{one}" for one in range(60)], "tasters": [f"P{one}" for one in range(12)],
          "replicates": 2, "way": "private", "coded": "cup"}, "1440 codes are asked for"),
    ],
)  # fmt: skip
def test_what_cannot_be_laid_out_is_refused_by_name(change: dict[str, object], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        lay_out(replace(ASKED, **change), np.random.default_rng(1))  # type: ignore[arg-type]
