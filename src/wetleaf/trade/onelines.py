"""A lot typed in one line, as a buyer would say it, read into its facts, part by part.

`Lugu, qingxin, 18 Apr, 750 m, medium roast, 1200 NT$/jin, 18 kg, till 22 May`
"""

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from wetleaf.trade.classes import find_class
from wetleaf.trade.cultivars import read_cultivar
from wetleaf.trade.dates import PartialDate, parse_date
from wetleaf.trade.facts import LotFacts
from wetleaf.trade.money import Price, currency_in, parse_price
from wetleaf.trade.origins import find_place, is_only_a_place
from wetleaf.trade.quantities import elevation_unit, parse_elevation, parse_weight
from wetleaf.trade.seasons import find_season

_CODES = {
    "Taiwan": "TW", "China": "CN", "Japan": "JP", "India": "IN", "Nepal": "NP", "Sri Lanka": "LK",
    "Korea": "KR", "Vietnam": "VN", "Kenya": "KE", "Malaysia": "MY",
}  # fmt: skip
# A comma inside a number ("1,200", "84,50") does not divide; one after a word, or before a space, does.
_DIVIDER = re.compile(r",\s+|(?<!\d),|,(?!\d)|[;；，、\n|]")
_UNTIL = re.compile(
    r"^(?:offer\s+)?(?:held\s+|hold\s+|valid\s+|on\s+hold\s+)?"
    r"(?:till|until|til|bis|jusqu'?\s?au|valid to|by|至|到|截止)\s*(?:zum\s+|the\s+)?(?P<rest>.+)$",
    re.IGNORECASE,
)
_SMALLEST = re.compile(
    r"^(?:moq|min(?:imum)?(?:\s+order)?\.?|smallest order|mindestens|ab|from|au moins|最低|起訂|起订)"
    r"\s*:?\s*(?P<rest>.+)$",
    re.IGNORECASE,
)
_STOCK = re.compile(
    r"^(?:available|avail\.?|stock|there are|verfügbar|庫存|库存|現有)\s*:?\s*|\s*(?:available|left|there)$",
    re.IGNORECASE,
)
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_LABEL = re.compile(r"^(?P<label>name|tea|maker|producer|by|code|lot)\s*[:=]\s*(?P<rest>.+)$", re.IGNORECASE)
_LABELLED = {"name": "name", "tea": "name", "maker": "producer", "producer": "producer", "by": "producer"}
_ROAST = re.compile(
    r"roast|\bfired\b|\bfiring\b|charcoal|röst|geröstet|torréf|焙|炭|烘|unroasted|ungeröstet", re.IGNORECASE
)
_OXIDATION = re.compile(r"oxid|\box\b|ferment|發酵|发酵|発酵|%", re.IGNORECASE)
_PER_WEIGHT = re.compile(r"\d\s*(?:/|per\b|je\b|pro\b|par\b|每)\s*\d*\s*[^\W\d_]", re.IGNORECASE)
_BARE_ROAST = re.compile(r"\broast(?:ed)?\b|焙火$", re.IGNORECASE)


@dataclass(frozen=True)
class LinePart:
    """One part of the line, the fact it was read as (empty if none) and what to tell about it."""

    text: str
    read_as: str
    note: str = ""


@dataclass(frozen=True)
class LotLine:
    """A line read into facts, with the price and the offer's last day, and what each part was read as."""

    written: str
    facts: LotFacts
    price: Price | None
    offer_until: dt.date | None
    parts: tuple[LinePart, ...] = field(repr=False)

    @property
    def unread(self) -> tuple[str, ...]:
        """Return the parts that nothing was made of."""
        return tuple(part.text for part in self.parts if not part.read_as)

    @property
    def to_confirm(self) -> tuple[str, ...]:
        """Return what was inferred or could not be settled, in sentences."""
        return tuple(f"'{part.text}': {part.note}" for part in self.parts if part.note)


@dataclass(frozen=True)
class _Context:
    today: dt.date
    country_code: str


@dataclass(frozen=True)
class _Found:
    """What one part gives: fields of the facts, or the price or the last day, and a note."""

    read_as: str
    values: dict[str, Any]
    note: str = ""


def read_line(text: str, *, today: dt.date) -> LotLine:
    """Return a line read into facts. A day without a year is the last before `today`, an offer's the next.

    >>> said = "Lugu, qingxin, 18 Apr, 750 m, medium roast, 1200 NT$/jin, 18 kg, till 22 May"
    >>> line = read_line(said, today=dt.date(2026, 5, 2))
    >>> line.facts.place, line.facts.cultivar, line.facts.harvest_from.isoformat(), line.facts.elevation_m
    ('Lugu', 'qingxin', '2026-04-18', (750.0, 750.0))
    >>> line.facts.roast, line.price.per_kg, line.facts.available_grams, line.offer_until.isoformat()
    ('medium', Decimal('2000'), Decimal('18000'), '2026-05-22')
    >>> line.unread
    ()
    """
    pieces = tuple(piece.strip() for piece in _DIVIDER.split(text) if piece and piece.strip())
    context = _Context(today, _country_code(text))
    taken: dict[str, Any] = {}
    parts = []
    for piece in pieces:
        found = _read_piece(piece, context, taken)
        _take(found, taken)
        parts.append(LinePart(piece, found.read_as, found.note))
    price, until = taken.pop("price_read", None), taken.pop("offer_until", None)
    return LotLine(text, LotFacts(**taken), price, until, tuple(parts))


def _country_code(text: str) -> str:
    country = find_place(text).country
    currency = {"TWD": "TW", "CNY": "CN", "HKD": "HK"}.get(currency_in(text).value or "", "")
    return _CODES.get(country or "", "") or currency


def _take(found: _Found, taken: dict[str, Any]) -> None:
    if found.read_as == "place" and "place" in taken:
        taken["place"] = f"{taken['place']}, {found.values['place']}"
    else:
        taken.update(found.values)


def _read_piece(piece: str, context: _Context, taken: dict[str, Any]) -> _Found:
    for reader in _READERS:
        found = reader(piece, context)
        if found and (found.read_as == "place" or not any(key in taken for key in found.values)):
            return found
    if "name" not in taken:
        return _Found("name", {"name": piece})
    return _Found("", {}, "not understood: say what it is, or put it into the notes")


def _read_label(piece: str, _: _Context) -> _Found | None:
    found = _LABEL.match(piece)
    if not found:
        return None
    label = _LABELLED.get(found["label"].lower(), "code")
    return _Found(label, {label: found["rest"].strip()})


def _read_until(piece: str, context: _Context) -> _Found | None:
    found = _UNTIL.match(piece)
    if not found:
        return None
    day = _next_weekday(found["rest"], context.today) or _last_day(found["rest"], context.today)
    if day is None:
        return None
    note = "" if str(day.year) in piece else f"read as {day.isoformat()}, the next such day"
    return _Found("offer until", {"offer_until": day}, note)


def _next_weekday(text: str, today: dt.date) -> dt.date | None:
    named = [number for number, name in enumerate(_WEEKDAYS) if text.lower().startswith(name[:3])]
    if not named or not text.lower().strip(" .").isalpha():
        return None
    return today + dt.timedelta(days=(named[0] - today.weekday() - 1) % 7 + 1)


def _last_day(text: str, today: dt.date) -> dt.date | None:
    read = parse_date(text).value
    span = _with_year(read, today, after=True) if read else None
    return span[1] if span else None


def _read_smallest(piece: str, context: _Context) -> _Found | None:
    found = _SMALLEST.match(piece)
    weight = parse_weight(found["rest"], place=context.country_code) if found else None
    if weight is None or weight.value is None:
        return None
    return _Found("smallest order", {"moq_grams": weight.value.grams})


def _read_price(piece: str, context: _Context) -> _Found | None:
    has_currency = currency_in(piece, place=context.country_code)
    if not (has_currency.value or has_currency.noticed or _PER_WEIGHT.search(piece)):
        return None
    read = parse_price(piece, place=context.country_code)
    if read.value is None:
        return None
    missing = [
        said for said, what in (("currency", read.value.currency), ("weight", read.value.per_g)) if not what
    ]
    note = f"the {' and the '.join(missing)} of the price cannot be told" if missing else ""
    return _Found("price", {"price": piece, "price_read": read.value}, note)


def _read_elevation(piece: str, _: _Context) -> _Found | None:
    unit = re.sub(r"^[^\d]*[\d.,'\s–-]+(?=\D)", "", piece)
    read = parse_elevation(piece).value if elevation_unit(unit.strip()) else None
    if read is None:
        return None
    low, high = (read.m, read.m) if read.m is not None else (read.m_min, read.m_max)
    return _Found("elevation", {"elevation_m_min": _metres(low), "elevation_m_max": _metres(high)})


def _metres(metres: int | None) -> float | None:
    return None if metres is None else float(metres)


def _read_weight(piece: str, context: _Context) -> _Found | None:
    read = parse_weight(_STOCK.sub("", piece), place=context.country_code)
    if "ambiguous_jin" in read.noticed:
        return _Found("", {}, "a jin is 600 g in Taiwan and 500 g on the mainland: say which")
    if read.value is None:
        return None
    return _Found("available", {"available_grams": Decimal(read.value.grams)})


def _read_harvest(piece: str, context: _Context) -> _Found | None:
    read = parse_date(piece)
    if "ambiguous_date" in read.noticed:
        return _Found("", {}, "day and month cannot be told apart: write the month as a word")
    if read.value is None or (read.value.precision == "season" and find_season(piece) is None):
        return None
    value = read.value
    season = find_season(piece) if value.precision == "season" else None
    values: dict[str, Any] = {
        "harvest_precision": value.precision,
        "harvest_text": piece,
        "harvest_year": value.year,
    }
    if season:
        return _Found("harvest", {**values, "season": piece})
    span = _with_year(value, context.today, after=False)
    if span is None:
        return _Found("harvest", values)
    note = "" if value.year else f"the year was not said: {span[0].year} is the last one"
    return _Found(
        "harvest",
        {**values, "harvest_from": span[0], "harvest_to": span[1], "harvest_year": span[1].year},
        note,
    )


def _with_year(read: PartialDate, today: dt.date, *, after: bool) -> tuple[dt.date, dt.date] | None:
    """Return the days a date means; without a year the next such days after today, or the last before."""
    years = [read.year] if read.year else [today.year + step for step in ((0, 1) if after else (0, -1, -2))]
    for year in years:
        span = _span_in(read, year)
        if span and (read.year or (span[1] >= today if after else span[0] <= today)):
            return span
    return None


def _span_in(read: PartialDate, year: int) -> tuple[dt.date, dt.date] | None:
    if read.start and read.end:
        return read.start, read.end
    if read.month and read.day:
        try:
            last = dt.date(year, read.end_month or read.month, read.end_day or read.day)
            return dt.date(year, read.month, read.day), last
        except ValueError:  # 29 February in a year that has none
            return None
    return replace(read, year=year).span()


def _read_season(piece: str, _: _Context) -> _Found | None:
    season = find_season(piece)
    if season is None or len(piece.split()) > 3:
        return None
    return _Found("harvest", {"season": piece, "harvest_text": piece, "harvest_precision": "season"})


def _read_roast(piece: str, context: _Context) -> _Found | None:
    if not _ROAST.search(piece):
        return None
    said = _BARE_ROAST.sub("", piece).strip(" -:,") or piece
    day = parse_date(re.sub(r"^on ", "", said)).value
    if day is None or day.precision != "day":
        return _Found("roast", {"roast": said})
    span = _with_year(day, context.today, after=False)
    note = "" if day.year else "the year was not said: the last such day"
    return _Found("roast date", {"roast_date": span[1]}, note) if span else None


def _read_oxidation(piece: str, _: _Context) -> _Found | None:
    if not _OXIDATION.search(piece):
        return None
    said = re.sub(r"\b(?:oxidation|oxidi[sz]ed|ox)\b\.?", "", piece, flags=re.IGNORECASE).strip(" -:")
    return _Found("oxidation", {"oxidation": said or piece})


def _read_cultivar(piece: str, _: _Context) -> _Found | None:
    bare = re.sub(r"^(?:cultivar|cv\.?|variety|sorte|品種|品种)\s*:?\s*", "", piece, flags=re.IGNORECASE)
    reading = read_cultivar(bare)
    if reading is None or (is_only_a_place(bare) and not reading.sure):
        return None
    note = "" if reading.sure else f"read as the cultivar {reading.cultivar.name}: {reading.why}"
    return _Found("cultivar", {"cultivar": bare}, note)


def _read_place(piece: str, _: _Context) -> _Found | None:
    return _Found("place", {"place": piece}) if is_only_a_place(piece) else None


def _read_class(piece: str, _: _Context) -> _Found | None:
    if find_class(piece) is None or len(piece.split()) > 2:
        return None
    return _Found("class", {"tea_class": piece})


_READERS: tuple[Callable[[str, _Context], _Found | None], ...] = (
    _read_label,
    _read_until,
    _read_smallest,
    _read_price,
    _read_roast,
    _read_elevation,
    _read_weight,
    _read_harvest,
    _read_oxidation,
    _read_cultivar,
    _read_place,
    _read_season,
    _read_class,
)
