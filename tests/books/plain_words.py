"""What a buyer alone notes beside a lot on a first pass: a tick, a liking, three words; no intensity."""

from collections.abc import Callable

from tests.books import words
from tests.books.manner import Manner, as_text, told
from tests.books.truth import Problem, Written

_VERDICTS = ("✓", "yes", "no", "maybe", "again", "buy", "pass", "hold")
_NOT_A_NUMBER = Problem("not_a_number", "error", "a word in a column of numbers")
_TOO_HIGH = Problem("out_of_range", "error", "beyond the scale")


def write_verdict(manner: Manner) -> Written:
    """Write a tick or a word; an empty cell says nothing."""
    if manner.roll(0.2):
        return told(None, None)
    choices = _VERDICTS if not manner.text_only else _VERDICTS[1:]
    said = manner.pick(choices)
    return told(said, said)


def liking_column(manner: Manner) -> tuple[str, Callable[[Manner], Written]]:
    """Return the header of the liking column with its scale, and who writes its cells."""
    top = manner.pick((10, 10, 5, 9))
    word = manner.word(words.LOT_HEADERS, "liking")
    low = 1 if top in (5, 9) else 0
    header = manner.pick((f"{word} ({low}-{top})", f"{word} {low}-{top}", f"{word}, {low} to {top}"))
    return header, lambda writer: _write_liking(writer, low, top)


def _write_liking(manner: Manner, low: int, top: int) -> Written:
    roll = manner.rng.random()
    if roll < 0.1:
        return told(None, None)
    value = manner.rng.randint(low, top)
    if roll < 0.15:
        return told(manner.number(top + manner.rng.randint(2, 4)), None, _TOO_HIGH)
    if roll < 0.19:
        return told(manner.pick(("good", "lovely", "so-so")), None, _NOT_A_NUMBER)
    if roll < 0.25:
        return told(f"{value}?", value, Problem("doubtful", "warn", "question mark"))
    if roll < 0.3:
        return told(str(value), value, *as_text(manner))
    return told(manner.number(value), value)


def write_words(manner: Manner) -> Written:
    """Write a few words, or nothing."""
    if manner.roll(0.2):
        return told(None, None)
    said = manner.pick(words.WORDS)
    return told(said, said)
