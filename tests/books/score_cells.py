"""How a score is written, and what it says: a number, a bound, a span, a missing mark, something wrong."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from tests.books.canvas import Cell, ErrorValue
from tests.books.manner import Manner
from tests.books.truth import Problem


@dataclass(frozen=True)
class Scale:
    """The marks in use, and where the book says so: nowhere (0-10), in a title, or in a header."""

    low: float = 0
    high: float = 10
    step: float = 0.5
    said_in: str = ""

    @property
    def words(self) -> str:
        """The scale as a header carries it."""
        return f"{self.low:g}-{self.high:g}"


@dataclass(frozen=True)
class ScoreCell:
    """A score cell, its status and value, and the problems to name."""

    cell: Cell
    status: str
    value: float | None = None
    bounds: dict[str, float] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()


def choose_scale(manner: Manner) -> Scale:
    """Most books use 0-10 and say nothing; the others say so in a title or in the header."""
    if manner.roll(0.7):
        return Scale()
    said_in = manner.pick(("title", "header"))
    scales = ((0, 100, 1), (1, 9, 1), (0, 7, 0.5), (1, 5, 0.5), (0, 10, 0.5), (0, 15, 0.5))
    low, high, step = manner.pick(scales)
    return Scale(low, high, step, said_in)


def scale_sentence(manner: Manner, scale: Scale) -> str:
    """Return the title that names the scale."""
    low, high = f"{scale.low:g}", f"{scale.high:g}"
    if manner.language != "en":
        word = {"de": "Skala", "fr": "échelle", "zh": "評分", "zh_cn": "评分", "ja": "評点"}[manner.language]
        return f"{word} {low}-{high}"
    return str(
        manner.pick(
            (
                f"scale {low}-{high}",
                f"all scores {low} to {high}",
                f"scored {low}–{high}",
                f"scores {low}-{high}",
            )
        )
    )


def write_score(manner: Manner, scale: Scale, *, formulas: bool) -> ScoreCell:
    """Write one score."""
    value = _draw(manner, scale)
    roll = manner.rng.random()
    if roll < manner.wrong:
        return manner.pick(_wrongs(manner, formulas))(manner, scale, value)
    if roll < manner.wrong + 0.03:
        return _empty() if manner.roll(0.5) else _marked_missing(manner)
    if roll < manner.wrong + 0.05:
        return manner.pick((_censored, _range))(manner, scale, value)
    if roll < manner.wrong + 0.05 + manner.messy / 5:
        return manner.pick(_odd_ways(manner, scale, formulas))(manner, scale, value)
    return ScoreCell(Cell(manner.number(value)), "ok", value)


def _draw(manner: Manner, scale: Scale) -> float:
    steps = round((scale.high - scale.low) / scale.step)
    middle = manner.rng.gauss(0.55, 0.2)
    place = min(max(round(middle * steps), 1), steps - 1)
    value = scale.low + place * scale.step
    return int(value) if value == int(value) else value


def _odd_ways(
    manner: Manner, scale: Scale, formulas: bool
) -> list[Callable[[Manner, Scale, float], ScoreCell]]:
    ways = [_as_text, _doubtful]
    if not manner.text_only or manner.decimal_comma:
        ways.append(_comma)
    if scale.low == 0:
        ways.append(_of_top)
    if scale.step == 0.5 and manner.language in ("en", "de", "fr"):
        ways.append(_half)
    if formulas:
        ways.append(_average)
    return ways


def _wrongs(manner: Manner, formulas: bool) -> list[Callable[[Manner, Scale, float], ScoreCell]]:
    wrongs = [_too_high, _too_high, _too_low, _word, _word, _slip]
    if not manner.text_only:
        wrongs.append(_became_date)
    if formulas:
        wrongs.append(_failed)
    return wrongs


def _said(why: str, kind: str, severity: str) -> tuple[Problem, ...]:
    return (Problem(kind, severity, why),)


def _as_text(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    said = _said("number stored as text", "number_as_text", "info") if not manner.text_only else ()
    text = f"{value:g}".replace(".", ",") if manner.decimal_comma else f"{value:g}"
    return ScoreCell(Cell(text), "ok", value, problems=said)


def _doubtful(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    text = f"{manner.decimal(value)}{manner.pick(('?', ' ?'))}"
    return ScoreCell(Cell(text), "ok", value, problems=_said("marked as doubtful", "doubtful", "warn"))


def _comma(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    text = f"{value:.1f}".replace(".", ",")
    said = () if manner.decimal_comma else _said("decimal comma", "decimal_comma", "info")
    return ScoreCell(Cell(text), "ok", value, problems=said)


def _of_top(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    text = f"{manner.decimal(value)}/{scale.high:g}"
    said = _said(f"written as n/{scale.high:g}", "fraction_of_scale", "info")
    return ScoreCell(Cell(text), "ok", value, problems=said)


def _half(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    whole = min(int(value), int(scale.high) - 1)
    said = _said("half written as a sign", "vulgar_fraction", "info")
    return ScoreCell(Cell(f"{whole}{manner.pick(('½', ' ½'))}"), "ok", whole + 0.5, problems=said)


def _average(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    low, high = value - scale.step, value + scale.step
    said = _said("formula; the cached value is the score", "formula", "info")
    return ScoreCell(Cell(value, f"AVERAGE({low:g},{high:g})"), "ok", value, problems=said)


def _empty() -> ScoreCell:
    return ScoreCell(Cell(), "missing")


def _marked_missing(manner: Manner) -> ScoreCell:
    mark = manner.pick(("x", "-", "n/a", "?", "–", "N/A"))
    return ScoreCell(Cell(mark), "missing", problems=_said("marked as not tasted", "missing_mark", "warn"))


def _censored(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    said = _said("a bound, not a number", "censored", "warn")
    number = int(value)
    if manner.roll(0.6) and number < scale.high:
        bounds = {"lower": float(number), "upper": float(scale.high)}
        return ScoreCell(Cell(f"{manner.pick(('>', '> '))}{number}"), "censored", None, bounds, said)
    number = max(number, int(scale.low) + 1)
    bounds = {"lower": float(scale.low), "upper": float(number)}
    return ScoreCell(Cell(f"<{number}"), "censored", None, bounds, said)


def _range(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    low = min(int(value), int(scale.high) - 1)
    text = f"{low}{manner.pick(('-', '–', ' - '))}{low + 1}"
    bounds = {"lower": float(low), "upper": float(low + 1)}
    return ScoreCell(Cell(text), "range", None, bounds, _said("two numbers", "range", "warn"))


def _too_high(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    wrong = (
        scale.high + manner.pick((1, 2, 5)) * max(scale.step, 1)
        if manner.roll(0.6)
        else value * 10 + scale.high
    )
    wrong = int(wrong) if wrong == int(wrong) else wrong
    said = _said(f"{wrong:g} on a {scale.words} scale", "out_of_range", "error")
    return ScoreCell(Cell(manner.number(wrong)), "out_of_range", None, problems=said)


def _too_low(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    wrong = scale.low - manner.pick((1, 2, 3))
    said = _said(f"{wrong:g} on a {scale.words} scale", "out_of_range", "error")
    return ScoreCell(Cell(manner.number(wrong)), "out_of_range", None, problems=said)


def _word(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    by_language = {
        "de": ("gut", "schwach"),
        "fr": ("bon", "faible"),
        "zh": ("好",),
        "zh_cn": ("好",),
        "ja": ("良い",),
    }
    word = manner.pick(by_language.get(manner.language, ("good", "ok", "weak", "lovely", "seven", "strong!")))
    said = _said("a word in a score cell", "not_a_number", "error")
    return ScoreCell(Cell(word), "not_a_number", None, problems=said)


def _slip(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    text = manner.pick((f"{int(value)}o", f"l{int(value)}", "NaN", "inf"))
    said = _said("not a number", "not_a_number", "error")
    return ScoreCell(Cell(text), "not_a_number", None, problems=said)


def _became_date(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    day = datetime(manner.year, 5, max(1, min(28, int(value) or 7)))  # noqa: DTZ001 (a cell has no zone)
    said = _said("the spreadsheet turned a score into a date", "score_became_date", "error")
    return ScoreCell(Cell(day, number_format="dd/mm/yyyy"), "not_a_number", None, problems=said)


def _failed(manner: Manner, scale: Scale, value: float) -> ScoreCell:
    formula, shown = manner.pick(
        (("1/0", "#DIV/0!"), ("VLOOKUP(9,Z1:Z2,1,0)", "#N/A"), ('Z1+"a"', "#VALUE!"))
    )
    said = _said("formula error", "error_value", "error")
    return ScoreCell(Cell(ErrorValue(shown), formula), "error_value", None, problems=said)
