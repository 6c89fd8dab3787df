"""How strongly a thing is said, and whether it is denied; the words that say so are in `degrees.toml`."""

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

_TABLE = tomllib.loads(Path(__file__).with_name("degrees.toml").read_text("utf-8"))


def _one_of(words: Iterable[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


def _begins_with(words: Iterable[str]) -> re.Pattern[str]:
    """Match any of the words at the start: Latin words with a space after them, Eastern signs without."""
    latin = [word for word in words if word[0].isascii()]
    signs = [word for word in words if not word[0].isascii()]
    eastern = f"({_one_of(signs)})" if signs else "(?!)()"
    return re.compile(rf"({_one_of(latin)})(?:\s+|(?<='))|{eastern}", re.IGNORECASE)


_STRENGTH_OF = {word: row["is"] for row in _TABLE["strength"] for word in (*row["before"], *row["after"])}
_STRENGTH_BEFORE = _begins_with([word for row in _TABLE["strength"] for word in row["before"]])
_STRENGTH_AFTER = re.compile(
    rf" ({_one_of(word for row in _TABLE['strength'] for word in row['after'])})$", re.IGNORECASE
)
_DENIED_BEFORE = _begins_with(_TABLE["denial"]["before"])
_IDLE_BEFORE = _begins_with(_TABLE["idle"]["before"])
_IDLE_AFTER = re.compile(rf" (?:{_one_of(_TABLE['idle']['after'])})$", re.IGNORECASE)
# "I can't find any smoke"
_NOT_FOUND = re.compile(
    r"(?:i |we )?(?:(?:do|does|did|could|can|ca|would)(?:n['’]t| not)|cannot) "
    r"(?:get|find|smell|taste|detect|notice|sense|see)(?: any| the| a)? ",
    re.IGNORECASE,
)
_GONE_AFTER = re.compile(
    r",? (?:is |are |was |were |has |have )?(?:all |completely |quite )?"
    r"(?:gone|absent|missing|lost|not there|disappeared|vanished)$",
    re.IGNORECASE,
)
# "Not very sweet" says how sweet it is, "not as sweet as B" compares, "not bad" is a manner of speaking.
_NOT_MUCH = re.compile(r"(?:not (?:very|so|too|much|quite)|nicht (?:sehr|so|zu|ganz))\b", re.IGNORECASE)
_NO_DENIAL = re.compile(
    r"not (?:as|only|just|bad|sure|unlike|unpleasant|certain|convinced|for)\b|nicht (?:nur|schlecht)\b"
    r"|not? (?:doubt|idea|problem|question|hurry|wonder|complaints?|more than)\b"
    r"|no\.? ?\d|nothing (?:for|to|but)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Degree:
    """Where the said thing lies in a text without words of degree and denial, and what those said."""

    start: int
    end: int
    strength: int | None = None
    absent: bool = False


def read_degree(text: str, start: int, end: int, *, denied: bool = False) -> Degree:
    """Return what is said in `text[start:end]`, how strongly (1 to 5 or None) and whether it is denied.

    `denied` carries a denial over from before ("no smoke or ash").

    >>> text = "not a trace of smoke"
    >>> degree = read_degree(text, 0, len(text))
    >>> text[degree.start : degree.end], degree.absent
    ('smoke', True)
    >>> text = "very strong butter"
    >>> degree = read_degree(text, 0, len(text))
    >>> text[degree.start : degree.end], degree.strength
    ('butter', 5)
    """
    if _NOT_MUCH.match(text, start, end):
        return Degree(start, end, strength=1)
    if _NO_DENIAL.match(text, start, end):
        return Degree(start, end)
    start, end, absent = _without_denial(text, *_without_idle(text, start, end), denied)
    start, end, strength = _without_strength(text, *_without_idle(text, start, end))
    return Degree(start, end, None if absent else strength, absent)


def _without_idle(text: str, start: int, end: int) -> tuple[int, int]:
    """Take idle words off both ends, but never a word of degree ("a little") and never the last word."""
    while True:
        before = None if _STRENGTH_BEFORE.match(text, start, end) else _IDLE_BEFORE.match(text, start, end)
        if before and before.end() < end:
            start = before.end()
            continue
        after = _IDLE_AFTER.search(text, start, end)
        if after is None or after.start() <= start:
            return start, end
        end = after.start()


def _without_denial(text: str, start: int, end: int, denied: bool) -> tuple[int, int, bool]:
    before = _DENIED_BEFORE.match(text, start, end) or _NOT_FOUND.match(text, start, end)
    if before and before.end() < end:
        start, denied = before.end(), True
    after = _GONE_AFTER.search(text, start, end)
    if after and after.start() > start:
        return start, after.start(), True
    return start, end, denied


def _without_strength(text: str, start: int, end: int) -> tuple[int, int, int | None]:
    before = _STRENGTH_BEFORE.match(text, start, end)
    if before and before.end() < end:
        strength = _STRENGTH_OF[(before.group(1) or before.group(2)).casefold()]
        return *_without_idle(text, before.end(), end), strength
    after = _STRENGTH_AFTER.search(text, start, end)
    if after and after.start() > start:
        return start, after.start(), _STRENGTH_OF[after.group(1).casefold()]
    return start, end, None
