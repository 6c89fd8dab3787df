"""The table of facts: as stated, who says so, what is doubtful, what is private."""

import datetime as dt
from decimal import Decimal

import pytest

from tests.room import NOON, a_lot, a_season, an_offer
from wetleaf.findings.assembling.as_shown import shown_elevation, shown_harvest
from wetleaf.findings.assembling.papers import fact_rows
from wetleaf.findings.book import FactRow
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.readings.stated import StatedLot, facts_of, stated_lots
from wetleaf.lots.encoding import as_json
from wetleaf.lots.models import Fact, Lot, Offer
from wetleaf.trade.dates import parse_date

pytestmark = pytest.mark.django_db


def stated(lot: Lot) -> StatedLot:
    return stated_lots(fetch_season(lot.season))[lot.pk]


def rows(lot: Lot, doubts: dict[str, str] | None = None) -> dict[str, FactRow]:
    return {row.what: row for row in fact_rows(stated(lot), doubts or {})}


def test_what_a_buyer_looks_for_first_is_always_there() -> None:
    lot = a_lot(a_season(), producer=None)

    found = rows(lot)

    assert [found[what].stated for what in ("Origin", "Elevation", "Cultivar", "Harvest", "Offer")] == [
        "not said"
    ] * 5
    assert "Maker" not in found


def test_a_doubt_stands_in_its_own_facts_row() -> None:
    found = rows(a_lot(a_season(), elev="2,900 m"), {"elev": "Outside the district."})

    assert (found["Elevation"].stated, found["Elevation"].doubt) == ("2,900 m", "Outside the district.")
    assert found["Elevation"].who_says == "stated by producer"


def test_the_latest_fact_holds_and_the_earlier_one_is_not_forgotten() -> None:
    lot = a_lot(a_season(), elev="650 m")
    Fact.objects.create(
        lot=lot, field="elev", written="750 m", value={"text": "750 m"}, ground="seen on document"
    )

    row = rows(lot)["Elevation"]

    assert (row.stated, row.who_says) == ("750 m", "seen on document")
    assert row.doubt == "Before, it was said to be 650 m."


def test_a_fact_said_twice_alike_raises_no_doubt() -> None:
    lot = a_lot(a_season(), cv="Qing Xin")
    Fact.objects.create(lot=lot, field="cv", written="qingxin", value=None)

    assert rows(lot)["Cultivar"].doubt == ""


def test_a_gap_that_is_asked_about_has_its_row() -> None:
    found = rows(a_lot(a_season()), {"residue": "To be asked."})

    assert (found["Residues"].stated, found["Residues"].doubt) == ("not said", "To be asked.")


def test_the_offer_is_told_and_its_price_is_private() -> None:
    lot = a_lot(a_season())
    Offer.objects.create(
        lot=lot, written="NT$1,200/jin", price_per_kg=Decimal(2000), currency="TWD",
        minimum_grams=6000, available_grams=18000, valid_until=dt.date(2026, 5, 22),
        as_written={"offer_until": "22 May"}, deposit="30 %",
    )  # fmt: skip

    found = rows(lot)

    assert (found["Price"].stated, found["Price"].private) == ("NT$1,200/jin", True)
    assert found["Deposit"].private
    assert (found["Smallest order"].stated, found["On offer"].stated) == ("6 kg", "18 kg")
    assert found["Offer until"].stated == "22 May"
    assert not found["Smallest order"].private


def test_the_latest_offer_holds() -> None:
    lot = a_lot(a_season())
    an_offer(lot, price_per_kg=60)
    an_offer(lot, price_per_kg=55)

    assert rows(lot)["Price"].stated == "55.00 EUR a kg"


def test_a_class_that_is_not_stated_is_a_guess_and_says_so() -> None:
    lot = a_lot(a_season(), name="Alishan oolong", tea_class="", cv="qingxin", region="Alishan")

    row = rows(lot)["Class"]

    assert (row.stated, row.who_says) == ("oolong", "a guess")
    assert row.doubt.startswith("Not stated;")


def test_facts_are_read_from_what_was_kept_or_from_the_words() -> None:
    lot = a_lot(a_season(), harvest="late April 2026", elev="700-800 m")
    kept = a_lot(lot.season, "B")
    reading = as_json(parse_date("18 Apr 2026").value)
    Fact.objects.create(lot=kept, field="harvest", written="18/4/26", value=reading, said_at=NOON)

    in_words, as_kept = facts_of(stated(lot)), facts_of(stated(kept))

    assert (in_words.harvest_from, in_words.harvest_to) == (dt.date(2026, 4, 21), dt.date(2026, 4, 30))
    assert (in_words.elevation_m_min, in_words.elevation_m_max) == (700, 800)
    assert as_kept.harvest_from == dt.date(2026, 4, 18)


def test_a_value_that_cannot_be_read_is_no_crash() -> None:
    lot = a_lot(a_season(), harvest="when the swallows came", elev="high")

    facts = facts_of(stated(lot))

    assert (facts.harvest_from, facts.elevation_m_min) == (None, None)
    assert facts.harvest_text == "when the swallows came"


@pytest.mark.parametrize(
    ("written", "paper"), [("", None), ("no", False), ("not yet", False), ("report of 12 May", True)]
)
def test_a_residue_paper_is_there_or_not_or_was_not_asked_for(written: str, paper: bool | None) -> None:
    lot = a_lot(a_season(), **({"residue": written} if written else {}))

    assert facts_of(stated(lot)).residue_paper is paper


def test_whatever_else_a_sheet_says_is_shown_under_its_own_name() -> None:
    found = rows(a_lot(a_season(), withering="18 h indoors", garden_mark="WTW-4"))

    assert (found["Withering"].stated, found["Withering"].private) == ("18 h indoors", False)
    assert found["Garden mark"].private


def test_a_price_without_a_weight_is_shown_as_written_with_the_doubt() -> None:
    lot = a_lot(a_season())
    Offer.objects.create(lot=lot, price_amount=Decimal(44), currency="USD", written="$44")

    row = rows(lot)["Price"]

    assert (row.stated, row.private) == ("$44", True)
    assert row.doubt == "For which weight is not said, so there is no price a kg: to be asked."


def test_a_price_that_is_only_words_raises_no_doubt_about_a_weight() -> None:
    lot = a_lot(a_season())
    Offer.objects.create(lot=lot, written="on request")

    row = rows(lot)["Price"]

    assert (row.stated, row.doubt) == ("on request", "")


@pytest.mark.parametrize(
    ("harvest", "until", "noted", "day"),
    [
        ("18 Apr 2026", "22 May", dt.datetime(2026, 11, 25, tzinfo=dt.UTC), dt.date(2026, 5, 22)),
        ("5 Nov 2026", "10 Jan", dt.datetime(2026, 11, 25, tzinfo=dt.UTC), dt.date(2027, 1, 10)),
        ("", "10 Dec", dt.datetime(2026, 11, 25, tzinfo=dt.UTC), dt.date(2026, 12, 10)),
        ("", "20 Dec", dt.datetime(2027, 1, 5, tzinfo=dt.UTC), dt.date(2026, 12, 20)),
    ],
)
def test_a_last_day_without_its_year_is_one_day_on_all_pages_and_says_that_its_year_is_taken(
    harvest: str, until: str, noted: dt.datetime, day: dt.date
) -> None:
    lot = a_lot(a_season(), harvest=harvest)
    Offer.objects.create(lot=lot, as_written={"offer_until": until}, said_at=noted)

    assert stated(lot).offer_until == day
    assert rows(lot)["Offer until"].stated == until
    assert rows(lot)["Offer until"].doubt == (
        f"The year is not written; taken as {day.day} {day:%B} {day.year}."
    )


@pytest.mark.parametrize("until", ["31 Nov", "ask", "Friday"])
def test_a_last_day_that_is_no_day_is_none(until: str) -> None:
    lot = a_lot(a_season())
    Offer.objects.create(lot=lot, as_written={"offer_until": until}, said_at=NOON)

    assert stated(lot).offer_until is None
    assert rows(lot)["Offer until"].stated == until


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("28.4.26", "28 Apr 2026"),
        ("2026-04-18", "18 Apr 2026"),
        ("Picked 20 Oct", "20 Oct"),
        ("late May", "late May"),
        ("02/04/26", "02/04/26"),
    ],
)
def test_a_list_shows_days_in_one_form_where_they_are_understood(written: str, shown: str) -> None:
    assert shown_harvest(stated(a_lot(a_season(), harvest=written))) == shown


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("750m", "750 m"),
        ("1.800 m", "1800 m"),
        ("320", "320 m"),
        ("300 ft", "91 m (300 ft)"),
        ("600-800 m", "600 to 800 m"),
        ("high", "high"),
    ],
)
def test_a_list_shows_heights_in_one_form_where_they_are_understood(written: str, shown: str) -> None:
    assert shown_elevation(stated(a_lot(a_season(), elev=written))) == shown
