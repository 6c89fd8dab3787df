"""How people write a price: currency and weight in the header, in the cell, or in columns of their own."""

from dataclasses import dataclass
from typing import Any

from tests.books.manner import Manner, as_text, missing, told
from tests.books.rare_words import RARE_PRICE_SHAPES
from tests.books.truth import Problem, Written

_BELOW_ZERO = Problem("negative_price", "error", "a price below zero")
_OTHER_MONEY = Problem("currency_differs_from_header", "warn", "another currency than the column's")
_OTHER_WEIGHT = Problem("unit_differs_from_header", "info", "another weight than the column's")
_DOUBTFUL = Problem("doubtful", "warn", "question mark")
_SIGNS = {"GBP": "£", "EUR": "€", "USD": "US$", "TWD": "NT$", "INR": "Rs ", "CNY": "RMB ", "JPY": "JPY "}
_ROUGH = {"GBP": 1.0, "EUR": 1.15, "USD": 1.3, "TWD": 41.0, "INR": 110.0, "CNY": 9.3, "JPY": 195.0}


@dataclass(frozen=True)
class PriceColumn:
    """What the header says: the currency and the grams a price is for; `bare` when the cells say it."""

    header: str
    currency: str
    per_g: float
    bare: bool = False


def price_column(manner: Manner) -> PriceColumn:
    """Choose a currency and a weight, and write the header that says so."""
    currency, sign = _money(manner)
    if manner.language == "en" and manner.roll(0.1):
        return PriceColumn(manner.pick(("Price", "Cost", "Asking")), currency, 1000.0, bare=True)
    unit, per_g = manner.pick(_weights(manner, currency))
    if manner.language != "en":
        return PriceColumn(_foreign_header(manner, sign, unit), currency, per_g)
    word = manner.pick(("Price", "Cost", "FOB", "Asking", "Price ex works", "price"))
    shapes: tuple[str, ...] = (
        "{w} {s}/{u}",
        "{w} ({s}/{u})",
        "{w} {s} per {u}",
        "{w}/{u} ({s})",
        "{s}/{u}",
        "{w}, {s} / {u}",
    )
    shapes = RARE_PRICE_SHAPES if manner.rare else shapes
    return PriceColumn(manner.pick(shapes).format(w=word, s=sign, u=unit), currency, per_g)


def _money(manner: Manner) -> tuple[str, str]:
    origin = manner.origin
    if manner.language in ("de", "fr"):
        return "EUR", manner.pick(("€", "EUR"))
    if manner.roll(0.65) or manner.language != "en":
        return origin.currency, manner.pick(origin.signs)
    currency = manner.pick(("GBP", "EUR", "USD"))
    return currency, manner.pick({"GBP": ("£", "GBP"), "EUR": ("€", "EUR"), "USD": ("US$", "USD")}[currency])


def _weights(manner: Manner, currency: str) -> list[tuple[str, float]]:
    kilo = [("kg", 1000.0), ("kg", 1000.0), ("100g", 100.0), ("100 g", 100.0)]
    jin = float(manner.origin.jin_grams)
    if currency == manner.origin.currency and jin:
        local = [("jin", jin), (f"{jin:.0f}g", jin), ("jin", jin), ("斤", jin)]
        return local + kilo[:1] + ([("catty", jin)] if manner.origin.name == "Taiwan" else [])
    if currency == "USD":
        return [*kilo, ("lb", 453.59237), ("oz", 28.349523)]
    return [*kilo, ("50g", 50.0)] if currency in ("GBP", "EUR") else kilo


def _foreign_header(manner: Manner, sign: str, unit: str) -> str:
    word = {"de": "Preis", "fr": "Prix", "zh": "價格", "zh_cn": "价格", "ja": "価格"}[manner.language]
    return f"{word} {sign}/{unit}" if manner.roll(0.6) else f"{word} ({sign}/{unit})"


def write_price(manner: Manner, column: PriceColumn) -> Written:
    """Write a price in this column."""
    if manner.roll(0.03):
        return missing(manner)
    amount = _amount(manner, column.currency, column.per_g)
    if column.bare:
        return _whole(manner, column, amount)
    if manner.roll(manner.wrong):
        return told(manner.number(-amount), None, _BELOW_ZERO)
    if not manner.roll(manner.messy):
        return told(manner.number(amount), money_read(amount, column.currency, column.per_g))
    return manner.pick((_signed, _signed, _whole, _thousands, _doubtful, _other_weight, _other_money))(
        manner, column, amount
    )


def money_read(amount: float, currency: str, per_g: float) -> dict[str, Any]:
    """Return what is read from a price."""
    return {"amount": amount, "currency": currency, "per_g": per_g, "per_kg": round(amount * 1000 / per_g, 4)}


def _amount(manner: Manner, currency: str, per_g: float) -> float:
    low, high = manner.origin.per_kg
    per_kg = manner.rng.uniform(low, high) * _ROUGH[currency] / _ROUGH[manner.origin.currency]
    amount = per_kg * per_g / 1000
    if currency in ("TWD", "JPY", "INR") and amount > 100:
        return int(round(amount, -1))
    return round(amount, 0 if amount > 300 else 1) if amount > 4 else round(amount, 2)


def _sign(currency: str) -> str:
    return _SIGNS[currency]


def _money_text(manner: Manner, amount: float) -> str:
    if manner.decimal_comma:
        whole, _, cents = f"{amount:.2f}".partition(".")
        return f"{int(whole):,}".replace(",", " " if manner.language == "fr" else ".") + f",{cents}"
    return f"{amount:,.2f}".removesuffix(".00")


def _signed(manner: Manner, column: PriceColumn, amount: float) -> Written:
    text = f"{_sign(column.currency)}{_money_text(manner, amount)}"
    return told(text, money_read(amount, column.currency, column.per_g))


def _whole(manner: Manner, column: PriceColumn, amount: float) -> Written:
    unit = f"{column.per_g:.0f}g" if column.per_g in (50, 100, 500, 600) else "kg"
    per_g = column.per_g if unit != "kg" else 1000.0
    amount = amount if per_g == column.per_g else _amount(manner, column.currency, per_g)
    other = () if per_g == column.per_g else (_OTHER_WEIGHT,)
    text = f"{_sign(column.currency)}{_money_text(manner, amount)}/{unit}"
    return told(text, money_read(amount, column.currency, per_g), *other)


def _thousands(manner: Manner, column: PriceColumn, amount: float) -> Written:
    read = money_read(amount, column.currency, column.per_g)
    return told(_money_text(manner, amount), read, *as_text(manner))


def _doubtful(manner: Manner, column: PriceColumn, amount: float) -> Written:
    return told(f"{manner.decimal(amount)}?", money_read(amount, column.currency, column.per_g), _DOUBTFUL)


def _other_weight(manner: Manner, column: PriceColumn, amount: float) -> Written:
    per_g, unit = (100.0, "100g") if column.per_g != 100 else (1000.0, "kg")
    amount = _amount(manner, column.currency, per_g)
    text = f"{_sign(column.currency)}{_money_text(manner, amount)}{manner.pick(('/', ' / ', ' per '))}{unit}"
    return told(text, money_read(amount, column.currency, per_g), _OTHER_WEIGHT)


def _other_money(manner: Manner, column: PriceColumn, amount: float) -> Written:
    currency = "EUR" if column.currency == "GBP" else "GBP"
    amount = _amount(manner, currency, 1000.0)
    text = f"{_sign(currency)}{_money_text(manner, amount)}/kg"
    return told(text, money_read(amount, currency, 1000.0), _OTHER_MONEY)
