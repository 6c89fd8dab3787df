"""Where the lots of a table stand, which is nearest to which, and where in the range is nobody."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from wetleaf.findings.readings.cups import CupTable
from wetleaf.findings.readings.panels import FlightRead
from wetleaf.numerics.maps import (
    Distance,
    EmptyRegion,
    LotMap,
    Nearest,
    distance_of,
    distances_between,
    emptiest_region,
    map_of_lots,
    nearest_lots,
)
from wetleaf.trade.errors import BadInput

METHOD = "principal components of lot means; ellipses by resampling, distances by a noncentral F"
FEWEST_LOTS, FEWEST_ATTRIBUTES = 3, 2
_LEAST_CORRELATION = 0.7  # with an axis, for an attribute to stand in its words
_MOST_IN_WORDS = 2
_MOST_OF_A_GAP = 3
_AXES = 2


@dataclass(frozen=True)
class NearestRead:
    """The lot nearest to another: points an attribute apart, with their interval; `share` of the resamples.

    `low`, `high` and `share` are None where one cup a lot leaves nothing to tell how sure it is.
    """

    lot: str
    apart: float
    low: float | None
    high: float | None
    share: float | None


@dataclass(frozen=True)
class SpotRead:
    """A lot on the map: its place, the half axes and the turn of its ellipse; None without one."""

    lot: str
    x: float
    y: float
    half_long: float | None
    half_short: float | None
    turn: float | None
    nearest: NearestRead

    def reaches(self, x: float, y: float) -> bool:
        """Whether a place lies inside the ellipse."""
        if self.half_long is None or self.half_short is None or self.turn is None:
            return False
        dx, dy = x - self.x, y - self.y
        along = dx * math.cos(self.turn) + dy * math.sin(self.turn)
        across = dy * math.cos(self.turn) - dx * math.sin(self.turn)
        return (along / max(self.half_long, 1e-9)) ** 2 + (across / max(self.half_short, 1e-9)) ** 2 <= 1


@dataclass(frozen=True)
class AxisRead:
    """An axis: its share of what sets the lots apart, and which attributes rise or fall along it."""

    share: float
    rising: tuple[str, ...]
    falling: tuple[str, ...]


@dataclass(frozen=True)
class GapRead:
    """The emptiest region: its middle, how far to the lots around it, and what a lot there would have.

    `reached_by` names the lots whose ellipse holds its middle: they may stand there.
    """

    x: float
    y: float
    radius: float
    around: tuple[str, ...]
    scores: tuple[tuple[str, float], ...]
    reached_by: tuple[str, ...]


@dataclass(frozen=True)
class MapRead:
    """The map of a table's lots. `whose`: "this taster", "these tasters" or "tasters at large".

    `of_pots`: some lot came from one pot, so that the places are of pots and not of teas. `left_out` names
    attributes that some lot was not scored on.
    """

    table: CupTable
    spots: tuple[SpotRead, ...]
    axes: tuple[AxisRead, ...]
    gap: GapRead | None
    whose: str
    of_pots: bool
    left_out: tuple[str, ...]

    def nearest_to(self, lot: str) -> NearestRead | None:
        """The lot nearest to one, None where that one is not on the map."""
        return next((spot.nearest for spot in self.spots if spot.lot == lot), None)


def read_map(table: CupTable) -> MapRead | None:
    """Map the lots of a table; None where fewer than three lots or two attributes could be mapped.

    The resamples are drawn by the digest of the scores, so that the same cups give the same picture.
    """
    if len(table.lots) < FEWEST_LOTS or len(table.attributes) < FEWEST_ATTRIBUTES:
        return None
    try:
        found = map_of_lots(table.as_scores(), rng=np.random.default_rng(int(table.digest[:16], 16)))
    except BadInput:  # lots that nothing ties, no attribute scored on all of them, or nothing that varies
        return None
    if len(found.components.columns) < FEWEST_ATTRIBUTES or len(found.ellipses) < FEWEST_LOTS:
        return None
    return _read(table, found)


def _read(table: CupTable, found: LotMap) -> MapRead:
    distances = distances_between(found)
    nearest = {one.lot: _nearest(one, distances) for one in nearest_lots(found)}
    spots = tuple(
        SpotRead(
            one.lot, one.x, one.y, _known(one.half_long), _known(one.half_short), _known(one.turn),
            nearest[one.lot],
        )
        for one in found.ellipses
    )  # fmt: skip
    gap = emptiest_region(found.components)
    return MapRead(
        table=table,
        spots=spots,
        axes=tuple(_axis(found, at) for at in range(min(_AXES, len(found.components.share)))),
        gap=None if gap is None else _gap(found, gap, spots, table),
        whose=found.whose,
        of_pots=found.of_pots,
        left_out=found.table.left_out,
    )


def _nearest(one: Nearest, distances: tuple[Distance, ...]) -> NearestRead:
    apart = distance_of(distances, one.lot, one.nearest)
    return NearestRead(one.nearest, apart.seen, _known(apart.low), _known(apart.high), _known(one.chance))


def _axis(found: LotMap, at: int) -> AxisRead:
    parts = found.components
    along = dict(zip(parts.columns, parts.column_scores[:, at].tolist(), strict=True))
    points = dict(zip(parts.columns, parts.scale.tolist(), strict=True))
    clear = [name for name in along if abs(along[name]) >= _LEAST_CORRELATION]
    # Of those that go along with it, the ones that move most: a buyer would say roast before a trace.
    told = sorted(
        clear or [max(along, key=lambda name: (abs(along[name]), name))],
        key=lambda name: (-abs(along[name]) * points[name], name),
    )[:_MOST_IN_WORDS]
    return AxisRead(
        float(parts.share[at]),
        tuple(name for name in told if along[name] > 0),
        tuple(name for name in told if along[name] <= 0),
    )


def _gap(found: LotMap, gap: EmptyRegion, spots: tuple[SpotRead, ...], table: CupTable) -> GapRead:
    x, y = gap.place
    return GapRead(
        x,
        y,
        gap.radius,
        gap.around,
        tuple(
            (name, min(max(gap.scores[name], table.scale[0]), table.scale[1])) for name in _best_seen(found)
        ),
        tuple(spot.lot for spot in spots if spot.reaches(x, y)),
    )


def _best_seen(found: LotMap) -> list[str]:
    """The attributes that move most along the two axes, in points."""
    parts = found.components
    shown = np.sqrt((parts.column_scores[:, :_AXES] ** 2).sum(axis=1)) * parts.scale
    seen = dict(zip(parts.columns, shown.tolist(), strict=True))
    return sorted(seen, key=lambda name: (-seen[name], name))[:_MOST_OF_A_GAP]


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def maps_of(tables: Iterable[CupTable]) -> dict[str, MapRead]:
    """Return the maps that can be drawn of some tables, by the tables' digests."""
    found = {table.digest: read_map(table) for table in tables}
    return {digest: one for digest, one in found.items() if one is not None}


def map_on_page(
    flight: FlightRead, flights: Iterable[FlightRead], maps: dict[str, MapRead]
) -> MapRead | None:
    """Return the map that stands on a flight's page: the widest that holds all its lots, each shown once.

    A map of several sittings stands with the flight that has most of its lots; the others show none.
    """
    if flight.profile is None:
        return None
    mine = set(flight.profile.table.lots)
    covering = [
        one for one in maps.values() if flight.flight in one.table.flights and mine <= set(one.table.lots)
    ]
    if not covering:
        return None
    widest = max(covering, key=lambda one: (len(one.table.lots), len(one.table.cups)))
    return widest if _home(widest, flights) is flight else None


def _home(one: MapRead, flights: Iterable[FlightRead]) -> FlightRead | None:
    held = [flight for flight in flights if flight.flight in one.table.flights and flight.profile is not None]
    return max(held, key=lambda flight: len(flight.lots), default=None)
