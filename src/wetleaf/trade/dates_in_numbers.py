"""Dates written in numbers: ISO, Chinese and Japanese, dotted, slashed, or a year alone.

Each form takes the text, whether days come first, and the latest year; it gives None where it does not apply.
"""

import re
from dataclasses import replace

from wetleaf.trade.date_words import PARTS, SEASONS
from wetleaf.trade.numbers import Reading
from wetleaf.trade.partial_dates import PartialDate, day_reading, full_year, range_reading


def iso_date(body: str, _day_first: bool | None, _latest: int) -> Reading[PartialDate] | None:
    """`2025-04-18`, `20250418`, `2025-04`."""
    found = re.fullmatch(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})", body) or re.fullmatch(
        r"((?:19|20)\d\d)(\d\d)(\d\d)", body
    )
    if found:
        return day_reading(int(found[1]), int(found[2]), int(found[3]))
    month = re.fullmatch(r"(\d{4})[-/.](\d{1,2})", body) or re.fullmatch(
        r"(?P<m>\d{1,2})[/.](?P<y>\d{4})", body
    )
    if not month:
        return None
    year, number = (int(month[1]), int(month[2])) if len(month[1]) == 4 else (int(month[2]), int(month[1]))
    return Reading(PartialDate("month", year, number)) if 1 <= number <= 12 else None


def east_asian_date(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    """`2025年4月上旬`, `114年4月18日`, `令和7年5月`."""
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
        return day_reading(year, int(found["month"]), int(found["day"]), noticed)
    month = int(found["month"]) if found["month"] else None
    if month is not None and not 1 <= month <= 12:
        return Reading(None, ("no_such_day",))
    if month and found["part"]:
        return Reading(PartialDate("part_of_month", year, month, part=PARTS[found["part"]]), noticed)
    if month:
        return Reading(PartialDate("month", year, month), noticed)
    if found["season"]:
        return Reading(PartialDate("season", year, season=SEASONS[found["season"]]), noticed)
    return Reading(PartialDate("year", year), noticed)


def _era_year(era: str | None, digits: str | None, latest: int) -> tuple[int | None, tuple[str, ...]]:
    if not digits:
        return None, ("no_year",)
    number = 1 if digits == "元" else int(digits)
    if era:
        return number + {"令": 2018, "平": 1988}.get(era[0], 1911), ("era_year",)
    if len(digits) == 3:
        return number + 1911, ("roc_year",)
    return full_year(digits, latest)


def dotted_date(body: str, _day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    # Dots between numbers are the continental habit, which is always day first.
    several = re.fullmatch(
        r"(\d{1,2})\.?(?:(\d{1,2})\.)?\s?[-–/]\s?(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})?", body
    )
    if several:
        year, noticed = full_year(several[5], latest)
        return range_reading(
            (int(several[2] or several[4]), int(several[1])),
            (int(several[4]), int(several[3])),
            year,
            noticed,
        )
    found = re.fullmatch(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})?", body)
    if not found:
        return None
    year, noticed = full_year(found[3], latest)
    return day_reading(year, int(found[2]), int(found[1]), noticed)


def slashed_date(body: str, day_first: bool | None, latest: int) -> Reading[PartialDate] | None:
    """`18/4/25`, `114/4/18`; either order where both numbers may be a month."""
    roc = re.fullmatch(r"(1[0-4]\d)[/.-](\d{1,2})[/.-](\d{1,2})", body)
    if roc:
        return day_reading(int(roc[1]) + 1911, int(roc[2]), int(roc[3]), ("roc_year",))
    found = re.fullmatch(r"(\d{1,2})\s?[/-]\s?(\d{1,2})(?:\s?[/-]\s?(\d{4}|\d{2}))?", body)
    if not found or ("-" in body and not found[3]):
        return None
    year, noticed = full_year(found[3], latest)
    one, two = int(found[1]), int(found[2])
    if one > 12 or two > 12 or one == two:
        return (
            day_reading(year, two, one, noticed)
            if one > 12 or one == two
            else day_reading(year, one, two, noticed)
        )
    return _either_order(year, one, two, day_first, noticed)


def _either_order(
    year: int | None, one: int, two: int, day_first: bool | None, noticed: tuple[str, ...]
) -> Reading[PartialDate]:
    kinds = ("ambiguous_date", *noticed)
    if day_first is None:
        return Reading(None, kinds)
    month, day = (two, one) if day_first else (one, two)
    read, other = day_reading(year, month, day, kinds), day_reading(year, day, month)
    if read.value is None:
        return read
    others = (other.value.start,) if other.value is not None and other.value.start else ()
    return Reading(replace(read.value, ambiguous=True, alternatives=others), kinds)


def year_alone(body: str, _day_first: bool | None, _latest: int) -> Reading[PartialDate] | None:
    """`2025`, `vintage 1998`."""
    found = re.fullmatch(
        r"(?:year\s|vintage\s)?((?:1[89]|20|21)\d\d)(?:\s?(?:vintage|harvest|s))?", body, re.IGNORECASE
    )
    return Reading(PartialDate("year", int(found[1]))) if found else None
