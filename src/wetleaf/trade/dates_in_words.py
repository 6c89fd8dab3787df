"""Dates with a word in them: a named month, a part of one, a season, a range of days.

Each form takes the text, whether days come first, and the latest year; it gives None where it does not apply.
"""

import re
from calendar import monthrange
from collections.abc import Iterable

from wetleaf.trade.date_words import PARTS, SEASONS, month_number
from wetleaf.trade.numbers import Reading
from wetleaf.trade.partial_dates import PartialDate, day_reading, full_year, range_reading

_DAY = r"(\d{1,2})(?:st|nd|rd|th|er|\.)?"
_WORD = r"([^\W\d_]{3,})\.?"
_YEAR_TAIL = r"(?:[\s,./-]*('?\d{2}|\d{4}))?"
_TO = r"\s*(?:-|–|—|~|to|bis|au|and|&|/|\+)\s*"


def day_range(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    """`18-21 Apr 2025`, `Apr 18-21`, `28 Apr to 2 May`."""
    one_month = re.fullmatch(_DAY + _TO + _DAY + r"\s*(?:of\s)?" + _WORD + _YEAR_TAIL, body, re.IGNORECASE)
    if one_month and (month := month_number(one_month[3])):
        year, noticed = full_year(one_month[4], latest)
        return range_reading((month, int(one_month[1])), (month, int(one_month[2])), year, noticed)
    first_month = re.fullmatch(_WORD + r"\s" + _DAY + _TO + _DAY + r"(?:,?\s+(\d{4}))?", body, re.IGNORECASE)
    if first_month and (month := month_number(first_month[1])):
        year, noticed = full_year(first_month[4], latest)
        return range_reading((month, int(first_month[2])), (month, int(first_month[3])), year, noticed)
    two = re.fullmatch(
        _DAY + r"\s?" + _WORD + r"(?:\s\d{4})?" + _TO + _DAY + r"\s?" + _WORD + _YEAR_TAIL,
        body,
        re.IGNORECASE,
    )
    if two and (low := month_number(two[2])) and (high := month_number(two[4])):
        year, noticed = full_year(two[5], latest)
        return range_reading((low, int(two[1])), (high, int(two[3])), year, noticed)
    return None


def month_range(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    """`April to May 2025`."""
    found = re.fullmatch(_WORD + _TO + _WORD + _YEAR_TAIL, body, re.IGNORECASE)
    if not found:
        return None
    low, high = month_number(found[1]), month_number(found[2])
    if not low or not high:
        return None
    year, noticed = full_year(found[3], latest)
    last = monthrange(year or 2001, high)[1]
    return range_reading((low, 1), (high, last), year, noticed)


def named_day(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    """`21st of April 2025`, `Apr 21, 2025`; `Apr 25` may be a day or a year."""
    found = re.fullmatch(
        r"(?:le\s|the\s)?" + _DAY + r"[\s.-]*(?:of\s)?" + _WORD + _YEAR_TAIL, body, re.IGNORECASE
    )
    if found and (month := month_number(found[2])):
        year, noticed = full_year(found[3], latest)
        return day_reading(year, month, int(found[1]), noticed)
    found = re.fullmatch(
        _WORD + r"[\s-]*(\d{1,2})(?:st|nd|rd|th)?(?:[\s,-]+('\d{2}|\d{4}|\d{2}))?", body, re.IGNORECASE
    )
    if not found or not (month := month_number(found[1])) or (found[3] is None and "-" in found[0]):
        return None  # `Apr-25` is what a spreadsheet shows for a month
    if found[3] is None and 20 <= int(found[2]) <= 31:
        # `Apr 25`: the 25th, or April 2025. Only the month is certain.
        return Reading(PartialDate("month", None, month, ambiguous=True), ("ambiguous_date", "no_year"))
    year, noticed = full_year(found[3], latest)
    return day_reading(year, month, int(found[2]), noticed)


def _longest_first(names: Iterable[str]) -> str:
    return "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))


_PART_OF_MONTH = re.compile(
    rf"({_longest_first(PARTS)})(?:\s?(?:to|-|/)\s?({_longest_first(PARTS)}))?[\s-]*(?:of\s|de\s|d')?"
    + _WORD
    + _YEAR_TAIL,
    re.IGNORECASE,
)
_SEASON = re.compile(
    rf"(?:(?P<before>\d{{4}})年?[\s/-]*)?(?P<name>{_longest_first(SEASONS)})"
    r"(?:\s*(?:flush|harvest|crop|pick(?:ing)?|tea|季|茶))?(?:[\s,./-]*(?P<after>'?\d{2}|\d{4})(?:/\d{2,4})?)?",
    re.IGNORECASE,
)


def part_of_month(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    """`late April 2025`, `early to mid May`."""
    found = _PART_OF_MONTH.fullmatch(body)
    if not found or not (month := month_number(found[3])):
        return None
    year, noticed = full_year(found[4], latest)
    part = PARTS[found[1].casefold()]
    if not found[2]:
        return Reading(PartialDate("part_of_month", year, month, part=part), noticed)
    first = {"early": 1, "mid": 11, "late": 21}[part]
    last = {"early": 10, "mid": 20}.get(PARTS[found[2].casefold()], monthrange(year or 2001, month)[1])
    return range_reading((month, first), (month, last), year, noticed)


def season_of_year(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    """`spring 2025`, `first flush`."""
    found = _SEASON.fullmatch(body)
    if not found:
        return None
    year, noticed = full_year(found["before"] or found["after"], latest)
    return Reading(PartialDate("season", year, season=SEASONS[found["name"].casefold()]), noticed)


def named_month(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    """`April 2025`, `2025 April`."""
    found = re.fullmatch(_WORD + r"(?:[\s,./'’-]*(\d{4}|\d{2}))?", body, re.IGNORECASE)
    if found and (month := month_number(found[1])):
        year, noticed = full_year(found[2], latest)
        return Reading(PartialDate("month", year, month), noticed)
    found = re.fullmatch(r"(\d{4})\s+" + _WORD, body)
    if found and (month := month_number(found[2])):
        return Reading(PartialDate("month", int(found[1]), month))
    return None
