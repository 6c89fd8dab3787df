"""The suggested next step: which rule speaks first, and with which reason."""

import dataclasses
import datetime as dt
from typing import Any

import pytest

from wetleaf.findings.assembling.steps import Standing, next_step
from wetleaf.findings.book import Settling

TODAY = dt.date(2026, 5, 20)
BESIDE = Settling("Better than LU-11?", "beside LU-11, blind, two pots each", brews=2, cups=8)


def a_standing(**changes: Any) -> Standing:
    """A lot that is tasted, on its shortlist, with complete papers and nothing open."""
    standing = Standing(
        made_on=TODAY,
        verdict="maybe",
        tasted=True,
        on_shortlist=True,
        ahead=1,
        chance_best=0.6,
        last_year=None,
        target=None,
        moved="",
        doubts=0,
        gaps=(),
        lighter_gaps=(),
        brews_left=8,
        offer_until=dt.date(2026, 6, 12),
        open=(),
        too_close=False,
    )
    return dataclasses.replace(standing, **changes)


def test_nothing_stands_against_a_lot_that_is_tasted_and_complete() -> None:
    step = next_step(a_standing(last_year="yes"))

    assert step.key == "nothing_against"
    assert step.text == "nothing here stands against buying"
    assert step.why == (
        "it is tasted, its papers are complete, it is last year's tea "
        "and nothing of its kind is surely better"
    )


def test_a_refused_lot_is_left_whatever_else_is_open() -> None:
    step = next_step(a_standing(verdict="no", doubts=2, open=(BESIDE,)))

    assert (step.key, step.text) == ("leave", "leave")
    assert step.why == "the last word on it was no"


def test_an_untasted_lot_is_to_be_tasted_before_its_offer_ends() -> None:
    step = next_step(a_standing(tasted=False, on_shortlist=None, verdict=""))

    assert step.key == "taste_again"
    assert step.text == "taste it: one brew, before 12 June"


def test_an_untasted_lot_without_leaf_is_to_be_asked_for() -> None:
    step = next_step(a_standing(tasted=False, on_shortlist=None, verdict="", brews_left=0))

    assert step.text == "ask the producer for more leaf"


def test_a_lot_that_others_beat_is_left_unless_somebody_said_keep() -> None:
    beaten = a_standing(on_shortlist=False, ahead=2, chance_best=0.02)

    assert next_step(beaten).key == "leave"
    assert "two other lots of its kind are ahead" in next_step(beaten).why
    assert next_step(dataclasses.replace(beaten, verdict="keep")).key == "nothing_against"


def test_a_lot_whose_offer_is_over_is_to_be_asked_about() -> None:
    step = next_step(a_standing(offer_until=dt.date(2026, 5, 5), open=(BESIDE,)))

    assert step.text == "ask the producer: whether it can still be had"
    assert step.why == "the offer ended on 5 May"


def test_an_offer_that_ends_today_is_not_over() -> None:
    assert next_step(a_standing(offer_until=TODAY)).key == "nothing_against"


def test_doubts_in_the_papers_come_before_another_cup() -> None:
    step = next_step(a_standing(doubts=2, lighter_gaps=("residue paper",), open=(BESIDE,)))

    assert step.text == "ask the producer: three questions"
    assert step.why == "two things in its papers do not add up"


@pytest.mark.parametrize(("verdict", "key"), [("keep", "ask"), ("maybe", "leave")])
def test_a_tea_that_moved_is_left_or_asked_about_if_it_is_kept(verdict: str, key: str) -> None:
    step = next_step(a_standing(verdict=verdict, last_year="no", moved="roast and flower"))

    assert step.key == key
    assert step.why == "it is not last year's tea: roast and flower"


def test_off_its_target_is_said_as_such_and_is_no_reason_to_leave_it() -> None:
    step = next_step(a_standing(target="no"))

    assert step.key == "ask"
    assert step.why == "it is not what the line should be, as high as these tasters score"
    assert next_step(a_standing(target="no", last_year="no")).key == "leave"


def test_what_cups_can_settle_is_tasted_again_with_how_brews_and_date() -> None:
    step = next_step(a_standing(open=(BESIDE,), gaps=("harvest date",)))

    assert step.text == "taste again: beside LU-11, blind, two pots each, before 12 June"
    assert step.why == "one thing is open: Better than LU-11?"


def test_no_date_is_named_where_none_is_known() -> None:
    assert next_step(a_standing(open=(BESIDE,), offer_until=None)).text.endswith("two pots each")


def test_too_little_leaf_for_it_means_asking_for_some() -> None:
    step = next_step(a_standing(open=(BESIDE,), brews_left=1))

    assert step.text == "ask the producer for more leaf"


def test_a_heavy_gap_is_asked_and_a_light_one_only_named() -> None:
    heavy = next_step(a_standing(gaps=("harvest date",)))
    light = next_step(a_standing(lighter_gaps=("residue paper",)))

    assert (heavy.text, heavy.why) == ("ask the producer: one question", "still missing: harvest date")
    assert light.key == "nothing_against"
    assert light.why.endswith("still to ask before an order: residue paper")


def test_lots_too_close_for_cups_are_to_be_chosen_by_price_and_kilos() -> None:
    assert "choose by price and kilos" in next_step(a_standing(too_close=True)).why


@pytest.mark.parametrize("verdict", ["", "keep", "maybe", "no"])
@pytest.mark.parametrize("tasted", [True, False])
@pytest.mark.parametrize("shortlisted", [True, False, None])
def test_it_never_says_buy(verdict: str, tasted: bool, shortlisted: bool | None) -> None:
    step = next_step(a_standing(verdict=verdict, tasted=tasted, on_shortlist=shortlisted))

    assert "buy" not in step.text.replace("nothing here stands against buying", "")


@pytest.mark.parametrize("verdict", ["maybe", ""])
@pytest.mark.parametrize("on_shortlist", [True, None])
def test_a_lot_liked_little_is_left_ranked_or_not(verdict: str, on_shortlist: bool | None) -> None:
    disliked = a_standing(
        verdict=verdict, on_shortlist=on_shortlist, liked_share=0.35, liked_said="3.5 of 10"
    )

    step = next_step(disliked)

    assert step.key == "leave"
    assert step.why.startswith("it is liked little")
    assert ("not ranked" in step.why) == (on_shortlist is None)


def test_a_keep_holds_against_a_low_liking_and_the_middle_is_not_low() -> None:
    kept = a_standing(verdict="keep", liked_share=0.35, liked_said="3.5 of 10")

    assert next_step(kept).key == "nothing_against"
    assert next_step(a_standing(liked_share=0.4, liked_said="4.0 of 10")).key == "nothing_against"


def test_an_unknown_class_is_asked_for_before_anything_else_about_the_tea() -> None:
    unknown = a_standing(on_shortlist=None, kind_is_known=False, doubts=1, gaps=("cultivar",), open=(BESIDE,))

    step = next_step(unknown)

    assert step.text == "ask the producer: which class of tea it is, and two further questions"


def test_a_lot_that_was_not_ranked_is_said_to_be_so_where_nothing_stands_against_it() -> None:
    step = next_step(a_standing(on_shortlist=None))

    assert step.key == "nothing_against"
    assert "ranked with no other" in step.why
