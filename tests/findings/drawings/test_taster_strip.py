"""A taster's strips: a mark a cup, and how far from the table."""

import pytest

from tests.findings.drawings.sample_book import an_estimate
from wetleaf.findings.drawings.taster_strip import cups_strip, level_strip


@pytest.mark.parametrize(("cups", "possible"), [(4, 18), (18, 18), (0, 3), (1, 1)])
def test_every_cup_has_a_mark_solid_when_it_was_tasted(cups: int, possible: int) -> None:
    strip = cups_strip(cups, possible)

    assert strip.count('class="ready"') == cups
    assert strip.count('class="notready"') == possible - cups
    assert f"{cups} of {possible} cups" in strip


def test_many_cups_are_one_bar_filled_as_far_as_they_go() -> None:
    strip = cups_strip(60, 240)

    assert '<rect class="ready" x="1" y="3" width="31.5"' in strip


def test_the_upright_is_the_table_whatever_the_scale() -> None:
    assert 'class="axis" x1="60" x2="60"' in level_strip(an_estimate(0.5, 0, 1, scale_low=-2, scale_high=2))
    assert 'class="axis" x1="5" x2="5"' in level_strip(an_estimate(0.5, 0, 1, scale_low=0, scale_high=2))
