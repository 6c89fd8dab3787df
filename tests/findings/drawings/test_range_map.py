"""The range map: one unit for both axes, ellipses where they are known, words beside each other."""

import dataclasses
import math
import re
from itertools import combinations

import pytest

from tests.findings.drawings.sample_book import a_range_map
from wetleaf.findings.book import EmptiestRegion
from wetleaf.findings.drawings.labels import Box, placed
from wetleaf.findings.drawings.profile_dots import Medium
from wetleaf.findings.drawings.range_map import range_map

MEDIA: list[Medium] = ["wide", "narrow", "paper"]


def dots_of(svg: str) -> list[tuple[float, float]]:
    """The lots' dots, without those of the key."""
    found = re.findall(r'<circle class="dot[^"]*" cx="([-\d.]+)" cy="([-\d.]+)"', svg)
    return [(float(x), float(y)) for x, y in found][: len(a_range_map().spots)]


@pytest.mark.parametrize("medium", MEDIA)
def test_it_says_what_it_shows(medium: Medium) -> None:
    svg = range_map(a_range_map(), medium=medium, key="k")

    assert '<title id="k-t">' in svg
    assert "To the right more roast, less flower; upwards more body." in svg
    assert "The gap lies between" in svg
    assert "style=" not in svg


@pytest.mark.parametrize("medium", MEDIA)
def test_both_axes_have_one_unit(medium: Medium) -> None:
    shown = a_range_map()
    places = dots_of(range_map(shown, medium=medium, key="k"))

    across = (places[2][0] - places[0][0]) / (shown.spots[2].x - shown.spots[0].x)
    up = -(places[3][1] - places[2][1]) / (shown.spots[3].y - shown.spots[2].y)

    assert across == pytest.approx(up, rel=0.01)


def test_what_was_kept_is_in_bold_and_what_has_no_line_is_grey() -> None:
    svg = range_map(a_range_map(), medium="wide", key="k")

    assert re.search(r'class="halo strong"[^>]*>DD-25<', svg)
    assert re.search(r'class="halo grey"[^>]*>MJ-14<', svg)
    assert svg.count('class="ell kept"') == 2  # the lot, and its place in the key
    assert svg.count('class="ell grey"') == 2


def test_the_emptiest_region_is_hatched_and_named() -> None:
    with_one = range_map(a_range_map(), medium="wide", key="k")
    without = range_map(a_range_map(gap=False), medium="wide", key="k")

    assert "nobody here" in with_one
    assert "hatched-wide" in with_one
    assert "hatched-wide" not in without


def test_without_ellipses_there_are_dots_alone_and_a_lower_picture() -> None:
    with_them = range_map(a_range_map(), medium="wide", key="k")
    without = range_map(a_range_map(ellipses=False), medium="wide", key="k")

    assert "<ellipse" not in without
    assert len(dots_of(without)) == 6
    heights = [int(re.search(r"viewBox=\"0 0 940 (\d+)", svg).group(1)) for svg in (with_them, without)]  # type: ignore[union-attr]
    assert heights[1] < heights[0]


def test_an_ellipse_wider_than_the_map_does_not_shrink_the_lots_into_a_point() -> None:
    shown = a_range_map()
    spots = tuple(dataclasses.replace(spot, half_long=60.0, half_short=40.0) for spot in shown.spots)

    places = dots_of(range_map(dataclasses.replace(shown, spots=spots), medium="wide", key="k"))

    assert max(x for x, _ in places) - min(x for x, _ in places) > 200


def test_lots_on_one_spot_are_drawn_all_the_same() -> None:
    shown = a_range_map()
    spots = tuple(dataclasses.replace(spot, x=0.0, y=0.0) for spot in shown.spots)
    gap = EmptiestRegion(0, 0, 0, "nobody here")

    svg = range_map(dataclasses.replace(shown, spots=spots, gap=gap), medium="narrow", key="k")

    assert "nan" not in svg
    assert "inf" not in svg


def test_a_name_with_a_tag_in_it_is_escaped() -> None:
    shown = a_range_map()
    spots = (dataclasses.replace(shown.spots[0], label="<b>", name="a & b"), *shown.spots[1:])

    svg = range_map(dataclasses.replace(shown, spots=spots), medium="wide", key="k")

    assert "&lt;b&gt;" in svg
    assert "a &amp; b" in svg


def test_labels_do_not_lie_on_each_other_where_there_is_room() -> None:
    frame, dots = Box(0, 0, 400, 400), [Box(x, y, x + 8, y + 8) for x, y in ((50, 50), (60, 52), (300, 200))]
    taken = list(dots)
    for dot in dots:
        found = placed(dot, (70, 15), taken, frame)
        assert found is not None
        taken.append(found)

    labels = taken[len(dots) :]
    assert all(one.overlap(other) == 0 for one, other in combinations(labels, 2))
    assert all(label.inside(frame) for label in labels)


def test_a_label_without_room_is_placed_only_at_any_price() -> None:
    dot, frame = Box(20, 20, 28, 28), Box(0, 0, 48, 48)
    everywhere = [Box(0, 0, 48, 48)]

    assert placed(dot, (10, 10), everywhere, frame) is None
    assert placed(dot, (10, 10), everywhere, frame, at_any_price=True) is not None
    assert placed(dot, (math.inf, 10), [], frame, at_any_price=True) is None
