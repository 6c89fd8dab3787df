"""Seasons and flushes: how they are written, and when each origin picks. For asking, never for rejecting."""

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

from wetleaf.trade.origins import COUNTRIES, ORIGINS, Origin, origins_of
from wetleaf.trade.spelling import fold, is_eastern, mentions, without
from wetleaf.trade.tables import Ground, csv_rows, ground_of, toml_table

_TABLE, _WINDOWS = "seasons.toml", "season_windows.csv"
_LEAP = 2024
_DAYS_OF_YEAR = 366


@dataclass(frozen=True)
class Season:
    """A season, flush or picking; `same_as` is its word elsewhere, `within` the season it is part of."""

    key: str
    names: dict[str, str] = field(hash=False, repr=False)
    same_as: str | None
    within: str | None
    ground: Ground = field(repr=False)

    @property
    def name(self) -> str:
        """Return the English name."""
        return self.names["en"]


@dataclass(frozen=True)
class SeasonWindow:
    """When an origin usually picks, as (month, day); `origin` is a district's key or a country."""

    origin: str
    season: Season
    starts: tuple[int, int]
    ends: tuple[int, int]
    note: str
    ground: Ground = field(repr=False)

    def days_outside(self, day: dt.date) -> int:
        """Return how many days a date lies outside the window, 0 inside. Windows may run over the new year.

        >>> window = windows_of("lugu", "spring")[0]
        >>> window.days_outside(dt.date(2026, 4, 18)), window.days_outside(dt.date(2026, 6, 4))
        (0, 4)
        """
        first, last, at = (
            _day_of_year(*self.starts),
            _day_of_year(*self.ends),
            _day_of_year(day.month, day.day),
        )
        length = (last - first) % _DAYS_OF_YEAR
        after_start = (at - first) % _DAYS_OF_YEAR
        if after_start <= length:
            return 0
        return min(after_start - length, _DAYS_OF_YEAR - after_start)

    def __str__(self) -> str:
        return f"{self.season.name} {_said(self.starts)} to {_said(self.ends)}"


@dataclass(frozen=True)
class SolarTerm:
    """A solar term and the days on which it can fall; some teas are graded by whether they came before."""

    key: str
    name: str
    earliest: tuple[int, int]
    latest: tuple[int, int]
    ground: Ground = field(repr=False)


def _day_of_year(month: int, day: int) -> int:
    return dt.date(_LEAP, month, day).timetuple().tm_yday


def _said(month_day: tuple[int, int]) -> str:
    return f"{month_day[1]} {dt.date(_LEAP, *month_day):%b}"


def _month_day(cell: str) -> tuple[int, int]:
    month, day = cell.split("-")
    return int(month), int(day)


def _season(row: dict[str, Any]) -> Season:
    return Season(row["key"], row["names"], row.get("same_as"), row.get("within"), ground_of(row, _TABLE))


def _window(row: dict[str, str]) -> SeasonWindow:
    starts, ends = _month_day(row["starts"]), _month_day(row["ends"])
    ground = ground_of(row, _WINDOWS)
    return SeasonWindow(row["origin"], SEASONS[row["season"]], starts, ends, row["note"], ground)


def _solar_term(row: dict[str, Any]) -> SolarTerm:
    earliest, latest = _month_day(row["earliest"]), _month_day(row["latest"])
    return SolarTerm(row["key"], row["name"], earliest, latest, ground_of(row, _TABLE))


_DATA = toml_table(_TABLE)
SEASONS: dict[str, Season] = {row["key"]: _season(row) for row in _DATA["season"]}
SEASON_WINDOWS: tuple[SeasonWindow, ...] = tuple(_window(row) for row in csv_rows(_WINDOWS))
SOLAR_TERMS: dict[str, SolarTerm] = {row["key"]: _solar_term(row) for row in _DATA["solar_term"]}
_WORDS = sorted(
    ((fold(word), row["key"]) for row in _DATA["season"] for word in row["say"]),
    key=lambda pair: -len(pair[0]),
)
_COVER = sorted((fold(word) for word in _DATA["not_a_season"]["cover"]), key=lambda word: -len(word))


def find_season(text: str) -> Season | None:
    """Return the season a text names, or None if it names none or two that differ.

    >>> [find_season(text).key for text in ("Spring 2025", "1st flush", "新茶", "明前龍井", "Herbst")]
    ['spring', 'first_flush', 'first_picking', 'pre_qingming', 'autumn']
    >>> find_season("Four Seasons Spring"), find_season("spring or winter")
    (None, None)
    """
    rest = fold(text)
    for cover in _COVER:
        rest = without(rest, cover) if mentions(rest, cover) else rest
    found: dict[str, Season] = {}
    for word, key in _WORDS:
        if _stands_in(rest, word):
            rest = without(rest, word)
            found[key] = SEASONS[key]
    return _narrowest(tuple(found.values()))


def _stands_in(folded: str, word: str) -> bool:
    """A single sign such as 春 is part of many names: it counts only by itself or beside a year."""
    if is_eastern(word) and len(word) == 1:
        return any(part.strip("年 0123456789") == word for part in folded.split(" | "))
    return mentions(folded, word)


def _narrowest(found: tuple[Season, ...]) -> Season | None:
    """Return the one season left when wider words for the same picking are set aside."""
    wider = {key for season in found for key in (season.within,) if key}
    doubles = {season.same_as for season in found[:1] if season.same_as}
    left = [season for season in found if season.key not in wider | doubles]
    return left[0] if len(left) == 1 else None


def windows_of(origin: Origin | str, season: Season | str | None = None) -> tuple[SeasonWindow, ...]:
    """Return an origin's windows, all or those of a season (a flush also answers to its other name).

    A country without windows of its own answers with those of all its districts.

    >>> [str(window) for window in windows_of("darjeeling", "second_flush")]
    ['second flush 1 May to 30 Jun']
    >>> [str(window) for window in windows_of("shizuoka", "first_flush")]
    ['first picking 1 Apr to 31 May']
    """
    windows = _windows_at(origin.key if isinstance(origin, Origin) else origin)
    if season is None:
        return windows
    wanted = SEASONS[season] if isinstance(season, str) else season
    exact = tuple(window for window in windows if window.season.key == wanted.key)
    return exact or tuple(window for window in windows if _answers_to(window.season, wanted))


def _windows_at(place: str) -> tuple[SeasonWindow, ...]:
    own = tuple(window for window in SEASON_WINDOWS if window.origin == place)
    if own or place not in COUNTRIES:
        return own
    keys = {origin.key for origin in origins_of(place)}
    return tuple(window for window in SEASON_WINDOWS if window.origin in keys)


def _answers_to(season: Season, wanted: Season) -> bool:
    return wanted.key in (season.same_as, season.within) or season.key == wanted.same_as


def windows_on(day: dt.date, origin: Origin | str) -> tuple[SeasonWindow, ...]:
    """Return the windows of an origin in which a day lies, the longest last.

    >>> sorted(window.season.key for window in windows_on(dt.date(2026, 8, 15), "lugu"))
    ['autumn', 'summer']
    """
    open_then = [window for window in windows_of(origin) if window.days_outside(day) == 0]
    return tuple(
        sorted(open_then, key=lambda w: (_day_of_year(*w.ends) - _day_of_year(*w.starts)) % _DAYS_OF_YEAR)
    )


def season_of(day: dt.date, origin: Origin | str) -> Season | None:
    """Return the season in which an origin picks on a day; None where none, or more than one, fits.

    >>> season_of(dt.date(2026, 4, 18), "lugu").key, season_of(dt.date(2026, 3, 20), "darjeeling").key
    ('spring', 'first_flush')
    >>> season_of(dt.date(2026, 4, 18), "thyolo")
    """
    known = ORIGINS.get(origin) if isinstance(origin, str) else origin
    if known is not None and not known.uses_season_words:
        return None
    seasons = {window.season.key: window.season for window in windows_on(day, origin)}
    return next(iter(seasons.values())) if len(seasons) == 1 else None


def pick_day_limits(season: Season) -> tuple[tuple[int, int] | None, tuple[int, int] | None]:
    """Return the first and last day a grade named after a solar term can have been picked, as (month, day).

    >>> pick_day_limits(SEASONS["pre_qingming"]), pick_day_limits(SEASONS["after_guyu"])
    ((None, (4, 6)), ((4, 19), None))
    """
    limits = {
        "pre_qingming": (None, SOLAR_TERMS["qingming"].latest),
        "pre_guyu": (None, SOLAR_TERMS["guyu"].latest),
        "ujeon": (None, SOLAR_TERMS["guyu"].latest),
        "after_guyu": (SOLAR_TERMS["guyu"].earliest, None),
    }
    return limits.get(season.key, (None, None))
