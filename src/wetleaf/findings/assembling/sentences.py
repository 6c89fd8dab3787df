"""Small pieces of sentences: numbers as words, days, lists.

British spelling; what is not known is not guessed.
"""

import datetime as dt
from collections.abc import Sequence

_NUMBERS = [
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
]


def said_count(count: int) -> str:
    """Say a number as a buyer writes it: in letters up to twelve.

    >>> said_count(0), said_count(7), said_count(22)
    ('no', 'seven', '22')
    """
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else str(count)


def counted(count: int, thing: str, things: str = "") -> str:
    """Say how many of a thing.

    >>> counted(1, "brew"), counted(3, "brew"), counted(2, "try", "tries")
    ('one brew', 'three brews', 'two tries')
    """
    return f"{said_count(count)} {thing if count == 1 else things or thing + 's'}"


def any_of(count: int) -> str:
    """Name each of several without choosing.

    >>> any_of(2), any_of(5)
    ('Either of the two', 'Any of the five')
    """
    return "Either of the two" if count == 2 else f"Any of the {said_count(count)}"


def is_or_are(count: int) -> str:
    """The verb that goes with a count."""
    return "is" if count == 1 else "are"


def sentence(text: str) -> str:
    """Begin with a capital and end with a stop.

    >>> sentence("seven samples came")
    'Seven samples came.'
    """
    stripped = text.strip()
    stopped = stripped if stripped.endswith((".", "?", "!")) else f"{stripped}."
    return stopped[:1].upper() + stopped[1:]


def listed(parts: Sequence[str], joint: str = "and") -> str:
    """Join with commas and a last word.

    >>> listed(["roast"]), listed(["roast", "flower"]), listed(["roast", "flower", "body"])
    ('roast', 'roast and flower', 'roast, flower and body')
    """
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {joint} {parts[-1]}"


def said_day(day: dt.date, *, seen_from: dt.date | None = None) -> str:
    """Say a day; the year only where it is not the year one stands in.

    >>> said_day(dt.date(2026, 4, 18), seen_from=dt.date(2026, 5, 1)), said_day(dt.date(2025, 4, 18))
    ('18 April', '18 April 2025')
    """
    year = "" if seen_from is not None and seen_from.year == day.year else f" {day.year}"
    return f"{day.day} {day:%B}{year}"


def said_chance(chance: float) -> str:
    """Say a chance in tenths, as the first screen does.

    >>> said_chance(0.62), said_chance(0.03), said_chance(0.999)
    ('6 in 10', 'under 1 in 20', 'over 19 in 20')
    """
    if chance < 0.05:
        return "under 1 in 20"
    return f"{min(9, max(1, round(chance * 10)))} in 10" if chance < 0.95 else "over 19 in 20"
