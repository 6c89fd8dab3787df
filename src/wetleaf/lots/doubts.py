"""What cannot well be true of a lot beside its neighbours or its own dates: to look at again, never refused.

A price far from those of its class is often one for another weight; a sample cannot come before its leaf.
"""

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from statistics import median

from wetleaf.lots.encoding import reading_from_json
from wetleaf.lots.models import Fact, Lot, Offer, Sample, Season
from wetleaf.trade.classes import CLASSES
from wetleaf.trade.dates import PartialDate

TIMES_ITS_NEIGHBOURS = 20
"""So many times the middle price of its neighbours, or so small a part of it, is asked about (house rule)."""
_FEWEST_NEIGHBOURS = 2


def doubts_of(lot: Lot, *, today: dt.date) -> tuple[str, ...]:
    """Return what to look at again in a lot's price and days, in sentences."""
    picked = picked_on(lot)
    arrived = [day for sample in lot.samples.all() if (day := sample.received_on) is not None]
    said = (
        odd_prices(lot.season).get(lot.pk, ""),
        said_of_arrival(min(arrived), picked) if arrived else "",
        f"it is said to be picked on {picked}, which is still to come." if picked and picked > today else "",
    )
    return tuple(filter(None, said))


def picked_on(lot: Lot) -> dt.date | None:
    """Return the first day on which a lot can have been picked, or None while that is not known."""
    fact = Fact.objects.filter(lot=lot, field="harvest").last()
    harvest = reading_from_json("harvest", fact.value) if fact is not None else None
    return _first_day(harvest)


def _first_day(harvest: object) -> dt.date | None:
    if not isinstance(harvest, PartialDate) or harvest.implausible or harvest.ambiguous:
        return None
    span = harvest.span()
    return span[0] if span else None


def said_of_arrival(received_on: dt.date | None, picked: dt.date | None) -> str:
    """Say that a sample came before its leaf was picked, or nothing.

    >>> said_of_arrival(dt.date(2026, 4, 1), dt.date(2026, 4, 18))
    'the sample came on 2026-04-01, before the leaf was picked (2026-04-18 or later): which day is right?'
    >>> said_of_arrival(dt.date(2026, 5, 1), dt.date(2026, 4, 18))
    ''
    """
    if received_on is None or picked is None or received_on >= picked:
        return ""
    return (
        f"the sample came on {received_on}, before the leaf was picked ({picked} or later): "
        "which day is right?"
    )


def early_arrivals(season: Season) -> dict[int, str]:
    """Return what is said of samples that came before their leaf was picked, by the lot's key."""
    harvests = Fact.objects.filter(lot__season=season, field="harvest")
    picked = {fact.lot_id: _first_day(reading_from_json("harvest", fact.value)) for fact in harvests}
    samples = Sample.objects.filter(lot__season=season, received_on__isnull=False)
    said = {s.lot_id: said_of_arrival(s.received_on, picked.get(s.lot_id)) for s in samples}
    return {lot: text for lot, text in said.items() if text}


def odd_prices(season: Season) -> dict[int, str]:
    """Return what is said of prices far from their neighbours', by the lot's key.

    The neighbours are the other lots of the class priced in the same money; where a class has fewer than two,
    or is not said, all others of the season.
    """
    lots = {lot.pk: lot for lot in Lot.objects.that_stand().filter(season=season).select_related("line")}
    prices: dict[int, tuple[Decimal, str]] = {}
    for offer in Offer.objects.filter(lot__in=lots):
        if offer.price_per_kg and offer.currency:
            prices[offer.lot_id] = (offer.price_per_kg, offer.currency)
    said = {key: _said_of_price(lots[key], lots, prices) for key in prices}
    return {key: text for key, text in said.items() if text}


def _said_of_price(lot: Lot, lots: Mapping[int, Lot], prices: Mapping[int, tuple[Decimal, str]]) -> str:
    price, currency = prices[lot.pk]
    others = [key for key, (_, money) in prices.items() if key != lot.pk and money == currency]
    alike = [key for key in others if _class_of(lot) and _class_of(lots[key]) == _class_of(lot)]
    near = alike if len(alike) >= _FEWEST_NEIGHBOURS else others
    if len(near) < _FEWEST_NEIGHBOURS:
        return ""
    usual = median(prices[key][0] for key in near)
    if usual / TIMES_ITS_NEIGHBOURS < price < usual * TIMES_ITS_NEIGHBOURS:
        return ""
    whose = (
        f"{len(near)} other {CLASSES[_class_of(lot)].name} lots" if near is alike else f"{len(near)} others"
    )
    times = f"{price / usual:.0f} times" if price > usual else f"a {usual / price:.0f}th of"
    return (
        f"{price.normalize():f} {currency} a kg is {times} the {usual.normalize():f} in the middle of "
        f"{whose}: is it the price of a kilo, or of another weight?"
    )


def _class_of(lot: Lot) -> str:
    key = lot.tea_class or (lot.line.tea_class if lot.line else "")
    return key if key in CLASSES else ""
