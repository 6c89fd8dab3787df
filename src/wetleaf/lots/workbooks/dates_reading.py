"""A cell to a date, of whatever make: a day, a serial number, a text; every doubt named."""

import datetime as dt
import re
from functools import lru_cache

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.grid import Grid
from wetleaf.trade.dates import PartialDate, date_of_serial, on_day, parse_date
from wetleaf.trade.numbers import is_missing_mark

_parse_date = lru_cache(maxsize=20_000)(parse_date)


def read_date(
    context: Context, grid: Grid, row: int, column: int, *, ask_year: bool = True
) -> PartialDate | None:
    """Read a date cell of any make and name its problems; None when it cannot be used. Without `ask_year` a
    year that is not written is left to the caller to name.
    """
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
    return _date_of_text(context, grid, row, column, value.strip(), ask_year=ask_year)


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


def _date_of_text(
    context: Context, grid: Grid, row: int, column: int, text: str, *, ask_year: bool = True
) -> PartialDate | None:
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
    for kind in (kind for kind in reading.noticed if ask_year or kind != "no_year"):
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
