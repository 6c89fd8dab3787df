"""The invented scenario as records, read from `scenario.toml`."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any


@dataclass(frozen=True)
class Palate:
    """How an invented taster answers: level, how much of the scale is used, how steadily.

    `follows` is 1 for who tastes the tea and 0 for who answers without it.
    """

    name: str
    level: float
    stretch: float
    noise: float
    follows: float
    buyer: bool = False


@dataclass(frozen=True)
class Tasting:
    """A flight of the scenario: who tasted, how many pots each lot had, and each lot's true intensities."""

    sheet: str
    held: str
    how: str
    tasters: tuple[str, ...]
    brews: int
    means: Mapping[str, tuple[float, ...]]


@dataclass(frozen=True)
class Year:
    """One season of the scenario; lots and the rest stay as the tables that a merchant would type."""

    season: str
    title: str
    lots: tuple[Mapping[str, Any], ...]
    flights: tuple[Tasting, ...]
    notes: tuple[Mapping[str, str], ...]
    repeated: tuple[Mapping[str, Any], ...]
    triangles: tuple[Mapping[str, Any], ...]
    preferred: tuple[Mapping[str, Any], ...]
    rested: tuple[Mapping[str, Any], ...]


@dataclass(frozen=True)
class Scenario:
    """Both years, the people and the lines of the shop."""

    merchant: str
    attributes: tuple[str, ...]
    stages: tuple[str, ...]
    palates: Mapping[str, Palate]
    lines: tuple[Mapping[str, Any], ...]
    years: tuple[Year, ...]


def _tasting(told: Mapping[str, Any]) -> Tasting:
    means = {code: tuple(values) for code, values in told["means"].items()}
    return Tasting(told["sheet"], told["held"], told["how"], tuple(told["tasters"]), told["brews"], means)


def _year(told: Mapping[str, Any]) -> Year:
    return Year(
        season=told["season"],
        title=told["title"],
        lots=tuple(told["lots"]),
        flights=tuple(_tasting(flight) for flight in told["flights"]),
        notes=tuple(told.get("notes", ())),
        repeated=tuple(told.get("repeated", ())),
        triangles=tuple(told.get("triangles", ())),
        preferred=tuple(told.get("preferred", ())),
        rested=tuple(told.get("rested", ())),
    )


@cache
def scenario() -> Scenario:
    """The scenario, read once.

    >>> [year.season for year in scenario().years]
    ['2025', '2026']
    """
    told = tomllib.loads(resources.files("wetleaf.demo").joinpath("scenario.toml").read_text("utf-8"))
    palates = {name: Palate(name=name, **values) for name, values in told["tasters"].items()}
    return Scenario(
        merchant=told["merchant"],
        attributes=tuple(told["attributes"]),
        stages=tuple(told["stages"]),
        palates=palates,
        lines=tuple(told["lines"]),
        years=tuple(_year(year) for year in told["years"]),
    )
