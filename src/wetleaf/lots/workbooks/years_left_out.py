"""The year of a deadline or an arrival that is written without one, taken from its sheet and said so.

An offer runs until the next such day after its lot was picked, or after the season of its sheet began; a
sample came on the last such day. A picking date stays as vague as it was written.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from wetleaf.lots.workbooks.context import Context, season_in
from wetleaf.lots.workbooks.tables import Table
from wetleaf.trade.dates import PartialDate, parse_date
from wetleaf.trade.onelines_readers import with_year

FRESH = dt.timedelta(days=400)  # an offer is made within about a year of the picking
_BEGINS = {"spring": 3, "summer": 6, "autumn": 9, "winter": 12}


def settle_years(
    values: dict[str, Any],
    facts: dict[str, str],
    places: Mapping[str, tuple[int, int]],
    table: Table,
    context: Context,
) -> None:
    """Give the dates of one lot that end or begin something the year they lack, and name each such cell."""
    begin = _begin(values, table, context)
    _settle(values, "offer_until", begin, places, table, context)
    _settle(values, "sample_received", begin, places, table, context)
    held = parse_date(facts["hold"], day_first=context.day_first).value if "hold" in facts else None
    if held is not None and held.precision == "day":
        told = {"hold": held}
        _settle(told, "hold", begin, places, table, context)
        facts["hold"] = facts["hold"] if held.year or told["hold"].start is None else str(told["hold"].start)


def _settle(
    values: dict[str, Any],
    name: str,
    begin: dt.date,
    places: Mapping[str, tuple[int, int]],
    table: Table,
    context: Context,
) -> None:
    read: PartialDate | None = values.get(name)
    if read is None or read.year is not None or name not in places:
        return
    after = name != "sample_received"
    span = with_year(read, begin if after else _latest(table, context), after=after)
    if span is None:
        why = "no year is written, so no day is known: it is kept in words only"
    else:
        values[name] = _in_year(read, span)
        which = f"the next such day after {begin}" if after else "the last such day"
        why = f"no year is written; read as {span[1]}, {which}"
    context.problems.add(table.grid, *places[name], "no_year", why=why)


def _in_year(read: PartialDate, span: tuple[dt.date, dt.date]) -> PartialDate:
    if read.precision in ("month", "part_of_month"):
        return replace(read, year=span[1].year)
    return replace(read, year=span[1].year, start=span[0], end=span[1])


def _begin(values: Mapping[str, Any], table: Table, context: Context) -> dt.date:
    """The day after which an offer of this lot was made: picked or come, else the season, else today."""
    season, year = season_in((table.name, *table.titles), context.today)
    dates = [values.get(name) for name in ("harvest", "sample_received")]
    spans = [span for date in dates if isinstance(date, PartialDate) and (span := date.span())]
    days = [span[1] for span in spans if _is_of_the_sheet(span[1], year, context.today)]
    if days:
        return max(days)
    month = next((number for word, number in _BEGINS.items() if season.lower().startswith(word)), 1)
    if year is not None and (season or year < context.today.year):
        return dt.date(year, month, 1)
    return context.today


def _is_of_the_sheet(day: dt.date, year: int | None, today: dt.date) -> bool:
    return day <= today and (today - day <= FRESH or day.year == year)


def _latest(table: Table, context: Context) -> dt.date:
    _, year = season_in((table.name, *table.titles), context.today)
    return dt.date(year, 12, 31) if year is not None and year < context.today.year else context.today
