"""What stands beside the verdict on two years: a kept sample's age, how it was kept, how its kind keeps."""

import datetime as dt

import pytest

from tests.findings.two_years import Years, pour
from tests.room import a_flight
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.book import Answer
from wetleaf.lots.actions import note_fact

pytestmark = pytest.mark.django_db
MADE_ON = dt.date(2026, 6, 4)


def beside(years: Years) -> Answer:
    """The answer of this year's lot after it was poured beside the kept one."""
    same = {"roast": 4.0, "body": 4.0}
    pour(a_flight(years.now), years.tasters, {years.kept: same, years.a_cup("NEW"): same}, 3, noise=0.2)
    book = assemble_season_book(years.now, shown_private=True, made_on=MADE_ON)
    return next(lot for lot in book.lots if lot.code == "NEW").last_year


def test_its_age_on_the_day_it_was_poured_and_how_it_was_kept_are_said() -> None:
    years = Years(tolerance=1.5)
    note_fact(years.old, "harvest", "12 Nov 2024")
    note_fact(years.old, "kept", "30 g sealed, in the cupboard")

    answer = beside(years)

    assert "was about 18 months from picking when poured on 12 May" in answer.beside[0]
    assert "kept 30 g sealed, in the cupboard" in answer.beside[0]


def test_without_any_date_its_age_is_said_to_be_not_known() -> None:
    answer = beside(Years(tolerance=1.5))

    assert "of an age not known" in answer.beside[0]
    assert "how it was kept is not said" in answer.beside[0]


def test_the_day_it_came_is_counted_too() -> None:
    years = Years(tolerance=1.5)
    years.kept.received_on = dt.date(2025, 5, 12)
    years.kept.save(update_fields=["received_on"])

    answer = beside(years)

    assert "about 12 months from its arrival" in answer.beside[0]


@pytest.mark.parametrize(
    ("roast", "says"),
    [
        (
            "none",
            "Light or unroasted oolong fades within the year (common practice), so it ties the scales only",
        ),
        ("medium", "Medium-roasted oolong turns into another tea"),
        ("heavy", "heavily roasted oolong loses little in a year (common practice)"),
    ],
)
def test_how_its_kind_keeps_is_said_and_what_follows(roast: str, says: str) -> None:
    years = Years(tolerance=1.5)
    note_fact(years.old, "roast", roast)

    answer = beside(years)

    assert says in answer.beside[1]
    assert ("ties the scales only" in answer.beside[1]) is (roast != "heavy")


def test_the_sentence_of_a_fading_kind_speaks_of_the_sample_as_it_is_now() -> None:
    years = Years(tolerance=1.5)
    same = {"roast": 4.0, "body": 4.0}
    pour(a_flight(years.now), years.tasters, {years.kept: same, years.a_cup("NEW"): same}, 3, noise=0.2)

    book = assemble_season_book(years.now, shown_private=True, made_on=MADE_ON)

    lot = next(lot for lot in book.lots if lot.code == "NEW")
    assert lot.last_year.answer == "yes"
    assert "as its kept sample is now, within the tolerance declared" in lot.say


def test_a_lot_without_last_year_has_nothing_beside_its_answer() -> None:
    years = Years()
    years.old.delete()
    pour(a_flight(years.now), years.tasters, {years.a_cup("NEW"): {"roast": 4.0}}, 2, noise=0.2)

    book = assemble_season_book(years.now, shown_private=True, made_on=MADE_ON)

    assert book.lots[0].last_year.not_asked == "no last year"
    assert book.lots[0].last_year.beside == ()
