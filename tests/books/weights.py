"""How people write how much there is, and the least they will sell."""

from tests.books.manner import Manner, missing, told
from tests.books.truth import Problem, Written

_POUND, _OUNCE = 453.59237, 28.349523
_JIN = Problem("jin", "info", "a jin in this country")
_OTHER_UNIT = Problem("unit_differs_from_header", "info", "another unit than the column's")
_UNKNOWN = Problem("unknown_unit", "warn", "a chest has no fixed weight", either=True)
_BELOW_ZERO = Problem("negative_quantity", "error", "a weight below zero")


def weight_header(manner: Manner, word: str) -> tuple[str, float | None]:
    """Return the header and the grams of its unit, or None where every cell carries its own."""
    unit, grams = manner.pick((("", None), ("", None), ("kg", 1000.0), ("g", 1.0)))
    if grams is None:
        return word, None
    return manner.pick(("{} {}", "{} ({})")).format(word, unit), grams


def write_weight(manner: Manner, header_grams: float | None, *, low_kg: float, high_kg: float) -> Written:
    """Write a weight between two bounds in kilograms."""
    if manner.roll(0.05):
        return missing(manner)
    kilos = _round(manner.rng.uniform(low_kg, high_kg))
    if header_grams and manner.roll(manner.wrong / 2):
        return told(manner.number(-_tidy(kilos * 1000 / header_grams)), None, _BELOW_ZERO)
    if header_grams and not manner.roll(manner.messy / 2):
        return told(manner.number(_tidy(kilos * 1000 / header_grams)), {"g": _tidy(kilos * 1000)})
    return _with_unit(manner, kilos, header_grams)


def _round(kilos: float) -> float:
    return round(kilos) if kilos >= 2 else max(round(kilos * 4) / 4, 0.25)


def _tidy(number: float) -> float:
    return int(number) if number == int(number) else number


def _with_unit(manner: Manner, kilos: float, header_grams: float | None) -> Written:
    other = (_OTHER_UNIT,) if header_grams else ()
    if manner.origin.jin_grams and manner.roll(0.2):
        return _in_jin(manner, kilos)
    if manner.language == "en" and manner.roll(0.12):
        return _in_pounds(manner, kilos, other)
    if manner.language == "en" and manner.roll(0.04):
        return told(f"{max(2, round(kilos / 20))} chests", None, _UNKNOWN)
    space = manner.pick(("", " "))
    if kilos < 1 or (kilos < 2 and manner.roll(0.3)):
        return told(
            f"{kilos * 1000:.0f}{space}g", {"g": _tidy(kilos * 1000)}, *_if_not(other, header_grams, 1.0)
        )
    if kilos == 1.5 and manner.roll(0.3):
        return told(f"1½{space}kg", {"g": 1500}, *_if_not(other, header_grams, 1000.0))
    word = manner.pick(("kg", "kg", "kg", "kilos", "KG")) if manner.language == "en" else "kg"
    return told(
        f"{manner.decimal(kilos)}{space}{word}",
        {"g": _tidy(kilos * 1000)},
        *_if_not(other, header_grams, 1000.0),
    )


def _if_not(problems: tuple[Problem, ...], header_grams: float | None, grams: float) -> tuple[Problem, ...]:
    return () if header_grams == grams else problems


def _in_jin(manner: Manner, kilos: float) -> Written:
    grams = manner.origin.jin_grams
    count = max(1, round(kilos * 1000 / grams))
    word = (
        manner.pick(("jin", "斤")) if manner.language == "en" else "斤" if manner.language != "de" else "jin"
    )
    space = " " if word == "jin" else ""
    return told(f"{count}{space}{word}", {"g": count * grams}, _JIN)


def _in_pounds(manner: Manner, kilos: float, problems: tuple[Problem, ...]) -> Written:
    if kilos < 1:
        ounces = manner.pick((4, 8, 16))
        return told(f"{ounces} oz", {"g": round(ounces * _OUNCE, 2)}, *problems)
    pounds = max(1, round(kilos * 1000 / _POUND))
    return told(f"{pounds} {manner.pick(('lb', 'lbs'))}", {"g": round(pounds * _POUND, 2)}, *problems)
