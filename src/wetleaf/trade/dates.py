"""Dates as people write them, kept only as precise as they were written.

`late April` is a part of a month, `1998?` a doubtful year, `9/4/25` one of two days: which one is
never guessed, the book's other dates may tell (`day_first`). A year that is not written is None.
Chinese and Japanese forms, years of the Republic (114 = 2025) and of Reiwa (7 = 2025) are read;
the first flushes named after the solar terms (before Qingming, before Guyu) are seasons, since the
terms fall on 4 to 6 and 19 to 21 April (common practice). Weeks are those of ISO 8601.
"""

import datetime as dt
import re
from calendar import monthrange
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from wetleaf.trade.numbers import Reading, fold_width

Precision = Literal["day", "month", "part_of_month", "season", "week", "range", "year"]
OLDEST_YEAR = 1900
EXCEL_FIRST_DAY = dt.date(1899, 12, 30)
MAC_FIRST_DAY = dt.date(1904, 1, 1)

_MONTH_NAMES: tuple[str, ...] = (
    "january jan januar jänner janvier janv enero gennaio 一月",
    "february feb febr februar février févr fevrier 二月",
    "march mar märz maerz mrz mars marzo 三月",
    "april apr avril avr abril aprile 四月",
    "may mai mayo maggio 五月",
    "june jun juni juin 六月",
    "july jul juli juillet juil 七月",
    "august aug août aout 八月",
    "september sep sept septembre 九月",
    "october oct okt oktober octobre 十月",
    "november nov novembre 十一月",
    "december dec dez dezember décembre déc 十二月",
)
_MONTHS = {name: number for number, names in enumerate(_MONTH_NAMES, 1) for name in names.split()}
_PARTS = {
    spelling: part
    for part, spellings in {
        "early": "early|beginning of|beginning|start of|start|first half of|anfang|début|debut|上旬|初",
        "mid": "mid|middle of|middle|mitte|mi|中旬|中",
        "late": "late|end of|end|second half of|ende|fin|下旬|底|末",
    }.items()
    for spelling in spellings.split("|")
}
_SEASONS = {
    spelling: season
    for season, spellings in {
        "spring": "spring|frühling|frühjahr|fruehling|printemps|primavera|春|haru|spr",
        "summer": "summer|sommer|été|夏|natsu",
        "autumn": "autumn|fall|herbst|automne|autumnal|秋|aki|aut",
        "winter": "winter|hiver|冬|fuyu|win",
        "winter-spring": "winter-spring|冬春|冬片",
        "first flush": "first flush|1st flush|ff|erste pflückung|première récolte|一番茶|shincha|新茶|ichibancha",  # noqa: E501
        "second flush": "second flush|2nd flush|sf|zweite pflückung|二番茶|nibancha",
        "third flush": "third flush|3rd flush|三番茶|sanbancha",
        "monsoon": "monsoon|rains|monsun",
        "before qingming": "before qingming|pre-qingming|pre qingming|mingqian|ming qian|明前",
        "before guyu": "before guyu|pre-guyu|pre guyu|yuqian|yu qian|雨前",
        "after guyu": "after guyu|雨后|雨後",
    }.items()
    for spelling in spellings.split("|")
}


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

        >>> parse_date("late April 2025").value.span()
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
    return (True, False) if before and before[1] in _MONTHS else (None, False)


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
        _iso,
        _cjk,
        _dotted,
        _slashed,
        _week,
        _day_range,
        _month_range,
        _named_day,
        _part,
        _season,
        _named_month,
        _year,
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
    body = re.sub(r"^(?:picked|plucked|harvested|made|on)\s+", "", body, flags=re.IGNORECASE)
    body = re.sub(r"[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?$", "", body)
    return body.strip(), _Flags(doubtful, about is not None)


def _flagged(reading: Reading[PartialDate], flags: _Flags) -> Reading[PartialDate]:
    if reading.value is None:
        return reading
    value = replace(reading.value, doubtful=flags.doubtful, approximate=flags.approximate)
    return Reading(value, (*reading.noticed, "doubtful") if flags.doubtful else reading.noticed)


def _full_year(digits: str | None, latest: int) -> tuple[int | None, tuple[str, ...]]:
    if not digits:
        return None, ("no_year",)
    digits = digits.strip("'’ ")
    if len(digits) == 4:
        return int(digits), ()
    year = 2000 + int(digits)
    return (year if year <= latest else year - 100), ("two_digit_year",)


def _day(year: int | None, month: int, day: int, noticed: tuple[str, ...] = ()) -> Reading[PartialDate]:
    """A day; without its year it has no `start`, and 29 February is let pass."""
    if not 1 <= month <= 12 or not 1 <= day <= monthrange(year or 2000, month)[1]:
        return Reading(None, ("no_such_day",))
    if year is None:
        return Reading(PartialDate("day", None, month, day), noticed)
    return Reading(on_day(dt.date(year, month, day)), noticed)


def _range(
    start: tuple[int, int], end: tuple[int, int], year: int | None, noticed: tuple[str, ...]
) -> Reading[PartialDate]:
    first, last = _day(year, *start), _day(year, *end)
    if first.value is None or last.value is None:
        return Reading(None, ("no_such_day",))
    low, high = first.value.start, last.value.start
    if low and high and low > high:
        low = low.replace(year=low.year - 1)
    month, day = start
    return Reading(
        PartialDate("range", year, month, day, end_month=end[0], end_day=end[1], start=low, end=high), noticed
    )


def _iso(body: str, _day_first: bool | None, _latest: int) -> Reading[PartialDate] | None:
    found = re.fullmatch(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})", body) or re.fullmatch(
        r"((?:19|20)\d\d)(\d\d)(\d\d)", body
    )
    if found:
        return _day(int(found[1]), int(found[2]), int(found[3]))
    month = re.fullmatch(r"(\d{4})[-/.](\d{1,2})", body) or re.fullmatch(
        r"(?P<m>\d{1,2})[/.](?P<y>\d{4})", body
    )
    if not month:
        return None
    year, number = (int(month[1]), int(month[2])) if len(month[1]) == 4 else (int(month[2]), int(month[1]))
    return Reading(PartialDate("month", year, number)) if 1 <= number <= 12 else None


def _cjk(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    compact = re.sub(r"\s", "", body)
    found = re.fullmatch(
        r"(?P<era>民國|民国|令和|平成)?(?:(?P<year>\d{2,4}|元)年)?(?:(?P<month>\d{1,2})月)?"
        r"(?:(?P<day>\d{1,2})[日号號]|(?P<part>上旬|中旬|下旬|初|中|底|末))?(?P<season>[春夏秋冬])?[季茶]?",
        compact,
    )
    if not found or not (found["year"] or found["month"]):
        return None
    year, noticed = _era_year(found["era"], found["year"], latest)
    if found["month"] and found["day"]:
        return _day(year, int(found["month"]), int(found["day"]), noticed)
    month = int(found["month"]) if found["month"] else None
    if month is not None and not 1 <= month <= 12:
        return Reading(None, ("no_such_day",))
    if month and found["part"]:
        return Reading(PartialDate("part_of_month", year, month, part=_PARTS[found["part"]]), noticed)
    if month:
        return Reading(PartialDate("month", year, month), noticed)
    if found["season"]:
        return Reading(PartialDate("season", year, season=_SEASONS[found["season"]]), noticed)
    return Reading(PartialDate("year", year), noticed)


def _era_year(era: str | None, digits: str | None, latest: int) -> tuple[int | None, tuple[str, ...]]:
    if not digits:
        return None, ("no_year",)
    number = 1 if digits == "元" else int(digits)
    if era:
        return number + {"令": 2018, "平": 1988}.get(era[0], 1911), ("era_year",)
    if len(digits) == 3:
        return number + 1911, ("roc_year",)
    return _full_year(digits, latest)


def _dotted(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    # Dots between numbers are the continental habit, which is always day first.
    several = re.fullmatch(
        r"(\d{1,2})\.?(?:(\d{1,2})\.)?\s?[-–/]\s?(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})?", body
    )
    if several:
        year, noticed = _full_year(several[5], latest)
        return _range(
            (int(several[2] or several[4]), int(several[1])),
            (int(several[4]), int(several[3])),
            year,
            noticed,
        )
    found = re.fullmatch(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})?", body)
    if not found:
        return None
    year, noticed = _full_year(found[3], latest)
    return _day(year, int(found[2]), int(found[1]), noticed)


def _slashed(body: str, day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    roc = re.fullmatch(r"(1[0-4]\d)[/.-](\d{1,2})[/.-](\d{1,2})", body)
    if roc:
        return _day(int(roc[1]) + 1911, int(roc[2]), int(roc[3]), ("roc_year",))
    found = re.fullmatch(r"(\d{1,2})\s?[/-]\s?(\d{1,2})(?:\s?[/-]\s?(\d{4}|\d{2}))?", body)
    if not found or ("-" in body and not found[3]):
        return None
    year, noticed = _full_year(found[3], latest)
    one, two = int(found[1]), int(found[2])
    if one > 12 or two > 12 or one == two:
        return _day(year, two, one, noticed) if one > 12 or one == two else _day(year, one, two, noticed)
    return _either_order(year, one, two, day_first, noticed)


def _either_order(
    year: int | None, one: int, two: int, day_first: bool | None, noticed: tuple[str, ...]
) -> Reading[PartialDate]:
    kinds = ("ambiguous_date", *noticed)
    if day_first is None:
        return Reading(None, kinds)
    month, day = (two, one) if day_first else (one, two)
    read, other = _day(year, month, day, kinds), _day(year, day, month)
    if read.value is None:
        return read
    others = (other.value.start,) if other.value is not None and other.value.start else ()
    return Reading(replace(read.value, ambiguous=True, alternatives=others), kinds)


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
    year, noticed = _full_year(found["y1"] or found["y2"], latest)
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


_DAY = r"(\d{1,2})(?:st|nd|rd|th|er|\.)?"
_WORD = r"([^\W\d_]{3,})\.?"
_YEAR_TAIL = r"(?:[\s,./-]*('?\d{2}|\d{4}))?"
_TO = r"\s*(?:-|–|—|~|to|bis|au|and|&|/|\+)\s*"


def _month_number(word: str) -> int | None:
    return _MONTHS.get(word.casefold().rstrip("."))


def _day_range(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    one_month = re.fullmatch(_DAY + _TO + _DAY + r"\s*(?:of\s)?" + _WORD + _YEAR_TAIL, body, re.IGNORECASE)
    if one_month and (month := _month_number(one_month[3])):
        year, noticed = _full_year(one_month[4], latest)
        return _range((month, int(one_month[1])), (month, int(one_month[2])), year, noticed)
    first_month = re.fullmatch(_WORD + r"\s" + _DAY + _TO + _DAY + r"(?:,?\s+(\d{4}))?", body, re.IGNORECASE)
    if first_month and (month := _month_number(first_month[1])):
        year, noticed = _full_year(first_month[4], latest)
        return _range((month, int(first_month[2])), (month, int(first_month[3])), year, noticed)
    two = re.fullmatch(
        _DAY + r"\s?" + _WORD + r"(?:\s\d{4})?" + _TO + _DAY + r"\s?" + _WORD + _YEAR_TAIL,
        body,
        re.IGNORECASE,
    )
    if two and (low := _month_number(two[2])) and (high := _month_number(two[4])):
        year, noticed = _full_year(two[5], latest)
        return _range((low, int(two[1])), (high, int(two[3])), year, noticed)
    return _two_dates(body, _day_first, latest)


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


def _month_range(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    found = re.fullmatch(_WORD + _TO + _WORD + _YEAR_TAIL, body, re.IGNORECASE)
    if not found:
        return None
    low, high = _month_number(found[1]), _month_number(found[2])
    if not low or not high:
        return None
    year, noticed = _full_year(found[3], latest)
    last = monthrange(year or 2001, high)[1]
    return _range((low, 1), (high, last), year, noticed)


def _named_day(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    found = re.fullmatch(
        r"(?:le\s|the\s)?" + _DAY + r"[\s.-]*(?:of\s)?" + _WORD + _YEAR_TAIL, body, re.IGNORECASE
    )
    if found and (month := _month_number(found[2])):
        year, noticed = _full_year(found[3], latest)
        return _day(year, month, int(found[1]), noticed)
    found = re.fullmatch(
        _WORD + r"[\s-]*(\d{1,2})(?:st|nd|rd|th)?(?:[\s,-]+('\d{2}|\d{4}|\d{2}))?", body, re.IGNORECASE
    )
    if not found or not (month := _month_number(found[1])) or (found[3] is None and "-" in found[0]):
        return None  # `Apr-25` is what a spreadsheet shows for a month
    if found[3] is None and 20 <= int(found[2]) <= 31:
        # `Apr 25`: the 25th, or April 2025. Only the month is certain.
        return Reading(PartialDate("month", None, month, ambiguous=True), ("ambiguous_date", "no_year"))
    year, noticed = _full_year(found[3], latest)
    return _day(year, month, int(found[2]), noticed)


def _longest_first(names: Iterable[str]) -> str:
    return "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))


_PART_OF_MONTH = re.compile(
    rf"({_longest_first(_PARTS)})(?:\s?(?:to|-|/)\s?({_longest_first(_PARTS)}))?[\s-]*(?:of\s|de\s|d')?"
    + _WORD
    + _YEAR_TAIL,
    re.IGNORECASE,
)
_SEASON = re.compile(
    rf"(?:(?P<before>\d{{4}})年?[\s/-]*)?(?P<name>{_longest_first(_SEASONS)})"
    r"(?:\s*(?:flush|harvest|crop|pick(?:ing)?|tea|季|茶))?(?:[\s,./-]*(?P<after>'?\d{2}|\d{4})(?:/\d{2,4})?)?",
    re.IGNORECASE,
)


def _part(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    found = _PART_OF_MONTH.fullmatch(body)
    if not found or not (month := _month_number(found[3])):
        return None
    year, noticed = _full_year(found[4], latest)
    part = _PARTS[found[1].casefold()]
    if not found[2]:
        return Reading(PartialDate("part_of_month", year, month, part=part), noticed)
    first = {"early": 1, "mid": 11, "late": 21}[part]
    last = {"early": 10, "mid": 20}.get(_PARTS[found[2].casefold()], monthrange(year or 2001, month)[1])
    return _range((month, first), (month, last), year, noticed)


def _season(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    found = _SEASON.fullmatch(body)
    if not found:
        return None
    year, noticed = _full_year(found["before"] or found["after"], latest)
    return Reading(PartialDate("season", year, season=_SEASONS[found["name"].casefold()]), noticed)


def _named_month(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    found = re.fullmatch(_WORD + r"(?:[\s,./'’-]*(\d{4}|\d{2}))?", body, re.IGNORECASE)
    if found and (month := _month_number(found[1])):
        year, noticed = _full_year(found[2], latest)
        return Reading(PartialDate("month", year, month), noticed)
    found = re.fullmatch(r"(\d{4})\s+" + _WORD, body)
    if found and (month := _month_number(found[2])):
        return Reading(PartialDate("month", int(found[1]), month))
    return None


def _year(body: str, _day_first: bool | None, _latest: int) -> Reading[PartialDate] | None:
    found = re.fullmatch(
        r"(?:year\s|vintage\s)?((?:1[89]|20|21)\d\d)(?:\s?(?:vintage|harvest|s))?", body, re.IGNORECASE
    )
    return Reading(PartialDate("year", int(found[1]))) if found else None
