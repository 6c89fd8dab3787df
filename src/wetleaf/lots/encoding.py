"""Readings as JSON and back: what a `Fact` or an `Offer` keeps of an elevation, a half-known date, a price.

A record becomes the mapping of its fields that are not at their default; decimals and dates become text, so
that nothing is rounded on the way.
"""

import dataclasses
import datetime as dt
import types
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from wetleaf.trade.dates import PartialDate
from wetleaf.trade.money import Price
from wetleaf.trade.quantities import Degree, Elevation

T = TypeVar("T")


def as_json(value: Any) -> Any:
    """Turn a reading (a frozen record, a decimal, a date, a text) into what JSON can hold.

    >>> from wetleaf.trade.money import Price
    >>> as_json(Price(Decimal("1200"), "TWD", Decimal(600)))
    {'amount': '1200', 'currency': 'TWD', 'per_g': '600'}
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = ((field, getattr(value, field.name)) for field in dataclasses.fields(value))
        return {field.name: as_json(held) for field, held in fields if held != field.default}
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, tuple | list):
        return [as_json(one) for one in value]
    if isinstance(value, str):
        return value.replace("\0", "")  # which PostgreSQL's JSON cannot hold
    return value


def from_json(wanted: type[T], held: Any) -> T:
    """Turn what `as_json` made of a `wanted` back into one; raises TypeError for what it did not make.

    >>> from_json(Decimal, "2.50")
    Decimal('2.50')
    """
    value: T = _decoded(wanted, held)
    return value


def _decoded(wanted: Any, held: Any) -> Any:
    if held is None:
        return None
    if dataclasses.is_dataclass(wanted):
        return _record(wanted, held)
    origin = get_origin(wanted)
    if origin in (Union, types.UnionType):
        (inner,) = (one for one in get_args(wanted) if one is not type(None))
        return _decoded(inner, held)
    if origin is tuple:
        return tuple(_decoded(get_args(wanted)[0], one) for one in held)
    return _plain(wanted, held)


def _record(wanted: Any, held: Any) -> Any:
    if not isinstance(held, Mapping):
        raise TypeError(f"{held!r} is no {wanted.__name__}")
    hints = get_type_hints(wanted)
    return wanted(**{name: _decoded(hints[name], inner) for name, inner in held.items()})


def _plain(wanted: Any, held: Any) -> Any:
    if wanted is Decimal:
        return Decimal(str(held))
    if wanted is dt.date:
        return dt.date.fromisoformat(held)
    return held


READ_AS: Mapping[str, type] = {
    "elev": Elevation,
    "harvest": PartialDate,
    "sample_received": PartialDate,
    "offer_until": PartialDate,
    "ox": Degree,
    "roast": Degree,
    "price": Price,
    "loss_percent": Decimal,
    "markup": Decimal,
    "moq_grams": Decimal,
    "moq_grams_max": Decimal,
    "avail_grams": Decimal,
    "avail_grams_max": Decimal,
}
"""The fields of a lot that are read as more than their text."""


def reading_as_json(value: Any) -> Any:
    """The `value` of a `Fact`: a mapping, whatever was read.

    >>> reading_as_json("hand picked"), reading_as_json(Decimal("55"))
    ({'text': 'hand picked'}, {'number': '55'})
    """
    if isinstance(value, str):
        return {"text": as_json(value)}
    if isinstance(value, Decimal):
        return {"number": as_json(value)}
    return as_json(value)


def reading_from_json(field: str, held: Any) -> Any:
    """The reading again, by its field: an `Elevation`, a `PartialDate`, a `Decimal`, or the text.

    >>> reading_from_json("elev", {"m": 750}).m, reading_from_json("kept", {"text": "sealed"})
    (750, 'sealed')
    """
    if held is None:
        return None
    if set(held) == {"text"}:
        return held["text"]
    if set(held) == {"number"}:
        return Decimal(held["number"])
    return from_json(READ_AS[field], held)
