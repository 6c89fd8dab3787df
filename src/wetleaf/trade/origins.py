"""Origins: tea districts with their elevations, and the areas and countries around them, by any name."""

import re
from dataclasses import dataclass, field
from functools import lru_cache

from wetleaf.trade.spelling import fold, is_eastern, mentions, squash, without
from wetleaf.trade.tables import Ground, csv_rows, ground_of, listed

_TABLE, _NAMES = "origins.csv", "origin_names.csv"


@dataclass(frozen=True)
class Origin:
    """One tea district. Its elevations are for asking a question, never for rejecting a lot.

    `uses_season_words` is False near and south of the equator, where "spring" says nothing: keep months.
    """

    key: str
    country: str
    name: str
    elevation_m_min: int
    elevation_m_max: int
    uses_season_words: bool
    main_types: str = field(repr=False)
    main_cultivars: tuple[str, ...] = field(repr=False)
    note: str = field(repr=False)
    ground: Ground = field(repr=False)
    mark_note: str = field(repr=False)


@dataclass(frozen=True)
class OriginName:
    """One way of writing a district, an area that holds several (`stands_for` lists them), or a country."""

    name: str
    kind: str
    stands_for: tuple[str, ...]
    ground: Ground


@dataclass(frozen=True)
class Place:
    """What a text says of a place: the district if one is meant, else the candidates."""

    text: str
    origin: Origin | None
    country: str | None
    candidates: tuple[Origin, ...]


def _origin(row: dict[str, str]) -> Origin:
    return Origin(
        key=row["key"],
        country=row["country"],
        name=row["name"],
        elevation_m_min=int(row["elev_min_m"]),
        elevation_m_max=int(row["elev_max_m"]),
        uses_season_words=row["season_words"] == "yes",
        main_types=row["main_types"],
        main_cultivars=listed(row["main_cultivars"]),
        note=row["note"],
        ground=ground_of(row, _TABLE),
        mark_note=row["mark_note"],
    )


def _name(row: dict[str, str]) -> OriginName:
    return OriginName(row["name"], row["kind"], listed(row["stands_for"]), ground_of(row, _NAMES))


ORIGINS: dict[str, Origin] = {row["key"]: _origin(row) for row in csv_rows(_TABLE)}
ORIGIN_NAMES: tuple[OriginName, ...] = tuple(_name(row) for row in csv_rows(_NAMES))
COUNTRIES: tuple[str, ...] = tuple(dict.fromkeys(origin.country for origin in ORIGINS.values()))
_FOLDED = {name.name: fold(name.name) for name in ORIGIN_NAMES}
_LONGEST_FIRST = sorted(ORIGIN_NAMES, key=lambda name: -len(squash(name.name)))
_PARTS = re.compile(r"[,;/()（）、，]|\s[-–]\s")
# Short Latin names ("Ei", "DJ") mean a district only when they stand alone.
_SHORTEST_LATIN_NAME_IN_TEXT = 4


def find_origin(text: str) -> Origin | None:
    """Return the one district a text means, by key, name or any spelling, or None.

    >>> find_origin("Lugu, Nantou").name, find_origin("鹿谷").key, find_origin("Nantou")
    ('Dong Ding / Lugu (Nantou)', 'lugu', None)
    """
    return find_place(text).origin


@lru_cache(maxsize=4096)
def find_place(text: str) -> Place:
    """Return what a text says of a place; areas such as Nantou give their districts as candidates.

    >>> place = find_place("Nantou")
    >>> place.country, [origin.key for origin in place.candidates]
    ('Taiwan', ['lugu', 'shanlinxi', 'mingjian', 'sun_moon_lake'])
    """
    if text in ORIGINS:
        return Place(text, ORIGINS[text], ORIGINS[text].country, (ORIGINS[text],))
    names = _names_in(text)
    districts = _origins_of(names, "district")
    candidates = districts or _origins_of(names, "area")
    countries = _countries(names, candidates)
    within = tuple(origin for origin in candidates if origin.country in countries)
    origin = within[0] if districts and len(within) == 1 else None
    return Place(text, origin, countries[0] if len(countries) == 1 else None, within)


def is_only_a_place(text: str) -> bool:
    """Tell whether a text is a place and nothing else.

    >>> is_only_a_place("Lugu, Nantou"), is_only_a_place("Crane Step Dong Ding")
    (True, False)
    """
    rest = fold(text)
    names = _names_in(text)
    for name in names:
        rest = without(rest, _FOLDED[name.name])
    return bool(names) and not rest.replace("|", "").strip()


def origins_of(country: str) -> tuple[Origin, ...]:
    """Return the districts of a country that the table holds.

    >>> len(origins_of("Japan"))
    4
    """
    return tuple(origin for origin in ORIGINS.values() if origin.country == country)


def _origins_of(names: tuple[OriginName, ...], kind: str) -> tuple[Origin, ...]:
    keys = (key for name in names if name.kind == kind for key in name.stands_for)
    return tuple(ORIGINS[key] for key in dict.fromkeys(keys))


def _countries(names: tuple[OriginName, ...], candidates: tuple[Origin, ...]) -> list[str]:
    said = list(dict.fromkeys(name.stands_for[0] for name in names if name.kind == "country"))
    meant = list(dict.fromkeys(origin.country for origin in candidates))
    return [country for country in said if country in meant or not meant] or meant or said


def _names_in(text: str) -> tuple[OriginName, ...]:
    parts = {squash(part) for part in (text, *_PARTS.split(text))}
    rest = fold(text)
    found = []
    for name in _LONGEST_FIRST:
        words = _FOLDED[name.name]
        if words.replace(" ", "") in parts or (_may_stand_in_text(words) and mentions(rest, words)):
            rest = without(rest, words)
            found.append(name)
    return tuple(found)


def _may_stand_in_text(folded: str) -> bool:
    return (is_eastern(folded) and len(folded) > 1) or len(folded) >= _SHORTEST_LATIN_NAME_IN_TEXT
