"""A table of lots to records, one a row: every cell read by its field, every doubt named."""

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Any

from wetleaf.lots.workbooks.context import Context, column_decimal
from wetleaf.lots.workbooks.grid import Grid, as_text, cell_record, is_blank
from wetleaf.lots.workbooks.lot_values import (
    FACTS,
    LotCell,
    LotColumn,
    currency_said,
    left_open,
    price_unit_said,
    read_value,
)
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import Cell, LotRow
from wetleaf.lots.workbooks.told_above import class_of_section, completed
from wetleaf.lots.workbooks.whose_remarks import claims_are_ours, heads_makers
from wetleaf.lots.workbooks.years_left_out import settle_years
from wetleaf.trade.money import PLACE_OF_CURRENCY
from wetleaf.trade.numbers import parse_number
from wetleaf.trade.quantities import (
    Weight,
    elevation_unit,
    place_in,
    weight_unit,
)

_place_in = lru_cache(maxsize=20_000)(place_in)


def read_lots(recognised: Recognised, context: Context) -> list[LotRow]:
    """Read every row of a lots table."""
    columns = {name: _column(name, recognised, context) for name in recognised.by_field}
    lots: list[LotRow] = []
    section = ""
    for row in recognised.table.rows:
        lot = _lot(recognised, columns, row, context)
        if lot is None:
            section = _section(recognised, row, context)
        elif section and "tea_class" not in lot.facts:
            lots.append(replace(lot, facts={**lot.facts, "tea_class": section}))
        else:
            lots.append(lot)
    _price_unit_problems(recognised, columns, lots, context)
    ask_for_inferred_columns(recognised, context)
    _ask_for_further_makers(recognised, context)
    return lots


def _ask_for_further_makers(recognised: Recognised, context: Context) -> None:
    """A second column that may name the maker is not used, and asked about at its head."""
    used = recognised.by_field.get("producer")
    if used is None:
        return
    for column in recognised.columns:
        if column.read_as == "unknown" and heads_makers(column.head, recognised.table):
            why = f"both {used.text!r} and {column.head.text!r} may name the maker; {used.text!r} is used"
            row = max(recognised.table.header_rows)
            context.problems.add(recognised.table.grid, row, column.head.column, "column_not_read", why=why)


def ask_for_inferred_columns(recognised: Recognised, context: Context) -> None:
    """A column that only its cells tell is used, and asked about at its head."""
    row = max(recognised.table.header_rows)
    for column in recognised.columns:
        if column.read_as != "unknown" and column.why.startswith("its cells"):
            why = f"the head is not known; read as {column.read_as}, because {column.why}"
            context.problems.add(recognised.table.grid, row, column.head.column, "uncertain_column", why=why)


def _column(name: str, recognised: Recognised, context: Context) -> LotColumn:
    head, table = recognised.by_field[name], recognised.table
    found = LotColumn(head.whole, head.column, column_decimal(context, table.grid, table.rows, head.column))
    if name == "elev":
        found.unit = _unit_of_head(head.whole, elevation_unit)
        found.usual_unit = _usual_unit(recognised, head.column, elevation_unit)
    elif name in ("moq", "avail", "sample_grams"):
        found.unit = _unit_of_head(head.whole, weight_unit)
        found.usual_unit = _usual_unit(recognised, head.column, weight_unit)
    elif name == "price":
        said = price_unit_said(head.whole, place=context.place, jin_grams=context.mapping.jin_grams)
        found.price, title = completed(said, table.titles, context.place, context.mapping.jin_grams)
        if title:
            why = f"what the head leaves out of the price stands in the title: {title}"
            row = max(table.header_rows)
            context.problems.add(table.grid, row, head.column, "unit_from_title", why=why)
    return found


def _unit_of_head(head: str, unit_in: Callable[[str], str]) -> str:
    words = re.findall(r"[^\W\d_]+(?:\.[^\W\d_]+)*|['′#]", head)
    found = [unit for word in words[1:] or words if (unit := unit_in(word))]
    if not found and words and len(words[0]) > 1:
        return unit_in(words[0])  # `Kilos available`
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


def _lot(recognised: Recognised, columns: dict[str, LotColumn], row: int, context: Context) -> LotRow | None:
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
        if name in ("verdict", "liking", "words", "note", "currency", "blind"):
            continue  # read as a first pass over the lot, or with its price
        here = LotCell(context, grid, row, column, cell, place, _money(columns, grid, row))
        _put(name, read_value(name, here), values, facts)
    places = {name: (row, column.column) for name, column in columns.items()}
    settle_years(values, facts, places, recognised.table, context)
    sheet = grid.name
    code = values.pop("code", None)
    if code is None and "code" in columns:
        context.problems.add(grid, row, columns["code"].column, "no_code")
    number = row if grid.turned else grid.row_in_file(row, 1)  # a lot across is told by its column
    ours = "claims" in values and claims_are_ours(recognised)
    return LotRow(sheet, number, code, facts=facts, cells=cells, claims_are_ours=ours, **values)


def _money(columns: dict[str, LotColumn], grid: Grid, row: int) -> str:
    """What a column of currencies says beside a price."""
    column = columns.get("currency")
    return as_text(grid.shown(row, column.column)[2].value).strip() if column else ""


def _section(recognised: Recognised, row: int, context: Context) -> str:
    """The class that the lone text of a row gives to the lots below it, which is said."""
    grid = recognised.table.grid
    filled = [h.column for h in recognised.table.heads if not is_blank(grid.at(row, h.column))]
    tea_class = class_of_section(as_text(grid.at(row, filled[0]).value)) if len(filled) == 1 else ""
    if tea_class:
        why = f"the lots below it are taken for {tea_class}"
        context.problems.add(grid, row, filled[0], "section_of_class", why=why)
    return tea_class


def _lone_cell(
    context: Context, grid: Grid, row: int, recognised: Recognised, filled: list[LotColumn]
) -> None:
    for column in filled:
        is_code = recognised.column_of("code") == column.column and any(
            c.isdigit() for c in as_text(grid.at(row, column.column).value)
        )
        text = as_text(grid.at(row, column.column).value)
        if is_code or not class_of_section(text):
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


def _place_of(recognised: Recognised, columns: dict[str, LotColumn], row: int, context: Context) -> str:
    """The country that settles jin and `¥` for a lot: its own price, its region, the price column,
    the book.
    """
    grid = recognised.table.grid
    price = columns.get("price")
    own = (
        currency_said(f"{_money(columns, grid, row)} {as_text(grid.at(row, price.column).value)}").value
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


def _price_unit_problems(
    recognised: Recognised, columns: dict[str, LotColumn], lots: list[LotRow], context: Context
) -> None:
    """Ask once, at the head, for a currency or a weight that the column and its cells leave out."""
    column = columns.get("price")
    if column is None or column.price is None:
        return
    row = max(recognised.table.header_rows)
    written = [lot for lot in lots if "price" in lot.cells]
    for kind in left_open(column.price):
        if any(lot.price is None for lot in written):
            context.problems.add(recognised.table.grid, row, column.column, kind)
            return
    prices = [lot.price for lot in lots if lot.price is not None]
    if not column.price.currency and any(price.currency is None for price in prices):
        context.problems.add(recognised.table.grid, row, column.column, "no_currency")
    if column.price.per_g is None and any(price.per_g is None for price in prices):
        context.problems.add(recognised.table.grid, row, column.column, "no_price_weight")
