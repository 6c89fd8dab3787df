"""A flight as it was held: what stood on the table, who tasted, how they agreed, what its cups say."""

from collections import Counter
from dataclasses import dataclass

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.readings.cups import CupTable, is_liking, label_of, table_of_flight
from wetleaf.findings.readings.profiles import ANSWER_WORDS, ProfileRead, read_profile
from wetleaf.findings.records import FlightRow, SeasonRecords
from wetleaf.numerics.profiles.tasters import Measured, TasterMark, taster_marks

METHOD = (
    "each taster beside the others: level, use of the scale, agreement, repeated cups; jackknife over lots"
)
HALF_OF_THE_SCALE = 0.7  # of the others' spread; below it the page says so
MUCH_OF_THE_SCALE = 1.4


@dataclass(frozen=True)
class TasterRead:
    """How one person tasted in a flight. Levels are in the flight's scale, `spread` is 1 as the others'."""

    name: str
    cups: int
    cups_possible: int
    level: Measured
    spread: Measured
    repeat_sd: float | None
    steady: AnswerWord
    rule: str


@dataclass(frozen=True)
class FlightRead:
    """One flight of the season; `profile` is None when nothing but liking was scored in it."""

    flight: FlightRow
    lots: tuple[str, ...]
    tasters: tuple[TasterRead, ...]
    profile: ProfileRead | None
    missing: int
    digest: str


def read_flights(records: SeasonRecords, profiles: tuple[ProfileRead, ...]) -> tuple[FlightRead, ...]:
    """Return the season's own flights in the order they were held."""
    mine = [flight for flight in records.flights if flight.season == records.season]
    return tuple(_flight(records, flight, profiles) for flight in mine)


def _flight(records: SeasonRecords, flight: FlightRow, profiles: tuple[ProfileRead, ...]) -> FlightRead:
    table = table_of_flight(records, flight)
    rows = [row for row in records.scores if row.flight == flight.pk]
    served = {label_of(records.lot_of_sample(row.sample), records.sample_of[row.sample]) for row in rows}
    missing = sum(row.value is None for row in rows)
    if table is None:
        return FlightRead(flight, tuple(sorted(served)), _counted(records, flight), None, missing, "")
    known = next((one for one in profiles if one.table.digest == table.digest), None)
    profile = known or read_profile(table)
    return FlightRead(flight, tuple(sorted(served)), _tasters(table), profile, missing, table.digest)


def _tasters(table: CupTable) -> tuple[TasterRead, ...]:
    pots = {(cup.lot, cup.pot, cup.replicate) for cup in table.cups}
    return tuple(_taster(mark, len(pots)) for mark in taster_marks(table.as_scores()))


def _taster(mark: TasterMark, possible: int) -> TasterRead:
    return TasterRead(
        mark.taster,
        mark.cups,
        possible,
        mark.level,
        mark.range_used,
        mark.repeat_sd,
        ANSWER_WORDS[mark.steady],
        mark.rule,
    )


def _counted(records: SeasonRecords, flight: FlightRow) -> tuple[TasterRead, ...]:
    """Who tasted where only liking was asked: the cups are counted, nothing else can be said."""
    nothing = Measured(None, None, None)
    cups = Counter(
        row.taster
        for row in records.scores
        if row.flight == flight.pk and row.value is not None and is_liking(row.attribute)
    )
    most = max(cups.values(), default=0)
    why = "Only liking was scored."
    return tuple(
        TasterRead(name, number, most, nothing, nothing, None, "can't tell yet", why)
        for name, number in sorted(cups.items())
    )
