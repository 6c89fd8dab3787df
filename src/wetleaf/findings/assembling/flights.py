"""The pages of the flights: who tasted, how they agreed, what was found; and the trials, pair by pair."""

import math
import re

from wetleaf.findings.assembling.anchors import anchor_of
from wetleaf.findings.assembling.profiles import ground_of_table, profile_of_flight
from wetleaf.findings.assembling.sentences import counted, is_or_are, listed, sentence
from wetleaf.findings.book import Answer, Estimate, FlightPage, Ground, TasterRow
from wetleaf.findings.drawings.spoken import said_number
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings import panels, trials
from wetleaf.findings.readings.panels import HALF_OF_THE_SCALE, MUCH_OF_THE_SCALE, FlightRead, TasterRead
from wetleaf.findings.readings.seasons import SeasonRead
from wetleaf.findings.readings.trials import PreferenceRead, TriangleRead
from wetleaf.trade.dates import parse_date

TRIALS = "Triangles and preferences"
_SAYS_BLIND = re.compile(r"\b(?:blind|open)\b", re.IGNORECASE)
_GUESSING = 3  # one in three triangles is right by luck


def flight_pages(season: SeasonRead, grounds: Grounds) -> tuple[FlightPage, ...]:
    """Return a page a flight, and one for the trials that belong to none."""
    pages = [_page(season, flight, grounds) for flight in season.flights]
    if season.triangles or season.preferences:
        pages.append(_trials_page(season, grounds))
    return tuple(pages)


def _page(season: SeasonRead, read: FlightRead, grounds: Grounds) -> FlightPage:
    flight, profile = read.flight, read.profile
    kept: list[Ground] = [ground_of_table(profile, grounds)] if profile else []
    if read.digest and len(read.tasters) > 0:
        kept.append(_panel_ground(read, grounds))
    return FlightPage(
        name=flight.told,
        anchor=anchor_of("flight", flight.name),
        held_on=flight.held_on,
        how=_how(read),
        say=_say(read),
        lots=tuple(_named(season, key) for key in read.lots),
        tasters=tuple(_taster_row(taster, flight.scale) for taster in read.tasters),
        profile=profile_of_flight(profile, grounds, apart=_apart(season, read)) if profile else None,
        trials=(),
        preferences=(),
        grounds=tuple(kept),
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


def _named(season: SeasonRead, key: str) -> str:
    names = {lot.key: lot.name for lot in season.records.lot_of.values()}
    return f"{key} {names[key]}" if key in names else key


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


def _panel_ground(read: FlightRead, grounds: Grounds) -> Ground:
    return grounds.of(
        f"How did each person taste in {read.flight.told}?",
        method=panels.METHOD,
        digest=read.digest,
        rests_on=((listed([f"{t.name} {counted(t.cups, 'cup')}" for t in read.tasters]), _how(read)),),
    )


def _taster_row(taster: TasterRead, scale: tuple[float, float]) -> TasterRow:
    return TasterRow(
        name=taster.name,
        cups=taster.cups,
        cups_possible=max(taster.cups_possible, taster.cups),
        level=_level(taster, scale),
        spread=_spread(taster),
        same_cup=_same_cup(taster),
        steady=Answer("Steady?", taster.steady, taster.rule.rstrip(".")),
        says=_says(taster),
    )


def _level(taster: TasterRead, scale: tuple[float, float]) -> Estimate | None:
    if taster.level.value is None:
        return None
    reach = max(1.0, (scale[1] - scale[0]) / 4, abs(taster.level.value))
    low = math.nan if taster.level.low is None else max(taster.level.low, -reach)
    high = math.nan if taster.level.high is None else min(taster.level.high, reach)
    return Estimate(taster.level.value, low, high, -reach, reach)


def _spread(taster: TasterRead) -> str:
    used = taster.spread.value
    if used is None:
        return "can't tell"
    share = f"{used:.0%} of the table's".replace("%", " %")
    if used < HALF_OF_THE_SCALE:
        return f"narrower, {share}"
    return f"wider, {share}" if used > MUCH_OF_THE_SCALE else f"as the table, {share}"


def _same_cup(taster: TasterRead) -> str:
    if taster.repeat_sd is None:
        return "no tea twice"
    # Two cups of one tea lie sqrt(2) standard deviations apart, as a root mean square.
    return f"{said_number(math.sqrt(2) * taster.repeat_sd)} apart"


def _says(taster: TasterRead) -> str:
    words = {
        "yes": "agrees with the table",
        "no": "does not follow the table",
        "can't tell yet": taster.rule.rstrip("."),
    }
    used = taster.spread.value
    narrow = used is not None and used < HALF_OF_THE_SCALE
    return words[taster.steady] + ("; uses about half of the scale" if narrow else "")


# --- triangles and preferences ---


def _trials_page(season: SeasonRead, grounds: Grounds) -> FlightPage:
    kept = [_triangle_ground(one, grounds) for one in season.triangles]
    kept += [_preference_ground(one, grounds) for one in season.preferences]
    asked_of = [(one.pair, one.answer) for one in season.triangles]
    asked_of += [(one.pair, one.answer) for one in season.preferences]
    lots = sorted({key for pair, _ in asked_of for key in pair})
    found, asked = sum(answer == "yes" for _, answer in asked_of), len(asked_of)
    answered = counted(found, "has an answer", "have an answer") if found else "none has an answer yet"
    say = f"{counted(asked, 'pair')} {is_or_are(asked)} asked about; {answered}"
    return FlightPage(
        name=TRIALS,
        anchor=anchor_of("flight", TRIALS),
        held_on=None,
        how="as answered; the claims are about these tasters",
        say=sentence(say),
        lots=tuple(_named(season, key) for key in lots),
        tasters=(),
        profile=None,
        trials=tuple(said_triangles(one) for one in season.triangles),
        preferences=tuple(said_preference(one) for one in season.preferences),
        grounds=tuple(kept),
    )


def said_triangles(read: TriangleRead) -> str:
    """Say what the triangles of a pair allow to claim, and about whom."""
    first, second = read.pair
    if not read.usable:
        return f"{first} and {second}: no triangle could be used."
    expected = said_number(read.usable / _GUESSING)
    count = (
        f"{read.correct} of {read.usable} triangles picked right ({expected} by guessing, {_said_p(read.p)})"
    )
    if read.answer == "yes":
        claim = f"{listed(read.tasters)} can tell them apart: yes"
    else:
        claim = f"whether {listed(read.tasters)} can tell them apart: can't tell yet"
    return f"{first} and {second}: {count}; {claim}.{_left_out(read.left_out)}"


def said_preference(read: PreferenceRead) -> str:
    """Say what the preferences between a pair allow to claim, and about whom."""
    first, second = read.pair
    if read.p is None:
        return f"{first} or {second}: nobody preferred either.{_left_out(read.left_out)}"
    ties = f", {counted(read.ties, 'tie')} not counted" if read.ties else ""
    count = f"{read.wins[0]} for {first}, {read.wins[1]} for {second}{ties} ({_said_p(read.p)}, two-sided)"
    liked = first if read.wins[0] > read.wins[1] else second
    who = f"{listed(read.tasters)} prefer{'s' if len(read.tasters) == 1 else ''}"
    claim = f"{who} {liked}: yes" if read.answer == "yes" else f"whether {who} either: can't tell yet"
    return f"{first} or {second}: {count}; {claim}.{_left_out(read.left_out)}"


def _left_out(count: int) -> str:
    return " " + sentence(f"{counted(count, 'answer')} could not be used") if count else ""


def _said_p(p: float | None) -> str:
    if p is None:
        return "no chance to name"
    return "exact p under 0.001" if p < 0.001 else f"exact p {p:.2g}" if p < 0.1 else f"exact p {p:.2f}"


def _triangle_ground(read: TriangleRead, grounds: Grounds) -> Ground:
    return grounds.of(
        f"Can {listed(read.tasters) or 'they'} tell {read.pair[0]} and {read.pair[1]} apart?",
        method=trials.TRIANGLE_METHOD,
        digest=read.digest,
        rests_on=((counted(read.usable, "triangle"), f"answered by {listed(read.tasters)}"),),
    )


def _preference_ground(read: PreferenceRead, grounds: Grounds) -> Ground:
    return grounds.of(
        f"Which is preferred, {read.pair[0]} or {read.pair[1]}?",
        method=trials.PREFERENCE_METHOD,
        digest=read.digest,
        rests_on=((counted(sum(read.wins), "choice"), f"made by {listed(read.tasters)}"),),
    )
