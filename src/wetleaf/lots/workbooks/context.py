"""What the whole book tells about reading any one cell: the order of its dates, its place, its
decimal mark.
"""

import datetime as dt
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from wetleaf.lots.workbooks.grid import Grid, Workbook, as_text
from wetleaf.lots.workbooks.kinds import Problems
from wetleaf.lots.workbooks.mapping import Mapping
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.trade.dates import day_first_in, parse_date
from wetleaf.trade.money import PLACE_OF_CURRENCY, currency_in
from wetleaf.trade.numbers import DecimalMark, decimal_mark_of
from wetleaf.trade.quantities import place_in


@dataclass
class Context:
    """Facts of the book that a cell may need."""

    file: str
    today: dt.date
    mapping: Mapping
    problems: Problems
    day_first: bool | None = None
    place: str = ""
    decimal: DecimalMark = ""
    mac_days: bool = False
    season: str = ""
    year: int | None = None
    tasted: dict[str, dt.date] = field(default_factory=dict)
    column_dates: dict[tuple[str, int], tuple[dt.date, ...]] = field(default_factory=dict)


def context_of(
    book: Workbook, tables: list[Recognised], file: str, today: dt.date, mapping: Mapping
) -> Context:
    """Look over the whole book once."""
    titles = [text for one in tables for text in (*one.table.titles, one.table.name)]
    season, year = season_in(titles, today)
    return Context(
        file,
        today,
        mapping,
        Problems(),
        day_first=_day_first(book, tables, titles, mapping),
        place=_place(tables, titles),
        decimal=_decimal(book),
        mac_days=book.mac_days,
        season=season,
        year=year,
    )


def _day_first(book: Workbook, tables: list[Recognised], titles: list[str], mapping: Mapping) -> bool | None:
    if mapping.date_order:
        return mapping.date_order == "day first"
    texts = [*book.date_formats, *(_dates_in_titles(titles))]
    for one in tables:
        for name in (
            "harvest",
            "roast_date",
            "taste_date",
            "date",
            "sample_received",
            "offer_until",
            "sitting",
        ):
            column = one.column_of(name)
            if column is not None:
                texts += [
                    v for row in one.table.rows if isinstance(v := one.table.grid.at(row, column).value, str)
                ]
    told = day_first_in(texts)
    return told if told is not None else _by_tongue(tables)


def _by_tongue(tables: list[Recognised]) -> bool | None:
    """German and French books write the day first; so do those that name months in any title."""
    heads = " ".join(head.text.casefold() for one in tables for head in one.table.heads)
    words = r"\b(?:ernte|erzeuger|preis|höhe|sorte|los|verkoster|probe|récolte|producteur|prix|thé|échantillon|cueillette)\b"  # noqa: E501
    return True if len(set(re.findall(words, heads))) >= 2 else None


def _dates_in_titles(titles: list[str]) -> list[str]:
    return [
        found
        for title in titles
        for found in re.findall(
            r"\b\d{1,2}(?:st|nd|rd|th|\.)?\s+[^\W\d_]{3,}\b|\b[^\W\d_]{3,}\.? \d{1,2}(?:st|nd|rd|th)?,? \d{4}",  # noqa: E501
            title,
        )
    ]


def _place(tables: list[Recognised], titles: list[str]) -> str:
    """The one country the book is about: by its prices, its places, its titles; "" when they differ."""
    votes: Counter[str] = Counter()
    for one in tables:
        if one.role != "lots":
            continue
        votes.update(_price_places(one))
        region = one.column_of("region")
        if region is not None:
            votes.update(
                p
                for row in one.table.rows
                if (p := place_in(as_text(one.table.grid.shown(row, region)[2].value)))
            )
    votes.update(p for title in titles if (p := place_in(title)))
    if not votes:
        return ""
    (best, number), *_ = votes.most_common(1)
    return best if number >= 0.9 * sum(votes.values()) else ""


def _price_places(one: Recognised) -> list[str]:
    head = one.by_field.get("price")
    currency = currency_in(head.whole).value if head else None
    place = PLACE_OF_CURRENCY.get(currency or "", "")
    return [place] if place in ("TW", "CN", "HK") else []


def _decimal(book: Workbook) -> DecimalMark:
    """The decimal mark of a CSV, told by all its cells that are numbers; a workbook's columns tell
    for themselves.
    """
    if book.kind != "csv":
        return ""
    texts = [
        cell.value
        for grid in book.grids
        for cell in grid.cells.values()
        if isinstance(cell.value, str)
        and re.fullmatch(r"[\s\d.,€£$¥%<>~?/+-]{2,14}(?:kg|g|m|ft)?", cell.value)
        and not re.fullmatch(r"\s*\d{1,2}\.\d{1,2}\.(?:\d{2}|\d{4})?\s*", cell.value)
    ]
    mark = decimal_mark_of(texts)
    commas = sum(1 for text in texts if re.search(r"\d,\d{1,2}(?!\d)", text))
    return "" if mark == "," and commas < 3 else mark  # one or two commas are a slip, not a habit


def season_in(titles: Iterable[str], today: dt.date) -> tuple[str, int | None]:
    """The season and the year that a title names; the year only if all titles agree."""
    season = ""
    years: set[int] = set()
    seasons = (
        "spring|summer|autumn|fall|winter|first flush|second flush|frühjahr|frühling|sommer|herbst"
        "|printemps|été|automne|hiver"
    )
    months = "jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec"  # "First flush 22 Apr" names a day
    pattern = rf"\b({seasons})\s+'?(\d{{4}}\b|\d{{2}}\b(?!\s+(?:{months})))"
    for title in titles:
        found = re.search(pattern, title, re.IGNORECASE) or re.search(
            r"\b((?:19|20)\d\d)\s+(spring|summer|autumn|winter)\b", title, re.IGNORECASE
        )
        if found and not season:
            read = parse_date(found[0], latest_year=today.year + 1).value
            season = f"{read.season} {read.year}".capitalize() if read and read.year else ""
        years |= {int(y) for y in re.findall(r"\b(20[0-4]\d|19[89]\d)\b", title)}
    if season and not years:
        years = {int(season[-4:])}
    return season, next(iter(years)) if len(years) == 1 else None


def column_decimal(context: Context, grid: Grid, rows: list[int], column: int) -> DecimalMark:
    """Tell the decimal mark of one column by its own texts, else by the book's."""
    texts = (value for row in rows if isinstance(value := grid.at(row, column).value, str))
    return decimal_mark_of(texts) or context.decimal
