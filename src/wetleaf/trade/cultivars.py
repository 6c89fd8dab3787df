"""Cultivars: found by any name, number or script, with the source and mark of each row kept.

A name only proves a cultivar where it names no style, place or thing as well: `read_cultivar` says which.
"""

import difflib
import re
from dataclasses import dataclass, field
from functools import lru_cache

from wetleaf.trade.spelling import fold, is_eastern, mentions, squash, without
from wetleaf.trade.tables import Ground, csv_rows, ground_of, listed

_TABLE, _NAMES = "cultivars.csv", "cultivar_names.csv"


@dataclass(frozen=True)
class Cultivar:
    """One cultivar. `released_year` is None where the year is not known to the year."""

    key: str
    name: str
    number: int | None
    released_year: int | None
    released_text: str
    variety: str
    home: str
    grown_in: tuple[str, ...] = field(repr=False)
    classes: tuple[str, ...] = field(repr=False)
    typical_teas: str = field(repr=False)
    parents: str = field(repr=False)
    elevation_m_max: int | None = field(repr=False)
    elevation_source: str = field(repr=False)
    ground: Ground = field(repr=False)
    mark_note: str = field(repr=False)


@dataclass(frozen=True)
class CultivarName:
    """One way of writing a cultivar. `is_also_a_style`: it stands for a style, place or thing as well."""

    name: str
    key: str
    is_also_a_style: bool
    ground: Ground


@dataclass(frozen=True)
class CultivarReading:
    """A cultivar read from a text, if the words leave no doubt, why, and if it was written as a guess."""

    cultivar: Cultivar
    sure: bool
    why: str
    is_guess: bool = False


@dataclass(frozen=True)
class CultivarSuggestion:
    """A cultivar that a misspelt text may mean; `likeness` runs from 0 to 1. Never taken without asking."""

    cultivar: Cultivar
    name: str
    likeness: float


def _cultivar(row: dict[str, str]) -> Cultivar:
    return Cultivar(
        key=row["key"],
        name=row["name"],
        number=int(row["number"]) if row["number"] else None,
        released_year=int(row["released_year"]) if row["released_year"] else None,
        released_text=row["released_text"],
        variety=row["variety"],
        home=row["home"],
        grown_in=listed(row["grown_in"]),
        classes=listed(row["classes"]),
        typical_teas=row["typical_teas"],
        parents=row["parents"],
        elevation_m_max=int(row["elev_max_m"]) if row["elev_max_m"] else None,
        elevation_source=row["elev_source"],
        ground=ground_of(row, _TABLE),
        mark_note=row["mark_note"],
    )


def _name(row: dict[str, str]) -> CultivarName:
    return CultivarName(row["name"], row["stands_for"], row["kind"] == "style", ground_of(row, _NAMES))


CULTIVARS: dict[str, Cultivar] = {row["key"]: _cultivar(row) for row in csv_rows(_TABLE)}
CULTIVAR_NAMES: tuple[CultivarName, ...] = tuple(_name(row) for row in csv_rows(_NAMES))
_BY_SQUASHED = {squash(name.name): name for name in CULTIVAR_NAMES}
_BY_NUMBER = {cultivar.number: cultivar for cultivar in CULTIVARS.values() if cultivar.number}
_FOLDED = {name.name: fold(name.name) for name in CULTIVAR_NAMES}
_LONGEST_FIRST = sorted(CULTIVAR_NAMES, key=lambda name: -len(squash(name.name)))
_PARTS = re.compile(r"[,;/+&()（）、]|\s[-–]\s|\band\b|\bund\b|\bet\b")
_DOUBTED = re.compile(r"\?|？|\b(?:maybe|perhaps|probably|vielleicht|peut-être)\b", re.IGNORECASE)
_SEED_WORDS = r"(?:no|nr|number|num|hao)?"
# "TTES #12", "TRES 12", "TBRS No. 12", "台茶12號": the institute changed its name, the numbering went on.
_INSTITUTE_NUMBER = re.compile(rf"^(?:ttes|tres|tbrs|taicha|台茶){_SEED_WORDS}(\d{{1,2}})(?:号|hao)?$")
_BARE_NUMBER = re.compile(r"^(?:no|nr|number|t)(\d{1,2})$")
_SHORTEST_LATIN_NAME_IN_TEXT = 4


def find_cultivar(text: str) -> Cultivar | None:
    """Return the one cultivar a text names, or None if it names none or several.

    >>> [find_cultivar(text).key for text in ("TTES #12", "No. 12", "台茶12號", "Jin-Xuan", "金萱")]
    ['ttes_12', 'ttes_12', 'ttes_12', 'ttes_12', 'ttes_12']
    >>> find_cultivar("Tai Nong No. 8").key, find_cultivar("TTES No. 8").key
    ('tai_nong_8', 'ttes_8')
    """
    reading = read_cultivar(text)
    return reading.cultivar if reading else None


def read_cultivar(text: str) -> CultivarReading | None:
    """Return the one cultivar a text names and whether the words leave a doubt, or None.

    >>> read_cultivar("TTES #12?").sure, read_cultivar("No. 12").sure, read_cultivar("Qingxin").sure
    (False, False, True)
    """
    reading = _read_whole(text) or _read_parts(text)
    if reading and _DOUBTED.search(text):
        return CultivarReading(reading.cultivar, False, f"'{text.strip()}' is a guess", is_guess=True)
    return reading


@lru_cache(maxsize=4096)
def find_cultivars(text: str) -> tuple[Cultivar, ...]:
    """Return every cultivar that a list such as "Jin Xuan / Cui Yu" names, in its order.

    >>> [cultivar.name for cultivar in find_cultivars("Jin Xuan / Cui Yu")]
    ['Jin Xuan', 'Cui Yu']
    """
    whole = _read_whole(text)
    if whole:
        return (whole.cultivar,)
    readings = (_read_whole(part) for part in _PARTS.split(text))
    return tuple(dict.fromkeys(reading.cultivar for reading in readings if reading))


def cultivars_named_in(text: str) -> tuple[CultivarReading, ...]:
    """Return the cultivars that stand somewhere in a longer text, longest names first.

    >>> [reading.cultivar.name for reading in cultivars_named_in("Morning Ridge Jin Xuan, spring")]
    ['Jin Xuan']
    """
    rest = fold(text)
    found: dict[str, CultivarReading] = {}
    for name in _LONGEST_FIRST:
        words = _FOLDED[name.name]
        if _may_stand_in_text(words) and mentions(rest, words):
            rest = without(rest, words)
            found.setdefault(name.key, _reading(name))
    return tuple(found.values())


def suggest_cultivars(
    text: str, most: int = 3, least_likeness: float = 0.8
) -> tuple[CultivarSuggestion, ...]:
    """Return the cultivars a misspelt name may mean, likest first. Numbers are never guessed.

    >>> [suggestion.cultivar.name for suggestion in suggest_cultivars("Jin Xaun")]
    ['Jin Xuan']
    >>> suggest_cultivars("TTES 31")
    ()
    """
    wanted = squash(text)
    if len(wanted) < _SHORTEST_LATIN_NAME_IN_TEXT or re.search(r"\d", wanted):
        return ()
    close = difflib.get_close_matches(wanted, _BY_SQUASHED, n=most * 3, cutoff=least_likeness)
    best: dict[str, CultivarSuggestion] = {}
    for key in close:
        name = _BY_SQUASHED[key]
        likeness = difflib.SequenceMatcher(None, wanted, key).ratio()
        best.setdefault(name.key, CultivarSuggestion(CULTIVARS[name.key], name.name, likeness))
    return tuple(best.values())[:most]


def _read_whole(text: str) -> CultivarReading | None:
    key = squash(text)
    name = _BY_SQUASHED.get(key)
    if name:
        return _reading(name)
    return _read_number(key, text)


def _reading(name: CultivarName) -> CultivarReading:
    why = f"'{name.name}' is a name of it"
    if name.is_also_a_style:
        why = f"'{name.name}' is a name of it, but also of a style, a place or another thing"
    return CultivarReading(CULTIVARS[name.key], not name.is_also_a_style, why)


def _read_number(key: str, text: str) -> CultivarReading | None:
    institute, bare = _INSTITUTE_NUMBER.match(key), _BARE_NUMBER.match(key)
    found = institute or bare or re.match(r"^(\d{1,2})$", key if "#" in text else "")
    if not found or int(found.group(1)) not in _BY_NUMBER:
        return None
    why = (
        "the institute's number"
        if institute
        else "a number alone: the Taiwan institute's is the usual reading"
    )
    return CultivarReading(_BY_NUMBER[int(found.group(1))], bool(institute), why)


def _read_parts(text: str) -> CultivarReading | None:
    readings = [reading for part in _PARTS.split(text) if (reading := _read_whole(part))]
    readings = readings or list(_two_scripts(text))
    if len({reading.cultivar.key for reading in readings}) != 1:
        return None
    return next((reading for reading in readings if reading.sure), readings[0])


def _two_scripts(text: str) -> tuple[CultivarReading, ...]:
    """Read "Jin Xuan 金萱" or "TTES 12 Jin Xuan": the same thing said twice, without a sign between."""
    words = text.split()
    cuts = ((" ".join(words[:cut]), " ".join(words[cut:])) for cut in range(1, len(words)))
    pairs = ((_read_whole(left), _read_whole(right)) for left, right in cuts)
    return next(((left, right) for left, right in pairs if left and right), ())


def _may_stand_in_text(folded: str) -> bool:
    if is_eastern(folded):
        return len(folded) > 1
    return len(folded) >= _SHORTEST_LATIN_NAME_IN_TEXT and not folded.replace(" ", "").isdigit()
