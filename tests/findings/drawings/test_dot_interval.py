"""The dot with its interval: on its own scale, told in words, safe at the ends."""

import xml.etree.ElementTree as ET

from hypothesis import given
from hypothesis import strategies as st

from tests.findings.drawings.sample_book import an_estimate
from wetleaf.findings.book import Estimate
from wetleaf.findings.drawings.dot_interval import WIDTH, dot_interval


def marks_of(svg: str, tag: str) -> list[dict[str, str]]:
    """The attributes of every element of a kind."""
    return [mark.attrib for mark in ET.fromstring(svg).iter(tag)]


def test_the_picture_says_its_number_its_interval_and_its_scale() -> None:
    drawn = ET.fromstring(dot_interval(an_estimate(5.6, 5.0, 6.1)))

    assert drawn.attrib["role"] == "img"
    assert drawn.findtext("title") == "5.6, interval 5.0 to 6.1, on 0 to 7"


def test_the_dot_stands_in_the_middle_of_its_scale_whatever_the_scale() -> None:
    seven = marks_of(dot_interval(Estimate(3.5, 3, 4, 0, 7)), "circle")[0]
    hundred = marks_of(dot_interval(Estimate(50, 40, 60, 0, 100)), "circle")[0]

    assert seven["cx"] == hundred["cx"] == str(WIDTH / 2).removesuffix(".0")


def test_an_estimate_without_an_interval_is_a_dot_alone_and_says_so() -> None:
    svg = dot_interval(Estimate(4, float("nan"), float("nan"), 0, 10))

    assert not [line for line in marks_of(svg, "line") if line["class"] == "iv"]
    assert "no interval" in svg


@given(
    value=st.floats(-50, 50),
    below=st.floats(0, 50),
    above=st.floats(0, 50),
    high=st.floats(1, 100),
)
def test_nothing_is_drawn_outside_the_picture(value: float, below: float, above: float, high: float) -> None:
    svg = dot_interval(Estimate(value, value - below, value + above, 0, high))

    places = [float(mark[end]) for mark in marks_of(svg, "line") for end in ("x1", "x2")]
    assert all(0 <= place <= WIDTH for place in places)


@given(st.floats(0, 7), st.floats(0, 7))
def test_a_higher_value_is_never_drawn_further_left(one: float, other: float) -> None:
    low, high = sorted((one, other))

    lower, higher = (marks_of(dot_interval(an_estimate(v, v, v)), "circle")[0]["cx"] for v in (low, high))

    assert float(lower) <= float(higher)
