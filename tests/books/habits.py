"""Books of merchants with habits of their own, each unlike the others; see `KINDS` in `maker.py`."""

from collections.abc import Callable
from dataclasses import replace
from random import Random
from typing import Any

from tests.books.blind_tables import blind_codes, blind_lying, blind_scores, key_line, key_table
from tests.books.book_parts import choose_manner, choose_tasting, finished, sure_codes
from tests.books.canvas import Book
from tests.books.flight_sheets import flight_sheets, replicate_rows, taster_sheets
from tests.books.lot_columns import TableStyle
from tests.books.lot_habits import ledger_like_lots, lying_lots, one_sheet_lots
from tests.books.lots_table import lot_codes, lots_table
from tests.books.manner import Manner
from tests.books.panel import Panel, make_panel
from tests.books.side_by_side import matrix_tables, side_by_side_table
from tests.books.tastings import Tasting
from tests.books.truth import Truth
from tests.books.words_in_cells import told_in_words

Made = tuple[bytes, dict[str, Any]]


def _with_lots(rng: Random) -> tuple[Book, Truth, Manner, list[str], dict[str, str]]:
    """Begin a book with a list of lots, all of them with a code of their own."""
    manner = choose_manner(rng)
    book, truth = Book(), Truth()
    codes = lot_codes(manner, rng.randint(6, 14))
    lots_table(book.sheet("Lots"), truth, manner, codes, TableStyle(titles=manner.roll(0.5)))
    names = {lot["code"]: lot["name"] for lot in truth.lots if isinstance(lot.get("name"), str)}
    return book, truth, manner, codes, names


def _tasted(manner: Manner, codes: list[str], tasters: int, low: int = 3, high: int = 5) -> Tasting:
    tasting = choose_tasting(manner, make_panel(manner, tasters), codes, low, high)
    panel = replace(tasting.panel, unsure="")
    return replace(tasting, panel=panel)


def side_by_side(rng: Random, seed: int) -> Made:
    """Tasters side by side over their attributes."""
    book, truth, manner, codes, names = _with_lots(rng)
    tasting = _tasted(manner, codes, rng.randint(1, 3))
    sheet = book.sheet(manner.pick(("Cups", "12 Oct", "Tasting", "Us")))
    last = side_by_side_table(sheet, truth, tasting, names)
    if manner.roll(0.25):
        again = replace(tasting, codes=tasting.codes[:3])
        side_by_side_table(sheet, truth, again, names, top=last + 3)
    return finished(book, truth, tasting.panel, f"side_by_side_{seed}")


def matrix(rng: Random, seed: int) -> Made:
    """A table for each attribute, with the tasters across."""
    book, truth, manner, codes, _ = _with_lots(rng)
    tasting = _tasted(manner, codes, rng.randint(2, 4))
    count = manner.pick((1, 3))
    sheets = [book.sheet(f"Table {n}") for n in range(1, count + 1)]
    matrix_tables(sheets, truth, tasting)
    book.sheets = [sheet for sheet in book.sheets if sheet.cells]
    return finished(book, truth, tasting.panel, f"matrix_{seed}")


def blind(rng: Random, seed: int) -> Made:
    """Scores under blind codes, and a key: on a sheet of its own, beside the scores, or as a line."""
    book, truth, manner, codes, names = _with_lots(rng)
    tasting = _tasted(manner, codes, rng.randint(1, 3))
    given = blind_codes(tasting)
    sheet = book.sheet("Blind")
    where = manner.pick(("sheet", "sheet", "beside", "line", "before"))
    missing = rng.choice(list(given.values())) if manner.roll(0.4) and len(given) > 3 else ""
    listed = {lot: code for lot, code in given.items() if code != missing}
    if where == "line":
        sheet.put(1, 1, key_line(listed))
    if manner.roll(0.25) and not missing:
        blind_lying(
            sheet if where == "sheet" else book.sheet("Cups"), truth, tasting, given, tasting.panel.tasters[0]
        )
    else:
        blind_scores(sheet, truth, tasting, given, missing)
    if where == "beside":
        right = max((column for _, column in sheet.cells), default=-1) + 2
        key_table(sheet, tasting, listed, names, 1, right)
    elif where != "line":
        key = book.sheet(manner.pick(("Key", "Codes", "Sheet4")))
        key_table(key, tasting, listed, names, manner.pick((1, 3)), 1)
        if where == "before":
            book.sheets.insert(0, book.sheets.pop())
    return finished(book, truth, tasting.panel, f"blind_{seed}")


def flights(rng: Random, seed: int) -> Made:
    """A sheet for each flight, or for each taster, or merged lots over replicate rows."""
    book, truth, manner, codes, _ = _with_lots(rng)
    tasting = _tasted(manner, codes, rng.randint(2, 3))
    manner.pick((flight_sheets, taster_sheets, replicate_rows))(book, truth, tasting)
    return finished(book, truth, tasting.panel, f"flights_{seed}")


def lying(rng: Random, seed: int) -> Made:
    """A list of lots with its fields down the side, in a book that counts days from 1904 or from 1900."""
    old = rng.random() < 0.4
    manner = choose_manner(rng, days_from_1904=old)
    book, truth = Book(days_from_1904=old), Truth()
    lying_lots(book.sheet("Teas"), truth, manner, rng.randint(3, 8))
    return finished(book, truth, Panel([]), f"lying_{seed}")


def ledger_like(rng: Random, seed: int) -> Made:
    """A list with units under its heads, subtotals, footnotes, hidden rows and percentages."""
    manner = choose_manner(rng)
    book, truth = Book(), Truth()
    sheet = book.sheet("Stock")
    ledger_like_lots(sheet, truth, manner, rng.randint(6, 14))
    if manner.roll(0.4):
        sheet.hidden_rows = set(rng.sample(range(4, 8), 2))
    return finished(book, truth, Panel([]), f"ledger_like_{seed}")


def one_sheet(rng: Random, seed: int) -> Made:
    """Everything beside the lots: a tick, a liking, and scores by each taster."""
    manner = choose_manner(rng)
    book, truth = Book(), Truth()
    panel = make_panel(manner, rng.randint(1, 2))
    one_sheet_lots(book.sheet("All"), truth, manner, ["me", *panel.tasters], rng.randint(5, 12))
    return finished(book, truth, panel, f"one_sheet_{seed}")


def in_words(rng: Random, seed: int) -> Made:
    """A first pass told in words: `8/10 lovely, plum`."""
    book, truth, manner, codes, _ = _with_lots(rng)
    told_in_words(book.sheet("First pass"), truth, manner, sure_codes(truth, [], codes))
    return finished(book, truth, Panel([]), f"in_words_{seed}")


HABITS: dict[str, Callable[[Random, int], Made]] = {
    "side_by_side": side_by_side,
    "matrix": matrix,
    "blind": blind,
    "flights": flights,
    "lying": lying,
    "ledger_like": ledger_like,
    "one_sheet": one_sheet,
    "in_words": in_words,
}
