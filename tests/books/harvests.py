"""How people write a harvest: a day, a part of a month, a month, a season, a week, a span, a year."""

import calendar
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

from tests.books.manner import Manner, missing, told
from tests.books.regions import District
from tests.books.truth import Problem, Written

_TWO_DIGITS = Problem("two_digit_year", "info", "two-digit year")
_NO_YEAR = Problem("no_year", "warn", "no year written")
_FUTURE = Problem("future_date", "error", "the harvest lies after the tasting")
_NO_SUCH_DAY = Problem("impossible_date", "error", "there is no such day")

_MONTHS = {
    "en": tuple(calendar.month_name),
    "de": ("", "Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September"),
    "fr": ("", "janvier", "février", "mars", "avril", "mai", "juin", "juillet", "août", "septembre"),
}
_PARTS = {
    "en": {"early": "early", "mid": "mid", "late": "late"},
    "de": {"early": "Anfang", "mid": "Mitte", "late": "Ende"},
    "fr": {"early": "début", "mid": "mi-", "late": "fin"},
}
_CJK_PARTS = {"early": "上旬", "mid": "中旬", "late": "下旬"}
_FORMATS = ("dd/mm/yyyy", "yyyy-mm-dd", "d mmm yy", "d-mmm", "d mmm yyyy", "mm-dd-yy")


def write_harvest(manner: Manner, district: District) -> Written:
    """Write when a tea of this district was picked."""
    if manner.roll(0.03):
        return missing(manner)
    month = manner.rng.randint(*district.months)
    day = date(manner.year, month, manner.rng.randint(1, 28))
    if manner.roll(manner.wrong):
        return _wrong(manner, day)
    if not manner.roll(manner.messy):
        return _plain_day(manner, day)
    return manner.pick(_ways(manner))(manner, day)


def day_read(day: date, to: date | None = None, **more: Any) -> dict[str, Any]:
    """Return what is read from a full date or a span of days."""
    end = to or day
    return {"precision": "day", "from": day.isoformat(), "to": end.isoformat(), "year": day.year, **more}


def _wrong(manner: Manner, day: date) -> Written:
    if manner.roll(0.3):
        text = manner.pick((f"31/4/{manner.year}", f"30/2/{manner.year}"))
        return told(text, None, _NO_SUCH_DAY)
    late = day.replace(year=manner.pick((2031, 2035, 2052)))
    written = datetime(late.year, late.month, late.day)  # noqa: DTZ001 (a cell has no zone)
    read = day_read(late, implausible=True)
    if manner.text_only:
        return told(f"{late:%Y-%m-%d}", read, _FUTURE)
    return told(written, read, _FUTURE, number_format="dd/mm/yyyy")


def _plain_day(manner: Manner, day: date) -> Written:
    """Write the day as this merchant does; a file of text spells it so that day and month are plain."""
    if not manner.text_only:
        written = datetime(day.year, day.month, day.day)  # noqa: DTZ001
        return told(written, day_read(day), number_format=manner.pick(_FORMATS))
    if manner.language in ("zh", "zh_cn", "ja"):
        return told(f"{day.year}年{day.month}月{day.day}日", day_read(day))
    if manner.language in ("de", "fr"):
        return _numbers(manner, day)
    return told(f"{day.isoformat()}", day_read(day))


def _ways(manner: Manner) -> list[Callable[[Manner, date], Written]]:
    if manner.language in ("zh", "zh_cn", "ja"):
        return [_cjk_day, _cjk_month, _cjk_part, _iso, _cjk_season, _year_only]
    ways = [_iso, _numbers, _numbers, _part, _part, _month, _words]
    if manner.language == "en":
        ways += [_words, _words, _words_no_year, _season, _season, _week, _span, _span, _year_only, _doubtful]
        if not manner.text_only:
            ways += [] if manner.days_from_1904 else [_serial]
            ways += [_two_ways]
        if manner.origin.name == "China" and manner.roll(0.5):
            ways.append(_before_qingming)
    return ways


def _iso(manner: Manner, day: date) -> Written:
    return told(day.isoformat(), day_read(day))


def _words(manner: Manner, day: date) -> Written:
    month = _MONTHS[manner.language][day.month]
    if manner.language == "de":
        return told(f"{day.day}. {month} {day.year}", day_read(day))
    if manner.language == "fr":
        return told(f"{day.day} {month} {day.year}", day_read(day))
    short = manner.pick(
        (
            f"{day.day} {month[:3]} {day.year}",
            f"{day.day} {month} {day.year}",
            f"{month} {day.day}, {day.year}",
        )
    )
    if manner.roll(0.3):
        return told(
            f"{day.day}{manner.pick(' -')}{month[:3]}{manner.pick(' -')}{day:%y}", day_read(day), _TWO_DIGITS
        )
    return told(short, day_read(day))


def _numbers(manner: Manner, day: date) -> Written:
    """A date in numbers whose day is above 12, so that it can be read one way only."""
    day = day.replace(day=max(day.day, 13))
    sign = "." if manner.language == "de" else manner.pick("/.") if manner.language == "en" else "/"
    pad = manner.language == "de" or manner.roll(0.5)
    text = f"{day.day:02}{sign}{day.month:02}" if pad else f"{day.day}{sign}{day.month}"
    if manner.roll(0.4):
        return told(f"{text}{sign}{day:%y}", day_read(day), _TWO_DIGITS)
    return told(f"{text}{sign}{day.year}", day_read(day))


def _two_ways(manner: Manner, day: date) -> Written:
    day = day.replace(day=manner.pick([n for n in range(1, 13) if n != day.month]))
    other = date(day.year, day.day, day.month)
    read = day_read(day, alternatives=[other.isoformat()], ambiguous=True)
    swap = Problem("ambiguous_date", "warn", "day and month could be swapped")
    return told(f"{day.day}/{day.month}/{day:%y}", read, _TWO_DIGITS, swap)


def _words_no_year(manner: Manner, day: date) -> Written:
    month = _MONTHS["en"][day.month]
    text = manner.pick((f"{day.day} {month[:3]}", f"{day.day} {month}", f"{day.day}. {month}"))
    return told(text, {"precision": "day", "year": None, "month": day.month, "day": day.day}, _NO_YEAR)


def _part(manner: Manner, day: date) -> Written:
    part = manner.pick(("early", "mid", "late"))
    month = _MONTHS[manner.language][day.month]
    space = "" if (manner.language, part) == ("fr", "mid") else " "
    text = f"{_PARTS[manner.language][part]}{space}{month}"
    read = {"precision": "part_of_month", "part": part, "month": day.month, "year": None}
    if manner.roll(0.5):
        return told(text, read, _NO_YEAR)
    return told(f"{text} {day.year}", {**read, "year": day.year})


def _month(manner: Manner, day: date) -> Written:
    month = _MONTHS[manner.language][day.month]
    read = {"precision": "month", "year": day.year, "month": day.month}
    if manner.language == "en" and manner.roll(0.3):
        short = told(f"{month[:3]} '{day:%y}", read, _TWO_DIGITS)  # without the sign it could be a day
        return short if manner.roll(0.4) else told(f"{day:%Y-%m}", read)
    return told(f"{month} {day.year}", read)


def _season(manner: Manner, day: date) -> Written:
    season = manner.pick(("spring", "spring", "Spring", "winter", "summer", "autumn"))
    year = day.year - 1 if season in ("winter", "summer", "autumn") else day.year
    read = {"precision": "season", "season": season.lower(), "year": year}
    if manner.roll(0.2):
        return told(season, {**read, "year": None}, _NO_YEAR)
    if manner.roll(0.25):
        return told(
            f"{season} '{year % 100}" if manner.roll(0.5) else f"{season} {year % 100}", read, _TWO_DIGITS
        )
    return told(f"{season} {year}", read)


def _week(manner: Manner, day: date) -> Written:
    year, week, _ = day.isocalendar()
    monday = date.fromisocalendar(year, week, 1)
    read = day_read(monday, monday + timedelta(days=6)) | {"precision": "week", "year": year}
    text = manner.pick(
        (f"week {week}, {year}", f"wk {week} {year}", f"{year}-W{week:02}", f"week {week} {year}")
    )
    return told(text, read)


def _span(manner: Manner, day: date) -> Written:
    to = day + timedelta(days=manner.rng.randint(2, 4))
    read = day_read(day, to) | {"precision": "range"}
    dash = manner.pick(("-", "–", " - "))
    start, end = _MONTHS["en"][day.month][:3], _MONTHS["en"][to.month][:3]
    if day.month == to.month:
        return told(f"{day.day}{dash}{to.day} {start} {day.year}", read)
    return told(f"{day.day} {start} - {to.day} {end} {day.year}", read)


def _year_only(manner: Manner, day: date) -> Written:
    value = str(day.year) if manner.text_only or manner.roll(0.4) else day.year
    return told(value, {"precision": "year", "year": day.year})


def _doubtful(manner: Manner, day: date) -> Written:
    year = manner.pick((1998, 2006, 2014))
    read = {"precision": "year", "year": year, "doubtful": True}
    return told(f"{year}?", read, Problem("doubtful", "warn", "question mark after the year"))


def _serial(manner: Manner, day: date) -> Written:
    number = (day - date(1899, 12, 30)).days
    kind = Problem("serial_without_date_format", "warn", "a spreadsheet's day number shown as a plain number")
    return told(number, day_read(day), kind)


def _before_qingming(manner: Manner, day: date) -> Written:
    text = manner.pick((f"pre-Qingming {day.year}", f"mingqian {day.year}", f"before Qingming {day.year}"))
    return Written(told(text, None).cell, {"precision": "loose", "year": day.year})


def _cjk_day(manner: Manner, day: date) -> Written:
    return told(f"{day.year}年{day.month}月{day.day}日", day_read(day))


def _cjk_month(manner: Manner, day: date) -> Written:
    return told(f"{day.year}年{day.month}月", {"precision": "month", "year": day.year, "month": day.month})


def _cjk_part(manner: Manner, day: date) -> Written:
    part = manner.pick(("early", "mid", "late"))
    read = {"precision": "part_of_month", "part": part, "month": day.month}
    text = f"{day.month}月{_CJK_PARTS[part]}"
    if manner.roll(0.5):
        return told(text, {**read, "year": None}, _NO_YEAR)
    return told(f"{day.year}年{text}", {**read, "year": day.year})


def _cjk_season(manner: Manner, day: date) -> Written:
    text = manner.pick((f"{day.year}春", f"{day.year}年春", f"{day.year} 春茶"))
    return told(text, {"precision": "season", "season": "spring", "year": day.year})
