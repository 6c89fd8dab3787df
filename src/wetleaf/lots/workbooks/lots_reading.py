"""A table of lots to records, one a row: every cell read by its field, every doubt named."""

import datetime as dt
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Any

from wetleaf.lots.workbooks.context import Context, column_decimal
from wetleaf.lots.workbooks.grid import Grid, GridCell, as_text, cell_record, is_blank
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.recognising import Recognised
from wetleaf.lots.workbooks.records import Cell, LotRow
from wetleaf.lots.workbooks.sample_kinds import sample_kind
from wetleaf.trade.dates import OLDEST_YEAR, PartialDate, date_of_serial, on_day, parse_date
from wetleaf.trade.money import PLACE_OF_CURRENCY, PriceUnit, currency_in, parse_price, price_unit_in
from wetleaf.trade.numbers import DecimalMark, is_missing_mark, parse_number
from wetleaf.trade.quantities import (
    Weight,
    elevation_unit,
    parse_degree,
    parse_elevation,
    parse_weight,
    place_in,
    weight_unit,
)

# A list says the same things again and again: reading each only once is most of the speed.
_parse_elevation = lru_cache(maxsize=20_000)(parse_elevation)
_parse_degree = lru_cache(maxsize=20_000)(parse_degree)
_parse_price = lru_cache(maxsize=20_000)(parse_price)
_parse_weight = lru_cache(maxsize=20_000)(parse_weight)
_parse_date = lru_cache(maxsize=20_000)(parse_date)
_currency_in = lru_cache(maxsize=20_000)(currency_in)
_price_unit_in = lru_cache(maxsize=2_000)(price_unit_in)
_place_in = lru_cache(maxsize=20_000)(place_in)

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
class _Column:
    """What holds for a whole column of a lots table."""

    head: str
    column: int
    decimal: DecimalMark
    unit: str = ""
    price: PriceUnit | None = None
    usual_unit: str = ""


@dataclass
class _Here:
    """One cell on its way to a value."""

    context: Context
    grid: Grid
    row: int
    column: _Column
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


def read_lots(recognised: Recognised, context: Context) -> list[LotRow]:
    """Read every row of a lots table."""
    columns = {name: _column(name, recognised, context) for name in recognised.by_field}
    lots = []
    for row in recognised.table.rows:
        lot = _lot(recognised, columns, row, context)
        if lot is not None:
            lots.append(lot)
    _price_unit_problems(recognised, columns, lots, context)
    _ask_for_inferred_columns(recognised, context)
    return lots


def _ask_for_inferred_columns(recognised: Recognised, context: Context) -> None:
    """A column that only its cells tell is used, and asked about at its head."""
    row = max(recognised.table.header_rows)
    for column in recognised.columns:
        if column.read_as != "unknown" and column.why.startswith("its cells"):
            why = f"the head is not known; read as {column.read_as}, because {column.why}"
            context.problems.add(recognised.table.grid, row, column.head.column, "uncertain_column", why=why)


def _column(name: str, recognised: Recognised, context: Context) -> _Column:
    head, table = recognised.by_field[name], recognised.table
    found = _Column(head.whole, head.column, column_decimal(context, table.grid, table.rows, head.column))
    if name == "elev":
        found.unit = _unit_of_head(head.whole, elevation_unit)
        found.usual_unit = _usual_unit(recognised, head.column, elevation_unit)
    elif name in ("moq", "avail", "sample_grams"):
        found.unit = _unit_of_head(head.whole, weight_unit)
        found.usual_unit = _usual_unit(recognised, head.column, weight_unit)
    elif name == "price":
        found.price = _price_unit_in(head.whole, place=context.place, jin_grams=context.mapping.jin_grams)
    return found


def _unit_of_head(head: str, unit_in: Callable[[str], str]) -> str:
    words = re.findall(r"[^\W\d_]+(?:\.[^\W\d_]+)*|['′#]", head)
    found = [unit for word in words[1:] or words if (unit := unit_in(word))]
    return found[-1] if found else ""


def _usual_unit(recognised: Recognised, column: int, unit_in: Callable[[str], str]) -> str:
    """The unit that most cells of a column write, for those that leave it out."""
    units: Counter[str] = Counter()
    for row in recognised.table.rows:
        number = parse_number(as_text(recognised.table.grid.at(row, column).value))
        if number is not None:
            word = re.match(r"[^\W\d_]+", number.unit)
            units[unit_in(word[0]) if word else ""] += 1
    written = {unit: n for unit, n in units.items() if unit}
    if not written:
        return ""
    best = max(written, key=lambda unit: written[unit])
    return best if written[best] > 0.5 * sum(written.values()) and written[best] >= 2 else ""


def _lot(recognised: Recognised, columns: dict[str, _Column], row: int, context: Context) -> LotRow | None:
    grid = recognised.table.grid
    filled = [c for c in columns.values() if not is_blank(grid.at(row, c.column))]
    if len(filled) <= 1 and len(columns) > 2:
        _lone_cell(context, grid, row, recognised, filled)
        return None
    place = _place_of(recognised, columns, row, context)
    values: dict[str, Any] = {}
    facts: dict[str, str] = {}
    cells: dict[str, Cell] = {}
    for name, column in columns.items():
        cell = grid.shown(row, column.column)[2]
        if is_blank(cell) or name == "unknown":
            continue
        cells[name] = cell_record(grid, row, column.column)
        if name in ("verdict", "liking", "words", "currency"):
            continue  # read as a first pass over the lot, or with its price
        here = _Here(context, grid, row, column, cell, place, _money(columns, grid, row))
        _put(name, _read(name, here), values, facts)
    sheet = grid.name
    code = values.pop("code", None)
    if code is None and "code" in columns:
        context.problems.add(grid, row, columns["code"].column, "no_code")
    return LotRow(sheet, grid.row_in_file(row, 1), code, facts=facts, cells=cells, **values)


def _money(columns: dict[str, _Column], grid: Grid, row: int) -> str:
    """What a column of currencies says beside a price."""
    column = columns.get("currency")
    return as_text(grid.shown(row, column.column)[2].value).strip() if column else ""


def _lone_cell(context: Context, grid: Grid, row: int, recognised: Recognised, filled: list[_Column]) -> None:
    for column in filled:
        is_code = recognised.column_of("code") == column.column and any(
            c.isdigit() for c in as_text(grid.at(row, column.column).value)
        )
        context.problems.add(grid, row, column.column, "lone_lot_cell" if is_code else "not_a_row")
    recognised.table.ignored.append((row, "a lone text, not a lot"))


def _put(name: str, value: Any, values: dict[str, Any], facts: dict[str, str]) -> None:
    if value is None:
        return
    if name in ("moq", "avail", "sample_grams"):
        assert isinstance(value, Weight)
        stem = name if name == "sample_grams" else f"{name}_grams"
        values[stem] = value.grams
        if value.grams_max is not None and name != "sample_grams":
            values[f"{name}_grams_max"] = value.grams_max
    elif name == "loss":
        values["loss_percent"] = value
    elif name in FACTS:
        facts[name] = value
    else:
        values[name] = value


def _place_of(recognised: Recognised, columns: dict[str, _Column], row: int, context: Context) -> str:
    """The country that settles jin and `¥` for a lot: its own price, its region, the price column,
    the book.
    """
    grid = recognised.table.grid
    price = columns.get("price")
    own = (
        _currency_in(f"{_money(columns, grid, row)} {as_text(grid.at(row, price.column).value)}").value
        if price
        else None
    )
    region = columns.get("region")
    said = _place_in(as_text(grid.shown(row, region.column)[2].value)) if region else ""
    head = price.price.currency if price and price.price else ""
    for currency in (own, None, head):
        place = PLACE_OF_CURRENCY.get(currency or "", "")
        if place in ("TW", "CN", "HK"):
            return place
        if currency is None and said:
            return said
    return context.place


def _read(name: str, here: _Here) -> Any:
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
        return read_date(here.context, here.grid, here.row, here.column.column)
    return _VALUES[name](here)


def _says_none(name: str, text: str) -> bool:
    """`無` is no value for most fields, but no roast is a roast."""
    return name in ("ox", "roast") and text.strip().casefold() in ("無", "无", "none", "nil")


def _missing(here: _Here) -> bool:
    assert isinstance(here.cell.value, str)
    if not is_missing_mark(here.cell.value):
        return False
    here.problem("missing_mark")
    return True


def _text(here: _Here) -> str | None:
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


def _elevation(here: _Here) -> Any:
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


def _degree(here: _Here) -> Any:
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


def _price(here: _Here) -> Any:
    jin_grams = here.context.mapping.jin_grams
    unit = here.column.price or PriceUnit()
    if _left_open(unit) and here.place:
        unit = _price_unit_in(here.column.head, place=here.place, jin_grams=jin_grams)
    text = here.text()
    if (
        here.money
        and _currency_in(text).value is None
        and "ambiguous_currency" not in _currency_in(text).noticed
    ):
        text = f"{here.money} {text}"
    reading = _parse_price(text, header=unit, place=here.place, decimal=here.mark, jin_grams=jin_grams)
    # What the head leaves out is asked once, at the head.
    at_head = {
        kind for kind, said in (("no_currency", unit.currency), ("no_price_weight", unit.per_g)) if not said
    }
    price = _told(here, reading.value, tuple(kind for kind in reading.noticed if kind not in at_head))
    if price is None or (_left_open(unit) and (price.currency is None or price.per_g is None)):
        return None
    return replace(price, amount=_plain(price.amount)) if here.native else price


def _left_open(unit: PriceUnit) -> tuple[str, ...]:
    return tuple(kind for kind in unit.noticed if kind.startswith("ambiguous"))


def _weight(here: _Here) -> Any:
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


def _number(here: _Here) -> Decimal | None:
    if here.cell.percent and isinstance(here.cell.value, float):
        return _plain(Decimal(str(round(here.cell.value * 100, 6))))
    number = parse_number(here.text(), here.mark)
    if number is None or number.value is None or (number.unit and not number.unit.startswith("%")):
        here.problem("not_understood")
        return None
    noticed = tuple(number.noticed) + (("doubtful",) if number.doubtful else ())
    return _plain(_told(here, number.value, noticed))


def _told(here: _Here, value: Any, noticed: tuple[str, ...]) -> Any:
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
    return bool(re.fullmatch(r"\s*\d[\d.,]*\s*", text))


_VALUES: dict[str, Callable[[_Here], Any]] = {
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


def read_date(context: Context, grid: Grid, row: int, column: int) -> PartialDate | None:
    """Read a date cell of any make and name its problems; None when it cannot be used."""
    cell = grid.shown(row, column)[2]
    value = cell.value
    if isinstance(value, dt.datetime):
        return on_day(value.date())
    if isinstance(value, dt.date):
        return on_day(value)
    if isinstance(value, float):
        return _date_of_number(context, grid, row, column, value)
    if not isinstance(value, str):
        context.problems.add(grid, row, column, "not_a_date")
        return None
    return _date_of_text(context, grid, row, column, value.strip())


def _date_of_number(context: Context, grid: Grid, row: int, column: int, value: float) -> PartialDate | None:
    if 1900 <= value <= 2100 and value.is_integer():
        return PartialDate("year", int(value))
    if 20_000 <= value < 80_000:
        context.problems.add(grid, row, column, "serial_without_date_format")
        return on_day(date_of_serial(value, mac_days=context.mac_days))
    if 19_000_101 <= value <= 21_001_231:
        return _date_of_text(context, grid, row, column, str(int(value)))
    context.problems.add(grid, row, column, "not_a_date")
    return None


def _date_of_text(context: Context, grid: Grid, row: int, column: int, text: str) -> PartialDate | None:
    if is_missing_mark(text):
        context.problems.add(grid, row, column, "missing_mark")
        return None
    if re.fullmatch(r"[2-7]\d{4}(?:\.0+)?", text):
        return _date_of_number(context, grid, row, column, float(text))
    latest = context.today.year + 5
    reading = _parse_date(text, day_first=context.day_first, latest_year=latest)
    nearer = ""
    if reading.value is None and "ambiguous_date" in reading.noticed:
        day_first = _order_by_neighbours(context, grid, column, text)
        if day_first is not None:
            reading = _parse_date(text, day_first=day_first, latest_year=latest)
            nearer = "day and month could be swapped; so it lies near the other dates of the column"
        else:
            # Kept with both days and marked: nothing is worked out from it until a person has said which.
            reading = _parse_date(text, day_first=True, latest_year=latest)
            nearer = "day and month could be swapped, and nothing in the book tells which comes first"
    for kind in reading.noticed:
        if kind == "ambiguous_date" and nearer:
            context.problems.add(grid, row, column, kind, why=nearer)
        else:
            _date_problem(context, grid, row, column, kind)
    return reading.value


def _order_by_neighbours(context: Context, grid: Grid, column: int, text: str) -> bool | None:
    """Where one of the two days lies among the column's certain dates and the other far off, that
    tells the order.
    """
    certain = _certain_dates(context, grid, column)
    both = [
        _parse_date(text, day_first=order, latest_year=context.today.year + 5).value
        for order in (True, False)
    ]
    if len(certain) < 3 or any(one is None or one.start is None for one in both):
        return None
    off = [min(abs((one.start - day).days) for day in certain) for one in both if one and one.start]
    if off[0] <= 21 and off[1] > 45:
        return True
    return False if off[1] <= 21 and off[0] > 45 else None


def _certain_dates(context: Context, grid: Grid, column: int) -> tuple[dt.date, ...]:
    key = (grid.name, -column if grid.turned else column)
    if key not in context.column_dates:
        values = [grid.at(row, column).value for row in range(1, grid.rows + 1)]
        texts = [
            _parse_date(v, latest_year=context.today.year + 5).value
            for v in values
            if isinstance(v, str) and any(c.isdigit() for c in v)
        ]
        days = [v for v in values if isinstance(v, dt.date) and not isinstance(v, dt.datetime)]
        context.column_dates[key] = (
            *days,
            *(d.start for d in texts if d and d.precision == "day" and d.start),
        )
    return context.column_dates[key]


def _date_problem(context: Context, grid: Grid, row: int, column: int, kind: str) -> None:
    if kind == "ambiguous_date":
        order = "day" if context.day_first else "month"
        why = f"day and month could be swapped; the other dates of this book are {order} first"
        context.problems.add(grid, row, column, kind, why=why)
    else:
        shown = {"not_understood": "not_a_date", "roc_year": "era_year"}.get(kind, kind)
        context.problems.add(grid, row, column, shown)


def check_harvests(lots: list[LotRow], grids: dict[str, Grid], context: Context) -> list[LotRow]:
    """Mark harvests that lie in the future, after the tasting, or before any tea on offer."""
    return [_checked(lot, grids[lot.sheet], context) for lot in lots]


def _checked(lot: LotRow, grid: Grid, context: Context) -> LotRow:
    harvest = lot.harvest
    if harvest is None or harvest.year is None:
        return lot
    span = harvest.span()
    first = span[0] if span else dt.date(harvest.year, 1, 1)
    tasted = context.tasted.get(lot.code or "")
    latest = min(tasted, context.today) if tasted else context.today
    kind = "implausible_date" if harvest.year < OLDEST_YEAR else "future_date" if first > latest else ""
    if not kind:
        return lot
    cell = lot.cells["harvest"]
    row, column = _position(cell.cell)
    if grid.turned:
        row, column = column, row
    why = f"harvested after it was tasted, on {tasted}" if tasted and first <= context.today else ""
    context.problems.add(grid, row, column, kind, why=why)
    return replace(lot, harvest=replace(harvest, implausible=True))


def _position(name: str) -> tuple[int, int]:
    from wetleaf.lots.workbooks.grid import column_number

    found = re.fullmatch(r"([A-Z]+)(\d+)", name)
    assert found
    return int(found[2]), column_number(found[1])


def _price_unit_problems(
    recognised: Recognised, columns: dict[str, _Column], lots: list[LotRow], context: Context
) -> None:
    """Ask once, at the head, for a currency or a weight that the column and its cells leave out."""
    column = columns.get("price")
    if column is None or column.price is None:
        return
    row = max(recognised.table.header_rows)
    written = [lot for lot in lots if "price" in lot.cells]
    for kind in _left_open(column.price):
        if any(lot.price is None for lot in written):
            context.problems.add(recognised.table.grid, row, column.column, kind)
            return
    prices = [lot.price for lot in lots if lot.price is not None]
    if not column.price.currency and any(price.currency is None for price in prices):
        context.problems.add(recognised.table.grid, row, column.column, "no_currency")
    if column.price.per_g is None and any(price.per_g is None for price in prices):
        context.problems.add(recognised.table.grid, row, column.column, "no_price_weight")


def duplicate_codes(lots: list[LotRow], grids: dict[str, Grid], context: Context) -> set[str]:
    """Name every lot whose code an earlier one carries; give the codes that are so shared."""
    first: dict[str, LotRow] = {}
    shared: set[str] = set()
    for lot in lots:
        if lot.code is None:
            continue
        earlier = first.setdefault(fold(lot.code), lot)
        if earlier is lot:
            continue
        shared.add(lot.code)
        row, column = _position(lot.cells["code"].cell)
        grid = grids[lot.sheet]
        if grid.turned:
            row, column = column, row
        where = f"row {earlier.row}" + (f" of {earlier.sheet}" if earlier.sheet != lot.sheet else "")
        context.problems.add(
            grid,
            row,
            column,
            "duplicate_lot_code",
            says=lot.code,
            why=f"same code as {where}; two lots are never merged in silence",
        )
    return shared
