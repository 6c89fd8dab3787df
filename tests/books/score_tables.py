"""Score sheets of several tasters: long (a row a score) and wide (a row a cup)."""

from itertools import groupby
from typing import Any

from tests.books import words
from tests.books.canvas import Sheet, at, letter
from tests.books.score_cells import scale_sentence
from tests.books.score_rows import (
    Cup,
    day_format,
    describe,
    given,
    plain_code,
    put_sample,
    put_score,
    put_taster,
    session_cell,
    two_days,
    write_note,
)
from tests.books.tastings import Tasting
from tests.books.truth import Truth


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
    describe(truth, sheet, "scores_long", {"header_row": first - 1}, first, row, headers)
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
    days = two_days(manner.year) if "session" in fields else [None]
    once = fields[0] == "taster" and manner.roll(0.2)  # the name is written once, above its rows
    merged = once and tasting.rich and manner.roll(0.7)
    for taster in tasting.panel.tasters:
        start = row
        for day in days:
            for code in tasting.codes:
                for replicate in replicates:
                    for _, attribute in tasting.attributes:
                        extra = {"attribute": attribute} | given(replicate=replicate, session=day)
                        _long_row(
                            sheet, truth, tasting, fields, row, left, (taster, code, extra), once, start
                        )
                        row += 1
        if merged:
            sheet.merge(start, left, row - 1, left)
        elif not once and manner.roll(0.1):
            row += 1
    return row - 1


def _long_row(
    sheet: Sheet,
    truth: Truth,
    tasting: Tasting,
    fields: list[str],
    row: int,
    left: int,
    cup: tuple[str, str, dict[str, Any]],
    once: bool,
    start: int,
) -> None:
    taster, code, extra = cup
    place = {name: left + n for n, name in enumerate(fields)}
    if once:
        sheet.put(start, place["taster"], taster)
        read = Cup(taster, taster, *put_sample(sheet, truth, tasting, code, row, place["sample"]), extra)
    else:
        who = put_taster(sheet, truth, tasting, taster, row, place["taster"])
        read = Cup(*who, *put_sample(sheet, truth, tasting, code, row, place["sample"]), extra)
    sheet.put(row, place["attribute"], extra["attribute"])
    if "replicate" in place:
        sheet.put(row, place["replicate"], extra["replicate"])
    if "session" in place:
        sheet.put(row, place["session"], session_cell(tasting, extra["session"]), **day_format(tasting))
    put_score(sheet, truth, tasting, read, row, place["score"])


def wide_table(sheet: Sheet, truth: Truth, tasting: Tasting, top: int = 1, left: int = 1) -> int:
    """Write a row a cup, a column an attribute, under one or two header rows; return the last row used."""
    manner = tasting.manner
    row = _titles(sheet, tasting, top, left)
    two_rows = manner.roll(0.5)
    fields = ["taster", "sample"] if manner.roll(0.7) else ["sample", "taster"]
    fields += ["replicate"] if manner.roll(0.5) else []
    fields[:0] = ["session"] if manner.roll(0.15) else []
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
    describe(truth, sheet, "scores_wide", header, row + 1, last, columns)
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
    by_sample = tasting.manner.roll(0.3)
    merged = by_sample and tasting.rich and tasting.manner.roll(0.5)
    for block in _cups(tasting, "replicate" in fields, by_sample=by_sample):
        start = row
        for taster, code, replicate in block:
            who = put_taster(sheet, truth, tasting, taster, row, place["taster"])
            if merged:
                sheet.put(start, place["sample"], plain_code(tasting, code))
                what: tuple[str | None, Any] = (code, code)
            else:
                what = put_sample(sheet, truth, tasting, code, row, place["sample"])
            if replicate:
                sheet.put(row, place["replicate"], replicate)
            if "session" in place:
                day = two_days(tasting.manner.year)[0]
                sheet.put(row, place["session"], session_cell(tasting, day), **day_format(tasting))
            for n, (stage, attribute) in enumerate(tasting.attributes):
                extra = {"attribute": attribute} | given(
                    replicate=replicate, stage=stage if two_rows else None
                )
                put_score(sheet, truth, tasting, Cup(*who, *what, extra), row, left + len(fields) + n)
            if note_column and tasting.manner.roll(0.2):
                text = tasting.manner.pick(words.NOTES)
                write_note(sheet, truth, row, note_column, who[0], what[0], text)
            row += 1
        if merged and row - start > 1:
            sheet.merge(start, place["sample"], row - 1, place["sample"])
    return row - 1


def _cups(tasting: Tasting, replicated: bool, *, by_sample: bool) -> list[list[tuple[str, str, int | None]]]:
    """Return the cups in blocks: a block a taster, or a block a sample."""
    pots: tuple[int | None, ...] = (1, 2) if replicated else (None,)
    tasters, codes = tasting.panel.tasters, tasting.codes
    if by_sample:
        return [[(taster, code, pot) for taster in tasters for pot in pots] for code in codes]
    return [[(taster, code, pot) for code in codes for pot in pots] for taster in tasters]


def _average_row(sheet: Sheet, tasting: Tasting, first: int, last: int, left: int, skip: int) -> int:
    row = last + tasting.manner.pick((1, 2))
    sheet.put(row, left, tasting.manner.pick(("Average", "Mean", "avg")))
    for place in range(left + skip, left + skip + len(tasting.attributes)):
        cells = [sheet.cells.get((r, place)) for r in range(first, last + 1)]
        numbers = [c.value for c in cells if c and isinstance(c.value, int | float)]
        mean = round(sum(numbers) / max(len(numbers), 1), 3)
        sheet.put(row, place, mean, formula=f"AVERAGE({at(first, place)}:{at(last, place)})")
    return row
