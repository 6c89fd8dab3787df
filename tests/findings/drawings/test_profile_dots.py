"""The profile: one function for wide page, phone and paper, marks that need no colour, its own scale."""

import dataclasses
import re
import xml.etree.ElementTree as ET

import pytest

from tests.findings.drawings.sample_book import a_profile
from wetleaf.findings.drawings.profile_dots import Medium, profile_dots, text_width

WIDTHS = {"wide": 940, "narrow": 358, "paper": 860}


def texts_of(svg: str) -> list[str]:
    return [text.text or "" for text in ET.fromstring(svg).iter("text")]


@pytest.mark.parametrize("medium", ["wide", "narrow", "paper"])
@pytest.mark.parametrize("lots", [1, 2, 4, 6, 7, 12])
def test_every_lot_has_a_dot_in_every_row_it_was_scored_in(lots: int, medium: Medium) -> None:
    svg = profile_dots(a_profile(lots), medium=medium, key="k")

    intervals = len(re.findall(r'class="iv( light)?"', svg))
    assert intervals == 4 * lots - (1 if lots > 1 else 0)  # "dryness" of the second lot was not scored


def test_a_lot_that_was_not_scored_is_said_and_not_drawn() -> None:
    assert "Lot 2: not scored" in texts_of(profile_dots(a_profile(2), medium="wide", key="k"))


@pytest.mark.parametrize(("scale_high", "ticks"), [(7, [0, 1, 2, 3, 4, 5, 6, 7]), (10, list(range(11)))])
def test_the_ticks_are_those_of_the_flights_own_scale(scale_high: float, ticks: list[int]) -> None:
    texts = texts_of(profile_dots(a_profile(2, scale_high=scale_high), medium="wide", key="k"))

    assert texts[-len(ticks) :] == [str(tick) for tick in ticks]


@pytest.mark.parametrize("medium", ["wide", "narrow", "paper"])
def test_nothing_runs_out_of_the_picture(medium: Medium) -> None:
    svg = profile_dots(a_profile(12), medium=medium, key="k")

    for text in ET.fromstring(svg).iter("text"):
        x, width = float(text.attrib["x"]), text_width(text.text or "")
        start = x - width if text.attrib.get("text-anchor") == "end" else x
        if text.attrib.get("text-anchor") == "middle":
            start = x - width / 2
        assert start >= -8
        assert start + width <= WIDTHS[medium] + 8, text.text


def test_lots_are_told_apart_by_shape_or_letter_and_not_by_colour() -> None:
    few = profile_dots(a_profile(6, tolerance=False), medium="wide", key="k")
    many = profile_dots(a_profile(12, tolerance=False), medium="wide", key="k")

    legend = few[: few.index('<line class="hair"')]
    marks = re.findall(r"<(circle|rect|path) class=\"(dot(?: open| now)?)\"", legend)
    assert len(marks) == len({(shape, "open" in look) for shape, look in marks}) == 6
    assert texts_of(many).count("L") == 1 + 4  # the twelfth lot in the key and in four rows


def test_the_picture_is_told_in_words_with_ids_of_its_own() -> None:
    drawn = ET.fromstring(profile_dots(a_profile(2), medium="wide", key="lot-lu-07-p-w"))

    assert drawn.attrib["aria-labelledby"] == "lot-lu-07-p-w-t lot-lu-07-p-w-d"
    assert "roast: Lot 1 4.5 (4.0 to 5.0)" in (drawn.findtext("desc") or "")


def test_a_name_cannot_break_out_of_the_picture() -> None:
    import dataclasses

    profile = a_profile(1)
    row = dataclasses.replace(profile.rows[0], attribute='<script>"x"&')

    svg = profile_dots(dataclasses.replace(profile, rows=(row,)), medium="wide", key="k")

    assert "<script>" not in svg
    assert '<script>"x"&' in texts_of(svg)


def test_beside_a_tolerance_the_key_says_which_interval_decides_and_what_is_excluded() -> None:
    profile = a_profile()
    rows = tuple(dataclasses.replace(row, excluded="1.1") for row in profile.rows)
    decided = dataclasses.replace(profile, rows=rows, decides="90 % of the difference")

    for medium in ("wide", "narrow", "paper"):
        svg = profile_dots(decided, medium=medium, key="k")  # type: ignore[arg-type]
        assert ">90 % of the difference<" in svg
        assert svg.count("1.1 or more") == len(rows)
        assert "change excluded" in svg
    assert "or more" not in profile_dots(profile, medium="wide", key="k")
