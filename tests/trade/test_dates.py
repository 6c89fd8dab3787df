"""Dates against the standard library's own calendar (ISO 8601 weeks) and ECMA-376 day numbers."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.dates import date_of_serial, day_first_in, parse_date


@pytest.mark.parametrize(
    "text",
    [
        "2025-04-18",
        "18 Apr 2025",
        "18.04.25",
        "18/04/2025",
        "April 18, 2025",
        "18th April 2025",
        "2025年4月18日",
        "114年4月18日",
        "18. April 2025",
        "le 18 avril 2025",
        "20250418",
        "2025/4/18",
        "18-Apr-25",
        "Fri 18 Apr 2025",
    ],
)
def test_one_day_is_read_however_it_is_written(text: str) -> None:
    reading = parse_date(text, latest_year=2026)

    assert reading.value is not None
    assert reading.value.start == dt.date(2025, 4, 18)
    assert reading.value.precision == "day"


def test_day_and_month_are_never_guessed() -> None:
    reading = parse_date("12/4/25")

    assert reading.value is None
    assert "ambiguous_date" in reading.noticed


def test_the_other_reading_of_an_ambiguous_day_is_kept() -> None:
    reading = parse_date("9/4/25", day_first=True)

    assert reading.value is not None
    assert reading.value.start == dt.date(2025, 4, 9)
    assert reading.value.alternatives == (dt.date(2025, 9, 4),)
    assert reading.value.ambiguous


@pytest.mark.parametrize(
    ("text", "precision", "year"),
    [
        ("late April", "part_of_month", None),
        ("Ende Mai", "part_of_month", None),
        ("mid-May 2025", "part_of_month", 2025),
        ("spring 2025", "season", 2025),
        ("明前 2025", "season", 2025),
        ("May 2025", "month", 2025),
        ("Apr-25", "month", 2025),
        ("week 16 2025", "week", 2025),
        ("18-21 Apr 2025", "range", 2025),
        ("Apr-May 2025", "range", 2025),
        ("1998?", "year", 1998),
    ],
)
def test_a_date_is_kept_as_precise_as_it_was_written(text: str, precision: str, year: int | None) -> None:
    reading = parse_date(text, latest_year=2026)

    assert reading.value is not None
    assert (reading.value.precision, reading.value.year) == (precision, year)


def test_a_month_and_25_may_be_a_day_or_a_year() -> None:
    reading = parse_date("Apr 25")

    assert reading.value is not None
    assert reading.value.ambiguous
    assert (reading.value.month, reading.value.day, reading.value.year) == (4, None, None)


def test_there_is_no_31_february() -> None:
    assert parse_date("31 Feb 2025").noticed == ("no_such_day",)


def test_excel_counts_45769_as_22_april_2025() -> None:
    # the development workbook's truth; ECMA-376 part 1, 18.17.4.1
    assert date_of_serial(45769) == dt.date(2025, 4, 22)


def test_month_first_needs_a_firm_sign() -> None:
    assert day_first_in(["April 21, 2025"]) is None
    assert day_first_in(["4/21/2025", "April 21, 2025"]) is False
    assert day_first_in(["dd/mm/yyyy"]) is True


@given(st.dates(dt.date(1990, 1, 1), dt.date(2026, 12, 31)))
def test_every_week_is_the_calendars_own(day: dt.date) -> None:
    year, week, _ = day.isocalendar()

    reading = parse_date(f"week {week} {year}")

    assert reading.value is not None
    assert reading.value.start is not None
    assert reading.value.start <= day <= (reading.value.end or day)
    assert reading.value.start == dt.date.fromisocalendar(year, week, 1)


@given(st.dates(dt.date(1990, 1, 1), dt.date(2026, 12, 31)))
def test_a_day_written_both_ways_round_is_told_by_the_order(day: dt.date) -> None:
    written = f"{day.day}/{day.month}/{day.year}"

    reading = parse_date(written, day_first=True)

    assert reading.value is not None
    assert day in (reading.value.start, *reading.value.alternatives)


@given(st.text(max_size=25))
def test_no_text_breaks_the_reader(text: str) -> None:
    reading = parse_date(text)

    assert reading.value is not None or reading.noticed
