"""The parts that every kind of book is made of: a manner, its lots, a tasting, the file itself."""

from random import Random
from typing import Any

from tests.books.canvas import Book
from tests.books.lot_columns import TableStyle
from tests.books.lots_table import lot_codes, lots_table
from tests.books.manner import Manner
from tests.books.panel import Panel
from tests.books.regions import CHINA, JAPAN, ORIGINS, TAIWAN
from tests.books.score_cells import choose_scale
from tests.books.tastings import Tasting, choose_attributes
from tests.books.truth import Truth
from tests.books.write_ods import ods_bytes
from tests.books.write_xlsx import xlsx_bytes

_LANGUAGE_ORIGIN = {"zh": TAIWAN, "zh_cn": CHINA, "ja": JAPAN}


def choose_manner(rng: Random, language: str = "en", **how: Any) -> Manner:
    """Choose how one merchant writes."""
    origin = _LANGUAGE_ORIGIN.get(language) or rng.choice(ORIGINS)
    messy, wrong = rng.choice((0.1, 0.3, 0.5)), rng.choice((0.01, 0.025, 0.05))
    return Manner(rng, language, origin, rng.choice((2024, 2025, 2026)), messy=messy, wrong=wrong, **how)


def lots_sheets(book: Book, truth: Truth, manner: Manner, **style: Any) -> list[str]:
    """Write one or two sheets of lots and return their codes."""
    count = manner.rng.randint(6, 22)
    codes = lot_codes(manner, count)
    halves = [codes]
    if manner.roll(0.15) and count > 11:
        halves = [codes[: count // 2], codes[count // 2 :]]
    for number, half in enumerate(halves):
        given = list(half)
        if manner.roll(0.25) and len(given) > 4:
            given[-1] = given[manner.rng.randrange(len(given) - 2)]
        name = manner.pick(("Lots", "Lots Spring", "Teas", "Offers", "Sheet1"))
        sheet = book.sheet(name if not number else f"{name} (2)")
        look = TableStyle(left=manner.pick((1, 1, 1, 2)), titles=manner.roll(0.7), **style)
        lots_table(sheet, truth, manner, given, look)
    return sorted({lot["code"] for lot in truth.lots}, key=str)


def choose_tasting(
    manner: Manner, panel: Panel, codes: list[str], low: int, high: int, *, rich: bool = True
) -> Tasting:
    """Choose a tasting of three to six of the codes."""
    chosen = manner.rng.sample(codes, min(len(codes), manner.rng.randint(3, 6)))
    return Tasting(
        manner, panel, chosen, choose_attributes(manner, low, high), choose_scale(manner), set(codes), rich
    )


def sure_codes(truth: Truth, chosen: list[str], codes: list[str]) -> list[str]:
    """Codes that one lot carries, so that a small sheet is about its own riddles only."""
    carried = [lot["code"] for lot in truth.lots]
    sure = [code for code in chosen if carried.count(code) == 1]
    spare = [code for code in codes if carried.count(code) == 1 and code not in sure]
    return (sure + spare)[:4]


def finished(
    book: Book, truth: Truth, panel: Panel, stem: str, ods: bool = False
) -> tuple[bytes, dict[str, Any]]:
    """Write the file and return it with its truth."""
    truth.taster_aliases = panel.spellings
    name, write = (f"{stem}.ods", ods_bytes) if ods else (f"{stem}.xlsx", xlsx_bytes)
    days = 1904 if book.days_from_1904 else 1900
    return write(book), truth.as_dict(file=name, kind=name[-4:].strip("."), date_system=days)
