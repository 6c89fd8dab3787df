"""Dates as people write them, kept only as precise as they were written.

`late April` is a part of a month, `1998?` a doubtful year, `9/4/25` one of two days: which one is
never guessed, the book's other dates may tell (`day_first`). A year that is not written is None.
Chinese and Japanese forms, years of the Republic (114 = 2025) and of Reiwa (7 = 2025) are read;
the first flushes named after the solar terms (before Qingming, before Guyu) are seasons, since the
terms fall on 4 to 6 and 19 to 21 April (common practice). Weeks are those of ISO 8601.

The forms stand in `dates_in_numbers.py` and `dates_in_words.py`, the words in `date_words.py`; what a date
is, in `partial_dates.py`. Everything others need is named here.
"""

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from wetleaf.trade.date_words import MONTHS
from wetleaf.trade.dates_in_numbers import dotted_date, east_asian_date, iso_date, slashed_date, year_alone
from wetleaf.trade.dates_in_words import (
    day_range,
    month_range,
    named_day,
    named_month,
    part_of_month,
    season_of_year,
)
from wetleaf.trade.numbers import Reading, fold_width
from wetleaf.trade.partial_dates import OLDEST_YEAR, PartialDate, Precision, date_of_serial, full_year, on_day

__all__ = [
    "OLDEST_YEAR",
    "PartialDate",
    "Precision",
    "date_of_serial",
    "day_first_in",
    "on_day",
    "parse_date",
]


def day_first_in(texts: Iterable[str]) -> bool | None:
    """Tell from a book's other dates whether the day is written before the month; None if they do not tell.

    Number formats (`dd/mm/yyyy`) and numbers above 12 settle it. A day before a named month (`21
    Apr 2025`) or between dots speaks for day first; a month named first is written by people of either habit.

    >>> day_first_in(["21 Apr 2025"]), day_first_in(["4/21/25"]), day_first_in(["9/4/25", "Apr 21, 2025"])
    (True, False, None)
    """
    firm: list[bool] = []
    soft: list[bool] = []
    for text in texts:
        vote, is_firm = _order_vote(text)
        if vote is not None:
            (firm if is_firm else soft).append(vote)
    if firm and firm.count(True) != firm.count(False):
        return firm.count(True) > firm.count(False)
    return True if any(soft) else None


def _order_vote(text: str) -> tuple[bool | None, bool]:
    """A vote for day first (True) or month first, and whether it leaves no choice."""
    lowered = text.casefold()
    days_lead = re.search(r"d{1,2}[/.\-\s]m{1,4}", lowered)
    if days_lead or re.search(r"m{1,2}[/.\-\s]d{1,2}[/.\-\s]y", lowered):
        return bool(days_lead), True
    numbers = re.fullmatch(r"\D*(\d{1,2})[/\-](\d{1,2})[/\-](\d{2}|\d{4})\D*", lowered)
    if numbers and max(int(numbers[1]), int(numbers[2])) > 12:
        return int(numbers[1]) > 12, True
    if re.fullmatch(r"\d{1,2}\.\d{1,2}\.\d{2,4}", lowered):
        return True, False
    before = re.search(r"\b\d{1,2}(?:st|nd|rd|th|\.)?\s?([^\W\d_]{3,})", lowered)
    return (True, False) if before and before[1] in MONTHS else (None, False)


def parse_date(text: str, *, day_first: bool | None = None, latest_year: int = 2100) -> Reading[PartialDate]:
    """Read a date as written. `latest_year` settles two-digit years: `98` before it is 1998.

    Noticed: `ambiguous_date` (value None unless `day_first` is given), `two_digit_year`,
    `no_year`, `doubtful`, `roc_year`, `not_understood`, `no_such_day`.

    >>> parse_date("late April").value
    PartialDate(precision='part_of_month', year=None, month=4, day=None, part='late', season='', week=None, end_month=None, end_day=None, start=None, end=None, alternatives=(), ambiguous=False, doubtful=False, approximate=False, implausible=False)
    >>> parse_date("9/4/25", day_first=True).value.alternatives, parse_date("9/4/25").noticed
    ((datetime.date(2025, 9, 4),), ('ambiguous_date', 'two_digit_year'))
    >>> parse_date("18-21 Apr 2025").value.end, parse_date("2025年4月上旬").value.part, parse_date("1998?").value.doubtful
    (datetime.date(2025, 4, 21), 'early', True)
    """  # noqa: E501
    body, flags = _take_flags(fold_width(text).strip())
    for reader in (
        iso_date,
        east_asian_date,
        dotted_date,
        slashed_date,
        _week,
        day_range,
        _two_dates,
        month_range,
        named_day,
        part_of_month,
        season_of_year,
        named_month,
        year_alone,
    ):
        reading = reader(body, day_first, latest_year)
        if reading is not None:
            return _flagged(reading, flags)
    return Reading(None, ("not_understood",))


@dataclass(frozen=True)
class _Flags:
    doubtful: bool
    approximate: bool


def _take_flags(body: str) -> tuple[str, _Flags]:
    doubtful = bool(re.search(r"\(?\?+\)?$", body))
    body = re.sub(r"\s*\(?\?+\)?$", "", body)
    about = re.match(r"(?:c\.|ca\.?|circa|about|around|approx\.?|~|etwa|vers|約|约)\s*", body, re.IGNORECASE)
    body = body[about.end() :] if about else body
    body = re.sub(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+(?=\d)", "", body, flags=re.IGNORECASE)
    body = re.sub(
        r"^(?:picked|plucked|picking|harvested|harvest|made|on)\s+(?:(?:on|in|around|of)\s+)?",
        "",
        body,
        flags=re.IGNORECASE,
    )
    body = re.sub(r"[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?$", "", body)
    return body.strip(), _Flags(doubtful, about is not None)


def _flagged(reading: Reading[PartialDate], flags: _Flags) -> Reading[PartialDate]:
    if reading.value is None:
        return reading
    value = replace(reading.value, doubtful=flags.doubtful, approximate=flags.approximate)
    return Reading(value, (*reading.noticed, "doubtful") if flags.doubtful else reading.noticed)


def _week(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    of_day = re.fullmatch(
        r"(?:week|wk|w/c|woche)\s?(?:of|commencing|beginning|vom)?\s+(.*[^\W\d].*|\d{4}-\d\d-\d\d)",
        body,
        re.IGNORECASE,
    )
    if of_day:
        return _week_of(parse_date(of_day[1], latest_year=latest))
    found = re.fullmatch(
        r"(?:(?P<y1>\d{4})[\s-]*)?(?:week|wk|kw|cw|w|semaine|sem|woche)\.?\s?(?P<w>\d{1,2})(?:[\s,/-]+(?:of\s)?(?P<y2>\d{4}|'?\d{2}))?",
        body,
        re.IGNORECASE,
    )
    if not found or not 1 <= int(found["w"]) <= 53:
        return None
    year, noticed = full_year(found["y1"] or found["y2"], latest)
    number = int(found["w"])
    if year is None:
        return Reading(PartialDate("week", None, week=number), noticed)
    try:
        monday = dt.date.fromisocalendar(year, number, 1)
    except ValueError:
        return Reading(None, ("no_such_day",))
    return Reading(
        PartialDate("week", year, week=number, start=monday, end=monday + dt.timedelta(days=6)), noticed
    )


def _week_of(day: Reading[PartialDate]) -> Reading[PartialDate] | None:
    if day.value is None or day.value.start is None or day.value.precision != "day":
        return None
    monday = day.value.start - dt.timedelta(days=day.value.start.weekday())
    iso = monday.isocalendar()
    week = PartialDate("week", iso.year, week=iso.week, start=monday, end=monday + dt.timedelta(days=6))
    return Reading(week, day.noticed)


def _two_dates(body: str, day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    ends = re.split(r"\s+(?:-|–|—|to|bis)\s+|(?<=\d)\s?[–—]\s?(?=\d)", body)
    if len(ends) != 2 or not all(re.search(r"\d.*[/.-].*\d", end) for end in ends):
        return None
    low, high = (parse_date(end, day_first=day_first, latest_year=latest) for end in ends)
    if low.value is None or high.value is None:
        return Reading(None, tuple(dict.fromkeys((*low.noticed, *high.noticed))))
    if low.value.start is None or high.value.start is None or low.value.precision != "day":
        return None
    both = PartialDate(
        "range",
        high.value.year,
        start=low.value.start,
        end=high.value.start,
        ambiguous=low.value.ambiguous or high.value.ambiguous,
    )
    return Reading(both, tuple(dict.fromkeys((*low.noticed, *high.noticed))))
