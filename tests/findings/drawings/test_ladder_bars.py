"""The ladder's bars grow outward from the rails, and its twin says the same."""

import re

import pytest

from tests.findings.drawings.sample_book import an_estimate, one_ladder, years_ladder
from wetleaf.findings.drawings.ladder_bars import has_bars, ladder_bar, rungs_with_something, twin_rows


def rect_of(svg: str) -> dict[str, float]:
    found = re.search(r'<rect class="[^"]*" x="([\d.]+)" y="2" width="([\d.]+)"', svg)
    assert found
    return {"x": float(found[1]), "width": float(found[2])}


def test_the_left_bar_ends_at_the_rail_and_the_right_one_begins_there() -> None:
    left = rect_of(ladder_bar(an_estimate(3.5, 3, 4), side="left"))
    right = rect_of(ladder_bar(an_estimate(3.5, 3, 4), side="right"))

    assert left == {"x": 50.0, "width": 50.0}
    assert right == {"x": 0.0, "width": 50.0}


def test_last_year_is_an_open_bar() -> None:
    assert 'class="bar was"' in ladder_bar(an_estimate(3.5, 3, 4), side="left", was=True)


@pytest.mark.parametrize("value", [-3.0, 0.0, 7.0, 99.0])
def test_a_bar_never_leaves_its_hundred_units(value: float) -> None:
    bar = rect_of(ladder_bar(an_estimate(value, value - 1, value + 1), side="left"))

    assert 0 <= bar["x"] <= 100
    assert bar["x"] + bar["width"] == pytest.approx(100)


def test_the_twin_of_two_years_says_words_bars_and_answers() -> None:
    rows = {row[0]: row[1:] for row in twin_rows(years_ladder())}

    assert rows["Wet leaf"] == (
        "orchid 4",
        "roasted chestnut 4, no smoke",
        "charred rice 2",
        "roast: 3.9 (3.5 to 4.3) | 5.1 (4.7 to 5.5), they differ; "
        "flower: 2.7 (2.2 to 3.2) | 1.6 (1.1 to 2.1), can’t tell yet",
    )


def test_a_stage_of_which_nothing_is_known_is_left_out() -> None:
    ladder = years_ladder()
    assert any(rung.name == "Mouthfeel" for rung in ladder.rungs)

    names = [rung.name for rung in rungs_with_something(ladder)]

    assert "Mouthfeel" not in names
    assert "Dry leaf" in names


def test_a_ladder_of_words_alone_has_no_bars() -> None:
    assert not has_bars(one_ladder())
    assert has_bars(years_ladder())
