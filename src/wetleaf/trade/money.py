"""Prices as buyers write them: an amount, a currency, and what weight it buys.

`¥` is yen or yuan, `元` New Taiwan dollars or yuan, `Rs` three rupees at least: the column's head,
the place of the lot or the rest of the book tells which; if nothing does, it is asked. Amounts are Decimal.
Currency codes are those of ISO 4217. A weight of 600 g for a Taiwan jin and 500 g for a mainland
jin: see `quantities.py`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from wetleaf.trade.numbers import DecimalMark, Reading, ReadNumber, fold_width, parse_number
from wetleaf.trade.quantities import grams_in, weight_unit

_CURRENCIES: tuple[tuple[str, str], ...] = (
    ("TWD", r"NT\s?\$|NTD|TWD|NT(?=\s?\d|\b)|新台幣|新臺幣|台幣|臺幣"),
    ("HKD", r"HK\s?\$|HKD|港幣|港币"),
    ("USD", r"US\s?\$|USD|U\.S\.\s?\$"),
    ("AUD", r"AU?\s?\$|AUD"),
    ("CAD", r"CA?\s?\$|CAD"),
    ("SGD", r"SG?\s?\$|SGD"),
    ("NZD", r"NZ\s?\$|NZD"),
    ("GBP", r"£|GBP|pounds? sterling|quid"),
    ("EUR", r"€|EUR(?:OS?)?|欧元|歐元"),
    ("CNY", r"RMB|CNY|CN¥|CN￥|人民币|人民幣|yuan"),
    ("JPY", r"JPY|JP¥|円|日圓|日元|yen"),
    ("INR", r"₹|INR|Ind\.?\s?Rs"),
    ("NPR", r"NPR|रू|N\.?Rs"),
    ("LKR", r"LKR|SLRs?"),
    ("KRW", r"₩|KRW|won|원"),
    ("VND", r"₫|VND|đồng"),
    ("THB", r"฿|THB|baht"),
    ("CHF", r"CHF|SFr\.?|Fr\."),
    ("KES", r"KES|KSh"),
    ("SEK", r"SEK"),
    ("DKK", r"DKK"),
    ("NOK", r"NOK"),
    ("PLN", r"PLN|zł"),
    ("CZK", r"CZK|Kč"),
)
_AMBIGUOUS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("yen_or_yuan", r"¥|￥", ("JPY", "CNY")),
    ("dollar", r"\$", ("USD", "TWD", "HKD", "AUD", "CAD", "SGD", "NZD")),
    ("yuan_or_dollar", r"元|圓|圆|塊|块", ("CNY", "TWD")),
    ("rupee", r"Rs\.?|Rupees?|₨", ("INR", "NPR", "LKR")),
    ("krone", r"kr\.?", ("SEK", "DKK", "NOK")),
)
CURRENCY_OF_PLACE: Mapping[str, str] = {
    "TW": "TWD",
    "CN": "CNY",
    "HK": "HKD",
    "JP": "JPY",
    "IN": "INR",
    "NP": "NPR",
    "LK": "LKR",
    "KR": "KRW",
    "VN": "VND",
    "KE": "KES",
    "SG": "SGD",
}
PLACE_OF_CURRENCY: Mapping[str, str] = {currency: place for place, currency in CURRENCY_OF_PLACE.items()}


_MOST_PER_KG = Decimal("1e18")
"""No money of any country has ever asked so much for a kilogram of tea: such a number is a slip."""
_LEAST_GRAMS = Decimal("0.001")


@dataclass(frozen=True)
class PriceUnit:
    """What a column's head says of its prices: the currency and the grams the amount buys, each if
    it does.
    """

    currency: str = ""
    per_g: Decimal | None = None
    noticed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Price:
    """An amount in a currency (ISO 4217) for a weight in grams; None for what was not said."""

    amount: Decimal
    currency: str | None
    per_g: Decimal | None
    doubtful: bool = False

    @property
    def per_kg(self) -> Decimal | None:
        """The same price for a kilogram, in its own currency; None where there is none that makes sense.

        That is where no weight was said, a weight of nothing, no number, or more than any money.

        >>> Price(Decimal(1200), "TWD", Decimal(600)).per_kg
        Decimal('2000')
        >>> Price(Decimal(1200), "TWD", Decimal(0)).per_kg, Price(Decimal("1e30"), "TWD", Decimal(600)).per_kg
        (None, None)
        """
        if self.per_g is None or not _is_a_price(self.amount, self.per_g):
            return None
        each = self.amount * 1000 / self.per_g
        if abs(each) >= _MOST_PER_KG:
            return None
        return each.quantize(Decimal("0.000001")).normalize() + Decimal(0)


def _is_a_price(amount: Decimal, per_g: Decimal) -> bool:
    return amount.is_finite() and per_g.is_finite() and abs(amount) < _MOST_PER_KG and per_g >= _LEAST_GRAMS


def _word_pattern(signs: str) -> re.Pattern[str]:
    # A sign made of letters must not be the tail of another word: `won` is not in `Darwon`.
    return re.compile(rf"(?<![^\W\d_])(?:{signs})(?![a-z])", re.IGNORECASE)


_CERTAIN = tuple((code, _word_pattern(signs)) for code, signs in _CURRENCIES)
_OPEN = tuple((name, _word_pattern(signs), among) for name, signs, among in _AMBIGUOUS)
_PER = re.compile(
    r"(?:/|per\b|pro\b|je\b|\bpar\b|\ble\b|\bla\b|\ba\b|\bthe\b|每|／)\s*(?P<count>\d+(?:[.,]\d+)?)?\s*(?P<unit>#|[^\W\d_]+)",
    re.IGNORECASE,
)


def currency_in(text: str, *, place: str = "", known: str = "") -> Reading[str]:
    """Find the currency a text names. `known` is the column's, `place` the lot's country, to
    settle `¥`, `$`, `元`, `Rs`.

    >>> currency_in("NT$1,200"), currency_in("¥300")
    (Reading(value='TWD', noticed=()), Reading(value=None, noticed=('ambiguous_currency',)))
    >>> currency_in("¥300", place="CN"), currency_in("$12", known="TWD").value
    (Reading(value='CNY', noticed=('currency_inferred',)), 'TWD')
    """
    folded = fold_width(text)
    for code, pattern in _CERTAIN:
        if pattern.search(folded):
            return Reading(code)
    for name, pattern, among in _OPEN:
        if pattern.search(folded):
            return _settled(name, among, place, known)
    return Reading(None)


def _settled(name: str, among: tuple[str, ...], place: str, known: str) -> Reading[str]:
    if known in among:
        return Reading(known)
    local = CURRENCY_OF_PLACE.get(place, "")
    if local in among:
        return Reading(local, ("currency_inferred",))
    if name == "dollar":
        return Reading("USD", ("currency_inferred",))
    return Reading(None, ("ambiguous_currency",))


def price_unit_in(text: str, *, place: str = "", jin_grams: Decimal | None = None) -> PriceUnit:
    """Read currency and weight from a column's head.

    >>> price_unit_in("Cost NT$/jin")
    PriceUnit(currency='TWD', per_g=Decimal('600'), noticed=('jin',))
    >>> price_unit_in("Preis €/kg").per_g, price_unit_in("¥ / 斤").noticed
    (Decimal('1000'), ('ambiguous_currency', 'ambiguous_jin'))
    """
    currency = currency_in(text, place=place)
    where = PLACE_OF_CURRENCY.get(currency.value or "", "")
    weight = _per_weight(fold_width(text), where if where in ("TW", "CN", "HK") else place, jin_grams)
    return PriceUnit(currency.value or "", weight.value, (*currency.noticed, *weight.noticed))


def _per_weight(text: str, place: str, jin_grams: Decimal | None) -> Reading[Decimal]:
    for found in _PER.finditer(text):
        unit = weight_unit(found["unit"])
        if unit:
            return _grams_bought(found["count"], unit, place, jin_grams)
    bare = re.search(r"(?<![\d.,])(\d+)\s*(g|gr|kg|克|公克)\b", text)
    if bare:
        return _grams_bought(bare[1], weight_unit(bare[2]), place, jin_grams)
    return _bare_unit(text, place, jin_grams)


def _bare_unit(text: str, place: str, jin_grams: Decimal | None) -> Reading[Decimal]:
    for word in re.findall(r"[^\W\d_]+", text):
        unit = weight_unit(word)
        if unit and unit != "g":
            return _grams_bought(None, unit, place, jin_grams)
    return Reading(None)


def _grams_bought(count: str | None, unit: str, place: str, jin_grams: Decimal | None) -> Reading[Decimal]:
    each = grams_in(unit, place, jin_grams)
    if each is None:
        return Reading(None, (f"ambiguous_{unit}",))
    noticed = (unit.split()[0],) if unit[:3] == "jin" or unit[:4] == "tael" else ()
    return Reading(each * Decimal((count or "1").replace(",", ".")), noticed)


def parse_price(
    text: str,
    *,
    header: PriceUnit | None = None,
    place: str = "",
    decimal: DecimalMark = "",
    jin_grams: Decimal | None = None,
) -> Reading[Price]:
    """Read a price. What the cell does not say, the column's head (`header`) does.

    Noticed: `currency_differs_from_header`, `unit_differs_from_header`, `negative_price`, `no_currency`,
    `no_price_weight`, `ambiguous_currency`, `ambiguous_jin`, `range`, `thousands_dot`, `doubtful`, ...

    >>> parse_price("NT$1,140/600g").value.per_kg, parse_price("84,50 €/kg").value.amount
    (Decimal('1900'), Decimal('84.50'))
    >>> parse_price("£38.50/kg", header=PriceUnit("TWD", Decimal(600))).noticed
    ('currency_differs_from_header',)
    >>> parse_price("-40,00", header=PriceUnit("EUR", Decimal(1000)))
    Reading(value=None, noticed=('negative_price',))
    """
    head = header or PriceUnit()
    folded = fold_width(text).strip()
    currency = currency_in(folded, place=place, known=head.currency)
    front, weight_text = _split_weight(folded)
    number = _amount(front, decimal)
    if number is None:
        return Reading(None, ("not_understood",))
    where = PLACE_OF_CURRENCY.get(currency.value or head.currency, "")
    weight = (
        _per_weight(weight_text, where if where in ("TW", "CN", "HK") else place, jin_grams)
        if weight_text
        else Reading(None)
    )
    return _priced(number, currency, weight, head)


def _split_weight(text: str) -> tuple[str, str]:
    for found in _PER.finditer(text):
        if weight_unit(found["unit"]):
            return text[: found.start()], text[found.start() :]
    bare = re.search(r"(?<=[\s\d])(kg|kilo|jin|斤|lb|台斤)\s*$", text, re.IGNORECASE)
    return (text[: bare.start()], "/" + text[bare.start() :]) if bare else (text, "")


def _amount(text: str, decimal: DecimalMark) -> ReadNumber | None:
    minus = "-" if re.match(r"^\W*[-−]\s*\W*\d", text) or re.match(r"^\(\D*\d[\d.,]*\)$", text) else ""
    stripped = text
    for _, pattern in _CERTAIN:
        stripped = pattern.sub(" ", stripped)
    for _, pattern, _among in _OPEN:
        stripped = pattern.sub(" ", stripped)
    stripped = (
        re.sub(r"^[\s\-−(]+|[\s)]+$|,-$|\.-$", "", stripped.strip())
        if minus
        else re.sub(r",[-–—]+|\.[-–—]+$", "", stripped.strip())
    )
    number = parse_number(minus + stripped, decimal, whole=True)
    if number is None or number.out_of is not None:
        return None
    return None if re.search(r"[^\W\d_]{3,}", number.unit) and not _harmless(number.unit) else number


def _harmless(words: str) -> bool:
    return bool(
        re.match(
            r"^\W*(?:fob|cif|exw|fca|dap|ddp|cfr|each|net|incl?\.?|excl?\.?|landed|plus|asked|offer|for|if|\()",
            words,
            re.I,
        )
    )


def _priced(
    number: ReadNumber, currency: Reading[str], weight: Reading[Decimal], head: PriceUnit
) -> Reading[Price]:
    amount = number.value
    if amount is None:
        return Reading(None, ("range",))
    if amount < 0:
        return Reading(None, ("negative_price",))
    noticed = [
        *number.noticed,
        *currency.noticed,
        *(kind for kind in weight.noticed if kind.startswith("ambiguous")),
    ]
    if any(kind.startswith("ambiguous_") and kind != "ambiguous_number" for kind in noticed):
        return Reading(None, tuple(noticed))
    noticed += _against_head(currency, weight, head)
    doubtful = number.doubtful or number.approximate
    noticed += [
        k
        for k, seen in (("doubtful", doubtful), ("bound", number.bound), ("zero_price", amount == 0))
        if seen
    ]
    foreign = "currency_differs_from_header" in noticed  # the head's weight was said of another money
    per_g = weight.value or (None if foreign else head.per_g)
    price = Price(amount, currency.value or head.currency or None, per_g, doubtful)
    noticed += [
        k
        for k, absent in (("no_currency", not price.currency), ("no_price_weight", not price.per_g))
        if absent
    ]
    return Reading(price, tuple(noticed))


def _against_head(currency: Reading[str], weight: Reading[Decimal], head: PriceUnit) -> list[str]:
    if currency.value and head.currency and currency.value != head.currency:
        return ["currency_differs_from_header"]
    if weight.value and head.per_g and weight.value != head.per_g:
        return ["unit_differs_from_header"]
    return []
