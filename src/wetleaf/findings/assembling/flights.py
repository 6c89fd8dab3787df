"""The pages of the flights: who tasted, how they agreed, what was found."""

import re

from wetleaf.findings.assembling.anchors import anchor_of
from wetleaf.findings.assembling.maps import range_map
from wetleaf.findings.assembling.over_the_season import (
    has_something_over_the_season,
    named_lot,
    over_the_season,
)
from wetleaf.findings.assembling.profiles import ground_of_table, profile_of_flight
from wetleaf.findings.assembling.sentences import counted, is_or_are, listed, sentence
from wetleaf.findings.assembling.tasters import panel_ground, panel_notes, taster_row
from wetleaf.findings.book import FlightPage, Ground
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings.maps import map_on_page
from wetleaf.findings.readings.panels import FlightRead, TasterRead
from wetleaf.findings.readings.seasons import SeasonRead
from wetleaf.trade.dates import parse_date

_SAYS_BLIND = re.compile(r"\b(?:blind|open)\b", re.IGNORECASE)


def flight_pages(season: SeasonRead, grounds: Grounds) -> tuple[FlightPage, ...]:
    """Return a page a flight, and one for what belongs to none: trials, preferences, each taster alone."""
    pages = [_page(season, flight, grounds) for flight in season.flights]
    if has_something_over_the_season(season):
        pages.append(over_the_season(season, grounds))
    return tuple(pages)


def _page(season: SeasonRead, read: FlightRead, grounds: Grounds) -> FlightPage:
    flight, profile = read.flight, read.profile
    kept: list[Ground] = [ground_of_table(profile, grounds)] if profile else []
    if read.digest and len(read.tasters) > 0:
        kept.append(panel_ground(read, _how(read), grounds))
    mapped = map_on_page(read, season.flights, season.maps)
    shown = range_map(season, mapped, grounds) if mapped else None
    if shown:
        kept.append(shown.ground)
    return FlightPage(
        name=flight.told,
        anchor=anchor_of("flight", flight.name),
        held_on=flight.held_on,
        how=_how(read),
        say=_say(read),
        lots=tuple(named_lot(season, key) for key in read.lots),
        tasters=tuple(taster_row(taster, flight.scale) for taster in read.tasters),
        profile=profile_of_flight(profile, grounds, apart=_apart(season, read)) if profile else None,
        trials=(),
        preferences=(),
        grounds=tuple(kept),
        range_map=shown,
        panel_notes=panel_notes(read),
    )


def _apart(season: SeasonRead, read: FlightRead) -> str:
    """Why the means of a flight may differ from those on a lot's own page: it counts more or other cups."""
    if read.profile is None:
        return ""
    wider = {
        flight.told
        for profile in season.profiles
        for flight in profile.table.flights
        if read.flight in profile.table.flights and flight != read.flight
    }
    if wider:
        return (
            f"This is the sitting alone: a lot's own page counts {listed(sorted(wider))} with it, "
            "tied by a common tea, so its means may differ a little."
        )
    if read.profile not in season.profiles:
        return "A lot's own page counts its class alone, so its means there may differ a little."
    return ""


def _how(read: FlightRead) -> str:
    blind = {True: "blind", False: "open", None: "not said whether blind, taken as open"}[read.flight.blind]
    scale = f"on {read.flight.scale[0]:g} to {read.flight.scale[1]:g}"
    told = _without_date(read.flight.brewed)
    says_blind = bool(_SAYS_BLIND.search(told))  # the sheet says it in its own words
    return ", ".join(part for part in ("" if says_blind else blind, told, scale) if part)


def _without_date(told: str) -> str:
    """What a sheet says of a tasting, without the date it begins with: the page says that already."""
    first, _, rest = told.partition(". ")
    return (rest if rest and parse_date(first).value else told).rstrip(".")


def _say(read: FlightRead) -> str:
    who = [taster.name for taster in read.tasters]
    held = f"{listed(who)} tasted {counted(len(read.lots), 'tea')}" if who else "Nobody's answers are kept"
    parts = [sentence(held), _agreement(read.tasters)]
    if read.missing:
        parts.append(sentence(f"{counted(read.missing, 'answer')} {is_or_are(read.missing)} missing"))
    return " ".join(part for part in parts if part)


def _agreement(tasters: tuple[TasterRead, ...]) -> str:
    unsteady = [taster.name for taster in tasters if taster.steady == "no"]
    steady = [taster.name for taster in tasters if taster.steady == "yes"]
    if unsteady:
        return sentence(
            f"{listed(unsteady)} did not follow the table; the rest of the page still counts every cup"
        )
    if len(steady) == len(tasters) and len(tasters) > 1:
        return "They agreed on the teas."
    return "How well they agreed can't be told yet." if len(tasters) > 1 else ""
