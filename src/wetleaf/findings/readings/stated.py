"""What is stated of a lot, read back into the trade's own values: the latest of each field holds."""

import datetime as dt
import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any, TypeVar

from wetleaf.findings.records import FactRow, LotRow, OfferRow, SeasonRecords
from wetleaf.lots.encoding import from_json
from wetleaf.trade.classes import ClassGuess, Strength, find_class, guess_class
from wetleaf.trade.dates import PartialDate, parse_date
from wetleaf.trade.facts import LotFacts
from wetleaf.trade.origins import ORIGIN_NAMES, find_place
from wetleaf.trade.quantities import Elevation, parse_elevation
from wetleaf.trade.spelling import fold, is_eastern, squash

T = TypeVar("T")
_PLACE_PARTS = re.compile(r"[,;/()（）、，]")
_PLACE_NAMES = frozenset(squash(name.name) for name in ORIGIN_NAMES)


@dataclass(frozen=True)
class StatedLot:
    """A lot with what is said about it."""

    lot: LotRow
    facts: tuple[FactRow, ...]
    offer: OfferRow | None

    @cached_property
    def latest(self) -> dict[str, FactRow]:
        """The fact that holds, by field."""
        return {fact.field: fact for fact in self.facts}

    def written(self, field: str) -> str:
        """A field as it was written, "" when nothing was said."""
        fact = self.latest.get(field)
        return fact.written.strip() if fact else ""

    def earlier(self, field: str) -> tuple[FactRow, ...]:
        """What was said of a field before, where it says something else than what holds."""
        said = [fact for fact in self.facts if fact.field == field]
        return tuple(fact for fact in said[:-1] if squash(fact.written) != squash(said[-1].written))

    @cached_property
    def harvest(self) -> PartialDate | None:
        """The harvest date, as precise as it was written."""
        return self._read("harvest", PartialDate, lambda text: parse_date(text).value)

    @cached_property
    def elevation(self) -> Elevation | None:
        """The elevation in metres."""
        return self._read("elev", Elevation, lambda text: parse_elevation(text).value)

    @property
    def harvest_from(self) -> dt.date | None:
        """The first day on which it can have been picked; None while the day is doubtful or not said."""
        if self.harvest is None or self.harvest.implausible or self.harvest.ambiguous:
            return None
        span = self.harvest.span()
        return span[0] if span else None

    @cached_property
    def offer_until(self) -> dt.date | None:
        """The day until which it is on offer, or held for us, whichever is later: the one day all pages show.

        A day without its year ("10 Dec") is the first one after the picking, or else the one nearest to the
        day the offer was noted.
        """
        offer = self.offer
        days = [day for day in (offer.until, offer.held_until) if day] if offer else []
        return max(days, default=self._until_without_year)

    @property
    def year_is_taken(self) -> bool:
        """Whether the year of the offer's last day is not written but taken."""
        return bool(self.offer and not self.offer.until and not self.offer.held_until and self.offer_until)

    @property
    def _until_without_year(self) -> dt.date | None:
        offer = self.offer
        if offer is None or not offer.until_written or offer.noted_on is None:
            return None
        read = parse_date(offer.until_written).value
        if read is None or read.year or read.precision != "day" or not (read.month and read.day):
            return None
        noted, picked = offer.noted_on, self.harvest_from
        days = [_day_in(noted.year + years, read.month, read.day) for years in (-1, 0, 1)]
        known = [day for day in days if day is not None]
        after = [day for day in known if picked and day >= picked]
        return after[0] if after else min(known, key=lambda day: abs(day - noted), default=None)

    @property
    def district(self) -> str:
        """The district, without the garden or the maker's place that may stand beside it."""
        region = self.written("region")
        known = [part for part in self._places if squash(part) in _PLACE_NAMES]
        if known:
            return ", ".join(known)
        place = find_place(region)
        return place.origin.name if place.origin else place.country or ""

    @property
    def makers_place(self) -> tuple[str, ...]:
        """What stands beside the district and is a name: the garden, the village, the farm."""
        beside = [part for part in self._places if squash(part) not in _PLACE_NAMES]
        return tuple(part for part in beside if any(sign.isupper() for sign in part) or is_eastern(part))

    @property
    def _places(self) -> list[str]:
        return [part.strip() for part in _PLACE_PARTS.split(self.written("region"))]

    @cached_property
    def tea_class(self) -> str:
        """The class: as stated, else a fair guess from what is written, else ""."""
        stated = find_class(self.lot.tea_class or self.written("tea_class"))
        if stated:
            return stated.key
        return self.guessed_class[0] if self.guessed_class else ""

    @cached_property
    def guessed_class(self) -> tuple[str, str] | None:
        """A guess at the class and why, where none is stated and the guess is fair."""
        if find_class(self.lot.tea_class or self.written("tea_class")):
            return None
        guess = self._guess
        if guess is None or guess.strength == Strength.WEAK:
            return None
        return guess.value, guess.why

    @cached_property
    def _guess(self) -> ClassGuess | None:
        return guess_class(
            self.lot.name,
            cultivar=self.written("cv"),
            origin=self.written("region"),
            oxidation=self.written("ox"),
            roast=self.written("roast"),
        )

    @cached_property
    def style(self) -> str:
        """The house's group within the class, such as rock oolong: a key of `trade.classes.GROUPS`, or ""."""
        guess = self._guess
        return guess.group or "" if guess and guess.value == self.tea_class else ""

    def _read(self, field: str, wanted: type[T], parse: Any) -> T | None:
        fact = self.latest.get(field)
        if fact is None:
            return None
        try:
            return from_json(wanted, fact.value)
        except (TypeError, ValueError, KeyError):  # said in words only
            found: T | None = parse(fact.written) if fact.written else None
            return found


def _day_in(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:  # 29 February, 31 November
        return None


def stated_lots(records: SeasonRecords) -> dict[int, StatedLot]:
    """Return what is stated of every lot of the season and of the ones it is compared with."""
    return {
        lot.pk: StatedLot(lot, records.facts.get(lot.pk, ()), records.offers.get(lot.pk))
        for lot in (*records.lots, *records.other_lots)
    }


def facts_of(stated: StatedLot) -> LotFacts:
    """Return a lot's facts as the provenance check takes them."""
    harvest, elevation, offer = stated.harvest, stated.elevation, stated.offer
    span = harvest.span() if harvest and not (harvest.implausible or harvest.ambiguous) else None
    return LotFacts(
        code=stated.lot.code,
        name=stated.lot.name,
        producer=stated.lot.producer,
        place=stated.written("region"),
        cultivar=stated.written("cv"),
        tea_class=stated.tea_class,
        season=stated.written("season"),
        harvest_from=span[0] if span else None,
        harvest_to=span[1] if span else None,
        harvest_year=harvest.year if harvest else None,
        harvest_precision=harvest.precision if harvest else "",
        harvest_text=stated.written("harvest"),
        elevation_m_min=_metres(elevation, lowest=True),
        elevation_m_max=_metres(elevation, lowest=False),
        oxidation=stated.written("ox"),
        roast=stated.written("roast"),
        # A sheet's "roasted on" is read as a firing note; where it is a day, that is the roast date.
        roast_date=_day(stated.written("roast_date") or stated.written("firing")),
        price=(offer.written or str(offer.price_per_kg or "")) if offer else "",
        moq_grams=offer.minimum_grams if offer else None,
        available_grams=offer.available_grams if offer else None,
        residue_paper=_has_paper(stated.written("residue")),
        organic=stated.written("organic"),
        claims=stated.written("claims"),
    )


def _metres(elevation: Elevation | None, *, lowest: bool) -> float | None:
    if elevation is None:
        return None
    end = elevation.m_min if lowest else elevation.m_max
    return elevation.m if end is None else end


def _day(text: str) -> dt.date | None:
    read = parse_date(text).value if text else None
    return read.start if read and read.precision == "day" and not read.ambiguous else None


def _has_paper(text: str) -> bool | None:
    if not text:
        return None
    return fold(text) not in {"no", "none", "not yet", "no paper", "nein", "non", "无"}


def kilos(grams: Decimal | None) -> str:
    """Say grams as kilos, without needless zeros.

    >>> kilos(Decimal("12500")), kilos(None)
    ('12.5 kg', '')
    """
    return "" if grams is None else f"{(grams / 1000).normalize():f} kg"
