"""A book for others: no maker, contact, maker's place or price in any of its values."""

import datetime as dt

import pytest

from tests.findings.test_books import texts_in, values_in
from tests.room import (
    a_flight,
    a_line,
    a_lot,
    a_remark,
    a_sample,
    a_season,
    a_verdict,
    an_offer,
    the_cast,
)
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.assembling.discretion import MAKER, PRICE
from wetleaf.findings.book import LotPage, SeasonBook
from wetleaf.lots.models import DroppedCell, Fact, ImportRun, Lot, Producer, Season

pytestmark = pytest.mark.django_db
MAKER_NAME = "Widow Terrace Works"


def a_telling_season() -> Season:
    """A season whose maker and prices stand wherever a sheet can hold them."""
    last = a_season("2025")
    season, cast, line = a_season("2026", before=last), the_cast(), a_line()
    a_remark(
        a_sample(a_lot(last, "OLD", f"{MAKER_NAME} of last year", producer=MAKER_NAME, line=line)),
        f"peas, as {MAKER_NAME} makes it",
        taster=cast.owner,
    )
    telling = {
        "region": "Frost Hollow garden, Lugu",
        "elev": "2,900 m",
        "harvest": "18 Apr 2026",
        "contact": "chen@example.test",
        "deposit": "30 % of NT$21,600",
        "claims": f"by {MAKER_NAME}, 1,200 NT$/jin",
        "markup": "1.8",
    }
    lot = a_lot(season, "NEW", f"Dong Ding of {MAKER_NAME}", producer=MAKER_NAME, line=line, **telling)
    Producer.objects.filter(name=MAKER_NAME).update(contact="Mr Chen\n+886 49 555 0123")
    Fact.objects.create(lot=lot, field="kept", written="in the shed by the road", value=None)
    an_offer(lot, price_per_kg="58.40", until=dt.date(2026, 6, 12))
    Lot.objects.filter(pk=lot.pk).update(source=f"{MAKER_NAME}.xlsx, Lots!A5")
    sample = a_sample(lot, grams=25)
    a_verdict(sample, cast.owner, "keep", 6)
    a_remark(sample, f"better than {MAKER_NAME.upper()} ever was", taster=cast.owner)
    a_remark(sample, "wet leaf: peas. dear at US$47.50/kg", taster=cast.owner, flight=a_flight(season))
    run = ImportRun.objects.create(file_name="x.xlsx", digest="1" * 64, season=season)
    for cell, says, why in (
        ("J5", "1200?", "the price has no currency"),
        ("C5", MAKER_NAME, "merged over 2 rows"),
    ):
        DroppedCell.objects.create(
            run=run, sheet="Lots", cell=cell, says=says, kind="x", severity="warn", why=why
        )
    return season


def book_of(season: Season, *, shown_private: bool) -> SeasonBook:
    return assemble_season_book(season, shown_private=shown_private, made_on=dt.date(2026, 5, 20))


def new_lot(book: SeasonBook) -> LotPage:
    return next(lot for lot in book.lots if lot.code == "NEW")


@pytest.mark.parametrize(
    "secret",
    [
        "Widow Terrace",
        "WIDOW TERRACE",
        "Chen",
        "chen@example.test",
        "555 0123",
        "Frost Hollow",
        "58.4",
        "47.5",
    ],
)
def test_a_secret_that_the_buyer_sees_is_nowhere_in_the_book_for_others(secret: str) -> None:
    season = a_telling_season()

    mine = " ".join(texts_in(book_of(season, shown_private=True)))
    mine += " ".join(
        str(value) for value in values_in(book_of(season, shown_private=True)) if value is not None
    )
    others = " ".join(str(value) for value in values_in(book_of(season, shown_private=False)))

    assert secret in mine  # else its absence would prove nothing
    assert secret not in others


@pytest.mark.parametrize("amount", ["1,200", "1200", "21,600", "1.8"])
def test_an_amount_that_the_buyer_sees_is_nowhere_in_it_either(amount: str) -> None:
    season = a_telling_season()

    assert amount in " ".join(texts_in(book_of(season, shown_private=True)))
    assert amount not in " ".join(texts_in(book_of(season, shown_private=False)))


def test_the_district_and_the_words_stay() -> None:
    lot = new_lot(book_of(a_telling_season(), shown_private=False))

    assert lot.origin == "Lugu, 2900 m"
    assert lot.name == "Dong Ding"
    assert lot.remarks[1].text == f"wet leaf: peas. dear at {PRICE}"
    assert any(word.text == "peas" for word in lot.this_year_words)


def test_fields_are_empty_and_not_only_hidden() -> None:
    book = book_of(a_telling_season(), shown_private=False)
    lot = new_lot(book)

    assert (lot.producer, lot.price_per_kg, lot.currency, lot.price_written) == ("", None, "", "")
    assert not any(fact.private for fact in lot.facts)
    assert lot.letters == ()
    assert book.shown_private is False


def test_the_buyers_own_book_keeps_them_and_marks_them_private() -> None:
    lot = new_lot(book_of(a_telling_season(), shown_private=True))

    private = {fact.what: fact.stated for fact in lot.facts if fact.private}

    assert private["Maker"] == MAKER_NAME
    assert private["Origin"] == "Frost Hollow garden, Lugu"
    assert {"Contact", "Price", "Deposit", "Mark-up"} <= set(private)
    assert lot.origin == "Frost Hollow garden, Lugu, 2900 m"


def test_a_district_alone_is_no_secret() -> None:
    season = a_season()
    a_lot(season, "LU-01", "Tea", region="Lugu", elev="750 m")

    (lot,) = book_of(season, shown_private=False).lots

    assert lot.origin == "Lugu, 750 m"
    assert next(fact for fact in lot.facts if fact.what == "Origin").stated == "Lugu"


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        (f"{MAKER_NAME} longjing", "longjing"),
        (f"{MAKER_NAME}'s longjing", "longjing"),
        (f"Dong Ding of {MAKER_NAME}", "Dong Ding"),
        (MAKER_NAME, MAKER),
    ],
)
def test_a_tea_named_after_its_maker_keeps_the_rest_of_its_name(name: str, shown: str) -> None:
    season = a_season()
    a_lot(season, "NEW", name, producer=MAKER_NAME)

    assert new_lot(book_of(season, shown_private=True)).name == name
    assert new_lot(book_of(season, shown_private=False)).name == shown
