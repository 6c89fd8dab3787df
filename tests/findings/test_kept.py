"""What stands beside the verdict on two years: a kept sample's age, how it was kept, how its kind keeps."""

import datetime as dt

import pytest

from tests.findings.two_years import Years, pour
from tests.room import a_flight
from wetleaf.findings.actions import record_findings
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.book import Answer, LotPage, SeasonBook
from wetleaf.findings.models import Finding
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
    years = Years(tolerance=1.5, kept="", picked="12 Nov 2024")
    note_fact(years.old, "kept", "30 g sealed, in the cupboard")

    answer = beside(years)

    assert "was about 18 months from picking when poured on 12 May" in answer.beside[0]
    assert "kept 30 g sealed, in the cupboard" in answer.beside[0]


def test_without_any_date_its_age_is_said_to_be_not_known() -> None:
    answer = beside(Years(tolerance=1.5, kept="", picked=""))

    assert answer.answer == "can't tell yet"
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
            "Light or unroasted oolong not known to be kept cold fades within the year (common practice), "
            "so it ties the scales only",
        ),
        ("medium", "Medium-roasted oolong not known to be kept cold turns into another tea"),
        ("heavy", "sealed, heavily roasted oolong loses little in 24 months"),
    ],
)
def test_how_its_kind_keeps_is_said_and_what_follows(roast: str, says: str) -> None:
    years = Years(tolerance=1.5, kept="sealed, in the cupboard")
    note_fact(years.old, "roast", roast)

    answer = beside(years)

    assert says in answer.beside[1]
    assert ("ties the scales only" in answer.beside[1]) is (roast != "heavy")


def the_book(years: Years, *, roast: float = 4.0) -> SeasonBook:
    """The book after this year's lot was poured beside the kept one, of which the roast was 4."""
    cups = {years.kept: {"roast": 4.0, "body": 4.0}, years.a_cup("NEW"): {"roast": roast, "body": 4.0}}
    pour(a_flight(years.now), years.tasters, cups, 3, noise=0.2)
    return assemble_season_book(years.now, shown_private=True, made_on=MADE_ON)


def the_lot(book: SeasonBook) -> LotPage:
    return next(lot for lot in book.lots if lot.code == "NEW")


@pytest.mark.parametrize(
    ("kept", "picked", "because"),
    [
        ("sealed, in the cupboard", "20 Apr 2025", "not known to be kept cold fades within the year"),
        ("", "20 Apr 2025", "not known to be kept cold fades within the year"),
        ("sealed, in the freezer", "20 Apr 2024", "kept cold, lasts 18 months"),
        ("sealed, in the freezer", "", "its age is not known"),
        ("unsealed, in the freezer", "20 Apr 2025", "kept unsealed does not last"),
    ],
)
def test_a_sample_that_may_have_faded_answers_nothing_about_last_year(
    kept: str, picked: str, because: str
) -> None:
    book = the_book(Years(tolerance=1.5, kept=kept, picked=picked))

    lot = the_lot(book)
    assert lot.last_year.answer == "can't tell yet"
    assert because in " ".join(lot.last_year.beside)
    everywhere = " ".join([lot.say, lot.step.why, book.say, *(group.say for group in book.groups)])
    assert "is last year's tea" not in everywhere
    assert "has faded for all we know, so it ties the scales of two sittings and no more" in lot.say


def test_what_differs_from_a_faded_sample_is_shown_as_from_the_sample_as_it_is_now() -> None:
    lot = the_lot(the_book(Years(tolerance=1, kept="in the cupboard"), roast=7.0))

    assert lot.last_year.answer == "can't tell yet"
    assert "beside that sample as it is now: clearly more roast" in lot.last_year.says
    assert lot.profile is not None
    assert lot.profile.title == "Against last year's kept sample, as it is now"
    (roast,) = [row for row in lot.profile.rows if row.attribute == "roast"]
    assert (roast.answer.question, roast.answer.answer) == (
        "Does it differ from that sample as it is now?",
        "yes",
    )
    assert lot.step.key != "leave"


def test_what_would_settle_it_is_to_keep_the_next_one_cold_and_no_cup() -> None:
    lot = the_lot(the_book(Years(tolerance=1.5, kept="in the cupboard")))

    (way,) = [way for way in lot.settle if way.question == "Is it last year's tea?"]
    assert "next year keep one sealed and cold" in way.way
    assert not way.brews


def test_a_faded_sample_that_waits_to_be_poured_is_not_asked_for() -> None:
    years = Years(tolerance=1.5, kept="in the cupboard")
    pour(a_flight(years.now), years.tasters, {years.a_cup("NEW"): {"roast": 4.0}}, 2, noise=0.2)

    lot = the_lot(assemble_season_book(years.now, shown_private=True, made_on=MADE_ON))

    (way,) = [way for way in lot.settle if way.question == "Is it last year's tea?"]
    assert "no cup of that sample can tell" in way.way


def test_a_sample_kept_so_that_it_lasts_is_answered_alike_everywhere() -> None:
    book = the_book(Years(tolerance=1.5))

    lot = the_lot(book)
    assert lot.last_year.answer == "yes"
    assert "For these tasters it is last year's" in lot.say
    assert "NEW is last year's tea" in book.groups[0].say
    assert "kept cold, light or unroasted oolong loses little in 18 months" in " ".join(lot.last_year.beside)


def test_another_answer_is_recorded_when_it_turns_out_how_the_sample_was_kept() -> None:
    years = Years(tolerance=1.5, kept="in the cupboard")
    the_book(years)
    record_findings(years.now)
    note_fact(years.old, "kept", "sealed, in the freezer")

    record_findings(years.now)

    found = Finding.objects.filter(question="Is it last year's tea?", subject="NEW").order_by("pk")
    assert [one.answer for one in found] == ["can't tell", "yes"]


def test_a_lot_without_last_year_has_nothing_beside_its_answer() -> None:
    years = Years()
    years.old.delete()
    pour(a_flight(years.now), years.tasters, {years.a_cup("NEW"): {"roast": 4.0}}, 2, noise=0.2)

    book = assemble_season_book(years.now, shown_private=True, made_on=MADE_ON)

    assert book.lots[0].last_year.not_asked == "no last year"
    assert book.lots[0].last_year.beside == ()
