"""What a column of a lots table is when its head says nothing known: told by its cells, and shown
as inferred.

Only fields that the heads have left open are looked for, each by cells that hardly anything else has.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise

from wetleaf.lots.workbooks.grid import GridCell, as_text
from wetleaf.lots.workbooks.verdict_words import is_verdict
from wetleaf.trade.cultivars import find_cultivar
from wetleaf.trade.dates import parse_date
from wetleaf.trade.numbers import is_missing_mark, parse_number
from wetleaf.trade.quantities import DEGREE_WORDS, elevation_unit, parse_degree, place_in, weight_unit

_CODE = re.compile(r"^[^\W\d_]{0,6}[-_/ .#]?\d{1,5}[^\W\d_]?$")
Test = Callable[[Sequence[str]], float]


def infer_lot_columns(
    free: Mapping[int, Sequence[GridCell]], open_fields: frozenset[str]
) -> Iterator[tuple[str, int, str]]:
    """Give (field, column, why) for the columns of `free` whose cells bear an open field out, the
    surest first.
    """
    left = dict(free)
    for field, test, least, why in _TESTS:
        if field not in open_fields or (field == "avail" and "moq" in open_fields):
            continue  # without a known smallest order a weight may be either
        rated = {column: test(texts) for column, cells in left.items() if len(texts := _texts(cells)) >= 2}
        good = [column for column, share in rated.items() if share >= least]
        # Names and makers look alike, so of several columns the first is taken; of the others only a
        # sole one.
        if good and (len(good) == 1 or field in ("code", "name")):
            left.pop(good[0])
            yield field, good[0], f"its cells {why}"


def _texts(cells: Sequence[GridCell]) -> list[str]:
    texts = (as_text(cell.value).strip() for cell in cells)
    return [text for text in texts if text and not is_missing_mark(text)]


def _share(texts: Sequence[str], test: Callable[[str], object]) -> float:
    return sum(1 for text in texts if test(text)) / len(texts)


def _distinct(texts: Sequence[str]) -> float:
    return len({text.casefold() for text in texts}) / len(texts)


def _codes(texts: Sequence[str]) -> float:
    """Unlike each other, short, with digits; not a running number."""
    numbers = [int(text) for text in texts if text.isdigit()]
    running = len(numbers) == len(texts) and all(b - a == 1 for a, b in pairwise(numbers))
    if running or _distinct(texts) < 0.8 or len(texts) < 3:
        return 0.0
    lettered = _share(texts, lambda text: any(sign.isalpha() for sign in text))
    three_digits = len(numbers) == len(texts) and all(100 <= number <= 9999 for number in numbers)
    three_digits = three_digits and _are_number_codes(numbers)
    return _share(texts, _CODE.match) if lettered >= 0.6 or three_digits else 0.0


def infer_code_column(left: Mapping[int, Sequence[str]]) -> tuple[int, str] | None:
    """Give (column, why) of the one column whose texts tell every lot from every other, as a code does.

    `left` holds, for the unknown columns at the left of a table, the text of each lot's row. Codes may be
    plain numbers here; whole tens, years and parts of a whole are prices, heights and counts instead.

    >>> infer_code_column({1: ["7", "12", "31"]})
    (1, 'its cells are short, filled and different in every row, and nothing else is the code')
    >>> infer_code_column({1: ["700", "1200", "950"]}) or infer_code_column({1: ["7", "7", "31"]})
    """
    good = [column for column, texts in left.items() if _tells_lots_apart(texts)]
    if len(good) != 1:
        return None
    return good[0], "its cells are short, filled and different in every row, and nothing else is the code"


def _tells_lots_apart(texts: Sequence[str]) -> bool:
    distinct = {text.strip().casefold() for text in texts}
    if len(texts) < 3 or len(distinct) < len(texts) or any(is_missing_mark(text) for text in distinct):
        return False
    if all(text.isdigit() for text in distinct):
        return _are_number_codes([int(text) for text in distinct])
    return all(_is_short_code(text) for text in distinct) and not _measured(texts)


def _are_number_codes(numbers: Sequence[int]) -> bool:
    """Whole tens are measured, counted or asked; numbers of a century are years."""
    tens = sum(number % 10 == 0 for number in numbers)
    years = sum(1900 <= number <= 2100 for number in numbers)
    return max(numbers) <= 99_999 and tens <= 0.5 * len(numbers) and years <= 0.5 * len(numbers)


def _is_short_code(text: str) -> bool:
    """Letters, digits and joining signs; letters alone only as marks of one to three."""
    if not 1 <= len(text) <= 12 or not re.fullmatch(r"[^\W_]+(?:[-_/.# ][^\W_]+)*", text):
        return False
    return any(sign.isdigit() for sign in text) or len(text) <= 3


def _measured(texts: Sequence[str]) -> bool:
    """Say whether most texts are a number with a unit, a date, a place, a bush or a degree."""
    tests: tuple[Callable[[Sequence[str]], float], ...] = (
        _cultivars, _places, _degrees, _dates, _heights, _weights, _decimals,
    )  # fmt: skip
    return any(test(texts) >= 0.5 for test in tests)


def _decimals(texts: Sequence[str]) -> float:
    return _share(texts, lambda text: re.fullmatch(r"\d+[.,/]\d+", text))


def _cultivars(texts: Sequence[str]) -> float:
    return _share(texts, lambda text: len(text) <= 30 and find_cultivar(text.rstrip("?")))


def _places(texts: Sequence[str]) -> float:
    return _share(texts, place_in)


def _degrees(texts: Sequence[str]) -> float:
    return _share(texts, _is_degree)


def _roasts(texts: Sequence[str]) -> float:
    """Words of degree; a column of yes and no is a verdict instead."""
    return 0.0 if _share(texts, is_verdict) >= 0.8 else _degrees(texts)


def _is_degree(text: str) -> bool:
    degree = parse_degree(text).value
    return degree is not None and ("%" in text or degree.word in DEGREE_WORDS)


def _percents(texts: Sequence[str]) -> float:
    return _degrees(texts) if _share(texts, lambda text: "%" in text) >= 0.5 else 0.0


def _dates(texts: Sequence[str]) -> float:
    return _share(texts, lambda text: not text.isdigit() and parse_date(text, day_first=True).value)


def _heights(texts: Sequence[str]) -> float:
    return _share(texts, lambda text: (n := parse_number(text)) is not None and elevation_unit(n.unit))


def _weights(texts: Sequence[str]) -> float:
    return _share(
        texts,
        lambda text: (n := parse_number(text)) is not None and weight_unit(re.split(r"[\s\d]", n.unit)[0]),
    )


def _names(texts: Sequence[str]) -> float:
    """Unlike each other, of a few words, without digits that lead."""
    if _distinct(texts) < 0.8:
        return 0.0
    return _share(
        texts,
        lambda text: 3 <= len(text) <= 60 and not text[0].isdigit() and (" " in text or not text.isascii()),
    )


def _makers(texts: Sequence[str]) -> float:
    """A few that return, of one to four words with capitals."""
    if not 0.1 <= _distinct(texts) <= 0.85 or len(texts) < 4:
        return 0.0
    return _share(
        texts,
        lambda text: len(text) <= 40 and text[0].isalpha() and len(text.split()) <= 4 and not text.islower(),
    )


def _sayings(texts: Sequence[str]) -> float:
    return _share(texts, lambda text: len(text) >= 15 and not text[0].isdigit())


_TESTS: tuple[tuple[str, Test, float, str], ...] = (
    ("code", _codes, 0.8, "are short, unlike each other and numbered, as codes are"),
    ("cv", _cultivars, 0.6, "are names of cultivars"),
    ("region", _places, 0.6, "are names of places where tea is grown"),
    ("ox", _percents, 0.7, "are percentages, as of oxidation"),
    ("roast", _roasts, 0.7, "are words of degree, as of roast"),
    ("harvest", _dates, 0.7, "are dates"),
    ("elev", _heights, 0.6, "are heights"),
    ("avail", _weights, 0.7, "are weights"),
    ("name", _names, 0.7, "are unlike each other and of several words, as names of teas are"),
    ("producer", _makers, 0.8, "are a few names that return, as of makers"),
    ("claims", _sayings, 0.7, "are sentences"),
)
