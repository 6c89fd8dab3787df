"""What was said of a lot each time it was tasted, and how it came from others: shown where it is stored."""

import datetime as dt
from decimal import Decimal

import pytest

from tests.room import a_lot, a_remark, a_sample, a_season, a_taster, a_verdict
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.book import LotPage
from wetleaf.lots.makings import Part, make_child
from wetleaf.lots.models import Season
from wetleaf.sheets.models import Retaste, Verdict

pytestmark = pytest.mark.django_db
MADE_ON = dt.date(2026, 6, 4)


def page_of(season: Season, code: str) -> LotPage:
    book = assemble_season_book(season, shown_private=True, made_on=MADE_ON)
    return next(lot for lot in book.lots if lot.code == code)


def test_a_changed_mind_is_shown_with_what_was_said_first() -> None:
    season, wren = a_season(), a_taster("Wren", is_buyer=True)
    cup = a_sample(a_lot(season, "A"))
    first = a_verdict(cup, wren, "maybe", 4)
    Verdict.objects.create(sample=cup, taster=wren, word="keep", liking=6, scale_high=7, replaces=first)

    again = page_of(season, "A").again

    assert [(one.when, one.said, one.replaced) for one in again] == [
        ("first pass", "maybe, 4 of 10", True),
        ("again", "keep, 6 of 7", False),
    ]


def test_a_lot_judged_once_has_no_such_part() -> None:
    season, wren = a_season(), a_taster("Wren", is_buyer=True)
    cup = a_sample(a_lot(season, "A"))
    a_verdict(cup, wren, "keep", 6)
    a_remark(cup, "malt", taster=wren)

    assert page_of(season, "A").again == ()


def test_tastings_after_a_roast_are_told_by_the_days_since_it() -> None:
    season = a_season()
    lot = a_lot(season, "A")
    a_sample(lot)
    fire = dt.date(2026, 5, 1)
    Retaste.objects.create(lot=lot, roasted_on=fire, tasted_on=dt.date(2026, 5, 10), ready="not_ready")
    Retaste.objects.create(
        lot=lot, roasted_on=fire, tasted_on=dt.date(2026, 6, 1), ready="ready", roast_aroma=2.5, remark="calm"
    )

    again = page_of(season, "A").again

    assert [(one.when, one.said, one.more) for one in again] == [
        ("10 May, nine days after its roast", "not ready", ""),
        ("1 June, 31 days after its roast", "ready", "roast in the aroma 2.5, “calm”"),
    ]


def test_a_making_is_a_fact_of_parent_and_child_with_its_loss() -> None:
    season = a_season()
    lot = a_lot(season, "A")
    a_sample(lot)
    make_child(
        [Part(lot, Decimal(500))], "re-roast", "A-2", grams_out=Decimal(450), made_on=dt.date(2026, 5, 3)
    )

    book = assemble_season_book(season, shown_private=True, made_on=MADE_ON)

    rows = {lot.code: {row.what: row for row in lot.facts} for lot in book.lots}
    assert rows["A"]["Made into"].stated == "A-2, re-roast on 3 May 2026; 500 g in, 450 g out; 10 % lost"
    assert rows["A-2"]["Made from"].stated == "A, re-roast on 3 May 2026; 500 g in, 450 g out; 10 % lost"


def test_a_loss_that_nobody_noted_is_said() -> None:
    season = a_season()
    lot = a_lot(season, "A")
    make_child([Part(lot)], "split", "A-2")

    row = next(row for row in page_of(season, "A-2").facts if row.what == "Made from")

    assert row.stated == "A, split"
    assert row.doubt == "What was lost is not noted."
