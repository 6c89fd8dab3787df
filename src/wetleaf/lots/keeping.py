"""Making what people write fit the columns it is kept in, on SQLite and on PostgreSQL alike."""

from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any, TypeVar

from django.db import models

M = TypeVar("M", bound=models.Model)


def kept(model: type[M], **fields: Any) -> M:
    """Make an unsaved `model` whose texts fit: longer ones are cut with an ellipsis, NUL signs are left out.

    SQLite would keep any length and PostgreSQL refuse it; a long cell must not decide which database works.
    A number with more digits than its column becomes None where the column allows that.
    """
    return model(**{name: _fitting(model, name, value) for name, value in fields.items()})


def _fitting(model: type[models.Model], name: str, value: Any) -> Any:
    if isinstance(value, str):
        return fitting_text(model, name, value)
    if isinstance(value, Decimal):
        return _fitting_number(model._meta.get_field(name), value)
    return value


def fitting_text(model: type[models.Model], name: str, text: str) -> str:
    """The text as the column `name` of `model` can hold it."""
    most = _longest(model, name)
    plain = text.replace("\0", "")
    return plain if most is None or len(plain) <= most else plain[: most - 1] + "…"


@cache
def _longest(model: type[models.Model], name: str) -> int | None:
    return getattr(model._meta.get_field(name), "max_length", None)


def _fitting_number(field: Any, value: Decimal) -> Decimal | None:
    if not isinstance(field, models.DecimalField):
        return value
    whole_digits = field.max_digits - field.decimal_places
    try:
        rounded = value.quantize(Decimal(1).scaleb(-field.decimal_places))
    except InvalidOperation:
        return None
    return rounded if abs(rounded) < Decimal(10) ** whole_digits else None
