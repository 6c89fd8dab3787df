"""A sheet for each flight, a sheet for each taster, and lots merged over the rows of their pots."""

from typing import Any

from tests.books.canvas import Book, Sheet
from tests.books.score_rows import Cup, describe, plain_code, put_sample, put_score
from tests.books.tastings import Tasting
from tests.books.truth import Truth


def flight_sheets(book: Book, truth: Truth, tasting: Tasting) -> None:
    """Write a sheet for each flight of a few lots: a row a taster and lot."""
    manner = tasting.manner
    half = max(2, len(tasting.codes) // 2)
    word = manner.pick(("Flight", "Table", "Round"))
    for number, codes in enumerate((tasting.codes[:half], tasting.codes[half:]), start=1):
        if codes:
            sheet = book.sheet(f"{word} {number}")
            sheet.put(1, 1, f"{word} {number}, {11 + number} Oct {manner.year}, blind")
            _head(sheet, tasting, 3, ("Taster", "Lot"))
            row = 4
            for taster in tasting.panel.tasters:
                for code in codes:
                    sheet.put(row, 1, taster)
                    what = put_sample(sheet, truth, tasting, code, row, 2)
                    _scores(sheet, truth, tasting, (taster, what), row, 3, {})
                    row += 1
            describe(truth, sheet, "scores_wide", {"header_row": 3}, 4, row - 1, {})


def taster_sheets(book: Book, truth: Truth, tasting: Tasting) -> None:
    """Write a sheet for each taster, named after the taster: a row a lot, a column an attribute."""
    for taster in tasting.panel.tasters:
        sheet = book.sheet(taster)
        _head(sheet, tasting, 1, ("Lot",))
        for row, code in enumerate(tasting.codes, start=2):
            what = put_sample(sheet, truth, tasting, code, row, 1)
            _scores(sheet, truth, tasting, (taster, what), row, 2, {})
        describe(truth, sheet, "scores_wide", {"header_row": 1}, 2, len(tasting.codes) + 1, {})


def replicate_rows(book: Book, truth: Truth, tasting: Tasting) -> None:
    """Write two rows a lot, the code merged over them, and nothing that numbers the pots."""
    manner, sheet = tasting.manner, book.sheet("Twice")
    merged = manner.roll(0.7)
    _head(sheet, tasting, 1, ("Taster", "Lot"))
    row = 2
    for taster in tasting.panel.tasters:
        for code in tasting.codes:
            for pot in (1, 2):
                sheet.put(row, 1, taster)
                if pot == 1 or not merged:
                    sheet.put(row, 2, plain_code(tasting, code))
                _scores(sheet, truth, tasting, (taster, (code, code)), row, 3, {"replicate": pot})
                row += 1
            if merged:
                sheet.merge(row - 2, 2, row - 1, 2)
    describe(truth, sheet, "scores_wide", {"header_row": 1}, 2, row - 1, {})


def _head(sheet: Sheet, tasting: Tasting, row: int, first: tuple[str, ...]) -> None:
    scale = f" ({tasting.scale.words})" if tasting.scale.said_in else ""
    for column, head in enumerate((*first, *(a + scale for _, a in tasting.attributes)), start=1):
        sheet.put(row, column, head)


def _scores(
    sheet: Sheet,
    truth: Truth,
    tasting: Tasting,
    who: tuple[str, Any],
    row: int,
    first: int,
    extra: dict[str, Any],
) -> None:
    taster, what = who
    for n, (_, attribute) in enumerate(tasting.attributes):
        cup = Cup(taster, taster, *what, {"attribute": attribute} | extra)
        put_score(sheet, truth, tasting, cup, row, first + n)
