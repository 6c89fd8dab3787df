"""A decision that does not fit the offer is noted and said; one of a day still to come is refused."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone
from tests.room import a_lot, a_season, an_offer

from wetleaf.lots.models import Lot
from wetleaf.lots.offers import OfferSaid, make_offer
from wetleaf.sheets.decisions import Decided, decide, doubts_of_decision
from wetleaf.sheets.models import Verdict
from wetleaf.trade.errors import BadInput

DAY, LATER = dt.date(2026, 5, 20), dt.date(2026, 5, 25)
KEEP, NO = Decided("keep"), Decided("no")


@pytest.fixture
def lot(db: None) -> Lot:
    return a_lot(a_season())


def test_more_or_fewer_kilos_than_can_be_had_are_noted_and_said(lot: Lot) -> None:
    make_offer(lot, OfferSaid(avail_grams=Decimal(6000), moq_grams=Decimal(2000)))

    too_many, too_few = (decide(lot, KEEP, kilos=Decimal(kilos)) for kilos in (30, 1))
    fitting = decide(lot, KEEP, kilos=Decimal(6))

    assert doubts_of_decision(too_many) == ("30 kg are more than the 6 kg on offer.",)
    assert doubts_of_decision(too_few) == ("1 kg are less than the smallest order of 2 kg.",)
    assert doubts_of_decision(fitting) == ()
    assert too_many.kilos == 30


def test_the_upper_end_of_what_is_on_offer_counts(lot: Lot) -> None:
    make_offer(lot, OfferSaid(avail_grams=Decimal(6000), avail_grams_max=Decimal(8000)))

    assert doubts_of_decision(decide(lot, KEEP, kilos=Decimal(8))) == ()
    assert doubts_of_decision(decide(lot, KEEP, kilos=Decimal("8.1"))) != ()


def test_an_offer_that_had_ended_is_said_unless_the_tea_is_left(lot: Lot) -> None:
    an_offer(lot, price_per_kg=30, until=DAY)

    assert "The offer ended on 2026-05-20" in doubts_of_decision(decide(lot, KEEP, on=LATER))[0]
    assert doubts_of_decision(decide(lot, NO, on=LATER)) == ()
    assert doubts_of_decision(decide(lot, KEEP, on=DAY)) == ()


def test_a_decision_is_not_dated_in_the_future(lot: Lot) -> None:
    far = timezone.localdate() + dt.timedelta(days=2)

    with pytest.raises(BadInput, match=f"a decision on {far} is still to come"):
        decide(lot, KEEP, on=far)

    assert not Verdict.objects.exists()
