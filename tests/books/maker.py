"""Make a whole book from a seed: which sheets it has, in which file, and the truth about it."""

from collections.abc import Callable
from dataclasses import replace
from random import Random
from typing import Any

from tests.books.book_parts import choose_manner, choose_tasting, finished, lots_sheets, sure_codes
from tests.books.canvas import Book, Sheet
from tests.books.cup_tables import (
    free_notes,
    notes_table,
    preferences_table,
    retastes_table,
    scratch,
    triangles_table,
)
from tests.books.habits import HABITS
from tests.books.lot_columns import TableStyle
from tests.books.lots_table import lot_codes, lots_table
from tests.books.manner import Manner
from tests.books.one_taster_sheets import transposed_table
from tests.books.panel import Panel, make_panel
from tests.books.score_cells import Scale
from tests.books.score_tables import long_table, wide_table
from tests.books.tastings import Tasting, name_samples
from tests.books.truth import Truth
from tests.books.write_csv import NEWLINES, csv_bytes

_ENCODINGS = {
    "en": ("utf-8", "utf-8-sig", "utf-16", "cp1252"),
    "de": ("cp1252", "utf-8", "utf-8-sig", "utf-16"),
    "fr": ("cp1252", "utf-8", "utf-8-sig"),
    "zh": ("big5", "utf-8", "utf-16"),
    "zh_cn": ("gb18030", "utf-8", "utf-8-sig"),
    "ja": ("shift_jis", "utf-8", "utf-8-sig"),
}


def make_book(seed: int, kind: str) -> tuple[bytes, dict[str, Any]]:
    """Return a file and its truth; the same seed and kind always give the same book.

    >>> data, truth = make_book(1, "season")
    >>> truth["file"], data[:2]
    ('season_1.xlsx', b'PK')
    """
    return KINDS[kind](Random(f"{kind} {seed}"), seed)


def _season(
    rng: Random,
    seed: int,
    *,
    kind: str = "season",
    language: str = "en",
    ods: bool = False,
    rare: bool = False,
) -> Any:
    """A whole season: lots, one to three score sheets, and most of the small sheets."""
    old_days = not ods and rng.random() < 0.12
    manner = choose_manner(
        rng, language, days_from_1904=old_days, decimal_comma=language in ("de", "fr"), rare=rare
    )
    book, truth = Book(days_from_1904=manner.days_from_1904), Truth()
    codes = lots_sheets(book, truth, manner)
    panel = make_panel(manner, rng.randint(1, 4))
    _score_sheets(book, truth, manner, panel, codes)
    _small_sheets(book, truth, manner, panel, codes)
    return finished(book, truth, panel, f"{kind}_{seed}", ods)


def _score_sheets(book: Book, truth: Truth, manner: Manner, panel: Panel, codes: list[str]) -> None:
    kinds = [kind for kind in ("long", "wide", "transposed") if manner.roll(0.55)] or ["long"]
    for kind in kinds:
        tasting = choose_tasting(manner, panel, codes, 3, 6 if kind == "long" else 9)
        name_samples(truth, tasting.codes)
        _SCORE_SHEETS[kind](book, truth, tasting)


def _long_sheet(book: Book, truth: Truth, tasting: Tasting) -> None:
    long_table(book.sheet(tasting.manner.pick(("Tasting 12 Oct", "Scores", "Long table"))), truth, tasting)


def _wide_sheet(book: Book, truth: Truth, tasting: Tasting) -> None:
    sheet = book.sheet(tasting.manner.pick(("Panel grid 14 Oct", "Grid", "Cups")))
    last = wide_table(sheet, truth, tasting)
    if tasting.manner.roll(0.12):
        preferences_table(sheet, truth, tasting, top=last + 3)


def _transposed_sheets(book: Book, truth: Truth, tasting: Tasting) -> None:
    """A sheet a taster, or all tasters' blocks under each other on one sheet."""
    manner = tasting.manner
    if manner.roll(0.25) and len(tasting.panel.tasters) > 1:
        sheet, top = book.sheet("Sheets by taster"), 1
        for taster in tasting.panel.tasters:
            top = transposed_table(sheet, truth, tasting, taster, top=top) + 3
        return
    by_sheet = manner.roll(0.5)
    for taster in tasting.panel.tasters:
        title = taster if by_sheet else f"Sheet {taster}"
        sheet = book.sheet(f"{title} 14 Oct" if by_sheet and manner.roll(0.4) else title)
        transposed_table(sheet, truth, tasting, taster, named_by_sheet=by_sheet)


_SCORE_SHEETS: dict[str, Callable[[Book, Truth, Tasting], None]] = {
    "long": _long_sheet,
    "wide": _wide_sheet,
    "transposed": _transposed_sheets,
}


def _small_sheets(book: Book, truth: Truth, manner: Manner, panel: Panel, codes: list[str]) -> None:
    tasting = choose_tasting(manner, panel, codes, 3, 4)
    tasting = replace(tasting, scale=Scale(), codes=sure_codes(truth, tasting.codes, codes))
    if manner.roll(0.6):
        notes_table(book.sheet("Notes"), truth, tasting)
    if manner.roll(0.35):
        free_notes(book.sheet("Notebook"), truth, tasting)
    if manner.roll(0.6):
        preferences_table(book.sheet(manner.pick(("A-B", "Pairs", "Preferences"))), truth, tasting)
    if manner.roll(0.5):
        triangles_table(book.sheet(manner.pick(("Triangle", "Triangles", "3 cups"))), truth, tasting)
    if manner.roll(0.4):
        retastes_table(book.sheet(manner.pick(("Re-taste", "After roasting"))), truth, tasting)
    _clutter(book, truth, manner)


def _clutter(book: Book, truth: Truth, manner: Manner) -> None:
    if manner.roll(0.4):
        scratch(book.sheet("Sheet7"), truth, manner)
    if manner.roll(0.3):
        truth.sheets.append({"name": book.sheet("Sheet3").name, "role": "empty"})
    if manner.roll(0.2):
        scratch(book.sheet("calc", hidden=True), truth, manner, "hidden_sheet")


def _ods(rng: Random, seed: int) -> Any:
    return _season(rng, seed, kind="ods", ods=True)


def _foreign(rng: Random, seed: int) -> Any:
    return _season(rng, seed, kind="foreign", language=rng.choice(("de", "fr", "zh", "zh_cn", "ja")))


def _stranger(rng: Random, seed: int) -> Any:
    """A season under headers that fewer merchants use."""
    return _season(rng, seed, kind="stranger", rare=True)


def _plain_season(rng: Random, seed: int) -> Any:
    """A season without any intensity: a tick, a liking, three words and a price beside each lot."""
    manner = choose_manner(rng)
    book, truth = Book(), Truth()
    codes = lots_sheets(book, truth, manner, plain_season=True)
    panel = make_panel(manner, 1)
    if manner.roll(0.5):
        tasting = replace(choose_tasting(manner, panel, codes, 3, 3), codes=sure_codes(truth, [], codes))
        notes_table(book.sheet("Notes"), truth, tasting)
    _clutter(book, truth, manner)
    return finished(book, truth, panel, f"plain_season_{seed}")


def _crowded(rng: Random, seed: int) -> Any:
    """Everything on one sheet: lots, a grid under them, and pairs beside the grid."""
    manner = choose_manner(rng)
    book, truth = Book(), Truth()
    sheet = book.sheet("Everything")
    style = TableStyle(titles=manner.roll(0.5))
    codes = lot_codes(manner, rng.randint(6, 10))
    lots_table(sheet, truth, manner, codes, style)
    panel = make_panel(manner, rng.randint(1, 3))
    tasting = choose_tasting(manner, panel, codes, 3, 5)
    name_samples(truth, tasting.codes)
    top = sheet.last_row + 3
    wide_table(sheet, truth, tasting, top=top)
    if manner.roll(0.6):
        _beside(sheet, truth, replace(tasting, scale=Scale()), top)
    return finished(book, truth, panel, f"crowded_{seed}")


def _beside(sheet: Sheet, truth: Truth, tasting: Tasting, top: int) -> None:
    right = max(column for row, column in sheet.cells if row >= top) + 2
    tasting.manner.pick((preferences_table, notes_table))(sheet, truth, tasting, top=top, left=right)


def _csv_manner(rng: Random, languages: tuple[str, ...]) -> tuple[Manner, dict[str, Any]]:
    language = rng.choice(languages)
    comma = language in ("de", "fr")
    encoding = rng.choice(_ENCODINGS[language])
    separator = rng.choice(";\t|" if comma else ",;\t|")
    how = {
        "encoding": encoding,
        "separator": separator,
        "newline": rng.choice(NEWLINES),
        "decimal_comma": comma,
    }
    return choose_manner(rng, language, text_only=True, decimal_comma=comma), how


def _text_file(
    book: Book, truth: Truth, panel: Panel, stem: str, how: dict[str, Any]
) -> tuple[bytes, dict[str, Any]]:
    truth.taster_aliases = panel.spellings
    return csv_bytes(book, **how), truth.as_dict(file=f"{stem}.csv", kind="csv", **how)


def _lots_csv(rng: Random, seed: int) -> Any:
    manner, how = _csv_manner(rng, ("en", "en", "de", "fr", "zh", "zh_cn", "ja"))
    book, truth = Book(), Truth()
    codes = lot_codes(manner, rng.randint(8, 16))
    if manner.roll(0.3):
        codes[-1] = codes[0]
    style = TableStyle(titles=manner.roll(0.25), rich=False)
    lots_table(book.sheet("file"), truth, manner, codes, style)
    _encodable(book, how)
    return _text_file(book, truth, Panel([]), f"lots_csv_{seed}", how)


def _encodable(book: Book, how: dict[str, Any]) -> None:
    """Keep to what the encoding can write: plain dashes in Shift-JIS; UTF-8 where another sign is missing."""
    sheet = book.sheets[0]
    for place, cell in sheet.cells.items():
        if isinstance(cell.value, str) and how["encoding"] == "shift_jis":
            sheet.cells[place] = replace(cell, value=cell.value.replace("–", "-"))
    try:
        csv_bytes(book, **how)
    except UnicodeEncodeError:
        how["encoding"] = "utf-8"


def _scores_csv(rng: Random, seed: int) -> Any:
    manner, how = _csv_manner(rng, ("en", "en", "de", "fr", "zh", "ja"))
    book, truth = Book(), Truth()
    codes = lot_codes(manner, rng.randint(4, 8))
    panel = make_panel(manner, rng.randint(1, 4))
    tasting = replace(choose_tasting(manner, panel, codes, 3, 6, rich=False), known=set())
    name_samples(truth, tasting.codes)
    manner.pick((long_table, wide_table))(book.sheet("file"), truth, tasting)
    _encodable(book, how)
    return _text_file(book, truth, panel, f"scores_csv_{seed}", how)


KINDS: dict[str, Callable[[Random, int], tuple[bytes, dict[str, Any]]]] = {
    "season": _season,
    "ods": _ods,
    "foreign": _foreign,
    "stranger": _stranger,
    "plain_season": _plain_season,
    "crowded": _crowded,
    "lots_csv": _lots_csv,
    "scores_csv": _scores_csv,
    **HABITS,
}
