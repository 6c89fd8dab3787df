"""How people write oxidation and roast: a percentage, a span, or a word."""

from tests.books.canvas import Cell
from tests.books.manner import Manner, missing, told
from tests.books.truth import Problem, Written

_NO_UNIT = Problem("no_unit", "warn", "number without a percent sign")
_TOO_MUCH = Problem("out_of_range", "error", "above 100 percent")
_ROASTS = {
    "none": "none",
    "light": "light",
    "medium": "medium",
    "heavy": "heavy",
    "light-med": "light-medium",
    "med-heavy": "medium-heavy",
    "Light": "light",
    "medium-heavy": "medium-heavy",
    "heavy, re-roasted 2024": "heavy",
}


def degree_header(manner: Manner, word: str) -> tuple[str, bool]:
    """Return the header, and whether it carries the percent sign."""
    percent = manner.roll(0.5)
    return (manner.pick(("{} %", "{} (%)")).format(word), True) if percent else (word, False)


def write_oxidation(manner: Manner, percent_in_header: bool) -> Written:
    """Write how far a tea was oxidised."""
    if manner.roll(0.04):
        return missing(manner)
    percent = manner.pick((5, 8, 12, 15, 20, 25, 30, 40, 50, 60, 80))
    if manner.roll(manner.wrong):
        return told("150%" if not percent_in_header else manner.number(150), None, _TOO_MUCH)
    if percent_in_header and not manner.roll(manner.messy):
        return told(manner.number(percent), {"pct": percent})
    return _odd_oxidation(manner, percent, percent_in_header)


def _odd_oxidation(manner: Manner, percent: int, percent_in_header: bool) -> Written:
    roll = manner.rng.random()
    if roll < 0.3:
        return told(f"{percent}{manner.pick(('%', ' %'))}", {"pct": percent})
    if roll < 0.5:
        return told(
            f"{percent}{manner.pick('-–')}{percent + 5}%", {"pct_min": percent, "pct_max": percent + 5}
        )
    if roll < 0.7 and manner.language == "en":
        word = manner.pick(("low", "light", "medium", "part", "full"))
        return told(word, {"word": word})
    if roll < 0.8 and not manner.text_only:
        return Written(Cell(percent / 100, number_format="0%"), {"pct": percent})
    if roll < 0.9 and not percent_in_header:
        return told(str(percent), {"pct": percent}, _NO_UNIT)
    return told(f"{percent}%", {"pct": percent})


def write_roast(manner: Manner) -> Written:
    """Write how much a tea was roasted."""
    if manner.roll(0.05):
        return missing(manner)
    if manner.roll(0.1):
        return told("10%", {"pct": 10})
    if manner.language != "en":
        return _foreign_roast(manner)
    written = manner.pick(_ROASTS)
    read = {"word": _ROASTS[written]}
    return told(written, {**read, "pct": 0} if written == "none" else read)


def _foreign_roast(manner: Manner) -> Written:
    words = {
        "de": {"leicht": "light", "mittel": "medium", "stark": "heavy", "keine": "none"},
        "fr": {"légère": "light", "moyenne": "medium", "forte": "heavy"},
        "zh": {"輕": "light", "中": "medium", "重": "heavy", "無": "none"},
        "zh_cn": {"轻": "light", "中": "medium", "重": "heavy", "无": "none"},
        "ja": {"弱": "light", "中": "medium", "強": "heavy"},
    }[manner.language]
    written = manner.pick(words)
    return told(written, {"word": words[written], "written": written})
