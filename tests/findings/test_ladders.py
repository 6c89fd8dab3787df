"""The ladder: words where they were said to belong, bars at their stages, one tea or two years."""

import datetime as dt

import pytest

from tests.findings.two_years import Years, pour
from tests.room import a_flight, a_line, a_lot, a_remark, a_sample, a_score, a_season, the_cast
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.book import Ladder, LotPage, Rung
from wetleaf.lots.models import Season

pytestmark = pytest.mark.django_db


def lot_of(season: Season, code: str) -> LotPage:
    book = assemble_season_book(season, shown_private=True, made_on=dt.date(2026, 5, 20))
    return next(lot for lot in book.lots if lot.code == code)


def ladder_of(season: Season, code: str) -> Ladder:
    ladder = lot_of(season, code).ladder
    assert ladder is not None
    return ladder


def rung(ladder: Ladder, stage: str) -> Rung:
    return next(rung for rung in ladder.rungs if rung.stage == stage)


def test_words_stand_at_the_stage_that_was_named_and_the_rest_as_written() -> None:
    season, cast = a_season(), the_cast()
    cup = a_sample(a_lot(season, "LU-01"))
    a_remark(cup, "wet leaf: peas, butter. malt", taster=cast.owner)
    a_remark(cup, "honey", taster=cast.owner, stage="finish")

    ladder = ladder_of(season, "LU-01")

    assert ladder.kind == "one"
    assert [(r.name, [word.text for word in r.right]) for r in ladder.rungs] == [
        ("wet leaf", ["peas", "butter"]),
        ("finish", ["honey"]),
        ("as written", ["malt"]),
    ]


def test_strength_and_number_of_people_size_a_word() -> None:
    season, cast = a_season(), the_cast()
    cup = a_sample(a_lot(season, "LU-01"))
    a_remark(cup, "taste: very strong roast, a hint of peas", taster=cast.owner)
    a_remark(cup, "taste: Roast, no smoke", taster=cast.guest)

    words = {word.text.casefold(): word for word in rung(ladder_of(season, "LU-01"), "taste").right}

    assert (words["roast"].strength, words["roast"].said_by) == (5, 2)
    assert words["peas"].strength == 1
    assert words["smoke"].absent


def test_a_whole_sentence_stays_a_remark_and_is_no_word() -> None:
    season, cast = a_season(), the_cast()
    text = "could not for the life of me say which of the two"
    a_remark(a_sample(a_lot(season, "LU-01")), text, taster=cast.owner)

    lot = lot_of(season, "LU-01")

    assert lot.this_year_words == ()
    assert [remark.text for remark in lot.remarks] == [text]


def test_two_years_share_what_was_said_of_both_and_keep_the_rest_apart() -> None:
    years = Years()
    a_remark(years.kept, "wet leaf: orchid, chestnut", taster=years.cast.owner)
    a_remark(years.a_cup("NEW"), "wet leaf: the Orchid, charred rice", taster=years.cast.guest)

    ladder = ladder_of(years.now, "NEW")
    wet_leaf = rung(ladder, "wet_leaf")

    assert (ladder.kind, ladder.left_title, ladder.right_title) == ("years", "2025", "2026")
    assert [word.text for word in wet_leaf.left] == ["chestnut"]
    assert [word.text.casefold() for word in wet_leaf.shared] == ["orchid"]
    assert [word.text for word in wet_leaf.right] == ["charred rice"]


def test_a_word_that_names_no_stage_is_neither_gone_nor_new_where_the_other_year_has_it() -> None:
    years = Years()
    a_remark(years.kept, "a hint of honey; long", taster=years.cast.owner)
    a_remark(years.a_cup("NEW"), "finish: very long. wet leaf: strong honey", taster=years.cast.guest)

    ladder = ladder_of(years.now, "NEW")

    shared = {r.stage: [word.text for word in r.shared] for r in ladder.rungs}
    assert shared == {"wet_leaf": ["honey"], "finish": ["long"]}
    assert not any(r.left or r.right for r in ladder.rungs)


def test_a_word_at_two_named_stages_has_gone_from_the_one_and_is_new_in_the_other() -> None:
    years = Years()
    a_remark(years.kept, "wet leaf: honey", taster=years.cast.owner)
    a_remark(years.a_cup("NEW"), "finish: honey", taster=years.cast.guest)

    ladder = ladder_of(years.now, "NEW")

    assert [word.text for word in rung(ladder, "wet_leaf").left] == ["honey"]
    assert [word.text for word in rung(ladder, "finish").right] == ["honey"]


def test_two_lots_one_taster_scored_once_say_why_they_cannot_be_compared() -> None:
    season, cast, line = a_season(), the_cast(), a_line("Dong Ding")
    flight = a_flight(season)
    for code, strength in (("A", 5.0), ("B", 2.0)):
        cup = a_sample(a_lot(season, code, line=line))
        pour(flight, [cast.owner], {cup: {"roast": strength}}, 1, noise=0.1)

    profile = lot_of(season, "B").profile

    assert profile is not None
    assert profile.labels == ("B", "A")
    assert profile.say.startswith("Beside A, of the same kind.")
    assert "One taster, one cup a lot" in profile.say
    assert profile.about.endswith(
        "tasted one pot of each of two lots; the answers are about these pots and this taster only."
    )
    (row,) = profile.rows
    assert row.answer.answer == "can't tell yet"
    assert "One taster, one cup a lot" in row.answer.says


def test_bars_of_two_years_stand_on_their_own_sides() -> None:
    years = Years(tolerance=1)
    cups = {
        years.kept: {"roast": 2.0, "body": 4.0},
        years.a_cup("NEW"): {"roast": 5.0, "body": 4.0},
        years.a_cup("B"): {"roast": 3.0, "body": 3.0},
    }
    pour(a_flight(years.now), years.tasters, cups, 3, noise=0.3)

    bars = {bar.attribute: bar for bar in rung(ladder_of(years.now, "NEW"), "").bars}

    assert bars["roast"].left is not None
    assert bars["roast"].right is not None
    assert bars["roast"].left.value < 3 < 4 < bars["roast"].right.value
    assert (bars["roast"].differ, bars["body"].differ) == ("yes", "no")


def test_a_lot_whose_last_year_was_never_scored_shows_only_its_own_bars() -> None:
    years = Years()
    pour(a_flight(years.now), years.tasters, {years.a_cup("NEW"): {"roast": 5.0}}, 2, noise=0.3)

    (bar,) = rung(ladder_of(years.now, "NEW"), "").bars

    assert bar.left is None
    assert bar.right is not None


def test_the_profile_says_whether_each_attribute_moved_and_draws_the_tolerance() -> None:
    years = Years(tolerance=1)
    cups = {
        years.kept: {"roast": 2.0, "body": 4.0},
        years.a_cup("NEW"): {"roast": 5.0, "body": 4.0},
        years.a_cup("B"): {"roast": 3.0, "body": 3.0},
    }
    pour(a_flight(years.now), years.tasters, cups, 3, noise=0.3)

    profile = lot_of(years.now, "NEW").profile

    assert profile is not None
    assert profile.labels == ("NEW", "OLD, 2025")
    assert [(row.attribute, row.answer.answer) for row in profile.rows] == [("roast", "yes"), ("body", "no")]
    roast = profile.rows[0]
    assert roast.band_low is not None
    assert roast.band_high is not None
    assert roast.band_high - roast.band_low == pytest.approx(2)
    assert [dot.is_this for dot in roast.dots] == [True, False]


@pytest.mark.parametrize(
    ("written", "stage"),
    [("wet_leaf", "wet_leaf"), ("Wet leaf", "wet_leaf"), ("濕香", "wet_leaf"), ("Liquor", ""), ("", "")],
)
def test_a_stage_as_a_sheet_names_it_is_found_and_a_wide_name_is_none(written: str, stage: str) -> None:
    season, cast = a_season(), the_cast()
    cup, flight = a_sample(a_lot(season, "LU-01")), a_flight(season)
    a_score(flight, cup, cast.owner, "roast", 4, stage=written)
    a_remark(cup, "peas", taster=cast.owner, stage=written)

    (only,) = ladder_of(season, "LU-01").rungs

    assert only.stage == stage
    assert [bar.attribute for bar in only.bars] == ["roast"]
    assert [word.text for word in only.right] == ["peas"]
