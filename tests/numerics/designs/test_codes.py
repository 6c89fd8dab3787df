"""Three-digit codes: what collides by eye, and what is done when they run out."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetleaf.numerics.designs.codes import LEFT_OUT, STOCK, codes_for_trays, collide_by_eye, spent_codes
from wetleaf.trade.errors import BadInput


@pytest.mark.parametrize(
    ("one", "two"), [("311", "131"), ("472", "472"), ("472", "479"), ("472", "412"), ("168", "891")]
)
def test_codes_that_are_mixed_up_at_a_glance_collide_both_ways(one: str, two: str) -> None:
    assert collide_by_eye(one, two)
    assert collide_by_eye(two, one)


def test_codes_that_share_one_digit_at_its_place_do_not_collide() -> None:
    assert not collide_by_eye("472", "419")


def test_loaded_codes_are_not_in_the_stock() -> None:
    assert {100, 123, 666, 911, 987, 500, 250} <= LEFT_OUT
    assert not LEFT_OUT & set(STOCK)
    assert min(STOCK) >= 100
    assert len(STOCK) > 800


@settings(max_examples=40, deadline=None)
@given(cups=st.integers(1, 30), trays=st.integers(1, 8), number=st.integers(0, 2**32), data=st.data())
def test_no_code_comes_twice_or_from_last_week_and_none_collides_on_a_tray(
    cups: int, trays: int, number: int, data: st.DataObject
) -> None:
    spent = data.draw(st.frozensets(st.sampled_from(STOCK), max_size=300))
    on = [list(range(tray * cups, (tray + 1) * cups)) for tray in range(trays)]

    codes = codes_for_trays(on, cups * trays, spent, np.random.default_rng(number))

    assert len(set(codes)) == cups * trays
    assert all(len(code) == 3 and code[0] != "0" for code in codes)
    assert not spent & set(map(int, codes))
    clashing = [
        (codes[one], codes[two])
        for tray in on
        for one in tray
        for two in tray
        if one < two and collide_by_eye(codes[one], codes[two])
    ]
    assert clashing == []


def test_up_to_sixty_codes_none_collide_in_the_whole_design() -> None:
    trays = [list(range(first, first + 6)) for first in range(0, 60, 6)]

    codes = codes_for_trays(trays, 60, frozenset(), np.random.default_rng(2))

    assert not any(collide_by_eye(one, two) for one in codes for two in codes if one != two)


def test_more_codes_than_there_are_names_the_way_out() -> None:
    with pytest.raises(BadInput, match=r"900 codes are asked for, and \d+ of \d+ are free .* Code brews"):
        codes_for_trays([[number] for number in range(900)], 900, frozenset(), np.random.default_rng(1))


def test_a_tray_too_large_for_codes_apart_names_the_way_out() -> None:
    with pytest.raises(BadInput, match="run out: 120 cups stand together"):
        codes_for_trays([list(range(120))], 120, frozenset(), np.random.default_rng(1))


def test_what_is_no_code_is_refused_by_name() -> None:
    with pytest.raises(BadInput, match="'41x' is not a code of three digits"):
        spent_codes(["417", "41x"])
