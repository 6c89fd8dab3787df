"""Offers are added; the latest holds and carries over what it does not say anew."""

import datetime as dt
from decimal import Decimal

import pytest
from tests.room import a_lot, a_season

from wetleaf.lots.offers import OfferSaid, make_offer
from wetleaf.trade.dates import PartialDate, on_day
from wetleaf.trade.money import Price

JIN = Decimal(600)


@pytest.mark.django_db
def test_a_price_for_a_jin_is_kept_for_a_kilogram_too() -> None:
    lot = a_lot(a_season())

    offer = make_offer(
        lot, OfferSaid(price=Price(Decimal(1200), "TWD", JIN), as_written={"price": "NT$1,200/jin"})
    )

    assert (offer.price_per_kg, offer.currency, offer.written) == (Decimal(2000), "TWD", "NT$1,200/jin")


@pytest.mark.django_db
def test_a_new_price_keeps_the_minimum_that_was_said_before() -> None:
    lot = a_lot(a_season())
    make_offer(lot, OfferSaid(price=Price(Decimal(1200), "TWD", JIN), moq_grams=Decimal(2000)))

    offer = make_offer(lot, OfferSaid(price=Price(Decimal(1100), "TWD", JIN)))

    assert (offer.price_amount, offer.minimum_grams) == (Decimal(1100), Decimal(2000))
    assert lot.offers.count() == 2


@pytest.mark.django_db
def test_the_end_of_an_old_range_does_not_outlive_it() -> None:
    lot = a_lot(a_season())
    make_offer(lot, OfferSaid(moq_grams=Decimal(2000), moq_grams_max=Decimal(3000)))

    offer = make_offer(lot, OfferSaid(moq_grams=Decimal(5000)))

    assert offer.readings == {"moq_grams": {"number": "5000"}}


@pytest.mark.django_db
def test_the_same_offer_again_is_none() -> None:
    lot = a_lot(a_season())
    said = OfferSaid(price=Price(Decimal("84.50"), "EUR", Decimal(1000)), hold="till Friday")
    make_offer(lot, said)

    assert make_offer(lot, said) is None


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("until", "last_day"),
    [
        (on_day(dt.date(2026, 5, 22)), dt.date(2026, 5, 22)),
        (PartialDate("part_of_month", 2026, 5, part="late"), dt.date(2026, 5, 31)),
        (PartialDate("month", 2026, 2), dt.date(2026, 2, 28)),
        (PartialDate("day", None, 5, 22), None),
    ],
)
def test_an_offer_is_open_through_the_last_day_it_can_mean(
    until: PartialDate, last_day: dt.date | None
) -> None:
    lot = a_lot(a_season())

    offer = make_offer(lot, OfferSaid(offer_until=until, hold="22 May 2026"))

    assert offer.valid_until == last_day
    assert offer.held_until == dt.date(2026, 5, 22)


@pytest.mark.django_db
def test_an_absurd_price_is_kept_as_written_only() -> None:
    lot = a_lot(a_season())

    offer = make_offer(lot, OfferSaid(price=Price(Decimal("1e40"), "TWD", JIN), as_written={"price": "1e40"}))

    offer.refresh_from_db()
    assert (offer.price_amount, offer.price_per_kg, offer.written) == (None, None, "1e40")
