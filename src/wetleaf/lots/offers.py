"""What a lot costs, how much of it there is and until when. Offers are added; the latest holds."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils import timezone

from wetleaf.lots.encoding import reading_as_json, reading_from_json
from wetleaf.lots.keeping import kept
from wetleaf.lots.models import Lot, Offer
from wetleaf.trade.dates import PartialDate, parse_date
from wetleaf.trade.money import Price


@dataclass(frozen=True)
class OfferSaid:
    """What is said of an offer; None for what is not. `as_written` holds the texts by part."""

    price: Price | None = None
    moq_grams: Decimal | None = None
    moq_grams_max: Decimal | None = None
    avail_grams: Decimal | None = None
    avail_grams_max: Decimal | None = None
    offer_until: PartialDate | None = None
    hold: str | None = None
    deposit: str | None = None
    as_written: Mapping[str, str] | None = None

    def readings(self) -> dict[str, Any]:
        """What was said, as JSON, without what was not."""
        said = {
            "price": self.price,
            "moq_grams": self.moq_grams,
            "moq_grams_max": self.moq_grams_max,
            "avail_grams": self.avail_grams,
            "avail_grams_max": self.avail_grams_max,
            "offer_until": self.offer_until,
            "hold": self.hold,
            "deposit": self.deposit,
        }
        return {part: reading_as_json(value) for part, value in said.items() if value is not None}


def make_offer(
    lot: Lot, said: OfferSaid, *, source: str = "", now: dt.datetime | None = None
) -> Offer | None:
    """Add an offer; parts not said are carried over from the one before. None when nothing changed."""
    offer = offer_after(Offer.objects.filter(lot=lot).last(), lot, said, source, now or timezone.now())
    if offer is not None:
        offer.save()
    return offer


def offer_after(last: Offer | None, lot: Lot, said: OfferSaid, source: str, now: dt.datetime) -> Offer | None:
    """Return the unsaved offer that holds after `said`, or None when `last` already says all of it."""
    before = last.readings if last is not None else {}
    news = said.readings()
    # The upper end of an old range does not outlive the range.
    kept_on = {part: held for part, held in before.items() if part.removesuffix("_max") not in news}
    readings = kept_on | news
    if readings == before:
        return None
    written = (last.as_written if last is not None else {}) | dict(said.as_written or {})
    return _offer(lot, readings, {part: written.get(part, "") for part in readings}, source, now)


def _offer(
    lot: Lot, readings: dict[str, Any], written: dict[str, str], source: str, now: dt.datetime
) -> Offer:
    held = {part: reading_from_json(part, value) for part, value in readings.items()}
    price: Price | None = held.get("price")
    return kept(
        Offer,
        lot=lot,
        price_amount=price and price.amount,
        currency=(price and price.currency) or "",
        price_per_grams=price and price.per_g,
        price_per_kg=price and price.per_kg,
        minimum_grams=held.get("moq_grams"),
        available_grams=held.get("avail_grams"),
        valid_until=_last_day(held.get("offer_until")),
        held_until=_day_in(held.get("hold")),
        deposit=held.get("deposit") or "",
        written=written.get("price", ""),
        readings=readings,
        as_written=written,
        source=source,
        said_at=now,
    )


def _last_day(until: PartialDate | None) -> dt.date | None:
    # "Till late May" is open through the last day it can mean; the text beside it says how vague that is.
    span = until.span() if until is not None else None
    return span[1] if span else None


def _day_in(text: str | None) -> dt.date | None:
    read = parse_date(text).value if text else None
    return read.start if read is not None and read.precision == "day" else None
