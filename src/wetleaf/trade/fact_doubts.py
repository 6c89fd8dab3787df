"""Facts at odds with the district, the season, the class or each other. Bands are for asking only."""

import datetime as dt
import re
from collections.abc import Iterator

from wetleaf.trade.classes import CLASSES, Strength, find_class, guess_class
from wetleaf.trade.facts import HOUSE_RULE, Doubt, doubt, said_days, said_metres
from wetleaf.trade.quantities import HIGHEST_GARDEN_M, METRES_PER_FOOT
from wetleaf.trade.seasons import Season, SeasonWindow, pick_day_limits, windows_of, windows_on
from wetleaf.trade.seen_lot import ELEVATION_SLACK_M, SeenLot, is_unroasted, place_words

SEASON_SLACK_DAYS = 10
OXIDATION_SLACK_PERCENT = 10
_METRES_PER_FOOT = float(METRES_PER_FOOT)
_FOUR_SEASONS = frozenset({"spring", "summer", "autumn", "winter"})
_YEAR_IN_NAME = re.compile(r"(?<!\d)(19[5-9]\d|20[0-9]\d)(?!\d)")


def doubts_of_facts(lot: SeenLot) -> Iterator[Doubt]:
    """Yield the doubts about elevation, harvest, season, year, roast, class and quantity."""
    for check in _CHECKS:
        yield from check(lot)


def _elevation_doubts(lot: SeenLot) -> Iterator[Doubt]:
    span = lot.facts.elevation_m
    if span is None or _inside(span, _band(lot)):
        return
    if span[1] > HIGHEST_GARDEN_M or span[0] < 0:
        yield _elevation_misread(lot, span)
    else:
        yield _elevation_outside(lot, span)


def _band(lot: SeenLot) -> tuple[float, float]:
    """Return the lowest and highest garden of the district, or of the districts of an area such as Nantou."""
    here = (lot.place.origin,) if lot.place.origin else lot.place.candidates
    if not here:
        return 0, HIGHEST_GARDEN_M
    return min(origin.elevation_m_min for origin in here), max(origin.elevation_m_max for origin in here)


def _elevation_misread(lot: SeenLot, span: tuple[float, float]) -> Doubt:
    stated, metres = said_metres(span), (span[0] * _METRES_PER_FOOT, span[1] * _METRES_PER_FOOT)
    if span[0] > HIGHEST_GARDEN_M and _inside(metres, _band(lot)):
        what, why = f"{stated} m cannot be metres", f"as feet it would be {said_metres(metres)} m, which fits"
        return doubt(what, "elevation", why, "1 ft is 0.3048 m", "elevation_feet", 92, elevation=stated)
    why = f"gardens lie between 0 and {HIGHEST_GARDEN_M} m"
    what = f"{stated} m is no garden"
    return doubt(what, "elevation", why, "common practice", "elevation_impossible", 92, elevation=stated)


def _elevation_outside(lot: SeenLot, span: tuple[float, float]) -> Doubt:
    here = (lot.place.origin,) if lot.place.origin else lot.place.candidates
    notes = "".join(f" ({origin.note})" for origin in here if origin.note and len(here) == 1)
    band, names = said_metres(_band(lot)), ", ".join(origin.name for origin in here)
    what = f"{said_metres(span)} m is outside the district"
    why = f"gardens of {names} lie at {band} m as far as our table knows{notes}"
    blanks = {"elevation": said_metres(span), "place": place_words(lot), "band": band}
    return doubt(what, "elevation", why, str(here[0].ground), "elevation_outside", 80, **blanks)


def _inside(span: tuple[float, float], band: tuple[float, float]) -> bool:
    return band[0] - ELEVATION_SLACK_M <= span[0] and span[1] <= band[1] + ELEVATION_SLACK_M


def _harvest_doubts(lot: SeenLot) -> Iterator[Doubt]:
    facts, span = lot.facts, lot.facts.harvest_span
    if facts.harvest_from and facts.harvest_to and facts.harvest_to < facts.harvest_from:
        days = {"first": facts.harvest_from.isoformat(), "last": facts.harvest_to.isoformat()}
        what = f"picking ends {days['last']}, before it begins {days['first']}"
        yield doubt(what, "harvest", "two days swapped?", HOUSE_RULE, "harvest_backwards", 85, **days)
    elif span and lot.today and span[0] > lot.today:
        said = said_days(span)
        what = f"harvest {said} is still to come"
        yield doubt(what, "harvest", "a slip of the year?", HOUSE_RULE, "harvest_future", 98, harvest=said)
    elif span and facts.harvest_precision != "year":
        yield from _season_doubts(lot, span)


def _season_doubts(lot: SeenLot, span: tuple[dt.date, dt.date]) -> Iterator[Doubt]:
    where, country = _where_key(lot), lot.place.country or ""
    here = windows_of(where, lot.season) if lot.season else ()
    named = here or (windows_of(country, lot.season) if lot.season else ())
    if lot.season and (late := _past_solar_term(lot.season, span)):
        yield _not_that_season(lot.season, span, late, str(lot.season.ground))
    elif lot.season and named and _misses(span, named):
        why = f"{_where(lot)}: that season is usually {_listed(named)}{_falls_in(span, where)}"
        yield _not_that_season(lot.season, span, why, str(named[0].ground))
    elif not here and _misses(span, windows_of(where)):
        windows = windows_of(where)
        what, why = (
            "the date is outside the district's seasons",
            f"{_where(lot)} usually picks {_listed(windows)}",
        )
        blanks = {"harvest": said_days(span), "place": place_words(lot)}
        yield doubt(what, "harvest", why, str(windows[0].ground), "harvest_outside_windows", 65, **blanks)


def _not_that_season(season: Season, span: tuple[dt.date, dt.date], why: str, source: str) -> Doubt:
    blanks = {"harvest": said_days(span), "season": season.key}
    what = f"{said_days(span)} is not {season.name}"
    return doubt(what, "harvest", why, source, "harvest_outside_season", 82, **blanks)


def _where_key(lot: SeenLot) -> str:
    return lot.place.origin.key if lot.place.origin else (lot.place.country or "")


def _where(lot: SeenLot) -> str:
    return lot.place.origin.name if lot.place.origin else (lot.place.country or "")


def _listed(windows: tuple[SeasonWindow, ...]) -> str:
    return ", ".join(dict.fromkeys(str(window) for window in windows))


def _falls_in(span: tuple[dt.date, dt.date], where: str) -> str:
    open_then = {window.season.name for window in windows_on(span[0], where)}
    return f"; the date falls into {' or '.join(sorted(open_then))}" if open_then else ""


def _misses(span: tuple[dt.date, dt.date], windows: tuple[SeasonWindow, ...]) -> bool:
    """Tell whether every day lies clearly outside every window: weather moves a season by some days."""
    step = max(1, (span[1] - span[0]).days // 30)
    days = [span[0] + dt.timedelta(days=n) for n in range(0, (span[1] - span[0]).days + 1, step)]
    return bool(windows) and all(w.days_outside(day) > SEASON_SLACK_DAYS for w in windows for day in days)


def _past_solar_term(season: Season, span: tuple[dt.date, dt.date]) -> str:
    first, last = pick_day_limits(season)
    if last and span[0] > dt.date(span[0].year, *last):
        return f"the term named falls on {last[1]} April at the latest"
    if first and span[1] < dt.date(span[1].year, *first):
        return f"the term named falls on {first[1]} April at the earliest"
    return ""


def _season_word_doubts(lot: SeenLot) -> Iterator[Doubt]:
    origin = lot.place.origin
    if origin and not origin.uses_season_words and lot.season and lot.season.key in _FOUR_SEASONS:
        what = f"'{lot.season.name}' says nothing at {origin.name}"
        why = "near and south of the equator months are kept, not seasons"
        place = place_words(lot)
        yield doubt(
            what, "season", why, "common practice", "season_word", 48, season=lot.season.key, place=place
        )


def _year_doubts(lot: SeenLot) -> Iterator[Doubt]:
    named = {int(year) for text in (lot.facts.name, lot.facts.season) for year in _YEAR_IN_NAME.findall(text)}
    vintage = lot.facts.vintage
    if vintage and named and not named & {vintage, vintage - 1 if _crosses_year(lot) else vintage}:
        year = str(min(named))
        what = f"named {year}, but harvested {vintage}"
        blanks = {"named": year, "harvest": str(vintage)}
        yield doubt(what, "harvest", "the two papers differ", HOUSE_RULE, "year_differs", 88, **blanks)


def _crosses_year(lot: SeenLot) -> bool:
    """A winter's tea picked in January is still named after the old year."""
    span = lot.facts.harvest_span
    return span is not None and span[0].month <= 2


def _roast_doubts(lot: SeenLot) -> Iterator[Doubt]:
    facts, span = lot.facts, lot.facts.harvest_span
    if facts.roast_date is None:
        return
    roasted = facts.roast_date.isoformat()
    if is_unroasted(facts.roast):
        what, why = f"roast is '{facts.roast.strip()}', but a roast date is given", "one of the two is wrong"
        yield doubt(what, "roast", why, HOUSE_RULE, "roast_none", 64, roast_date=roasted)
    if span and facts.roast_date < span[0]:
        what, blanks = f"roasted {roasted}, before it was picked", {"harvest": said_days(span)}
        blanks["roast_date"] = roasted
        yield doubt(what, "roast_date", "two dates swapped?", HOUSE_RULE, "roast_before", 84, **blanks)


def _class_doubts(lot: SeenLot) -> Iterator[Doubt]:
    stated = find_class(lot.facts.tea_class) if lot.facts.tea_class else None
    guess = guess_class(lot.facts.name)
    if stated and guess and guess.strength is not Strength.WEAK and guess.value != stated.key:
        what = f"stated as {stated.name}, but the name says {CLASSES[guess.value].name}"
        blanks = {"stated": stated.key, "other": guess.value}
        yield doubt(what, "tea_class", guess.why, HOUSE_RULE, "class_differs", 68, **blanks)
    yield from _oxidation_doubts(lot)


def _oxidation_doubts(lot: SeenLot) -> Iterator[Doubt]:
    """A first-flush black is often far from fully oxidised and still sold as black: it is not doubted."""
    band = CLASSES[lot.tea_class].oxidation_percent if lot.tea_class else None
    numbers = [float(number) for number in re.findall(r"\d+(?:\.\d+)?", lot.facts.oxidation)]
    first_flush = lot.season is not None and lot.season.key == "first_flush"
    if not band or not numbers or first_flush:
        return
    if max(numbers) < band[0] - OXIDATION_SLACK_PERCENT or min(numbers) > band[1] + OXIDATION_SLACK_PERCENT:
        what = f"{lot.facts.oxidation.strip()} oxidation is unusual for {CLASSES[lot.tea_class].name} tea"
        why = f"makers quote {band[0]} to {band[1]} %; nobody measures it, so look at leaf and liquor too"
        source = str(CLASSES[lot.tea_class].ground)
        blanks = {"oxidation": lot.facts.oxidation.strip(), "class": lot.tea_class}
        yield doubt(what, "oxidation", why, source, "oxidation_class", 42, **blanks)


def _quantity_doubts(lot: SeenLot) -> Iterator[Doubt]:
    least, most = lot.facts.moq_grams, lot.facts.available_grams
    if least is not None and most is not None and least > most:
        blanks = {"moq": f"{least / 1000:g}", "available": f"{most / 1000:g}"}
        what = f"smallest order {blanks['moq']} kg, but only {blanks['available']} kg there"
        why = "it could not be ordered"
        yield doubt(what, "moq_grams", why, HOUSE_RULE, "moq_over_available", 62, **blanks)


_CHECKS = (
    _elevation_doubts,
    _harvest_doubts,
    _season_word_doubts,
    _year_doubts,
    _roast_doubts,
    _class_doubts,
    _quantity_doubts,
)
