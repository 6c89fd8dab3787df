"""How people write an elevation, and what it says in metres."""

from collections.abc import Callable
from typing import Any

from tests.books.manner import Manner, as_text, missing, told
from tests.books.regions import District
from tests.books.truth import Problem, Written

FEET_PER_METRE = 3.28084
_FEET = Problem("unit_differs_from_header", "info", "feet in a metres column")
_METRES = Problem("unit_differs_from_header", "info", "metres in a feet column")
_NOT_THERE = Problem("implausible_elevation", "error", "no tea grows there")


def height_header(manner: Manner, word: str) -> tuple[str, str]:
    """Return the header with its unit, and the unit: m, ft, or none where every cell carries its own."""
    unit = manner.pick(("m", "m", "m", "ft", "")) if manner.language == "en" else manner.pick(("m", "m", ""))
    if not unit:
        return word, ""
    shape = manner.pick(("{} ({})", "{} {}", "{}, {}", "{} [{}]"))
    return shape.format(
        word, manner.pick(("m", "masl")) if unit == "m" and manner.language == "en" else unit
    ), unit


def write_height(manner: Manner, district: District, unit: str) -> Written:
    """Write an elevation inside the district's own heights, in a column of this unit."""
    if manner.roll(0.05):
        return missing(manner)
    if unit and manner.roll(manner.wrong):
        wrong = manner.pick((14000, 12500, 9900, 8200, -650) if unit == "m" else (56000, 49000, 38500))
        return told(manner.number(wrong), None, _NOT_THERE)
    metres = manner.rng.randrange(district.low_m, district.high_m, 10)
    if unit and not manner.roll(manner.messy):
        written = metres if unit == "m" else _feet(metres)
        return told(manner.number(written), _height(written, unit))
    return manner.pick(_ways(manner, unit))(manner, metres, unit)


def _ways(manner: Manner, unit: str) -> list[Callable[[Manner, int, str], Written]]:
    ways = [_with_unit, _with_unit, _about, _span]
    if manner.language == "en":
        ways += [_above_sea, _other_unit]
    if unit:
        ways.append(_thousands if not manner.decimal_comma else _with_unit)
    return ways


def _feet(metres: int) -> int:
    return round(metres * FEET_PER_METRE / 50) * 50


def _height(value: int, unit: str, **more: Any) -> dict[str, Any]:
    metres = value if unit == "m" else round(value / FEET_PER_METRE)
    return {"m": metres, "unit_written": unit, "value_written": value, **more}


def _with_unit(manner: Manner, metres: int, unit: str) -> Written:
    space = manner.pick(("", " "))
    if unit == "ft":
        feet = _feet(metres)
        return told(f"{feet:,}{space}ft" if manner.roll(0.5) else f"{feet}{space}ft", _height(feet, "ft"))
    return told(f"{metres}{space}m", _height(metres, "m"))


def _about(manner: Manner, metres: int, unit: str) -> Written:
    mark = manner.pick(
        {"de": ("ca. ",), "fr": ("env. ",)}.get(manner.language, ("c. ", "~", "ca. ", "about "))
    )
    written = f"{mark}{metres}m" if unit != "ft" else f"{mark}{_feet(metres)} ft"
    read = (
        _height(metres, "m", approximate=True)
        if unit != "ft"
        else _height(_feet(metres), "ft", approximate=True)
    )
    return told(written, read)


def _span(manner: Manner, metres: int, unit: str) -> Written:
    high, dash = metres + 150, manner.pick(("-", "–", " - ", "~" if manner.language in ("zh", "ja") else "-"))
    if unit == "ft":
        low_ft, high_ft = _feet(metres), _feet(high)
        read = {"m": None, "m_min": round(low_ft / FEET_PER_METRE), "m_max": round(high_ft / FEET_PER_METRE)}
        return told(f"{low_ft}{dash}{high_ft} ft", read)
    return told(f"{metres}{dash}{high}m", {"m": None, "m_min": metres, "m_max": high, "unit_written": "m"})


def _above_sea(manner: Manner, metres: int, unit: str) -> Written:
    problems = (_METRES,) if unit == "ft" else ()
    return told(f"{metres} {manner.pick(('masl', 'm asl', 'm.a.s.l.'))}", _height(metres, "m"), *problems)


def _other_unit(manner: Manner, metres: int, unit: str) -> Written:
    if unit == "ft":
        return told(f"{metres} m", _height(metres, "m"), _METRES)
    feet = _feet(metres)
    return told(manner.pick((f"{feet:,} ft", f"{feet}ft", f"{feet} feet")), _height(feet, "ft"), _FEET)


def _thousands(manner: Manner, metres: int, unit: str) -> Written:
    value = max(metres, 1050) if unit == "m" and metres > 950 else metres
    value = value if unit == "m" else _feet(metres)
    return told(f"{value:,}", _height(value, unit), *as_text(manner))
