"""Score sheets: long (a row a score), wide (a row a cup), and one taster's sheet with samples across."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Any

from tests.books import words
from tests.books.canvas import Sheet, at, letter
from tests.books.score_cells import ScoreCell, scale_sentence, write_score
from tests.books.tastings import Tasting
from tests.books.truth import Truth, plain


@dataclass
class _Cup:
    """Who tasted what, as written and as meant, and where it stands."""

    taster: str | None
    taster_raw: str
    sample: str | None
    sample_raw: Any
    extra: dict[str, Any]


def long_table(sheet: Sheet, truth: Truth, tasting: Tasting, top: int = 1, left: int = 1) -> int:
    """Write a row a score and return the last row used."""
    manner = tasting.manner
    fields = ["taster", "sample", "attribute", "score"]
    if manner.roll(0.4):
        fields[0], fields[1] = fields[1], fields[0]
    if manner.roll(0.35):
        fields.insert(manner.rng.randrange(4), "replicate")
    if manner.roll(0.25):
        fields.insert(0, "session")
    row = _titles(sheet, tasting, top, left)
    headers = _headers(sheet, tasting, fields, row, left)
    first = row + 1
    row = _long_rows(sheet, truth, tasting, fields, first, left)
    _about(truth, sheet, "scores_long", {"header_row": first - 1}, first, row, headers)
    return row


def _titles(sheet: Sheet, tasting: Tasting, row: int, left: int) -> int:
    manner = tasting.manner
    lines = []
    if manner.roll(0.5):
        lines.append(
            manner.pick(("Blind, 3 g / 150 ml / 5 min", "second day, same teas", "at the long table, quiet"))
        )
    if tasting.scale.said_in == "title":
        lines.append(scale_sentence(manner, tasting.scale))
    for line in lines:
        sheet.put(row, left, line)
        row += 1
    return row + (1 if lines and manner.roll(0.6) else 0)


def _headers(
    sheet: Sheet, tasting: Tasting, fields: list[str], row: int, left: int
) -> dict[str, dict[str, str]]:
    described, used = {}, set()
    for place, name in enumerate(fields, start=left):
        header = _other_word(tasting, name, used)
        if name == "score" and tasting.scale.said_in == "header":
            header = f"{header} ({tasting.scale.words})"
        sheet.put(row, place, header)
        described[letter(place)] = {"header": header, "field": name}
    return described


def _other_word(tasting: Tasting, name: str, used: set[str]) -> str:
    """Return a header for a column that no other column of the table has."""
    for _ in range(20):
        header = tasting.manner.word(words.SCORE_HEADERS, name)
        if header.casefold() not in used:
            break
    used.add(header.casefold())
    return header


def _long_rows(sheet: Sheet, truth: Truth, tasting: Tasting, fields: list[str], row: int, left: int) -> int:
    manner, replicates = tasting.manner, (1, 2) if "replicate" in fields else (None,)
    days = _days(manner.year) if "session" in fields else [None]
    merged = tasting.rich and fields[0] == "taster" and manner.roll(0.15)
    for taster in tasting.panel.tasters:
        start = row
        for day in days:
            for code in tasting.codes:
                for replicate in replicates:
                    for _, attribute in tasting.attributes:
                        extra = {"attribute": attribute} | _given(replicate=replicate, session=day)
                        _long_row(
                            sheet, truth, tasting, fields, row, left, (taster, code, extra), merged, start
                        )
                        row += 1
        if merged:
            sheet.merge(start, left, row - 1, left)
        elif manner.roll(0.1):
            row += 1
    return row - 1


def _given(**values: Any) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}


def _days(year: int) -> list[str]:
    first = date(year, 10, 14)
    return [first.isoformat(), (first + timedelta(days=2)).isoformat()]


def _long_row(
    sheet: Sheet,
    truth: Truth,
    tasting: Tasting,
    fields: list[str],
    row: int,
    left: int,
    cup: tuple[str, str, dict[str, Any]],
    merged: bool,
    start: int,
) -> None:
    taster, code, extra = cup
    place = {name: left + n for n, name in enumerate(fields)}
    if merged:
        sheet.put(start, place["taster"], taster)
        read = _Cup(taster, taster, *_sample(sheet, truth, tasting, code, row, place["sample"]), extra)
    else:
        who = _taster(sheet, truth, tasting, taster, row, place["taster"])
        read = _Cup(*who, *_sample(sheet, truth, tasting, code, row, place["sample"]), extra)
    sheet.put(row, place["attribute"], extra["attribute"])
    if "replicate" in place:
        sheet.put(row, place["replicate"], extra["replicate"])
    if "session" in place:
        sheet.put(row, place["session"], _session_cell(tasting, extra["session"]), **_day_format(tasting))
    _score(sheet, truth, tasting, read, row, place["score"])


def _session_cell(tasting: Tasting, day: str) -> Any:
    if tasting.manner.text_only:
        return day
    return datetime.fromisoformat(day)


def _day_format(tasting: Tasting) -> dict[str, str]:
    return {} if tasting.manner.text_only else {"number_format": "dd/mm/yyyy"}


def _taster(
    sheet: Sheet, truth: Truth, tasting: Tasting, taster: str, row: int, column: int
) -> tuple[str | None, str]:
    unsure = tasting.panel.unsure_spelling(tasting.manner)
    written, problem = unsure or tasting.panel.spell(tasting.manner, taster)
    cell = sheet.put(row, column, written)
    if problem:
        truth.problem(sheet.name, cell, written, problem, None if unsure else taster)
    return (None if unsure else taster), written


def _sample(
    sheet: Sheet, truth: Truth, tasting: Tasting, code: str, row: int, column: int
) -> tuple[str | None, Any]:
    written, meant, problem = tasting.spell_sample(code)
    cell = sheet.put(row, column, written)
    if problem:
        truth.problem(sheet.name, cell, written, problem, meant)
    return meant, written


def _score(sheet: Sheet, truth: Truth, tasting: Tasting, cup: _Cup, row: int, column: int) -> ScoreCell:
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


def _about(
    truth: Truth,
    sheet: Sheet,
    role: str,
    headers: dict[str, Any],
    first: int,
    last: int,
    columns: dict[str, Any],
) -> None:
    table = {"role": role, **headers, "first_row": first, "last_row": last, "columns": columns}
    truth.sheets.append({"name": sheet.name, **table})


def wide_table(sheet: Sheet, truth: Truth, tasting: Tasting, top: int = 1, left: int = 1) -> int:
    """Write a row a cup, a column an attribute, under one or two header rows; return the last row used."""
    manner = tasting.manner
    row = _titles(sheet, tasting, top, left)
    two_rows = manner.roll(0.5)
    fields = ["taster", "sample"] if manner.roll(0.7) else ["sample", "taster"]
    fields += ["replicate"] if manner.roll(0.5) else []
    if two_rows:
        _stage_row(sheet, tasting, row, left + len(fields))
        row += 1
    columns = _headers(sheet, tasting, fields, row, left)
    columns |= _attribute_headers(sheet, tasting, row, left + len(fields), two_rows)
    note_column = left + len(fields) + len(tasting.attributes) if manner.roll(0.6) else 0
    if note_column:
        columns |= _note_header(sheet, tasting, row, note_column)
    last = _wide_rows(sheet, truth, tasting, fields, row + 1, left, note_column, two_rows)
    header = {"header_rows": [row - 1, row]} if two_rows else {"header_row": row}
    _about(truth, sheet, "scores_wide", header, row + 1, last, columns)
    if tasting.rich and manner.roll(0.2):
        last = _average_row(sheet, tasting, row + 1, last, left, len(fields))
    return last


def _stage_row(sheet: Sheet, tasting: Tasting, row: int, column: int) -> None:
    for stage, group in groupby(tasting.attributes, key=lambda pair: pair[0]):
        width = len(list(group))
        sheet.put(row, column, stage)
        if width > 1 and tasting.rich:
            sheet.merge(row, column, row, column + width - 1)
        column += width


def _attribute_headers(
    sheet: Sheet, tasting: Tasting, row: int, column: int, two_rows: bool
) -> dict[str, dict[str, str]]:
    described = {}
    for place, (stage, attribute) in enumerate(tasting.attributes, start=column):
        header = attribute
        if tasting.scale.said_in == "header":
            header = f"{attribute} ({tasting.scale.words})"
        sheet.put(row, place, header)
        described[letter(place)] = {"header": header, "field": "score", "attribute": attribute}
        if two_rows:
            described[letter(place)]["stage"] = stage
    return described


def _note_header(sheet: Sheet, tasting: Tasting, row: int, column: int) -> dict[str, dict[str, str]]:
    header = tasting.manner.pick(("Notes", "Comment", "Notes")) if tasting.manner.language == "en" else None
    header = (
        header
        or {"fr": "Remarque", "de": "Bemerkung", "zh": "備註", "zh_cn": "备注", "ja": "備考"}[
            tasting.manner.language
        ]
    )
    sheet.put(row, column, header)
    return {letter(column): {"header": header, "field": "note"}}


def _wide_rows(
    sheet: Sheet,
    truth: Truth,
    tasting: Tasting,
    fields: list[str],
    row: int,
    left: int,
    note_column: int,
    two_rows: bool,
) -> int:
    place = {name: left + n for n, name in enumerate(fields)}
    replicates = (1, 2) if "replicate" in fields else (None,)
    for taster in tasting.panel.tasters:
        for code in tasting.codes:
            for replicate in replicates:
                who = _taster(sheet, truth, tasting, taster, row, place["taster"])
                what = _sample(sheet, truth, tasting, code, row, place["sample"])
                if replicate:
                    sheet.put(row, place["replicate"], replicate)
                for n, (stage, attribute) in enumerate(tasting.attributes):
                    extra = {"attribute": attribute} | _given(
                        replicate=replicate, stage=stage if two_rows else None
                    )
                    _score(sheet, truth, tasting, _Cup(*who, *what, extra), row, left + len(fields) + n)
                if note_column and tasting.manner.roll(0.2):
                    write_note(
                        sheet, truth, row, note_column, who[0], what[0], tasting.manner.pick(words.NOTES)
                    )
                row += 1
    return row - 1


def write_note(
    sheet: Sheet, truth: Truth, row: int, column: int, taster: str | None, sample: str | None, text: str
) -> None:
    """Write a note in a cell of its own and put it in the truth."""
    cell = sheet.put(row, column, text)
    truth.notes.append({"sheet": sheet.name, "cell": cell, "taster": taster, "sample": sample, "text": text})


def _average_row(sheet: Sheet, tasting: Tasting, first: int, last: int, left: int, skip: int) -> int:
    row = last + tasting.manner.pick((1, 2))
    sheet.put(row, left, tasting.manner.pick(("Average", "Mean", "avg")))
    for place in range(left + skip, left + skip + len(tasting.attributes)):
        cells = [sheet.cells.get((r, place)) for r in range(first, last + 1)]
        numbers = [c.value for c in cells if c and isinstance(c.value, int | float)]
        mean = round(sum(numbers) / max(len(numbers), 1), 3)
        sheet.put(row, place, mean, formula=f"AVERAGE({at(first, place)}:{at(last, place)})")
    return row


def transposed_table(
    sheet: Sheet,
    truth: Truth,
    tasting: Tasting,
    taster: str,
    top: int = 1,
    left: int = 1,
    *,
    named_by_sheet: bool = False,
) -> int:
    """Write one taster's sheet: attributes down, samples across; return the last row used."""
    manner, row = tasting.manner, top
    if not named_by_sheet:
        row = _whose_sheet(sheet, manner, taster, row, left)
    if tasting.scale.said_in:
        sheet.put(row, left, scale_sentence(manner, tasting.scale))
        row += 2
    header, stages = row, manner.roll(0.4)
    first_column = left + (2 if stages else 1)
    sheet.put(header, first_column - 1, manner.pick(("", "Attribute", "sample →", None)) or None)
    samples = [
        _sample(sheet, truth, tasting, code, header, first_column + n) for n, code in enumerate(tasting.codes)
    ]
    row = _transposed_rows(sheet, truth, tasting, taster, header + 1, left, samples, stages)
    columns = {
        letter(first_column + n): {"header": str(code), "field": "score"}
        for n, code in enumerate(tasting.codes)
    }
    _about(truth, sheet, "scores_per_taster_transposed", {"header_row": header}, header + 1, row - 1, columns)
    if manner.roll(0.5):
        row = _note_row(sheet, truth, tasting, taster, row, first_column, samples)
    return row - 1


def _whose_sheet(sheet: Sheet, manner: Any, taster: str, row: int, left: int) -> int:
    if manner.roll(0.5):
        sheet.put(row, left, f"{manner.pick(('Taster', 'taster', 'Name'))}: {taster}")
    else:
        sheet.put(row, left, manner.pick(("Taster", "Taster:")))
        sheet.put(row, left + 1, taster)
    return row + 2


def _transposed_rows(
    sheet: Sheet,
    truth: Truth,
    tasting: Tasting,
    taster: str,
    row: int,
    left: int,
    samples: list[tuple[str | None, Any]],
    stages: bool,
) -> int:
    for stage, group in groupby(tasting.attributes, key=lambda pair: pair[0]):
        names = [attribute for _, attribute in group]
        if stages:
            sheet.put(row, left, stage)
            if len(names) > 1 and tasting.rich:
                sheet.merge(row, left, row + len(names) - 1, left)
        for attribute in names:
            column = left + (1 if stages else 0)
            sheet.put(row, column, attribute)
            for n, (sample, raw) in enumerate(samples, start=1):
                extra = {"attribute": attribute} | _given(stage=stage if stages else None)
                _score(sheet, truth, tasting, _Cup(taster, taster, sample, raw, extra), row, column + n)
            row += 1
    return row


def _note_row(
    sheet: Sheet,
    truth: Truth,
    tasting: Tasting,
    taster: str,
    row: int,
    first_column: int,
    samples: list[tuple[str | None, Any]],
) -> int:
    sheet.put(row, first_column - 1, tasting.manner.pick(("Notes", "Words", "Comment")))
    for n, (sample, _) in enumerate(samples):
        if tasting.manner.roll(0.6):
            write_note(sheet, truth, row, first_column + n, taster, sample, tasting.manner.pick(words.NOTES))
    return row + 1
