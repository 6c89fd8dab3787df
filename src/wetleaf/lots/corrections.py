"""What the buyer knows better than the papers: a fact or an offer is corrected, and the correction holds.

A correction is a new row beside the old one, on the ground "noted by the buyer", with the reason in its
source. Of facts it holds against every workbook; of an offer it holds until a workbook says something new,
since prices and last days do move. What it replaced stays on the books and in the lot's page.
"""

import datetime as dt
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils import timezone

from wetleaf.lots.actions import line_named, note_fact, producer_named
from wetleaf.lots.keeping import fitting_text
from wetleaf.lots.models import Fact, Lot, Offer, Season
from wetleaf.lots.moments import one_at_a_time
from wetleaf.lots.offers import OfferSaid, make_offer
from wetleaf.lots.withdrawals import refuse_withdrawn
from wetleaf.trade.classes import CLASSES, find_class
from wetleaf.trade.dates import parse_date
from wetleaf.trade.errors import BadInput
from wetleaf.trade.money import parse_price
from wetleaf.trade.numbers import Reading
from wetleaf.trade.quantities import parse_degree, parse_elevation, parse_weight, place_in
from wetleaf.trade.spelling import squash

_SOURCE = "corrected by the buyer: "
_NAMES: Mapping[str, str] = {
    "class": "tea_class", "name": "name", "maker": "producer", "producer": "producer", "contact": "contact",
    "line": "line", "place": "region", "region": "region", "origin": "region", "cultivar": "cv",
    "elevation": "elev", "harvest": "harvest", "picked": "harvest", "picking": "season", "season": "season",
    "oxidation": "ox", "roast": "roast", "roast date": "roast_date", "received": "sample_received",
    "claims": "claims", "remarks": "remarks", "grade": "grade", "invoice": "invoice",
    "garden mark": "garden_mark", "vintage": "vintage", "press year": "press_year", "opened": "opened",
    "kept": "kept", "weather": "weather", "firing": "firing", "competition": "competition",
    "organic": "organic", "residues": "residue", "price": "price", "until": "offer_until",
    "deadline": "offer_until", "offer until": "offer_until", "available": "avail_grams",
    "on offer": "avail_grams", "smallest order": "moq_grams", "moq": "moq_grams", "hold": "hold",
    "deposit": "deposit",
}  # fmt: skip
_FIELD_OF = {squash(name): name_of for name, name_of in _NAMES.items()} | {
    squash(name_of): name_of for name_of in _NAMES.values()
}
CORRECTABLE: tuple[str, ...] = tuple(
    name for k, (name, known) in enumerate(_NAMES.items()) if known not in list(_NAMES.values())[:k]
)
"""The names by which fields are corrected, one a field."""
_OF_THE_OFFER = frozenset(["price", "offer_until", "avail_grams", "moq_grams", "hold", "deposit"])


@dataclass(frozen=True)
class Correction:
    """A field of a lot, what is right as it was written, and as it is read."""

    field: str
    name: str
    written: str
    value: Any


@dataclass(frozen=True)
class Change:
    """What a correction changed: the field as the buyer calls it, what was said before ("" for nothing)."""

    name: str
    before: str
    after: str


@dataclass
class Corrected:
    """What holds of a lot by its buyer's correction, by field; of its offer what was said before."""

    facts: dict[str, Any] = field(default_factory=dict)
    said_before: dict[str, list[Any]] = field(default_factory=dict)
    written: dict[str, str] = field(default_factory=dict)

    def sets_aside(self, name: str, reading: Any) -> bool:
        """Tell whether a workbook's reading of a field gives way to the correction."""
        if name in self.facts:
            return bool(self.facts[name] != reading)
        return reading in self.said_before.get(name, [])


def read_correction(lot: Lot, text: str) -> Correction:
    """Read "FIELD=VALUE" for a lot. Raises BadInput for a field that is none and an unreadable value.

    A jin, `¥` or `Rs` is read by the lot's place.
    """
    name, sign, written = text.partition("=")
    if not sign:
        raise BadInput(f"'{text}' corrects nothing.", way_out='Write FIELD=VALUE, as "class=oolong".')
    known = _FIELD_OF.get(squash(name))
    if known is None:
        raise BadInput(
            f"'{name.strip()}' is no fact of a lot.", way_out=f"Correct one of: {', '.join(CORRECTABLE)}."
        )
    written = " ".join(written.split())
    if not written:
        raise BadInput(
            f"what is right for {name.strip()} is not said.",
            way_out=f'Say it: "{name.strip()}=unknown" will do.',
        )
    return Correction(known, name.strip(), written, _value(known, name.strip(), written, place_of(lot)))


def _value(known: str, name: str, written: str, place: str) -> Any:
    reader = _READERS.get(known)
    if reader is None:
        return written
    read = reader(written, place)
    if read.value is None:
        why = ", ".join(kind.replace("_", " ") for kind in read.noticed) or "not understood"
        raise BadInput(
            f"'{written}' cannot be read as {name}: {why}.", way_out=f"Write it as {_EXAMPLE[known]}."
        )
    return read.value


def _class(written: str, _: str) -> Reading[str]:
    found = find_class(written)
    return Reading(found.key if found else None, () if found else (f"one of {', '.join(CLASSES)}",))


def _grams(written: str, place: str) -> Reading[Any]:
    read = parse_weight(written, place=place)
    return Reading(read.value.grams if read.value else None, read.noticed)


def _latest_date(written: str, _: str) -> Reading[Any]:
    return parse_date(re.sub(r"^(?:till|until)\s+", "", written, flags=re.IGNORECASE))


_READERS: Mapping[str, Callable[[str, str], Reading[Any]]] = {
    "tea_class": _class,
    "elev": lambda written, _: parse_elevation(written),
    "harvest": _latest_date,
    "sample_received": _latest_date,
    "offer_until": _latest_date,
    "ox": lambda written, _: parse_degree(written),
    "roast": lambda written, _: parse_degree(written),
    "price": lambda written, place: parse_price(written, place=place),
    "avail_grams": _grams,
    "moq_grams": _grams,
}
_EXAMPLE = {
    "tea_class": "oolong", "elev": "750 m", "harvest": "18 Apr 2026", "sample_received": "2 May 2026",
    "offer_until": "22 May 2026", "ox": "25 %", "roast": "medium", "price": "1200 NT$/jin or 38 EUR/kg",
    "avail_grams": "18 kg", "moq_grams": "2 kg",
}  # fmt: skip


def place_of(lot: Lot) -> str:
    """Return the country of a lot as its two-letter code, from its place or name; "" where neither tells."""
    region = Fact.objects.filter(lot=lot, field="region").last()
    return place_in(f"{region.written if region else ''} {lot.name}")


def correct_lot(
    lot: Lot, corrections: Sequence[Correction], because: str, *, now: dt.datetime | None = None
) -> tuple[Change, ...]:
    """Put facts or the offer of a lot right, all or none of them, with the reason.

    Raises BadInput without a reason, for a withdrawn lot, and for a field that is named twice.
    """
    if not because.strip():
        raise BadInput(
            f"why {lot.code} is corrected is not said.", way_out='Say it: --because "misread the label".'
        )
    _refuse_twice(corrections)
    source = _SOURCE + " ".join(because.split())
    now = now or timezone.now()
    with one_at_a_time():
        refuse_withdrawn(lot)
        return tuple(_put_right(lot, one, source, now) for one in corrections)


def _refuse_twice(corrections: Sequence[Correction]) -> None:
    fields = [one.field for one in corrections]
    for one in corrections:
        if fields.count(one.field) > 1:
            raise BadInput(f"{one.name} is corrected twice at once.", way_out="Say once what is right.")


def _put_right(lot: Lot, one: Correction, source: str, now: dt.datetime) -> Change:
    if one.field in _OF_THE_OFFER:
        return _put_offer_right(lot, one, source, now)
    before = said_now(lot, one.field)
    note_fact(lot, one.field, one.written, one.value, ground=Fact.Ground.BUYER, source=source, now=now)
    _follow(lot, one)
    return Change(one.name, before, one.written)


def _put_offer_right(lot: Lot, one: Correction, source: str, now: dt.datetime) -> Change:
    last = Offer.objects.filter(lot=lot).last()
    before = str(last.as_written.get(one.field, "") or last.readings.get(one.field, "")) if last else ""
    said = OfferSaid(**{one.field: one.value}, as_written={one.field: one.written})
    make_offer(lot, said, source=source, now=now)
    return Change(one.name, before, one.written)


def said_now(lot: Lot, name: str) -> str:
    """Return what is said of a field now, as it was written; of a lot's own columns what they hold."""
    fact = Fact.objects.filter(lot=lot, field=name).last()
    if fact is not None:
        return fact.written
    own = {
        "name": lot.name,
        "producer": lot.producer.name if lot.producer else "",
        "line": lot.line.name if lot.line else "",
        "tea_class": lot.tea_class,
        "contact": lot.producer.contact if lot.producer else "",
    }
    return own.get(name, "")


def _follow(lot: Lot, one: Correction) -> None:
    """Let the lot's own columns, and its sample's day, follow the correction."""
    if one.field == "sample_received" and one.value.precision == "day":
        lot.samples.filter(kind="offer").update(received_on=one.value.start)
    if one.field == "contact" and lot.producer is not None:
        lot.producer.contact = one.written
        lot.producer.save(update_fields=["contact"])
    news: dict[str, Any] = {
        "name": lambda: fitting_text(Lot, "name", one.written),
        "producer": lambda: producer_named(one.written),
        "line": lambda: line_named(one.written),
        "tea_class": lambda: one.value,
    }
    if one.field in news:
        setattr(lot, one.field, news[one.field]())
        lot.save(update_fields=[one.field])


def corrected_in(season: Season) -> dict[int, Corrected]:
    """Return what holds in a season by the buyer's own correction, by the lot's key. Two queries."""
    found: dict[int, Corrected] = {}
    facts = {(fact.lot_id, fact.field): fact for fact in Fact.objects.filter(lot__season=season)}
    for (lot, name), fact in facts.items():
        if fact.ground == Fact.Ground.BUYER and fact.source.startswith(_SOURCE):
            mine = found.setdefault(lot, Corrected())
            mine.facts[name], mine.written[name] = fact.value, fact.written
    before: dict[int, list[Offer]] = {}
    for offer in Offer.objects.filter(lot__season=season):
        earlier = before.setdefault(offer.lot_id, [])
        if offer.source.startswith(_SOURCE):
            _take_in_offer(offer, earlier, found.setdefault(offer.lot_id, Corrected()))
        earlier.append(offer)
    return found


def _take_in_offer(offer: Offer, earlier: Sequence[Offer], mine: Corrected) -> None:
    for part in _OF_THE_OFFER:
        said = offer.readings.get(part)
        past = [one.readings[part] for one in earlier if part in one.readings]
        if past and past[-1] != said:
            mine.said_before[part] = [one for one in past if one != said]
            mine.written[part] = str(offer.as_written.get(part, "") or said)
