"""One score cell: a number on its scale, or what else it is."""

import datetime as dt
import re
from dataclasses import dataclass
from decimal import Decimal

from wetleaf.lots.workbooks.grid import GridCell, is_blank
from wetleaf.lots.workbooks.records import ScoreStatus
from wetleaf.trade.numbers import DecimalMark, ReadNumber, is_missing_mark, parse_number


@dataclass(frozen=True)
class Scale:
    """The ends of a scale, and how they are known: written, or inferred."""

    low: float = 0.0
    high: float = 10.0
    source: str = "no scale is written: 0 to 10 is taken"

    def holds(self, value: float) -> bool:
        """Say whether a value lies on the scale."""
        return self.low <= value <= self.high


@dataclass(frozen=True)
class ScoreReading:
    """What a score cell holds; `kinds` are the problems with it."""

    status: ScoreStatus
    value: float | None = None
    lower: float | None = None
    upper: float | None = None
    kinds: tuple[str, ...] = ()


_SCALE_RANGE = re.compile(
    r"(?<![\d.,/-])([01]|-[1-5])\s*(?:-|–|—|to|bis|à|\.\.)\s*(\+?[3-9]|1[0-5]|20|100)(?![\d.,/])(?!\s*(?:%|m\b|g\b|kg|min|°|ml|st|nd|rd|th"
    r"|jan|feb|m[aä]r|apr|ma[iy]|ju[nl]|aug|sep|o[ck]t|nov|de[cz]))",
    re.IGNORECASE,
)
_OUT_OF = re.compile(
    r"(?:^|[\s(\[])(?:/|out of|von|sur|max\.?)\s*([4-9]|10|15|20|100)(?:\s*(?:points|pts|punkte))?\s*(?:$|[)\],;.])",  # noqa: E501
    re.IGNORECASE,
)
_WHOLE_UNITS = re.compile(r"^(?:pts?|points?|p|punkte?|分|点|點)\.?$", re.IGNORECASE)


def scale_in(text: str) -> Scale | None:
    """Find a scale that a head or a title names.

    >>> scale_in("Roast aroma (0-10)").high, scale_in("Colour /7").high, scale_in("Tasting 12-14 May") is None
    (10.0, 7.0, True)
    """
    found = _SCALE_RANGE.search(text)
    if found:
        return Scale(float(found[1]), float(found[2].lstrip("+")), f"written: {text.strip()!r}")
    out_of = _OUT_OF.search(text)
    return Scale(0.0, float(out_of[1]), f"written: {text.strip()!r}") if out_of else None


def read_score(
    cell: GridCell,
    scale: Scale,
    *,
    decimal: DecimalMark = "",
    plain_text: bool = False,
    commas_usual: bool = False,
) -> ScoreReading:
    """Read a score cell. `plain_text` says that all cells are text (CSV), so a number as text is no problem;
    `commas_usual` says that the file writes its decimals with commas.

    >>> read_score(GridCell("3,0"), Scale()).kinds, read_score(GridCell(">9"), Scale()).upper
    (('decimal_comma',), 10.0)
    >>> read_score(GridCell(12.0), Scale()).status, read_score(GridCell("6-7"), Scale()).status
    ('out_of_range', 'range')
    """
    if cell.error:
        return ScoreReading("error_value", kinds=("error_value",))
    if is_blank(cell):
        return ScoreReading("missing")
    if isinstance(cell.value, dt.date | dt.time):
        return ScoreReading("not_a_number", kinds=("score_became_date",))
    if isinstance(cell.value, bool):
        return ScoreReading("not_a_number", kinds=("not_a_number",))
    if isinstance(cell.value, float):
        return _on_scale(cell.value, scale, ("formula",) if cell.formula else ())
    assert isinstance(cell.value, str)
    reading = _read_text(cell.value.strip(), scale, decimal, plain_text, commas_usual)
    if cell.formula and reading.status == "ok":
        return ScoreReading("ok", reading.value, kinds=(*reading.kinds, "formula"))
    return reading


def _on_scale(value: float, scale: Scale, kinds: tuple[str, ...]) -> ScoreReading:
    if scale.holds(value):
        return ScoreReading("ok", value, kinds=kinds)
    return ScoreReading("out_of_range", kinds=("out_of_range",))


def _read_text(
    text: str, scale: Scale, decimal: DecimalMark, plain_text: bool, commas_usual: bool
) -> ScoreReading:
    if is_missing_mark(text):
        return ScoreReading("missing", kinds=("missing_mark",))
    number = parse_number(text, decimal)
    if number is None:
        return ScoreReading("not_a_number", kinds=("not_a_number",))
    if "ambiguous_number" in number.noticed:  # no score has thousands, so the sign is a decimal mark
        number = parse_number(text, "," if "," in text else ".") or number
    if number.out_of is not None:
        return _share(number, scale)
    if number.bound or number.upper is not None:
        return _not_one(number, scale)
    return _one(text, number, scale, plain_text, commas_usual)


def _share(number: ReadNumber, scale: Scale) -> ScoreReading:
    assert number.value is not None
    if number.unit or number.bound or number.out_of != Decimal(str(scale.high)):
        return ScoreReading("not_a_number", kinds=("other_scale",))
    doubt = ("doubtful",) if number.doubtful or number.approximate else ()
    return _on_scale(float(number.value), scale, ("fraction_of_scale", *doubt))


def _not_one(number: ReadNumber, scale: Scale) -> ScoreReading:
    if re.search(r"\d", number.unit):
        return ScoreReading("not_a_number", kinds=("not_a_number",))
    if number.upper is not None and number.lower is not None:
        low, high = float(number.lower), float(number.upper)
        if not (scale.holds(low) and scale.holds(high)):
            return ScoreReading("out_of_range", kinds=("out_of_range",))
        return ScoreReading("range", None, low, high, ("range",))
    assert number.value is not None
    value = float(number.value)
    if not scale.holds(value):
        return ScoreReading("out_of_range", kinds=("out_of_range",))
    low, high = (value, scale.high) if number.bound == "above" else (scale.low, value)
    return ScoreReading("censored", None, low, high, ("censored",))


def _is_remark(text: str) -> bool:
    """Words that stand apart from the number are a remark; what is glued to it (`9o`, `6..5`,
    `7.`) is a slip.
    """
    return bool(re.match(r"^\D{0,3}[\d.,½¼¾]*[\d½¼¾](?:\s+|\s*[(\[]|\s*[,;:]\s+|\s*[-–]\s+)[^\W\d_]", text))


def _one(text: str, number: ReadNumber, scale: Scale, plain_text: bool, commas_usual: bool) -> ScoreReading:
    assert number.value is not None
    kinds = [kind for kind in number.noticed if kind != "decimal_comma" or not commas_usual]
    unit = number.unit.strip()
    if re.search(r"\d", unit) or unit.startswith(("%", "/")):
        return ScoreReading("not_a_number", kinds=("not_a_number",))
    if number.doubtful or number.approximate or unit.casefold() in ("ish", "+", "-", "−", "!", "+/-", "±"):
        kinds.append("doubtful")
    elif unit and _WHOLE_UNITS.match(unit):
        kinds.append("unit_in_cell")
    elif unit and not _is_remark(text):
        return ScoreReading("not_a_number", kinds=("not_a_number",))
    elif unit:
        kinds.append("remark_in_cell")
    if not kinds and not plain_text:
        kinds.append("number_as_text")
    return _on_scale(float(number.value), scale, tuple(kinds))
