"""How one merchant writes: language, origin, year, decimal sign, and whether the file can hold real dates."""

from dataclasses import dataclass
from random import Random
from typing import Any

from tests.books import words
from tests.books.canvas import Cell
from tests.books.rare_words import RARE_HEADERS, RARE_SCORE_HEADERS
from tests.books.regions import Origin
from tests.books.truth import Problem, Written


@dataclass(frozen=True)
class Manner:
    """One book's habits; `messy` is the share of cells written oddly, `wrong` the share that are errors.

    `rare` headers are the ones that fewer merchants use.
    """

    rng: Random
    language: str
    origin: Origin
    year: int
    text_only: bool = False
    decimal_comma: bool = False
    days_from_1904: bool = False
    messy: float = 0.35
    wrong: float = 0.03
    rare: bool = False

    def roll(self, chance: float) -> bool:
        """Throw a weighted coin."""
        return self.rng.random() < chance

    def pick(self, choices: Any) -> Any:
        """Pick one."""
        return self.rng.choice(list(choices))

    def word(self, table: dict[str, dict[str, tuple[str, ...]]], field: str) -> str:
        """Pick a header of this book's language, or an English one where the language has none."""
        rare = RARE_HEADERS if table is words.LOT_HEADERS else RARE_SCORE_HEADERS
        if self.rare and field in rare:
            return str(self.pick(rare[field]))
        by_language = table[field]
        return str(self.pick(by_language.get(self.language, by_language["en"])))

    def decimal(self, number: float) -> str:
        """Write a number with this book's decimal sign and no thousands sign."""
        text = f"{number:g}" if abs(number) < 1e6 else str(int(number))
        return text.replace(".", ",") if self.decimal_comma else text

    def number(self, number: float) -> Any:
        """Write a plain number: a real one, or its text where the file holds text only."""
        return self.decimal(number) if self.text_only else number


def told(value: Any, read: Any, *problems: Problem, number_format: str | None = None) -> Written:
    """Return a plain written fact."""
    return Written(Cell(value, number_format=number_format), read, problems)


def missing(manner: Manner) -> Written:
    """Return a mark that stands for no value."""
    mark = manner.pick(("-", "n/a", "?", "tbc", "–", "N/A"))
    return told(mark, None, Problem("missing_mark", "warn", f"{mark}, no value"))


def as_text(manner: Manner) -> tuple[Problem, ...]:
    """A number kept as text is worth a word where numbers can be numbers; in a file of text all are text."""
    return () if manner.text_only else (Problem("number_as_text", "info", "number stored as text"),)


def stray_spaces(manner: Manner, text: str, chance: float = 0.05) -> Written:
    """Return text, sometimes with a space before or after it."""
    if not manner.roll(chance):
        return told(text, text)
    worn = manner.pick((f"{text} ", f" {text}", f"{text}  "))
    told_of = () if manner.text_only else (Problem("stray_space", "info", "leading or trailing space"),)
    return told(worn, text, *told_of)
