"""One cell of a lots table to the value of its field, with its unit, its currency and its doubts."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Any

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.dates_reading import read_date
from wetleaf.lots.workbooks.grid import Grid, GridCell, as_text
from wetleaf.lots.workbooks.sample_kinds import sample_kind
from wetleaf.trade.money import PriceUnit, currency_in, parse_price, price_unit_in
from wetleaf.trade.numbers import DecimalMark, is_missing_mark, parse_number
from wetleaf.trade.quantities import (
    parse_degree,
    parse_elevation,
    parse_weight,
    weight_unit,
)

# A list says the same things again and again: reading each only once is most of the speed.
_parse_elevation = lru_cache(maxsize=20_000)(parse_elevation)
_parse_degree = lru_cache(maxsize=20_000)(parse_degree)
_parse_price = lru_cache(maxsize=20_000)(parse_price)
_parse_weight = lru_cache(maxsize=20_000)(parse_weight)
currency_said = lru_cache(maxsize=20_000)(currency_in)
price_unit_said = lru_cache(maxsize=2_000)(price_unit_in)
FACTS = frozenset(
    [
        "grade",
        "invoice",
        "garden_mark",
        "vintage",
        "press_year",
        "opened",
        "kept",
        "weather",
        "firing",
        "roast_date",
        "competition",
        "season",
        "tea_class",
        "line",
        "parent",
        "making",
        "contact",
        "hold",
        "deposit",
        "organic",
        "residue",
        "sample_kind",
    ]
)
_TEXTS = ("name", "producer", "region", "cv", "claims")
_DATES = ("harvest", "offer_until", "sample_received")


@dataclass
class LotColumn:
    """What holds for a whole column of a lots table."""

    head: str
    column: int
    decimal: DecimalMark
    unit: str = ""
    price: PriceUnit | None = None
    usual_unit: str = ""


@dataclass
class LotCell:
    """One cell on its way to a value."""

    context: Context
    grid: Grid
    row: int
    column: LotColumn
    cell: GridCell
    place: str
    money: str = ""  # of a column of currencies beside the prices

    def problem(self, kind: str, **more: Any) -> None:
        """Name a problem of this cell."""
        self.context.problems.add(self.grid, self.row, self.column.column, kind, **more)

    def text(self) -> str:
        """What the cell says; a native number with its decimals so written that no sign in it is
        ambiguous.
        """
        value = self.cell.value
        if isinstance(value, float) and not value.is_integer():
            return f"{value:.6f}"
        return as_text(value).strip()

    @property
    def native(self) -> bool:
        """Whether a number is stored as a number."""
        return isinstance(self.cell.value, float)

    @property
    def mark(self) -> DecimalMark:
        """The decimal mark for this cell's text."""
        return "." if self.native else self.column.decimal


def read_value(name: str, here: LotCell) -> Any:
    if here.cell.error:
        here.problem("error_value")
        return None
    if here.cell.formula and name not in FACTS:
        here.problem("formula")
    if (
        isinstance(here.cell.value, str)
        and name != "harvest"
        and not _says_none(name, here.cell.value)
        and _missing(here)
    ):
        return None
    if name == "sample_kind" and not sample_kind(as_text(here.cell.value)):
        here.problem("sample_kind_unknown")
    if name == "code" or name in _TEXTS or name in FACTS:
        return _text(here)
    if name in _DATES:
        # The year that an offer or an arrival leaves out is settled with the whole row in view.
        place = (here.context, here.grid, here.row, here.column.column)
        return read_date(*place, ask_year=name == "harvest")
    return _VALUES[name](here)


def _says_none(name: str, text: str) -> bool:
    """`無` is no value for most fields, but no roast is a roast."""
    return name in ("ox", "roast") and text.strip().casefold() in ("無", "无", "none", "nil")


def _missing(here: LotCell) -> bool:
    assert isinstance(here.cell.value, str)
    if not is_missing_mark(here.cell.value):
        return False
    here.problem("missing_mark")
    return True


def _text(here: LotCell) -> str | None:
    raw = as_text(here.cell.value)
    text = raw.strip()
    if raw != text and not here.grid.is_csv:
        here.problem("stray_space")
    if isinstance(here.cell.value, str) and looks_like_formula(text):
        here.problem("formula_as_text")
    return text or None


def looks_like_formula(text: str) -> bool:
    """Say whether a spreadsheet might compute a text that is meant as words.

    >>> looks_like_formula("=1+1"), looks_like_formula("- light, sweet"), looks_like_formula("@SUM(A1)")
    (True, False, True)
    """
    return bool(re.match(r"^[=@]\S|^\+[^\W\d_]|^[+\-].*[(|!].*", text))


def _elevation(here: LotCell) -> Any:
    reading = _parse_elevation(here.text(), header_unit=here.column.unit, decimal=here.mark)
    noticed = reading.noticed
    usual = here.column.usual_unit
    if reading.value is not None and not here.column.unit and usual:
        written = reading.value.unit_written
        if written and written != usual:
            noticed = (*noticed, "unit_differs_from_header")
        elif not written:
            reading = _parse_elevation(here.text(), header_unit=usual, decimal=here.mark)
            noticed = (*reading.noticed, "no_unit")
    return _told(here, reading.value, noticed)


def _degree(here: LotCell) -> Any:
    value = here.cell.value
    if isinstance(value, float) and here.cell.percent:
        return _parse_degree(f"{value * 100:.6f}", header_percent=True, decimal=".").value and _percent_of(
            value
        )
    in_head = "%" in here.column.head or "percent" in here.column.head.casefold()
    if isinstance(value, float) and 0 < value < 1:
        here.problem("percent_from_fraction")
        return _percent_of(value)
    reading = _parse_degree(here.text(), header_percent=in_head, decimal=here.mark)
    noticed = tuple(k for k in reading.noticed if not (k == "no_unit" and _is_zero(reading.value)))
    degree = _told(here, reading.value, noticed)
    return replace(degree, pct=_plain(degree.pct)) if degree is not None else None


def _is_zero(degree: Any) -> bool:
    return degree is not None and degree.pct == 0 and not degree.word


def _percent_of(share: float) -> Any:
    degree = _parse_degree(f"{round(share * 100, 6):.6f}", header_percent=True, decimal=".").value
    return replace(degree, pct=_plain(degree.pct)) if degree else None


def _plain(number: Decimal | None) -> Decimal | None:
    """Take off trailing zeros that came from a native number's decimals."""
    if number is None:
        return None
    return number.quantize(Decimal(1)) if number == number.to_integral_value() else number.normalize()


def _price(here: LotCell) -> Any:
    jin_grams = here.context.mapping.jin_grams
    unit = here.column.price or PriceUnit()
    if left_open(unit) and here.place:
        unit = price_unit_said(here.column.head, place=here.place, jin_grams=jin_grams)
    text = here.text()
    if (
        here.money
        and currency_said(text).value is None
        and "ambiguous_currency" not in currency_said(text).noticed
    ):
        text = f"{here.money} {text}"
    reading = _parse_price(text, header=unit, place=here.place, decimal=here.mark, jin_grams=jin_grams)
    # What the head leaves out is asked once, at the head.
    at_head = {
        kind for kind, said in (("no_currency", unit.currency), ("no_price_weight", unit.per_g)) if not said
    }
    price = _told(here, reading.value, tuple(kind for kind in reading.noticed if kind not in at_head))
    if price is None or (left_open(unit) and (price.currency is None or price.per_g is None)):
        return None
    return replace(price, amount=_plain(price.amount)) if here.native else price


def left_open(unit: PriceUnit) -> tuple[str, ...]:
    return tuple(kind for kind in unit.noticed if kind.startswith("ambiguous"))


def _weight(here: LotCell) -> Any:
    reading = _parse_weight(
        here.text(),
        header_unit=here.column.unit,
        place=here.place,
        decimal=here.mark,
        jin_grams=here.context.mapping.jin_grams,
    )
    if reading.noticed == ("no_unit_weight",) and here.column.usual_unit:
        usual = _parse_weight(
            here.text(), header_unit=here.column.usual_unit, place=here.place, decimal=here.mark
        )
        here.problem(
            "no_unit",
            why=f"a number without its unit; the other cells of the column say {here.column.usual_unit}",
        )
        return _told(here, usual.value, usual.noticed)
    noticed = reading.noticed
    said = weight_unit(reading.value.unit_written) if reading.value is not None else ""
    if said and here.column.unit and said != here.column.unit.split()[0] and "jin" not in noticed:
        noticed = (*noticed, "unit_differs_from_header")
    weight = _told(here, reading.value, noticed)
    return replace(weight, grams=_plain(weight.grams)) if weight is not None else None


def _number(here: LotCell) -> Decimal | None:
    if here.cell.percent and isinstance(here.cell.value, float):
        return _plain(Decimal(str(round(here.cell.value * 100, 6))))
    number = parse_number(here.text(), here.mark)
    if number is None or number.value is None or (number.unit and not number.unit.startswith("%")):
        here.problem("not_understood")
        return None
    noticed = tuple(number.noticed) + (("doubtful",) if number.doubtful else ())
    return _plain(_told(here, number.value, noticed))


def _told(here: LotCell, value: Any, noticed: tuple[str, ...]) -> Any:
    """Name what was noticed on the way to a value, and give the value."""
    for kind in noticed:
        if kind == "decimal_comma" and (here.grid.is_csv or "thousands_dot" in noticed) and here.mark != ".":
            continue
        here.problem(kind, severity="info" if kind == "bound" else None)
    if (
        isinstance(here.cell.value, str)
        and not here.grid.is_csv
        and not noticed
        and _bare_number(here.cell.value)
    ):
        here.problem("number_as_text")
    return value


def _bare_number(text: str) -> bool:
    return bool(re.fullmatch(r"\s*\d[\d.,\u00a0\u202f]*\s*", text))


_VALUES: dict[str, Callable[[LotCell], Any]] = {
    "elev": _elevation,
    "ox": _degree,
    "roast": _degree,
    "price": _price,
    "moq": _weight,
    "avail": _weight,
    "sample_grams": _weight,
    "markup": _number,
    "loss": _number,
}
