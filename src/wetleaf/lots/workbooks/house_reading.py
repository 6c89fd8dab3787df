"""The buyer's own tables: the leaf ledger, the lines of the shop with their targets, the list of sittings."""

import datetime as dt
import re
from decimal import Decimal

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.dates_reading import read_date
from wetleaf.lots.workbooks.grid import as_text, cell_record, is_blank
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import LedgerEntry, LineRow, Sitting
from wetleaf.lots.workbooks.score_names import Names, name_problem
from wetleaf.lots.workbooks.score_values import Scale, scale_in
from wetleaf.lots.workbooks.tables import Table
from wetleaf.trade.dates import parse_date
from wetleaf.trade.numbers import is_missing_mark, parse_number
from wetleaf.trade.quantities import parse_weight, weight_unit


def text_in(recognised: Recognised, row: int, name: str) -> str:
    """Give what a field says in a row; "" for nothing and for a mark that stands for nothing."""
    column = recognised.column_of(name)
    if column is None:
        return ""
    text = as_text(recognised.table.grid.shown(row, column)[2].value).strip()
    return "" if is_missing_mark(text) else text


def day_in(recognised: Recognised, row: int, name: str, context: Context) -> dt.date | None:
    """Read the day of a field in a row; None where none is written, or no day of it."""
    column = recognised.column_of(name)
    if column is None or is_blank(recognised.table.grid.shown(row, column)[2]):
        return None
    date = read_date(context, recognised.table.grid, row, column)
    return date.start if date and date.precision == "day" else None


def number_in(recognised: Recognised, row: int, name: str, context: Context) -> Decimal | None:
    """Read the number of a field in a row; what is none is named."""
    column = recognised.column_of(name)
    text = text_in(recognised, row, name)
    if column is None or not text:
        return None
    number = parse_number(text, context.decimal)
    if number is None or number.value is None or re.search(r"\d", number.unit):
        context.problems.add(recognised.table.grid, row, column, "not_understood")
        return None
    return number.value


def read_ledger(recognised: Recognised, names: Names, context: Context) -> list[LedgerEntry]:
    """Read a ledger: one entry a row and a direction; a single column of grams has signs or words for out."""
    entries: list[LedgerEntry] = []
    for row in recognised.table.rows:
        raw = text_in(recognised, row, "sample")
        if not raw:
            continue
        reading = names.samples.of(raw)
        name_problem(recognised.table.grid, row, recognised.by_field["sample"].column, reading, context)
        for name, sign in (("grams", 0), ("grams_in", 1), ("grams_out", -1)):
            entry = _entry(recognised, row, name, sign, reading.name or raw, context)
            if entry is not None:
                entries.append(entry)
    return entries


def _entry(
    recognised: Recognised, row: int, name: str, sign: int, sample: str, context: Context
) -> LedgerEntry | None:
    head = recognised.by_field.get(name)
    text = text_in(recognised, row, name)
    if head is None or not text:
        return None
    grid = recognised.table.grid
    minus = text.startswith(("-", "−"))
    unit = next((u for word in re.findall(r"[^\W\d_]+", head.whole) if (u := weight_unit(word))), "g")
    reading = parse_weight(
        text.lstrip("-−+ "), header_unit=unit, place=context.place, decimal=context.decimal
    )
    if reading.value is None:
        context.problems.add(grid, row, head.column, reading.noticed[0])
        return None
    what = text_in(recognised, row, "what")
    plus = 1 if text.startswith("+") else 0
    direction = (
        sign
        or plus
        or (-1 if minus or re.match(r"out|used|brew|tast|gone|verbrauch|sortie", what.casefold()) else 1)
    )
    if minus and sign:
        direction = -sign
    on = day_in(recognised, row, "date", context)
    return LedgerEntry(cell_record(grid, row, head.column), sample, direction * reading.value.grams, what, on)


def read_lines(recognised: Recognised, context: Context) -> list[LineRow]:
    """Read the lines of the shop; a line with several targets stands in several rows, its name
    maybe only once.
    """
    lines: list[LineRow] = []
    above = ("", "")
    for row in recognised.table.rows:
        name, tea_class = text_in(recognised, row, "name"), text_in(recognised, row, "tea_class")
        name, tea_class = (name, tea_class) if name else (above[0], tea_class or above[1])
        above = (name, tea_class)
        if not name:
            continue
        target, tolerance = (number_in(recognised, row, field, context) for field in ("target", "tolerance"))
        head = recognised.by_field["name"]
        lines.append(
            LineRow(
                cell_record(recognised.table.grid, row, head.column),
                name,
                tea_class,
                number_in(recognised, row, "wanted_kg", context),
                text_in(recognised, row, "attribute"),
                float(target) if target is not None else None,
                float(tolerance) if tolerance is not None else None,
            )
        )
    return lines


def read_sittings(recognised: Recognised, context: Context) -> list[Sitting]:
    """Read a list of sittings."""
    found: list[Sitting] = []
    for row in recognised.table.rows:
        name = text_in(recognised, row, "name")
        if not name:
            continue
        scale = scale_in(text_in(recognised, row, "scale"))
        found.append(
            Sitting(
                name,
                recognised.table.name,
                day_in(recognised, row, "date", context),
                _blind(text_in(recognised, row, "blind")),
                text_in(recognised, row, "brewed"),
                text_in(recognised, row, "purpose"),
                scale.low if scale else None,
                scale.high if scale else None,
            )
        )
    return found


def _blind(text: str) -> bool | None:
    low = text.casefold()
    if low in ("yes", "y", "true", "blind", "ja", "oui", "x", "✓", "1", "是"):
        return True
    return False if low in ("no", "n", "false", "open", "nein", "non", "0", "否") else None


def sitting_of(table: Table, scale: Scale, context: Context) -> Sitting:
    """Tell a sitting from the name and the titles of its score sheet."""
    texts = (table.name, *table.titles)
    blind = next((b for text in texts if (b := _blind_in(text)) is not None), None)
    brewed = next(
        (text for text in table.titles if re.search(r"\d\s*g\b.*\d\s*ml\b|\d\s*min\b", text, re.IGNORECASE)),
        "",
    )
    return Sitting(table.name, table.name, date_in(texts, context), blind, brewed, "", scale.low, scale.high)


def _blind_in(text: str) -> bool | None:
    low = text.casefold()
    if re.search(r"\bnot blind|\bopen tasting|\bopen\b|\bunblind|\boffen\b", low):
        return False
    return True if re.search(r"\bblind\b|\bverdeckt\b|aveugle|盲", low) else None


_NOT_OF_A_TASTING = re.compile(
    r"\b(?:price|prices|rate|rates|valid|until|till|offer|updated|good|ship|order|preis|gültig|prix|valable)\b|[£$€¥]",
    re.IGNORECASE,
)


def date_in(texts: tuple[str, ...], context: Context, *, year_written: bool = False) -> dt.date | None:
    """A full date in a sheet's name or title; a day without its year takes the year that the titles agree on.

    With `year_written` only a date that has its year counts. Dates of prices and offers are none
    of a tasting.
    """
    pattern = r"\d{4}-\d\d-\d\d|\d{1,2}(?:st|nd|rd|th|\.)?\s+[^\W\d_]{3,}\.?(?:\s+'?\d{2,4})?|\d{1,2}\.\d{1,2}\.\d{2,4}|\d{1,2}/\d{1,2}/\d{2,4}|\d{4}年\d{1,2}月\d{1,2}日"  # noqa: E501
    for text in (text for text in texts if not _NOT_OF_A_TASTING.search(text)):
        for found in re.findall(pattern, text):
            date = parse_date(found, day_first=context.day_first, latest_year=context.today.year + 1).value
            if date and date.start and date.precision == "day":
                return date.start
            known_year = context.year if not year_written else None
            if date and date.precision == "day" and date.month and date.day and known_year:
                return dt.date(known_year, date.month, date.day)
    return None
