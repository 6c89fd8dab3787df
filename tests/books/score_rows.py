"""The cells of a score sheet's row: who, which cup, and the score, each in the truth as it is written."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from tests.books.canvas import Sheet
from tests.books.score_cells import ScoreCell, write_score
from tests.books.tastings import Tasting
from tests.books.truth import Truth, plain


@dataclass
class Cup:
    """Who tasted what, as written and as meant, and where it stands."""

    taster: str | None
    taster_raw: str
    sample: str | None
    sample_raw: Any
    extra: dict[str, Any]


def given(**values: Any) -> dict[str, Any]:
    """Return the values that there are."""
    return {name: value for name, value in values.items() if value is not None}


def two_days(year: int) -> list[str]:
    """Return two days of tasting in October of a year."""
    first = date(year, 10, 14)
    return [first.isoformat(), (first + timedelta(days=2)).isoformat()]


def session_cell(tasting: Tasting, day: str) -> Any:
    """Return a day as this file can hold it."""
    if tasting.manner.text_only:
        return day
    return datetime.fromisoformat(day)


def day_format(tasting: Tasting) -> dict[str, str]:
    """Return the number format of a day's cell."""
    return {} if tasting.manner.text_only else {"number_format": "dd/mm/yyyy"}


def put_taster(
    sheet: Sheet, truth: Truth, tasting: Tasting, taster: str, row: int, column: int
) -> tuple[str | None, str]:
    """Write a name in one of its spellings; return who is meant (None when unsure) and what is written."""
    unsure = tasting.panel.unsure_spelling(tasting.manner)
    written, problem = unsure or tasting.panel.spell(tasting.manner, taster)
    cell = sheet.put(row, column, written)
    if problem:
        truth.problem(sheet.name, cell, written, problem, None if unsure else taster)
    return (None if unsure else taster), written


def put_sample(
    sheet: Sheet, truth: Truth, tasting: Tasting, code: str, row: int, column: int
) -> tuple[str | None, Any]:
    """Write a code in one of its spellings; return which is meant (None when unknown) and what is written."""
    written, meant, problem = tasting.spell_sample(code)
    cell = sheet.put(row, column, written)
    if problem:
        truth.problem(sheet.name, cell, written, problem, meant)
    return meant, written


def put_score(sheet: Sheet, truth: Truth, tasting: Tasting, cup: Cup, row: int, column: int) -> ScoreCell:
    """Write one score and put it and its problems in the truth."""
    written = write_score(tasting.manner, tasting.scale, formulas=tasting.rich)
    name = sheet.put_cell(row, column, written.cell)
    record = {
        "sheet": sheet.name,
        "row": row,
        "cell": name,
        "taster": cup.taster,
        "taster_raw": cup.taster_raw,
    }
    record |= {"sample": cup.sample, "sample_raw": cup.sample_raw, **cup.extra}
    record |= {"raw": plain(written.cell), "value": written.value, "status": written.status, **written.bounds}
    if tasting.session and "session" not in record:
        record["session"] = tasting.session
    truth.scores.append(record)
    for problem in written.problems:
        truth.problem(sheet.name, name, written.cell, problem, written.value)
    return written


def describe(
    truth: Truth,
    sheet: Sheet,
    role: str,
    headers: dict[str, Any],
    first: int,
    last: int,
    columns: dict[str, Any],
) -> None:
    """Put what the table is in the truth."""
    table = {"role": role, **headers, "first_row": first, "last_row": last, "columns": columns}
    truth.sheets.append({"name": sheet.name, **table})


def plain_code(tasting: Tasting, code: str) -> Any:
    """Return a code as a cell holds it."""
    return int(code) if code.isdigit() and not tasting.manner.text_only else code


def write_note(
    sheet: Sheet, truth: Truth, row: int, column: int, taster: str | None, sample: str | None, text: str
) -> None:
    """Write a note in a cell of its own and put it in the truth."""
    cell = sheet.put(row, column, text)
    truth.notes.append({"sheet": sheet.name, "cell": cell, "taster": taster, "sample": sample, "text": text})
