"""What a column's head may mean: each field's likeness for a header text, with the reason, by kind
of table.
"""

import re
import tomllib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from rapidfuzz import fuzz

from wetleaf.trade.numbers import fold_width

EXACT, WITHOUT_UNIT, INSIDE, NEARLY = 1.0, 0.97, 0.8, 0.72
_BRACKETED = re.compile(r"[(\[{（【][^)\]}）】]*[)\]}）】]")
_UNIT_TAIL = re.compile(
    r"(?:\s|/|,|:|-|\b)(?:in\s)?(?:kgs?|g|gr|grams?|gramm|m|ft|feet|masl|metres?|meters?|lbs?|oz|jin|%|percent|pct|°c|"
    r"nt\$|ntd|twd|us\$|usd|\$|£|gbp|€|eur|¥|jpy|cny|rmb|chf|元|円|斤|公斤|per|pro|je|/|\.|\d+\s?g|\d+\s?-\s?\d+)$",
    re.IGNORECASE,
)
_SPLIT = re.compile(r"\s*[/|\n·]\s*|\s+-\s+|\s+–\s+")


@dataclass(frozen=True)
class Likeness:
    """How like a header is to a field (0 to 1), and by which known way of writing it."""

    field: str
    score: float
    by: str


@lru_cache(maxsize=200_000)
def fold(text: str) -> str:
    """Fold case, accents, width and punctuation away, keeping `#`, `%` and East Asian signs.

    >>> fold("  Höhe, m "), fold("Échantillon n°"), fold("茶名")
    ('hohe m', 'echantillon n', '茶名')
    """
    plain = unicodedata.normalize("NFD", fold_width(text).casefold())
    plain = "".join(sign for sign in plain if not 0x0300 <= ord(sign) <= 0x036F)
    plain = unicodedata.normalize("NFC", plain)
    return re.sub(r"[^\w#%+]+|_", " ", plain).strip()


@cache
def known_ways() -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """Give the table of `headers.toml`, folded: table kind, field, ways of writing."""
    text = files("wetleaf.lots.workbooks").joinpath("headers.toml").read_text(encoding="utf-8")
    return {
        role: {field: tuple(dict.fromkeys(fold(way) for way in ways)) for field, ways in fields.items()}
        for role, fields in tomllib.loads(text).items()
    }


@cache
def all_ways() -> frozenset[str]:
    """Give every known way of heading a column, for telling whether a decoded text makes sense."""
    return frozenset(
        way for fields in known_ways().values() for ways in fields.values() for way in ways if len(way) > 1
    )


def header_forms(text: str) -> tuple[tuple[str, float], ...]:
    """Give the ways to read a header: as it is, without its unit, and each half of one in two languages.

    >>> [form for form, _ in header_forms("Elev. (m)")]
    ['elev m', 'elev']
    """
    forms: dict[str, float] = {fold(text): EXACT}
    bare = _BRACKETED.sub(" ", text).strip()
    forms.setdefault(fold(bare), WITHOUT_UNIT)
    stripped = _strip_units(bare)
    forms.setdefault(fold(stripped), WITHOUT_UNIT)
    for inside in re.findall(r"[(\[（]([^)\]）]{2,})[)\]）]", text):
        forms.setdefault(fold(inside), 0.9)
    for part in _SPLIT.split(bare):
        forms.setdefault(fold(_strip_units(part)), 0.95)
    latin, eastern = (
        fold(re.sub(r"[\u3040-\u30ff\u3400-\u9fff]+", " ", bare)),
        fold(re.sub(r"[^\u3040-\u30ff\u3400-\u9fff]+", "", bare)),
    )
    if latin and eastern:
        forms.setdefault(latin, 0.95)
        forms.setdefault(eastern, 0.95)
    return tuple((form, weight) for form, weight in forms.items() if form)


def _strip_units(text: str) -> str:
    before = None
    while before != text:
        before = text
        text = _UNIT_TAIL.sub("", text.strip()).strip(" /,:-.")
    return text


@cache
def likenesses(role: str, header: str) -> tuple[Likeness, ...]:
    """Give the fields of one kind of table that a header is like, best first.

    >>> likenesses("lots", "Höhe m")[0].field, likenesses("lots", "Cost NT$/jin")[0].field
    ('elev', 'price')
    """
    found: list[Likeness] = []
    forms = header_forms(header)
    for field, ways in known_ways()[role].items():
        best = max(
            (_likeness(form, weight, way) for form, weight in forms for way in ways), default=(0.0, "")
        )
        if best[0] >= 0.5:
            found.append(Likeness(field, best[0], best[1]))
    return tuple(sorted(found, key=lambda like: -like.score))


# Words that head a column alone, but say nothing as a part of a longer head.
_ONLY_WHOLE = frozenset(["what", "from", "for", "by", "when", "which", "the", "in", "out", "on", "who"])
_SHORT_WAYS = frozenset({"no", "nr", "cv", "ox", "id", "a", "b"})


def _is_head_word(form: str, way: str) -> bool:
    """The word that a head is about: the last one of `tea bush`, the first of `name of tea`."""
    linked = re.search(r"\b(?:of|in|from|by|for|de|du|des|von|der|am|le)\b", form)
    return form.startswith(f"{way} ") if linked else form.endswith(f" {way}")


def _likeness(form: str, weight: float, way: str) -> tuple[float, str]:
    if form == way:
        return weight, way
    if way in _ONLY_WHOLE or form in _ONLY_WHOLE:
        return 0.0, ""
    if not way.isascii() and any("\u3040" <= sign <= "\u9fff" for sign in way):
        return (
            (INSIDE * weight * (0.75 + 0.25 * len(way) / len(form)), way)
            if len(way) > 1 and way in form
            else (0, "")
        )
    if (len(way) >= 3 or way in _SHORT_WAYS) and f" {way} " in f" {form} ":
        share = len(way) / len(form)
        return weight * (INSIDE * (0.7 + 0.3 * share) + (0.07 if _is_head_word(form, way) else 0.0)), way
    if 3 <= len(form) < len(way) and way.startswith(form) and " " not in way and len(way) >= 5:
        return weight * (0.66 + 0.02 * min(len(form), 6)), way  # Oxi, Repl., Ferment.
    if len(way) >= 5 and len(form) >= 4 and abs(len(way) - len(form)) <= 2:
        ratio = fuzz.ratio(form, way) / 100
        if ratio >= 0.84:
            return weight * NEARLY * ratio / 0.9, way
    return 0.0, ""
