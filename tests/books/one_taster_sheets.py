"""One taster's sheet: attributes down, samples across, sometimes two pots a sample, notes below."""

from itertools import groupby
from typing import Any

from tests.books import words
from tests.books.canvas import Sheet, letter
from tests.books.score_cells import scale_sentence
from tests.books.score_rows import Cup, describe, given, plain_code, put_sample, put_score, write_note
from tests.books.tastings import Tasting
from tests.books.truth import Truth


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
    samples = _samples_across(sheet, truth, tasting, header, first_column)
    pots = samples[0][2] is not None
    first = header + (2 if pots else 1)
    row = _transposed_rows(sheet, truth, tasting, taster, first, left, samples, stages)
    columns = {
        letter(first_column + n): {"header": str(raw), "field": "score"}
        for n, (_, raw, _) in enumerate(samples)
    }
    header_rows = {"header_rows": [header, header + 1]} if pots else {"header_row": header}
    describe(truth, sheet, "scores_per_taster_transposed", header_rows, first, row - 1, columns)
    if manner.roll(0.5):
        row = _note_row(sheet, truth, tasting, taster, row, first_column, samples)
    return row - 1


_Across = tuple[str | None, Any, int | None]


def _samples_across(sheet: Sheet, truth: Truth, tasting: Tasting, row: int, column: int) -> list[_Across]:
    """Write the samples of the columns; sometimes each has two pots, told in a second row."""
    if not tasting.rich or not tasting.manner.roll(0.2):
        return [
            (*put_sample(sheet, truth, tasting, code, row, column + n), None)
            for n, code in enumerate(tasting.codes)
        ]
    word, across = tasting.manner.pick(("pot", "rep", "brew")), []
    for n, code in enumerate(tasting.codes):
        place = column + 2 * n
        sheet.put(row, place, plain_code(tasting, code))
        sheet.merge(row, place, row, place + 1)
        for pot in (1, 2):
            sheet.put(row + 1, place + pot - 1, f"{word} {pot}")
            across.append((code, code, pot))
    return across


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
    samples: list[_Across],
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
            for n, (sample, raw, pot) in enumerate(samples, start=1):
                extra = {"attribute": attribute} | given(stage=stage if stages else None, replicate=pot)
                put_score(sheet, truth, tasting, Cup(taster, taster, sample, raw, extra), row, column + n)
            row += 1
    return row


def _note_row(
    sheet: Sheet,
    truth: Truth,
    tasting: Tasting,
    taster: str,
    row: int,
    first_column: int,
    samples: list[_Across],
) -> int:
    sheet.put(row, first_column - 1, tasting.manner.pick(("Notes", "Words", "Comment")))
    for n, (sample, _, _) in enumerate(samples):
        if tasting.manner.roll(0.6):
            write_note(sheet, truth, row, first_column + n, taster, sample, tasting.manner.pick(words.NOTES))
    return row + 1
