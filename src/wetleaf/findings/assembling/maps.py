"""The range map as values: where the lots stand, which is nearest to which, and where nobody stands."""

import math
from typing import Literal

from wetleaf.findings.assembling.sentences import listed, said_chance, said_count, sentence
from wetleaf.findings.book import EmptiestRegion, Ground, RangeMap, Spot
from wetleaf.findings.drawings.spoken import said_number
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings.forebears import latest_verdict
from wetleaf.findings.readings.maps import METHOD, AxisRead, GapRead, MapRead, NearestRead, SpotRead
from wetleaf.findings.readings.seasons import SeasonRead
from wetleaf.findings.records import LotRow

TITLE = "Where they stand"
_ALL = 0.995  # of what sets the lots apart, said as "all"
_FEWEST_FOR_A_GAP = 4


def range_map(season: SeasonRead, read: MapRead, grounds: Grounds) -> RangeMap:
    """Put a map into words and places."""
    lots = {lot.key: lot for lot in season.records.lot_of.values()}
    sides = [_ends(axis) for axis in read.axes]
    (left, right), (down, up) = (*sides, ("", ""), ("", ""))[:2]
    return RangeMap(
        title=TITLE,
        say=_say(read),
        spots=tuple(_spot(spot, lots.get(spot.lot), season) for spot in read.spots),
        gap=None if read.gap is None else _region(read.gap),
        left=left,
        right=right,
        down=down,
        up=up,
        about=_about(read),
        tells=_nearest_to_what_was_kept(season, read, lots),
        ground=map_ground(read, grounds),
    )


def map_ground(read: MapRead, grounds: Grounds) -> Ground:
    """What a map rests on."""
    table = read.table
    names = listed([flight.told for flight in table.flights])
    return grounds.of(
        f"Where do the lots of {names} stand?",
        method=METHOD,
        digest=table.digest,
        rests_on=(
            (f"{len(table.cups)} cups of {listed(table.lots)}", f"tasted by {listed(table.tasters)}"),
            (f"{len(table.attributes)} attributes", names),
        ),
    )


def said_nearest(near: NearestRead) -> str:
    """Say which lot is nearest, how far, and how surely it is the nearest.

    >>> said_nearest(NearestRead("RK-08", 0.62, 0.0, 1.04, 0.9))
    'RK-08 (0.6 points an attribute, 0.0 to 1.0; the nearest 9 times in 10)'
    >>> said_nearest(NearestRead("RK-08", 0.62, None, None, None))
    "RK-08 (0.6 points an attribute; one cup each, can't tell how surely)"
    """
    size = f"{said_number(near.apart)} points an attribute"
    if near.low is None or near.high is None or near.share is None:
        return f"{near.lot} ({size}; one cup each, can't tell how surely)"
    ends = f"{said_number(near.low)} to {said_number(near.high)}"
    often = said_chance(near.share).replace(" in ", " times in ")
    return f"{near.lot} ({size}, {ends}; the nearest {often})"


def _spot(spot: SpotRead, lot: LotRow | None, season: SeasonRead) -> Spot:
    return Spot(
        label=spot.lot,
        name=_name(lot, season),
        kind=_kind(lot, season),
        x=spot.x,
        y=spot.y,
        half_long=_or_nan(spot.half_long),
        half_short=_or_nan(spot.half_short),
        turn=_or_nan(spot.turn),
        nearest=said_nearest(spot.nearest),
    )


def _kind(lot: LotRow | None, season: SeasonRead) -> Literal["kept", "line", "other"]:
    if lot is None or not lot.line:
        return "other"
    if lot.season == season.records.season:
        return "line"
    return "kept" if latest_verdict(season.records, lot) == "keep" else "other"


def _name(lot: LotRow | None, season: SeasonRead) -> str:
    """The lot's name; of a lot that was kept in an earlier year the line it was kept for."""
    if lot is None:
        return ""
    return f"{lot.line}, {lot.season}" if _kind(lot, season) == "kept" else lot.name


def _ends(axis: AxisRead) -> tuple[str, str]:
    """The two ends of an axis in words: what there is more of comes first.

    >>> _ends(AxisRead(0.7, ("roast",), ("flower",)))
    ('more flower, less roast', 'more roast, less flower')
    """
    return _end(axis.falling, axis.rising), _end(axis.rising, axis.falling)


def _end(more: tuple[str, ...], less: tuple[str, ...]) -> str:
    told = [f"more {listed(more)}"] if more else []
    return ", ".join([*told, f"less {listed(less)}"] if less else told)


def _region(gap: GapRead) -> EmptiestRegion:
    return EmptiestRegion(
        gap.x, gap.y, gap.radius, "perhaps nobody here" if gap.reached_by else "nobody here"
    )


def _say(read: MapRead) -> str:
    gap = read.gap
    if gap is None:
        few = len(read.spots) < _FEWEST_FOR_A_GAP
        why = (
            "three lots show no gap: that takes four"
            if few
            else "they lie on one line, with no gap beside it"
        )
        return f"{_closest(read)} {sentence(why)}"
    between = listed(gap.around)
    like = listed([f"{said_number(value)} {name}" for name, value in gap.scores])
    would = f"a lot there would have about {like}"
    doubt = _doubt_of_the_gap(read, gap)
    if doubt:
        return f"{sentence(f'the emptiest place lies between {between}{doubt}')} {sentence(would)}"
    return sentence(f"the gap lies between {between}; {would}")


def _doubt_of_the_gap(read: MapRead, gap: GapRead) -> str:
    """Why the emptiest place may be no gap; "" where every lot had two pots and no ellipse reaches it."""
    if all(spot.half_long is None for spot in read.spots):
        return "; with one cup a lot, whether it is a gap can't be told yet"
    if read.of_pots:
        return "; some lot came from one pot, so whether it is a gap can't be told yet"
    if not gap.reached_by:
        return ""
    everyone = len(gap.reached_by) == len(read.spots)
    who = f"any of the {said_count(len(read.spots))}" if everyone else listed(gap.reached_by)
    return f", but {who} may stand there: whether it is a gap can't be told yet"


def _closest(read: MapRead) -> str:
    spot = min(read.spots, key=lambda one: one.nearest.apart)
    return sentence(f"{spot.lot} stands nearest to {said_nearest(spot.nearest)}")


def _about(read: MapRead) -> str:
    share = sum(axis.share for axis in read.axes)
    carried = "all" if share >= _ALL else f"{share:.0%}".replace("%", " %")
    rest = "" if share >= _ALL else "; what is near here may still differ in what the two do not show"
    parts = [sentence(f"the two directions carry {carried} of what sets the lots apart{rest}")]
    if any(spot.half_long is not None for spot in read.spots):
        who = (
            f"{read.whose}, {listed(read.table.tasters)}" if read.whose != "tasters at large" else read.whose
        )
        parts.append(
            f"An ellipse holds its lot’s place 19 times in 20, for {who}; "
            "two that overlap are no proof of sameness."
        )
    else:
        parts.append(
            f"The places are those of {listed(read.table.tasters)}; one cup a lot leaves no ellipse."
        )
    if read.of_pots:
        parts.append("Some lot came from one pot: places and distances are of these pots, not of the teas.")
    if read.left_out:
        parts.append(f"Not scored on every lot, so left out: {listed(read.left_out)}.")
    if len(read.table.flights) > 1:
        parts.append(f"Over {listed([flight.told for flight in read.table.flights])}, tied by common teas.")
    return " ".join(parts)


def _nearest_to_what_was_kept(season: SeasonRead, read: MapRead, lots: dict[str, LotRow]) -> tuple[str, ...]:
    kept = [spot for spot in read.spots if _kind(lots.get(spot.lot), season) == "kept"]
    return tuple(
        f"Nearest to {spot.lot}, kept for {lots[spot.lot].line} in {lots[spot.lot].season}: "
        f"{said_nearest(spot.nearest)}."
        for spot in kept
    )


def _or_nan(value: float | None) -> float:
    return math.nan if value is None else value
