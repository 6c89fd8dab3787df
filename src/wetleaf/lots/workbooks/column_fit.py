"""How well the cells of a column bear out the field that its head suggests."""

import datetime as dt
from collections.abc import Callable, Iterable

from wetleaf.lots.workbooks.grid import GridCell, as_text, is_blank, is_code_like
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.recognised import Known
from wetleaf.lots.workbooks.sample_kinds import sample_kind
from wetleaf.lots.workbooks.tables import Table
from wetleaf.trade.cultivars import find_cultivar
from wetleaf.trade.dates import parse_date
from wetleaf.trade.numbers import is_missing_mark, parse_number
from wetleaf.trade.quantities import DEGREE_WORDS, parse_degree, place_in

NUMERIC = frozenset(
    [
        "elev",
        "price",
        "moq",
        "avail",
        "markup",
        "loss",
        "liking",
        "score",
        "days",
        "roast_aroma",
        "grams",
        "grams_in",
        "grams_out",
        "left",
        "wanted_kg",
        "target",
        "tolerance",
        "sample_grams",
    ]
)
DATES = frozenset(["harvest", "offer_until", "sample_received", "roast_date", "taste_date", "date", "opened"])


def column_cells(table: Table, column: int, most: int = 60) -> list[GridCell]:
    cells: list[GridCell] = []
    step = max(1, len(table.rows) // (most * 2))
    for row in table.rows[::step]:
        cell = table.grid.at(row, column)
        if not is_blank(cell):
            cells.append(cell)
            if len(cells) >= most:
                break
    return cells


def share_of(cells: Iterable[GridCell], test: Callable[[GridCell], object]) -> float:
    found = list(cells)
    return sum(bool(test(cell)) for cell in found) / len(found) if found else 0.0


def is_number_like(cell: GridCell) -> bool:
    """Say whether a cell holds a number, however written, or what a number has become in a spreadsheet."""
    if isinstance(cell.value, bool):
        return False
    if cell.error or not isinstance(cell.value, str):
        return True
    text = cell.value.strip()
    return text.casefold() in ("nan", "inf", "-inf") or (len(text) <= 16 and parse_number(text) is not None)


def is_score_like(cell: GridCell) -> bool:
    """Say whether a cell holds what a score column holds: a low number, a mark for none, a number
    gone wrong.
    """
    if isinstance(cell.value, str):
        if cell.error or is_missing_mark(cell.value):
            return True
        number = parse_number(cell.value.strip()) if len(cell.value) <= 12 else None
        return cell.value.strip().casefold() in ("nan", "inf") or (
            number is not None and len(number.unit) <= 4 and _low(number.value or number.lower)
        )
    return isinstance(cell.value, dt.date | dt.time) or (isinstance(cell.value, float) and _low(cell.value))


def _low(value: object) -> bool:
    return value is not None and -10 <= float(value) <= 100  # type: ignore[arg-type]


def _is_date_like(cell: GridCell) -> bool:
    if isinstance(cell.value, dt.date):
        return True
    if isinstance(cell.value, float):
        return 20_000 < cell.value < 80_000 or 1900 < cell.value < 2100
    return isinstance(cell.value, str) and parse_date(cell.value, day_first=True).value is not None


def fit_of(name: str, cells: list[GridCell], known: Known, role: str) -> float:
    """How well the cells of a column bear a field out, 0 to 1."""
    if not cells:
        return 0.5
    if name in _SAMPLES:
        return _fit_of_codes(name, cells, known, role)
    if name == "taster":
        return _fit_of_tasters(cells, known)
    if name in DATES:
        return share_of(cells, _is_date_like)
    if name in NUMERIC:
        return share_of(cells, lambda c: is_number_like(c) or has_digit(c) or is_missing(c))
    test = _FITS.get(name)
    return test(cells) if test else 0.8


def _fit_of_codes(name: str, cells: list[GridCell], known: Known, role: str) -> float:
    if known.codes and role != "lots":
        share = share_of(cells, lambda c: known.is_sample(as_text(c.value)))
        return max(share, 0.3 * share_of(cells, is_code_like))
    short = share_of(cells, lambda c: len(as_text(c.value)) <= 14)
    return 0.4 * short + 0.6 * share_of(cells, is_code_like) if role == "lots" or name == "sample" else short


def _fit_of_tasters(cells: list[GridCell], known: Known) -> float:
    named = share_of(cells, lambda c: fold(as_text(c.value)) in known.tasters)
    return max(named, 0.8 * share_of(cells, _is_like_a_name))


def _is_like_a_name(cell: GridCell) -> bool:
    is_short_text = isinstance(cell.value, str) and len(cell.value) <= 30
    return is_short_text and not is_code_like(cell) and not is_number_like(cell)


def _places(cells: list[GridCell]) -> float:
    return share_of(cells, lambda c: isinstance(c.value, str) and place_in(c.value))


def _bushes(cells: list[GridCell]) -> float:
    return share_of(cells, lambda c: isinstance(c.value, str) and find_cultivar(c.value.rstrip("?")))


def _degrees(cells: list[GridCell]) -> float:
    if share_of(cells, lambda c: isinstance(c.value, dt.date)) > 0.5:
        return 0.0  # a few ranges, such as 5-10, may have become days; a column of days tells when
    return share_of(cells, lambda c: is_missing(c) or not isinstance(c.value, str) or _is_degree(c.value))


def _notes_of_firing(cells: list[GridCell]) -> float:
    return 0.9 * share_of(cells, lambda c: isinstance(c.value, str) and not _is_degree(c.value))


def _names(cells: list[GridCell]) -> float:
    return share_of(
        cells, lambda c: isinstance(c.value, str) and not is_number_like(c) and not is_code_like(c)
    )


def _words(cells: list[GridCell]) -> float:
    return share_of(cells, lambda c: isinstance(c.value, str) and not is_number_like(c))


def _short(most: int) -> Callable[[list[GridCell]], float]:
    return lambda cells: share_of(cells, lambda c: len(as_text(c.value).strip()) <= most)


_SAMPLES = frozenset({"sample", "code", "lot", "a", "b", "cup1", "cup2", "cup3"})
_FITS: dict[str, Callable[[list[GridCell]], float]] = {
    "region": lambda cells: 0.6 + 0.4 * _places(cells),
    "producer": lambda cells: 1.0 - _places(cells),
    "cv": lambda cells: 0.6 + 0.4 * _bushes(cells),
    "tea_class": lambda cells: 0.8 * (1.0 - _bushes(cells)),
    "currency": _short(4),
    "roast": _degrees,
    "ox": _degrees,
    "firing": _notes_of_firing,
    "kind": lambda cells: share_of(cells, lambda c: sample_kind(as_text(c.value))),
    "name": _names,
    "verdict": lambda cells: 1.0 - 0.9 * share_of(cells, _is_date_like),
    **dict.fromkeys(("claims", "words", "text", "note"), _words),
    **dict.fromkeys(("replicate", "brew", "odd", "picked", "order"), _short(12)),
}


def _is_degree(text: str) -> bool:
    degree = parse_degree(text).value
    return degree is not None and (
        degree.word.casefold() != text.strip().casefold() or degree.word in DEGREE_WORDS
    )


def has_digit(cell: GridCell) -> bool:
    return any(sign.isdigit() for sign in as_text(cell.value))


def is_missing(cell: GridCell) -> bool:
    return isinstance(cell.value, str) and is_missing_mark(cell.value)
