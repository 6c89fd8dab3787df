"""A flight as it was held: what stood on the table, who tasted, how they agreed, what its cups say."""

from collections import Counter
from dataclasses import dataclass

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.readings.cups import CupTable, is_liking, label_of, table_of_flight
from wetleaf.findings.readings.profiles import ANSWER_WORDS, ProfileRead, read_profile
from wetleaf.findings.records import FlightRow, SeasonRecords
from wetleaf.numerics.profiles import Panel, Scores, panel_of, scale_use
from wetleaf.numerics.profiles.tasters import NOT_MEASURED, Measured, TasterMark, taster_marks

METHOD = "each taster beside the others: level, scale use, agreement, repeats, gain; jackknife over lots"
HALF_OF_THE_SCALE = 0.7  # of the others' spread; below it the page says so
MUCH_OF_THE_SCALE = 1.4


@dataclass(frozen=True)
class TasterRead:
    """How one person tasted in a flight. Levels are in the flight's scale, `spread` is 1 as the others'.

    `agreement` is the correlation with the others. `gain` is what the trust in the table's averages gains by
    this taster. `slopes` holds, by attribute on which the lots differ, the steps taken for each step of the
    table (drawn towards 1); empty where scale use cannot be told.
    """

    name: str
    cups: int
    cups_possible: int
    level: Measured
    spread: Measured
    repeat_sd: float | None
    steady: AnswerWord
    rule: str
    agreement: Measured = NOT_MEASURED
    gain: float | None = None
    slopes: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class TableRead:
    """The table as a whole: `trust` is the share of its averages' spread that is not disagreement.

    `weights` are what the tasters might count, for comparison; nothing uses them, and `said` says so.
    """

    trust: float | None
    weights: tuple[tuple[str, float], ...]
    said: str


@dataclass(frozen=True)
class FlightRead:
    """One flight of the season; `profile` is None when nothing but liking was scored in it."""

    flight: FlightRow
    lots: tuple[str, ...]
    tasters: tuple[TasterRead, ...]
    profile: ProfileRead | None
    missing: int
    digest: str
    table: TableRead | None = None  # with two tasters or more


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
    scores = table.as_scores()
    panel = panel_of(scores)
    tasters = _tasters(table, scores, panel)
    whole = _whole(panel) if len(tasters) > 1 else None
    return FlightRead(flight, tuple(sorted(served)), tasters, profile, missing, table.digest, whole)


def _whole(panel: Panel) -> TableRead:
    weights = panel.weights or {}
    return TableRead(panel.trust, tuple(sorted(weights.items())), panel.said)


def _tasters(table: CupTable, scores: Scores, panel: Panel) -> tuple[TasterRead, ...]:
    pots = {(cup.lot, cup.pot, cup.replicate) for cup in table.cups}
    uses = scale_use(scores)
    return tuple(
        _taster(
            mark,
            len(pots),
            panel.gain.get(mark.taster),
            tuple(
                (use.attribute, use.slopes[mark.taster].drawn) for use in uses if mark.taster in use.slopes
            ),
        )
        for mark in taster_marks(scores)
    )


def _taster(
    mark: TasterMark, possible: int, gain: float | None, slopes: tuple[tuple[str, float], ...]
) -> TasterRead:
    return TasterRead(
        mark.taster,
        mark.cups,
        possible,
        mark.level,
        mark.range_used,
        mark.repeat_sd,
        ANSWER_WORDS[mark.steady],
        mark.rule,
        mark.agreement,
        gain,
        slopes,
    )


def _counted(records: SeasonRecords, flight: FlightRow) -> tuple[TasterRead, ...]:
    """Who tasted where only liking was asked: the cups are counted, nothing else can be said."""
    cups = Counter(
        row.taster
        for row in records.scores
        if row.flight == flight.pk and row.value is not None and is_liking(row.attribute)
    )
    most = max(cups.values(), default=0)
    why = "Only liking was scored."
    return tuple(
        TasterRead(name, number, most, NOT_MEASURED, NOT_MEASURED, None, "can't tell yet", why)
        for name, number in sorted(cups.items())
    )
