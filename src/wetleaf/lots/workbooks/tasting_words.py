"""Whether words over a column tell what was scored, when, or by whom: the words of `tasting_words.toml`."""

import re
import tomllib
from collections.abc import Iterable
from functools import cache, lru_cache
from importlib.resources import files

from wetleaf.lots.workbooks.headings import all_ways, fold
from wetleaf.trade.money import currency_in
from wetleaf.trade.quantities import weight_unit

_NUMBERED_PERSON = re.compile(
    r"(?:taster|judge|panel(?:l?ist)?|assessor|person|nose|verkoster(?:in)?|degustat(?:eur|rice)|juge|t|p|j|評者|评委|評委)"
    r" ?#? ?\d{1,2}"
)
_CAPITALISED = re.compile(r"[^\W\d_][\w.'’-]*")


@cache
def _words(kind: str) -> tuple[frozenset[str], tuple[str, ...]]:
    """The words of a kind that stand alone, and those of scripts without spaces, which stand inside."""
    text = files("wetleaf.lots.workbooks").joinpath("tasting_words.toml").read_text(encoding="utf-8")
    words = [fold(word) for word in tomllib.loads(text)[kind]]
    return frozenset(w for w in words if w.isascii()), tuple(w for w in words if not w.isascii())


@lru_cache(maxsize=20_000)
def has_word(kind: str, text: str) -> bool:
    """Say whether a text holds a word of a kind: attributes, stages, selves, remarks, verdicts, likings.

    >>> has_word("attributes", "Roast aroma"), has_word("stages", "Mei"), has_word("attributes", "花香")
    (True, False, True)
    """
    alone, inside = _words(kind)
    folded = fold(text)
    return any(word in alone for word in folded.split()) or any(word in folded for word in inside)


def is_surely_a_person(text: str, tasters: Iterable[str]) -> bool:
    """Say whether a text is a taster of this book, a word for oneself, or `taster 2`.

    >>> is_surely_a_person("me", ()), is_surely_a_person("Jo", {"jo"}), is_surely_a_person("Jo", ())
    (True, True, False)
    """
    folded = fold(text)
    return folded in tasters or folded in _every_self() or bool(_NUMBERED_PERSON.fullmatch(folded))


def _every_self() -> frozenset[str]:
    alone, inside = _words("selves")
    return alone | frozenset(inside)


@lru_cache(maxsize=20_000)
def may_be_a_person(text: str) -> bool:
    """Say whether a text could be somebody's name: one or two words with capitals that say nothing else here.

    >>> may_be_a_person("Anneke"), may_be_a_person("Ruth P."), may_be_a_person("JB"), may_be_a_person("sweet")
    (True, True, True, False)
    """
    words = text.strip().split()
    if not 1 <= len(words) <= 3 or len(text) > 24 or fold(text) in all_ways():
        return False
    if any(has_word(kind, text) for kind in ("attributes", "stages", "remarks", "no_judgement")):
        return False
    if currency_in(text).value or weight_unit(fold(text)):
        return False
    if not all(_CAPITALISED.fullmatch(word) for word in words):
        return False
    return all(not word[0].isascii() or word[0].isupper() for word in words)
