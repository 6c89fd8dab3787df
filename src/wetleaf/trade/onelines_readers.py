"""One run of words of a line, read as the one fact it states; None where it states none."""

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import lru_cache
from typing import Any

from wetleaf.trade.classes import find_class
from wetleaf.trade.cultivars import read_cultivar
from wetleaf.trade.date_words import MONTHS
from wetleaf.trade.dates import PartialDate, parse_date
from wetleaf.trade.money import Price, parse_price
from wetleaf.trade.onelines_forms import (
    BARE_PERCENT,
    EASTERN_ROAST,
    FROM,
    OXIDATION,
    ROAST,
    SMALLEST,
    STOCK,
    UNTIL,
    WHERE,
    has_height_form,
    has_price_form,
    has_weight_form,
    is_a_person,
    is_money,
    is_plain_class,
)
from wetleaf.trade.origins import is_only_a_place
from wetleaf.trade.quantities import parse_elevation, parse_weight
from wetleaf.trade.seasons import find_season

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SMALL = re.compile(r"\b(?:oxidation|oxidi[sz]ed|ox|fermentation|fermented)\b\.?:?", re.IGNORECASE)
# A line asks about the same words in many runs.
_is_a_place = lru_cache(maxsize=8192)(is_only_a_place)
_season_in = lru_cache(maxsize=8192)(find_season)
_class_in = lru_cache(maxsize=8192)(find_class)
_A_JIN = "a jin is 600 g in Taiwan and 500 g on the mainland: say which, or the place"


@dataclass(frozen=True)
class Context:
    """What the rest of the line tells: the day it was typed, and the country it speaks of."""

    today: dt.date
    country_code: str


@dataclass(frozen=True)
class Found:
    """What a run of words gives: fields of the facts, the price or the last day; its meaning; and a note.

    `names` is true of words that a tea's name may hold as well: a place, a cultivar, a class.
    """

    read_as: str
    values: dict[str, Any]
    meaning: str = ""
    note: str = ""
    names: bool = field(default=False)


def read_words(words: str, context: Context) -> Found | None:
    """Return what a run of words states as a whole, or None."""
    for reader in _READERS:
        found = reader(words, context)
        if found:
            return found
    return None


def read_part(words: str, context: Context) -> Found | None:
    """Return what a whole part between two commas states, where it may be put more freely, or None."""
    return read_words(words, context) or _bare_percent(words) or _loose_roast(words)


def _until(words: str, context: Context) -> Found | None:
    found = UNTIL.match(words)
    if not found:
        return None
    day = _next_weekday(found["rest"], context.today) or _last_day(found["rest"], context.today)
    if day is None:
        return None
    note = "" if str(day.year) in words else f"read as {day.isoformat()}, the next such day"
    return Found("offer until", {"offer_until": day}, day.isoformat(), note)


def _next_weekday(text: str, today: dt.date) -> dt.date | None:
    said = text.lower().strip(" .").removeprefix("next ")
    named = [number for number, name in enumerate(_WEEKDAYS) if said in (name, name[:3], name[:4], name[:5])]
    return today + dt.timedelta(days=(named[0] - today.weekday() - 1) % 7 + 1) if named else None


def _last_day(text: str, today: dt.date) -> dt.date | None:
    read = parse_date(text).value
    span = with_year(read, today, after=True) if read else None
    return span[1] if span else None


def _smallest(words: str, context: Context) -> Found | None:
    found = SMALLEST.match(re.sub(r"^(.+\S)\s+(min(?:imum)?|moq)\.?$", r"\2 \1", words, flags=re.IGNORECASE))
    if not found or not has_weight_form(found["rest"]):
        return None
    return _weight_as("smallest order", "moq_grams", found["rest"], context)


def _available(words: str, context: Context) -> Found | None:
    bare = STOCK.sub("", words)
    return _weight_as("available", "available_grams", bare, context) if has_weight_form(bare) else None


def _weight_as(read_as: str, name: str, words: str, context: Context) -> Found | None:
    read = parse_weight(words, place=context.country_code)
    if "ambiguous_jin" in read.noticed or "ambiguous_tael" in read.noticed:
        return Found("", {}, note=_A_JIN)
    if read.value is None:
        return None
    grams = Decimal(read.value.grams)
    said = f"{(grams / 1000).normalize():f} kg" if grams >= 1000 else f"{grams.normalize():f} g"
    return Found(read_as, {name: grams}, said)


def _price(words: str, context: Context) -> Found | None:
    if not has_price_form(words):
        return None
    read = parse_price(
        re.sub(r"^(?:@|at|for|asking|asks)\s+|^@", "", words, flags=re.I), place=context.country_code
    )
    if "ambiguous_currency" in read.noticed:
        return Found("", {}, note="which currency is meant cannot be told: write CNY, JPY, TWD, ...")
    if "ambiguous_jin" in read.noticed or "ambiguous_tael" in read.noticed:
        return Found("", {}, note=_A_JIN)
    if read.value is None:
        return None
    missing = [
        said for said, what in (("currency", read.value.currency), ("weight", read.value.per_g)) if not what
    ]
    note = f"the {' and the '.join(missing)} of the price cannot be told" if missing else ""
    return Found("price", {"price": words, "price_read": read.value}, _said_price(read.value), note)


def _said_price(price: Price) -> str:
    amount = f"{price.amount:f} {price.currency or ''}".strip()
    if price.per_g is None or price.per_kg is None:
        return amount
    return f"{amount} for {price.per_g.normalize():f} g, {price.per_kg:f} a kg"


def _elevation(words: str, _: Context) -> Found | None:
    bare = re.sub(r"^(?:at|auf)\s+", "", words, flags=re.IGNORECASE)
    read = parse_elevation(bare).value if has_height_form(words) else None
    if read is None:
        return None
    low, high = (read.m, read.m) if read.m is not None else (read.m_min, read.m_max)
    said = " to ".join(f"{metres} m" for metres in dict.fromkeys((low, high)) if metres is not None)
    return Found("elevation", {"elevation_m_min": _metres(low), "elevation_m_max": _metres(high)}, said)


def _metres(metres: int | None) -> float | None:
    return None if metres is None else float(metres)


def _harvest(words: str, context: Context) -> Found | None:
    if not any(sign.isdigit() for sign in words) and words in MONTHS and words.isascii():
        return None  # "may" and "mar" in small letters are words before they are months
    read = parse_date(words)
    if "ambiguous_date" in read.noticed:
        return Found("", {}, note="day and month cannot be told apart: write the month as a word")
    if read.value is None or (read.value.precision == "season" and _season_in(words) is None):
        return None
    value = read.value
    values: dict[str, Any] = {
        "harvest_precision": value.precision,
        "harvest_text": words,
        "harvest_year": value.year,
    }
    if value.precision == "season":
        return Found("harvest", {**values, "season": words}, words)
    span = with_year(value, context.today, after=False)
    if span is None:
        return Found("harvest", values, words)
    note = "" if value.year else f"the year was not said: {span[0].year} is the last one"
    days = {"harvest_from": span[0], "harvest_to": span[1], "harvest_year": span[1].year}
    said = " to ".join(dict.fromkeys(day.isoformat() for day in span))
    return Found("harvest", {**values, **days}, said, note)


def with_year(read: PartialDate, today: dt.date, *, after: bool) -> tuple[dt.date, dt.date] | None:
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


def _season(words: str, _: Context) -> Found | None:
    """A season whose every word is needed: in "Hollow spring" only the second is."""
    each = words.split()
    if _season_in(words) is None or len(each) > 4:
        return None
    if len(each) > 1 and any(_season_in(" ".join(rest)) for rest in (each[1:], each[:-1])):
        return None
    values = {"season": words, "harvest_text": words, "harvest_precision": "season"}
    return Found("harvest", values, words)


def _roast(words: str, context: Context) -> Found | None:
    found = ROAST.fullmatch(words)
    if not found:
        return _eastern_roast(words)
    day = parse_date(re.sub(r"^on ", "", found["after"] or "", flags=re.IGNORECASE)).value
    has_no_day = bool(found["how"].strip()) or found["word"].lower().startswith("un")
    if day is not None and day.precision == "day" and not has_no_day:
        return _roast_day(day, context)
    after = found["after"] or ""
    holds_a_day = day is not None or (
        any(sign.isdigit() for sign in after) and not BARE_PERCENT.fullmatch(after)
    )
    if holds_a_day and (day is None or has_no_day):
        return None  # "medium roast 18 Apr": the day is another fact
    if re.match(r"(?:on|early|mid|late)\b", after, re.IGNORECASE) and day is None:
        return None
    bare = found["word"].lower() in ("roast", "roasted")
    if bare and not found["how"].strip() and not found["after"]:
        return None  # how it was roasted is not said
    said = f"{found['how']}{'' if bare else found['word']} {after}".strip(" -/")
    return Found("roast", {"roast": said}, said)


def _roast_day(day: PartialDate, context: Context) -> Found | None:
    span = with_year(day, context.today, after=False)
    note = "" if day.year else "the year was not said: the last such day"
    return Found("roast date", {"roast_date": span[1]}, span[1].isoformat(), note) if span else None


def _eastern_roast(words: str) -> Found | None:
    if not EASTERN_ROAST.fullmatch(words):
        return None
    return Found("roast", {"roast": re.sub(r"焙火$", "", words) or words}, words)


def _loose_roast(words: str) -> Found | None:
    """A short part that speaks of the roast in words of its own: "honey roast"."""
    if (
        words[:1].isupper()
        or len(words.split()) > 3
        or not re.search(r"roast|\bfired\b|\bfiring\b|geröstet|torréf", words, re.I)
    ):
        return None
    if re.search(r"\b(?:more|less|than|same|but|like|as|which|who|is|not)\b", words, re.IGNORECASE):
        return None
    said = re.sub(r"\broast(?:ed)?\b", "", words, flags=re.IGNORECASE).strip(" -:") or words
    return Found("roast", {"roast": said}, said)


def _oxidation(words: str, _: Context) -> Found | None:
    if not OXIDATION.fullmatch(words):
        return None
    return Found("oxidation", {"oxidation": _SMALL.sub("", words).strip(" -:") or words}, words)


def _bare_percent(words: str) -> Found | None:
    return Found("oxidation", {"oxidation": words}, words) if BARE_PERCENT.fullmatch(words) else None


def _maker(words: str, _: Context) -> Found | None:
    found = FROM.match(words)
    if not found or not is_a_person(found["who"]) or _is_a_place(found["who"]):
        return None
    if any(_is_no_surname(word) for word in found["who"].split()[1:]):
        return None
    return Found("maker", {"producer": found["who"]}, found["who"])


def _is_no_surname(word: str) -> bool:
    return _is_a_place(word) or bool(_season_in(word)) or word.casefold() in MONTHS or is_money(word)


def _cultivar(words: str, _: Context) -> Found | None:
    bare = re.sub(r"^(?:cultivar|cv\.?|variety|sorte|品種|品种)\s*:?\s*", "", words, flags=re.IGNORECASE)
    reading = read_cultivar(bare)
    if reading is None or (_is_a_place(bare) and not reading.sure):
        return None
    note = "" if reading.sure else f"read as the cultivar {reading.cultivar.name}: {reading.why}"
    return Found("cultivar", {"cultivar": bare}, reading.cultivar.name, note, names=bare == words)


def _place(words: str, _: Context) -> Found | None:
    where = WHERE.match(words)
    if where and _is_a_place(where["place"]):
        return Found("place", {"place": where["place"]}, where["place"])
    return Found("place", {"place": words}, words, names=True) if _is_a_place(words) else None


def _class(words: str, _: Context) -> Found | None:
    """A class whose every word is needed."""
    each = words.split()
    known = _class_in(words)
    if known is None or len(each) > 4:
        return None
    fewer = (each[1:], each[:-1]) if len(each) > 1 and not is_plain_class(words) else ()
    if any(_class_in(" ".join(rest)) == known for rest in fewer):
        return None
    return Found("class", {"tea_class": words}, known.name, names=True)


_READERS: tuple[Callable[[str, Context], Found | None], ...] = (
    _until,
    _smallest,
    _price,
    _roast,
    _elevation,
    _available,
    _harvest,
    _oxidation,
    _maker,
    _cultivar,
    _place,
    _season,
    _class,
)
