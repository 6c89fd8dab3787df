"""Ticks: both ends, evenly apart, no more than there is room for."""

from hypothesis import given
from hypothesis import strategies as st

from wetleaf.findings.drawings.scales import ticks


@given(
    low=st.integers(-20, 20),
    span=st.integers(1, 200),
    most=st.integers(3, 12),
)
def test_ticks_begin_and_end_with_the_scale_and_are_not_too_many(low: int, span: int, most: int) -> None:
    found = ticks(low, low + span, most=most)

    assert found[0] == low
    assert found[-1] == low + span
    assert len(found) <= most
    assert list(found) == sorted(set(found))


def test_a_scale_without_a_span_has_one_tick() -> None:
    assert ticks(3, 3) == (3.0,)
