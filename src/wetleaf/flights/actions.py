"""How a tasting comes onto the books: its flight and its brews."""

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

from wetleaf.flights.models import Brew, Flight
from wetleaf.lots.models import Season
from wetleaf.lots.workbooks.records import Sitting

SCALE = (0.0, 10.0)
"""The scale of a sheet that names none."""


def open_flight(
    season: Season,
    name: str,
    *,
    held_on: dt.date | None = None,
    blind: bool | None = None,
    brewed: str = "",
    purpose: str = "",
    scale: tuple[float, float] = SCALE,
    source: str = "",
) -> Flight:
    """Return the season's flight of that name, made if there is none; what was not known of it is filled in.

    A known flight of the same name on another day is another flight: it gets its day into its name.
    """
    name = name.strip()[:100]
    known = Flight.objects.filter(season=season, name=name).first()
    if known is not None and held_on and known.held_on and known.held_on != held_on:
        name = f"{name} ({held_on.isoformat()})"
        known = Flight.objects.filter(season=season, name=name).first()
    if known is None:
        return Flight.objects.create(
            season=season,
            name=name,
            held_on=held_on,
            blind=blind,
            brewed=brewed[:200],
            purpose=purpose[:40],
            scale_low=scale[0],
            scale_high=scale[1],
            source=source[:200],
        )
    return _fill_in(known, held_on=held_on, blind=blind, brewed=brewed[:200], purpose=purpose[:40])


def _fill_in(flight: Flight, **said: dt.date | bool | str | None) -> Flight:
    said = {name: value for name, value in said.items() if value not in (None, "")}
    news = {name: value for name, value in said.items() if getattr(flight, name) in (None, "")}
    for name, value in news.items():
        setattr(flight, name, value)
    if news:
        flight.save(update_fields=list(news))
    return flight


def open_flights(season: Season, sittings: Iterable[Sitting], *, source: str = "") -> dict[str, Flight]:
    """Return the flight of each sitting by the sitting's name."""
    return {sitting.name: _flight_of(season, sitting, source) for sitting in sittings}


def _flight_of(season: Season, sitting: Sitting, source: str) -> Flight:
    low, high = sitting.scale_low, sitting.scale_high
    return open_flight(
        season,
        sitting.name or sitting.sheet or Path(source).stem,
        held_on=sitting.held_on,
        blind=sitting.blind,
        brewed=sitting.brewed,
        purpose=sitting.purpose,
        scale=(SCALE[0] if low is None else low, SCALE[1] if high is None else high),
        source=f"{source}, {sitting.sheet}" if source else sitting.sheet,
    )


def brews_of(wanted: Iterable[tuple[int, int, str]]) -> dict[tuple[int, int, str], Brew]:
    """Return the brews of (flight, sample, label) keys, made where new. A cup is poured from a brew."""
    keys = set(wanted)
    if not keys:
        return {}
    known = _known_brews({flight for flight, _, _ in keys})
    Brew.objects.bulk_create(
        Brew(flight_id=flight, sample_id=sample, label=label)
        for flight, sample, label in sorted(keys - known.keys())
    )
    return _known_brews({flight for flight, _, _ in keys})


def _known_brews(flights: set[int]) -> dict[tuple[int, int, str], Brew]:
    brews = Brew.objects.filter(flight__in=flights)
    return {(brew.flight_id, brew.sample_id, brew.label): brew for brew in brews}
