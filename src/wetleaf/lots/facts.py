"""What holds of a lot now: the latest fact of each field and the latest offer, with what is private marked.

Maker's name, contact, place and price are private: `visible(lot, to_others=True)` leaves them out; of a place
only the district stays, which is no secret of the maker's.
"""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from wetleaf.lots.encoding import reading_from_json
from wetleaf.lots.models import Fact, Lot, Making, Offer, Season
from wetleaf.trade.dates import PartialDate
from wetleaf.trade.money import Price
from wetleaf.trade.origins import ORIGIN_NAMES, find_place
from wetleaf.trade.spelling import squash

PRIVATE_FIELDS = frozenset(
    {
        "producer",
        "contact",
        "garden",
        "garden_mark",
        "invoice",
        "price",
        "deposit",
        "hold",
        "markup",
        "remarks",
    }
)
"""The fields that are for the buyer alone. `region` is private but for its district."""


@dataclass(frozen=True)
class CurrentFact:
    """A fact that holds: as written, as read (a record of the trade, a decimal or the text), who says so."""

    field: str
    written: str
    value: Any
    ground: str
    source: str
    said_at: dt.datetime
    private: bool


@dataclass(frozen=True)
class CurrentOffer:
    """The offer that holds. `price`, `price_per_kg`, `hold` and `deposit` are private."""

    price: Price | None
    price_per_kg: Decimal | None
    moq_grams: Decimal | None
    moq_grams_max: Decimal | None
    avail_grams: Decimal | None
    avail_grams_max: Decimal | None
    offer_until: PartialDate | None
    valid_until: dt.date | None
    held_until: dt.date | None
    hold: str
    deposit: str
    as_written: Mapping[str, str]
    source: str


@dataclass(frozen=True)
class CurrentMaking:
    """A parent of a lot and how the lot was made from it."""

    parent: str
    kind: str
    grams_in: Decimal | None
    grams_out: Decimal | None
    loss_percent: Decimal | None


@dataclass(frozen=True)
class KnownLot:
    """A lot with everything that holds of it. `producer` and `contact` are private, "" when not said."""

    pk: int
    code: str
    name: str
    tea_class: str
    line: str
    producer: str
    contact: str
    facts: Mapping[str, CurrentFact]
    offer: CurrentOffer | None
    made_from: tuple[CurrentMaking, ...] = ()

    def written(self, field: str) -> str:
        """A field as it was written, "" when nothing was said."""
        fact = self.facts.get(field)
        return fact.written if fact is not None else ""


def known_lots(season: Season) -> tuple[KnownLot, ...]:
    """What holds of every lot of a season that stands, by code. Four queries, however many lots."""
    lots = Lot.objects.that_stand().filter(season=season).select_related("producer", "line")
    facts: dict[int, dict[str, CurrentFact]] = {}
    for fact in Fact.objects.filter(lot__season=season):
        facts.setdefault(fact.lot_id, {})[fact.field] = _current_fact(fact)
    offers = {offer.lot_id: offer for offer in Offer.objects.filter(lot__season=season)}
    makings: dict[int, list[Making]] = {}
    for making in Making.objects.filter(child__season=season).select_related("parent"):
        makings.setdefault(making.child_id, []).append(making)
    return tuple(
        _known_lot(lot, facts.get(lot.pk, {}), offers.get(lot.pk), makings.get(lot.pk, [])) for lot in lots
    )


def _current_fact(fact: Fact) -> CurrentFact:
    return CurrentFact(
        field=fact.field,
        written=fact.written,
        value=reading_from_json(fact.field, fact.value),
        ground=fact.ground,
        source=fact.source,
        said_at=fact.said_at,
        private=fact.field in PRIVATE_FIELDS or fact.field == "region",
    )


def _known_lot(
    lot: Lot, facts: dict[str, CurrentFact], offer: Offer | None, makings: list[Making]
) -> KnownLot:
    return KnownLot(
        pk=lot.pk,
        code=lot.code,
        name=lot.name,
        tea_class=lot.tea_class,
        line=lot.line.name if lot.line else "",
        producer=lot.producer.name if lot.producer else "",
        contact=lot.producer.contact if lot.producer else "",
        facts=facts,
        offer=_current_offer(offer) if offer is not None else None,
        made_from=tuple(_current_making(making) for making in makings),
    )


def _current_offer(offer: Offer) -> CurrentOffer:
    said = {part: reading_from_json(part, held) for part, held in offer.readings.items()}
    return CurrentOffer(
        price=said.get("price") or _price_in_columns(offer),
        price_per_kg=offer.price_per_kg,
        moq_grams=said.get("moq_grams", offer.minimum_grams),
        moq_grams_max=said.get("moq_grams_max"),
        avail_grams=said.get("avail_grams", offer.available_grams),
        avail_grams_max=said.get("avail_grams_max"),
        offer_until=said.get("offer_until"),
        valid_until=offer.valid_until,
        held_until=offer.held_until,
        hold=said.get("hold", ""),
        deposit=said.get("deposit", offer.deposit),
        as_written=offer.as_written,
        source=offer.source,
    )


def _price_in_columns(offer: Offer) -> Price | None:
    if offer.price_amount is None:
        return None
    return Price(offer.price_amount, offer.currency or None, offer.price_per_grams)


def _current_making(making: Making) -> CurrentMaking:
    return CurrentMaking(
        making.parent.code, making.kind, making.grams_in, making.grams_out, making.loss_percent
    )


def visible(lot: KnownLot, *, to_others: bool) -> KnownLot:
    """The lot as a reader may see it: for others without maker, contact, price and anything but the district.

    The maker's name is also taken out of free texts, where it can be recognised.
    """
    if not to_others:
        return lot
    facts = {name: _for_others(fact, lot) for name, fact in lot.facts.items() if name not in PRIVATE_FIELDS}
    return replace(
        lot,
        name=without_name(lot.name, lot.producer),
        producer="",
        contact="",
        facts={name: fact for name, fact in facts.items() if fact is not None},
        offer=_offer_for_others(lot.offer),
    )


def _for_others(fact: CurrentFact, lot: KnownLot) -> CurrentFact | None:
    if fact.field == "region":
        district = district_of(fact.written)
        return replace(fact, written=district, value=district, source="", private=False) if district else None
    if not isinstance(fact.value, str):
        return replace(fact, source="")
    text = without_name(fact.value, lot.producer)
    return replace(fact, value=text, written=without_name(fact.written, lot.producer), source="")


def _offer_for_others(offer: CurrentOffer | None) -> CurrentOffer | None:
    if offer is None:
        return None
    written = {part: text for part, text in offer.as_written.items() if part not in PRIVATE_FIELDS}
    return replace(
        offer,
        price=None,
        price_per_kg=None,
        held_until=None,
        hold="",
        deposit="",
        as_written=written,
        source="",
    )


def without_name(text: str, producer: str) -> str:
    """The text with the maker's name taken out.

    >>> without_name("Widow Terrace, spring", "widow terrace")
    '[maker], spring'
    """
    if len(producer.strip()) < 3:
        return text
    return re.sub(re.escape(producer.strip()), "[maker]", text, flags=re.IGNORECASE)


_PLACE_PARTS = re.compile(r"[,;/()（）、，]")
_PLACE_NAMES = frozenset(squash(name.name) for name in ORIGIN_NAMES)


def district_of(region: str) -> str:
    """The names of known districts, areas and countries in a region, without a garden's or a village's.

    >>> district_of("Widow Terrace, Lugu, Nantou"), district_of("behind the mill")
    ('Lugu, Nantou', '')
    """
    parts = [part.strip() for part in _PLACE_PARTS.split(region)]
    known = [part for part in parts if squash(part) in _PLACE_NAMES]
    if known:
        return ", ".join(known)
    place = find_place(region)
    return place.origin.name if place.origin else place.country or ""
