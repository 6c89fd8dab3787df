"""A date only as precise as it was written, and the days of a spreadsheet's count."""

import datetime as dt
from calendar import monthrange
from dataclasses import dataclass
from typing import Literal

from wetleaf.trade.numbers import Reading

Precision = Literal["day", "month", "part_of_month", "season", "week", "range", "year"]
OLDEST_YEAR = 1900
EXCEL_FIRST_DAY = dt.date(1899, 12, 30)
MAC_FIRST_DAY = dt.date(1904, 1, 1)


@dataclass(frozen=True)
class PartialDate:
    """A date with the precision it was written in; `start` and `end` only where the writing gives
    both days.
    """

    precision: Precision
    year: int | None = None
    month: int | None = None
    day: int | None = None
    part: str = ""
    season: str = ""
    week: int | None = None
    end_month: int | None = None  # of a range, kept for when its year is not written
    end_day: int | None = None
    start: dt.date | None = None
    end: dt.date | None = None
    alternatives: tuple[dt.date, ...] = ()
    ambiguous: bool = False
    doubtful: bool = False
    approximate: bool = False
    implausible: bool = False

    def span(self) -> tuple[dt.date, dt.date] | None:
        """Give the earliest and the latest day it can mean; None without a year or for a season.

        Early is taken as the 1st to 10th, mid the 11th to 20th, late the 21st to the end: common practice.

        >>> PartialDate("part_of_month", 2025, 4, part="late").span()
        (datetime.date(2025, 4, 21), datetime.date(2025, 4, 30))
        """
        if self.start and self.end:
            return self.start, self.end
        if self.year is None or self.precision not in ("month", "part_of_month", "year"):
            return None
        if self.month is None:
            return dt.date(self.year, 1, 1), dt.date(self.year, 12, 31)
        last = monthrange(self.year, self.month)[1]
        low, high = {"early": (1, 10), "mid": (11, 20), "late": (21, last)}.get(self.part, (1, last))
        return dt.date(self.year, self.month, low), dt.date(self.year, self.month, high)


def on_day(day: dt.date) -> PartialDate:
    """Wrap a full date.

    >>> on_day(dt.date(2025, 4, 18)).precision
    'day'
    """
    return PartialDate("day", day.year, day.month, day.day, start=day, end=day)


def date_of_serial(serial: float, *, mac_days: bool = False) -> dt.date:
    """Turn a spreadsheet's day number into a date (ECMA-376: day 1 is 1900-01-01, or 1904-01-02 in
    `mac_days` books).

    >>> date_of_serial(45769)
    datetime.date(2025, 4, 22)
    """
    return (MAC_FIRST_DAY if mac_days else EXCEL_FIRST_DAY) + dt.timedelta(days=int(serial))


def full_year(digits: str | None, latest: int) -> tuple[int | None, tuple[str, ...]]:
    """The year of two or four digits, and what is to be noticed about it.

    >>> full_year("'98", 2026), full_year(None, 2026)
    ((1998, ('two_digit_year',)), (None, ('no_year',)))
    """
    if not digits:
        return None, ("no_year",)
    digits = digits.strip("'’ ")
    if len(digits) == 4:
        return int(digits), ()
    year = 2000 + int(digits)
    return (year if year <= latest else year - 100), ("two_digit_year",)


def day_reading(
    year: int | None, month: int, day: int, noticed: tuple[str, ...] = ()
) -> Reading[PartialDate]:
    """A day; without its year it has no `start`, and 29 February is let pass."""
    if not 1 <= month <= 12 or not 1 <= day <= monthrange(year or 2000, month)[1]:
        return Reading(None, ("no_such_day",))
    if year is None:
        return Reading(PartialDate("day", None, month, day), noticed)
    return Reading(on_day(dt.date(year, month, day)), noticed)


def range_reading(
    start: tuple[int, int], end: tuple[int, int], year: int | None, noticed: tuple[str, ...]
) -> Reading[PartialDate]:
    """From one day (month, day) to another; a range over New Year begins in the year before."""
    first, last = day_reading(year, *start), day_reading(year, *end)
    if first.value is None or last.value is None:
        return Reading(None, ("no_such_day",))
    low, high = first.value.start, last.value.start
    if low and high and low > high:
        low = low.replace(year=low.year - 1)
    month, day = start
    return Reading(
        PartialDate("range", year, month, day, end_month=end[0], end_day=end[1], start=low, end=high), noticed
    )
