"""What holds of a lot now, and what of it others may see."""

import datetime as dt
from decimal import Decimal

import pytest
from tests.room import a_line, a_lot, a_season

from wetleaf.lots.actions import note_fact
from wetleaf.lots.facts import PRIVATE_FIELDS, KnownLot, known_lots, visible
from wetleaf.lots.models import Fact, Season
from wetleaf.lots.offers import OfferSaid, make_offer
from wetleaf.trade.dates import on_day
from wetleaf.trade.money import Price
from wetleaf.trade.quantities import Elevation

TILL_MAY = on_day(dt.date(2026, 5, 22))


def a_known_lot(season: Season | None = None) -> KnownLot:
    spring = season or a_season()
    lot = a_lot(
        spring, producer="Widow Terrace Works", line=a_line(), region="Widow Terrace, Lugu", invoice="WT-3"
    )
    lot.producer.contact = "line: widow"
    lot.producer.save()
    note_fact(lot, "elev", "750 m", Elevation(m=750))
    note_fact(lot, "claims", "hand picked by Widow Terrace Works")
    make_offer(
        lot, OfferSaid(price=Price(Decimal(1200), "TWD", Decimal(600)), offer_until=TILL_MAY, deposit="30 %")
    )
    return known_lots(spring)[0]


@pytest.mark.django_db
def test_the_latest_fact_of_a_field_holds_and_the_earlier_one_stays() -> None:
    spring = a_season()
    lot = a_lot(spring)
    note_fact(lot, "elev", "750 m", Elevation(m=750))

    note_fact(lot, "elev", "2,560 ft", Elevation(m=780), ground=Fact.Ground.DOCUMENT)

    (known,) = known_lots(spring)
    assert known.facts["elev"].value == Elevation(m=780)
    assert known.facts["elev"].ground == "seen on document"
    assert lot.facts.count() == 2


@pytest.mark.django_db
def test_what_is_held_already_is_not_noted_again() -> None:
    lot = a_lot(a_season())

    first = note_fact(lot, "elev", "750 m", Elevation(m=750))
    again = note_fact(lot, "elev", "750", Elevation(m=750))
    seen = note_fact(lot, "elev", "750", Elevation(m=750), ground=Fact.Ground.DOCUMENT)

    assert again == first
    assert seen != first


@pytest.mark.django_db
def test_a_season_of_many_lots_takes_four_queries(django_assert_num_queries) -> None:
    spring = a_season()
    for number in range(20):
        a_lot(spring, f"L-{number:02}", elev="750 m", harvest="18 Apr 2026")

    with django_assert_num_queries(4):
        lots = known_lots(spring)

    assert [lot.code for lot in lots][:2] == ["L-00", "L-01"]
    assert lots[0].written("harvest") == "18 Apr 2026"
    assert lots[0].written("kept") == ""


@pytest.mark.django_db
def test_the_buyer_sees_everything() -> None:
    known = a_known_lot()

    seen = visible(known, to_others=False)

    assert seen.producer == "Widow Terrace Works"
    assert seen.offer.price.per_kg == Decimal(2000)


@pytest.mark.django_db
def test_others_see_neither_maker_nor_contact_nor_place_nor_price() -> None:
    known = a_known_lot()
    secrets = ("widow", "wt-3", "1200", "2000", "30 %")

    seen = visible(known, to_others=True)

    assert all(secret in repr(known).lower() for secret in secrets)
    assert [secret for secret in secrets if secret in repr(seen).lower()] == []
    assert not PRIVATE_FIELDS & set(seen.facts)


@pytest.mark.django_db
def test_others_still_see_the_tea() -> None:
    seen = visible(a_known_lot(), to_others=True)

    assert seen.facts["region"].written == "Lugu"
    assert seen.facts["elev"].value == Elevation(m=750)
    assert seen.facts["claims"].value == "hand picked by [maker]"
    assert seen.offer.valid_until == dt.date(2026, 5, 22)
