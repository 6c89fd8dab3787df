"""Tea classes, the house's groups within a class, and a guess at the class of a lot that does not say it."""

import re
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from wetleaf.trade.cultivars import cultivars_named_in, find_cultivar
from wetleaf.trade.errors import BadInput
from wetleaf.trade.origins import Place, find_place
from wetleaf.trade.spelling import fold, mentions, squash, without
from wetleaf.trade.tables import Ground, ground_of, listed, toml_table

_TABLE = "classes.toml"


@dataclass(frozen=True)
class TeaClass:
    """A class of tea. `oxidation_percent` is what makers quote for it: only for asking."""

    key: str
    name: str
    kind: str
    names: dict[str, str] = field(repr=False, hash=False)
    oxidation_percent: tuple[int, int] | None
    ground: Ground = field(repr=False)


@dataclass(frozen=True)
class ClassGroup:
    """A group within a class: what a buyer would put into one flight."""

    key: str
    tea_class: str
    name: str
    ground: Ground = field(repr=False)


class Strength(StrEnum):
    """How much a guess stands on. Even a strong one is a guess."""

    WEAK = "weak"
    FAIR = "fair"
    STRONG = "strong"


@dataclass(frozen=True)
class ClassGuess:
    """A guess at the class: its key, the group's key or None, how strong, and why in words. Never certain."""

    value: str
    group: str | None
    strength: Strength
    why: str


@dataclass(frozen=True)
class _Words:
    tea_class: str
    group: str | None
    weight: int
    weight_at_end: int
    needs_origin: tuple[str, ...]
    weight_with_origin: int
    counts_at_end: bool
    word: str


@dataclass(frozen=True)
class _Hint:
    tea_class: str
    group: str | None
    weight: int
    why: str


def _class(row: dict[str, Any]) -> TeaClass:
    ox = row.get("oxidation")
    return TeaClass(
        row["key"], row["name"], row["kind"], row["names"], tuple(ox) if ox else None, ground_of(row, _TABLE)
    )


def _group(row: dict[str, Any]) -> ClassGroup:
    return ClassGroup(row["key"], row["class"], row["name"], ground_of(row, _TABLE))


def _words(row: dict[str, Any]) -> list[_Words]:
    ground_of(row, _TABLE)
    weight = row["weight"]
    rest = (weight, row.get("weight_at_end", weight), tuple(row.get("needs_origin", ())))
    origin = (row.get("needs_origin_weight", weight), row.get("counts_at_end", False))
    return [_Words(row["class"], row.get("group"), *rest, *origin, fold(word)) for word in row["say"]]


_DATA = toml_table(_TABLE)
CLASSES: dict[str, TeaClass] = {row["key"]: _class(row) for row in _DATA["class"]}
GROUPS: dict[str, ClassGroup] = {row["key"]: _group(row) for row in _DATA["group"]}
_WORDS = sorted((word for row in _DATA["words"] for word in _words(row)), key=lambda word: -len(word.word))
_COVER = sorted((fold(word) for word in _DATA["not_a_class"]["cover"]), key=lambda word: -len(word))
_NOT_TEA = tuple(fold(word) for word in _DATA["not_a_class"]["not_tea"])
_NAMES = {
    squash(name): row.key for row in CLASSES.values() for name in (row.key, row.name, *row.names.values())
}
_PARTS = re.compile(r"[,;()（）/、，]")
_FORMS = ("compressed", "powdered")
_MOST_FROM_FREE_TEXT = 2
_FAIR, _STRONG = 3, 5


def tea_class(key: str) -> TeaClass:
    """Return the class of a key. Raises BadInput for a key that is not in the list.

    >>> tea_class("oolong").names["zh_hant"]
    '烏龍茶'
    """
    if key not in CLASSES:
        raise BadInput(f"{key!r} is not a class of tea.", way_out=f"Use one of: {', '.join(CLASSES)}.")
    return CLASSES[key]


def find_class(text: str) -> TeaClass | None:
    """Return the class that a cell headed "class" or "type" names, or None.

    >>> find_class("Schwarztee").key, find_class("紅茶").key, find_class("red")
    ('black', 'black', None)
    """
    keys = [_NAMES[squash(part)] for part in (text, *_PARTS.split(text)) if squash(part) in _NAMES]
    if keys:
        return CLASSES[keys[0]]
    stated = [hint for hint in _hints_of_words(text, find_place(""), _STRONG) if hint.weight >= _STRONG - 1]
    best = max(stated, key=lambda hint: hint.weight, default=None)
    return CLASSES[best.tea_class] if best else None


def guess_class(
    name: str = "", cultivar: str = "", origin: str = "", oxidation: str = "", roast: str = "", text: str = ""
) -> ClassGuess | None:
    """Return a guess at a lot's class from what is written about it, or None if nothing speaks for one.

    >>> guess = guess_class("Low Pond red", cultivar="TTES #18", origin="Yuchi, Taiwan")
    >>> guess.value, str(guess.strength)
    ('black', 'strong')
    >>> guess_class("Low Pond red").strength
    <Strength.WEAK: 'weak'>
    """
    if any(mentions(fold(name), word) for word in _NOT_TEA):
        return None
    place = find_place(f"{origin}, {name}" if origin else name)
    hints = [
        *_hints_of_words(name, place, _STRONG + 1),
        *_hints_of_words(text, place, _MOST_FROM_FREE_TEXT),
        *_hints_of_cultivar(cultivar, name),
        *_hints_of_origin(place),
        *_hints_of_oxidation(oxidation),
    ]
    return _weigh(_without_forms(hints), place, roast)


def _without_forms(hints: list[_Hint]) -> list[_Hint]:
    """A cake or a powder has the class of its leaf; scenting makes a tea of its own, whatever the leaf."""
    scented = [hint for hint in hints if hint.tea_class == "scented"]
    return scented or [hint for hint in hints if hint.tea_class not in _FORMS] or hints


def _weigh(hints: list[_Hint], place: Place, roast: str) -> ClassGuess | None:
    sums: dict[str, int] = {}
    for hint in hints:
        sums[hint.tea_class] = sums.get(hint.tea_class, 0) + hint.weight
    ranked = sorted(sums, key=lambda key: -sums[key])
    if not ranked or (len(ranked) > 1 and sums[ranked[0]] == sums[ranked[1]]):
        return None
    best, lead = ranked[0], sums[ranked[0]] - (sums[ranked[1]] if len(ranked) > 1 else 0)
    for_it = [hint.why for hint in hints if hint.tea_class == best]
    against = [hint.why for hint in hints if hint.tea_class != best]
    why = "; ".join(dict.fromkeys(for_it)) + (
        f"; against it: {'; '.join(dict.fromkeys(against))}" if against else ""
    )
    return ClassGuess(best, _group_of(best, hints, place, roast), _strength(lead), why)


def _strength(lead: int) -> Strength:
    if lead >= _STRONG:
        return Strength.STRONG
    return Strength.FAIR if lead >= _FAIR else Strength.WEAK


def _hints_of_words(text: str, place: Place, most: int) -> list[_Hint]:
    rest = fold(text)
    ends = tuple(fold(part) for part in _PARTS.split(text))
    for cover in _COVER:
        rest = without(rest, cover)
    hints = []
    for words in _WORDS:
        if mentions(rest, words.word):
            rest = without(rest, words.word)
            weight = min(most, _weight(words, place, ends))
            hints.append(_Hint(words.tea_class, words.group, weight, f"'{words.word}' is written"))
    return [hint for hint in hints if hint.weight]


def _weight(words: _Words, place: Place, ends: tuple[str, ...]) -> int:
    """Weigh a word: colours count at the end of a part of the name, some words only in certain countries."""
    at_end = any(f" {end}".endswith(f" {words.word}") for end in ends)
    if words.needs_origin and place.country and place.country not in words.needs_origin:
        return 0
    if place.country in words.needs_origin and (at_end or not words.counts_at_end):
        return words.weight_with_origin
    return words.weight_at_end if at_end else words.weight


def _hints_of_cultivar(text: str, name: str) -> list[_Hint]:
    named = [reading.cultivar for reading in cultivars_named_in(name) if reading.sure]
    cultivar = find_cultivar(text) if text else next(iter(named), None)
    if cultivar is None or len(cultivar.classes) != 1:
        return []
    return [_Hint(cultivar.classes[0], None, 2, f"{cultivar.name} is grown for {cultivar.typical_teas}")]


def _hints_of_origin(place: Place) -> list[_Hint]:
    if place.origin is None:
        return []
    made = classes_in(place.origin.main_types.split("some ")[0])
    if len(made) != 1:
        return []
    return [_Hint(made[0], None, 1, f"{place.origin.name} makes mostly {place.origin.main_types}")]


def classes_in(types: str) -> tuple[str, ...]:
    """Return the classes that a free list of teas speaks of.

    >>> classes_in("black; some green/oolong/white")
    ('black', 'green', 'oolong', 'white')
    """
    nowhere = find_place("")
    found: list[str] = []
    for part in listed(types.replace("/", ";")):
        hints = _hints_of_words(part, nowhere, _STRONG)
        found += [max(hints, key=lambda hint: hint.weight).tea_class] if hints else []
    return tuple(dict.fromkeys(found))


def _hints_of_oxidation(text: str) -> list[_Hint]:
    if re.search(r"\b(?:full|fully|voll|complet)\b|全發酵|全发酵", text, re.IGNORECASE):
        return [_Hint("black", None, 2, "oxidation is said to be full")]
    numbers = [float(number.replace(",", ".")) for number in re.findall(r"\d+(?:[.,]\d+)?", text)]
    if not numbers:
        return []
    percent = sum(numbers) / len(numbers)
    for key in ("black", "oolong", "green"):
        low, high = CLASSES[key].oxidation_percent or (0, 0)
        if low <= percent <= high:
            return [_Hint(key, None, 1, f"oxidation is said to be {text.strip()}")]
    return []


def _group_of(key: str, hints: list[_Hint], place: Place, roast: str) -> str | None:
    said = [hint for hint in hints if hint.tea_class == key and hint.group]
    best = max(said, key=lambda hint: hint.weight, default=None)
    return _after_roast(best.group if best else _usual_group(key, place), roast)


def _usual_group(key: str, place: Place) -> str | None:
    where = (place.origin.key if place.origin else "", place.country or "")
    rows = [row for row in _DATA["usual_group"] if row["class"] == key]
    return next((row["group"] for here in where for row in rows if here and here in row["origins"]), None)


def _after_roast(group: str | None, roast: str) -> str | None:
    said = fold(roast)
    roasted = re.search(r"\b(?:med|medium|heavy|high|strong|charcoal|mittel|stark|fort)\b|中|重|炭", said)
    if group == "oolong_ball_light" and roasted:
        return "oolong_ball_roasted"
    if group == "oolong_ball_roasted" and re.search(r"\b(?:none|no|unroasted|green)\b|无|清香", said):
        return "oolong_ball_light"
    return group
