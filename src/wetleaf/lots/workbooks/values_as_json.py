"""Numbers, dates, prices and other values as JSON has them."""

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from wetleaf.lots.workbooks.records import (
    Cell,
)
from wetleaf.trade.dates import PartialDate
from wetleaf.trade.money import Price
from wetleaf.trade.quantities import Degree, Elevation

Json = dict[str, Any]


def number(value: Decimal | float | None) -> float | int | None:
    """Give a number as JSON has it: whole if it is whole.

    >>> number(Decimal("2000.0")), number(Decimal("38.5"))
    (2000, 38.5)
    """
    if value is None:
        return None
    as_float = float(value)
    return int(as_float) if as_float.is_integer() else round(as_float, 6)


def plain_json(value: Any) -> Any:
    if isinstance(value, Decimal):
        return number(value)
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {key: plain_json(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [plain_json(item) for item in value]
    return value


def without_blanks(base: Json, **more: Any) -> Json:
    return base | {
        key: value
        for key, value in more.items()
        if not (value is None or value is False or value in ("", ()))
    }


def raw_of(cell: Cell) -> Any:
    """Give what stood in a cell, in the form in which it was stored."""
    if cell.native == "formula":
        return {"formula": cell.says, "cached": _native(cell.cached)}
    if cell.native == "number":
        return _native(cell.says)
    return None if cell.native == "empty" else cell.says


def _native(text: str) -> Any:
    try:
        return number(float(text))
    except ValueError:
        return text


def elevation_json(elevation: Elevation | None) -> Json | None:
    """Metres, or their range, with what was written."""
    if elevation is None:
        return None
    base: Json = {"m": elevation.m, "unit_written": elevation.unit_written}
    return without_blanks(
        base, value_written=number(elevation.value_written), approximate=elevation.approximate
    ) | {
        key: value
        for key, value in (("m_min", elevation.m_min), ("m_max", elevation.m_max))
        if value is not None
    }


def date_json(date: PartialDate | None) -> Json | None:
    """A date as precisely as it was written; `year` is null when it was not."""
    if date is None:
        return None
    base: Json = {"precision": date.precision, "year": date.year}
    if date.start and date.end:
        base |= {"from": date.start.isoformat(), "to": date.end.isoformat()}
    shows_month = date.precision in ("month", "part_of_month") or date.year is None
    return without_blanks(
        base,
        month=date.month if shows_month else None,
        day=date.day if date.year is None else None,
        end_month=date.end_month if date.year is None else None,
        end_day=date.end_day if date.year is None else None,
        part=date.part,
        season=date.season,
        week=date.week,
        alternatives=[day.isoformat() for day in date.alternatives] or None,
        ambiguous=date.ambiguous,
        doubtful=date.doubtful,
        approximate=date.approximate,
        implausible=date.implausible,
    )


def price_json(price: Price | None) -> Json | None:
    """An amount in its currency for a weight in grams, and for a kilogram."""
    if price is None:
        return None
    return without_blanks(
        {
            "amount": number(price.amount),
            "currency": price.currency,
            "per_g": number(price.per_g),
            "per_kg": number(price.per_kg),
        },
        doubtful=price.doubtful,
    )


def degree_json(degree: Degree | None) -> Json | None:
    """A percentage, a range of them, or a word."""
    if degree is None:
        return None
    found = {"pct": degree.pct, "pct_min": degree.pct_min, "pct_max": degree.pct_max}
    base: Json = {key: number(value) for key, value in found.items() if value is not None}
    return without_blanks(base, word=degree.word, approximate=degree.approximate, doubtful=degree.doubtful)


def grams_json(low: Decimal | None, high: Decimal | None = None) -> Json | None:
    if low is None:
        return None
    return (
        {"g": number(low)}
        if high is None
        else {"g": number(low), "g_min": number(low), "g_max": number(high)}
    )
