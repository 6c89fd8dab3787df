"""Which scores may stand in one table: of one class, on one scale, blind or open, tied by shared lots.

A flight ties its lots; a tea served in two flights (a bridge cup) ties those flights. Lots that nothing
ties are never compared. Blind and open tastings are never pooled; scores on another scale are never
converted: both are left out, and said.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from wetleaf.findings.grounds import digest_of
from wetleaf.findings.records import FlightRow, LotRow, SampleRow, ScoreRow, SeasonRecords
from wetleaf.numerics.likings import Rating, pots_of
from wetleaf.numerics.profiles.scores import Scores
from wetleaf.trade.spelling import fold
from wetleaf.trade.stages import stage as stage_of

Scale = tuple[float, float]

# Of how well a lot is liked, not of how strong anything is in it: such a column goes to the liking.
LIKING_NAMES = frozenset(
    fold(name)
    for name in [
        "overall",
        "overall liking",
        "overall quality",
        "overall score",
        "overall impression",
        "liking",
        "liked",
        "quality",
        "score",
        "total",
        "hedonic",
        "enjoyment",
        "preference",
        "gesamt",
        "gesamteindruck",
        "gefallen",
        "note",
        "note globale",
        "appréciation",
        "总分",
        "总评",
        "综合",
        "喜好",
        "總分",
        "總評",
        "綜合",
        "総合",
        "総合評価",
        "好み",
    ]
)


@dataclass(frozen=True)
class Cup:
    """One cup as one taster scored it: the lot, the pot it was poured from, and the scores by attribute."""

    lot: str
    taster: str
    flight: int
    pot: str
    replicate: str
    scores: dict[str, float]


@dataclass(frozen=True)
class AttributeOfTable:
    """An attribute's column: its label in the table, the name as written, its stage or ""."""

    label: str
    attribute: str
    stage: str


@dataclass(frozen=True)
class CupTable:
    """Cups that may be compared with each other. Lots go by their keys."""

    tea_class: str
    blind: bool
    scale: Scale
    flights: tuple[FlightRow, ...]
    attributes: tuple[AttributeOfTable, ...]
    cups: tuple[Cup, ...]

    @cached_property
    def lots(self) -> tuple[str, ...]:
        """The lots, in the order of their codes."""
        return tuple(sorted({cup.lot for cup in self.cups}))

    @cached_property
    def tasters(self) -> tuple[str, ...]:
        """Everyone who scored a cup of it."""
        return tuple(sorted({cup.taster for cup in self.cups}))

    @cached_property
    def poured(self) -> tuple[str, ...]:
        """The pot of each cup, named or by the rule of `likings.pots_of`; pots belong to their sitting."""
        names = {flight.pk: f"{flight.season}/{flight.name}" for flight in self.flights}
        known = zip(self.cups, _pots_as_named(self.cups), strict=True)
        return pots_of([Rating(cup.lot, cup.taster, None, pot, names[cup.flight]) for cup, pot in known])

    @cached_property
    def pots(self) -> dict[str, int]:
        """How many pots of each lot were poured, as `poured` has them."""
        return Counter(lot for lot, _ in set(zip((cup.lot for cup in self.cups), self.poured, strict=True)))

    @cached_property
    def unnamed(self) -> frozenset[str]:
        """The lots poured from a pot that nobody named: which of their cups share it is taken by the rule."""
        named = {(cup.lot, cup.flight) for cup in self.cups if cup.pot}
        return frozenset(cup.lot for cup in self.cups if (cup.lot, cup.flight) not in named)

    def differences(self, label: str, lot: str, other: str) -> tuple[float, ...]:
        """One lot less another as each taster has it who scored both in a sitting; over sittings the mean."""
        given: dict[tuple[str, int], dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
        for cup in self.cups:
            if cup.lot in (lot, other) and label in cup.scores:
                given[cup.taster, cup.flight][cup.lot].append(cup.scores[label])
        apart: dict[str, list[float]] = defaultdict(list)
        for (taster, _), of_lots in given.items():
            if len(of_lots) > 1:
                apart[taster].append(float(np.mean(of_lots[lot]) - np.mean(of_lots[other])))
        return tuple(float(np.mean(own)) for own in apart.values())

    @cached_property
    def digest(self) -> str:
        """The digest of every score in the table."""
        names = {flight.pk: f"{flight.season}/{flight.name}" for flight in self.flights}
        rows = (
            (cup.lot, cup.taster, names[cup.flight], cup.pot, cup.replicate, label, value)
            for cup in self.cups
            for label, value in cup.scores.items()
        )
        return digest_of(rows, blind=self.blind, scale=list(self.scale))

    def as_scores(self) -> Scores:
        """The table as arrays: a row a cup, a column an attribute."""
        names = {flight.pk: f"{flight.season}/{flight.name}" for flight in self.flights}
        several = len(self.flights) > 1
        values = [[cup.scores.get(a.label, np.nan) for a in self.attributes] for cup in self.cups]
        return Scores(
            lots=[cup.lot for cup in self.cups],
            tasters=[cup.taster for cup in self.cups],
            values=np.array(values, dtype=float).reshape(len(self.cups), len(self.attributes)),
            attributes=[attribute.label for attribute in self.attributes],
            replicates=[cup.replicate for cup in self.cups],
            sittings=[names[cup.flight] for cup in self.cups] if several else None,
            brews=list(self.poured),
        )


@lru_cache(maxsize=1024)
def is_liking(attribute: str) -> bool:
    """Tell whether a column says how well a tea was liked rather than how strong something is in it.

    >>> is_liking("Overall"), is_liking("Roast")
    (True, False)
    """
    return fold(attribute) in LIKING_NAMES


def tables_of(records: SeasonRecords, classes: dict[int, str]) -> tuple[CupTable, ...]:
    """Return every table of intensities that may be made of a season and the one before, the largest first.

    `classes` gives each lot's class by the lot's row.
    """
    scores = [row for row in records.scores if row.value is not None and not is_liking(row.attribute)]
    apart: dict[tuple[str, bool, Scale], list[ScoreRow]] = defaultdict(list)
    for row in scores:
        flight = records.flight_of[row.flight]
        lot = records.lot_of_sample(row.sample)
        apart[classes.get(lot.pk, ""), flight.blind is True, flight.scale].append(row)
    tables = [
        _table(records, key, rows) for key, together in apart.items() for rows in _tied(records, together)
    ]
    return tuple(sorted(tables, key=lambda table: (-len(table.cups), table.lots)))


def table_of_flight(records: SeasonRecords, flight: FlightRow) -> CupTable | None:
    """Return the intensities of one flight, all its classes together: how its tasters agreed.

    None without any.
    """
    rows = [
        row
        for row in records.scores
        if row.flight == flight.pk and row.value is not None and not is_liking(row.attribute)
    ]
    return _table(records, ("", flight.blind is True, flight.scale), rows) if rows else None


def brews_of(table: CupTable, lot: str) -> int:
    """How many pots a lot was poured from, as `CupTable.poured` has them."""
    return table.pots.get(lot, 0)


def _pots_as_named(cups: tuple[Cup, ...]) -> list[str | None]:
    """Return each cup's pot by name: its own, else one of its lot in that sitting that its taster lacks, else
    the replicate's, since a replicate is a new brew; None when nothing names it.

    A cell left empty among named pots is thus one of those pots and no pot of its own.
    """
    named: dict[tuple[str, int], dict[str, None]] = defaultdict(dict)
    met: dict[tuple[str, int, str], set[str]] = defaultdict(set)
    for cup in cups:
        if cup.pot:
            named[cup.lot, cup.flight][cup.pot] = None
            met[cup.lot, cup.flight, cup.taster].add(cup.pot)
    found: list[str | None] = []
    for cup in cups:
        had = met[cup.lot, cup.flight, cup.taster]
        left = (pot for pot in sorted(named.get((cup.lot, cup.flight), ())) if pot not in had)
        pot = cup.pot or next(left, None)
        if pot:
            had.add(pot)
        found.append(pot or cup.replicate or None)
    return found


def tasters_of(table: CupTable, lot: str) -> frozenset[str]:
    """Who tasted a lot."""
    return frozenset(cup.taster for cup in table.cups if cup.lot == lot)


def label_of(lot: LotRow, sample: SampleRow) -> str:
    """Name what was in the cup: the lot, or a roast trial or delivery of it, which is another tea.

    An offer sample and a kept one stand for their lot.
    """
    is_lot_itself = sample.kind in ("offer", "kept") or sample.code == lot.code
    return lot.key if is_lot_itself else f"{lot.key}: {sample.kind} {sample.code}"


def _tied(records: SeasonRecords, rows: list[ScoreRow]) -> Iterable[list[ScoreRow]]:
    """Part the rows into what lots tasted together, and teas served in two flights, tie to each other."""
    group_of: dict[object, int] = {}
    members: dict[int, set[object]] = {}
    for number, (flight, sample) in enumerate({(row.flight, _cup_name(records, row)): None for row in rows}):
        ends: tuple[object, object] = (("flight", flight), ("tea", sample))
        joined = {group_of[end] for end in ends if end in group_of}
        together = set(ends).union(*(members.pop(group) for group in joined))
        members[number] = together
        group_of.update(dict.fromkeys(together, number))
    found: dict[int, list[ScoreRow]] = defaultdict(list)
    for row in rows:
        found[group_of["flight", row.flight]].append(row)
    return found.values()


def _cup_name(records: SeasonRecords, row: ScoreRow) -> str:
    return label_of(records.lot_of_sample(row.sample), records.sample_of[row.sample])


@lru_cache(maxsize=1024)
def _folded(attribute: str) -> str:
    return fold(attribute)


def _table(records: SeasonRecords, key: tuple[str, bool, Scale], rows: list[ScoreRow]) -> CupTable:
    columns = _columns(rows)
    flights = sorted(
        {records.flight_of[row.flight] for row in rows},
        key=lambda f: (f.held_on is None, str(f.held_on), f.name),
    )
    return CupTable(
        tea_class=key[0],
        blind=key[1],
        scale=key[2],
        flights=tuple(flights),
        attributes=tuple(sorted(set(columns.values()), key=lambda column: column.label)),
        cups=_cups(records, rows, columns),
    )


def _cups(
    records: SeasonRecords, rows: list[ScoreRow], columns: dict[tuple[str, str], AttributeOfTable]
) -> tuple[Cup, ...]:
    cups: dict[tuple[str, str, int, str, str], dict[str, float]] = defaultdict(dict)
    for row in rows:
        if row.value is not None:
            where = (_cup_name(records, row), row.taster, row.flight, row.brew, row.replicate)
            cups[where][columns[_folded(row.attribute), row.stage].label] = row.value
    return tuple(Cup(*where, scores) for where, scores in sorted(cups.items(), key=lambda cup: cup[0]))


def _columns(rows: list[ScoreRow]) -> dict[tuple[str, str], AttributeOfTable]:
    """One column an attribute and stage; the stage is in the label only where two share the name."""
    written: dict[tuple[str, str], str] = {}
    for row in rows:
        written.setdefault((_folded(row.attribute), row.stage), row.attribute.strip())
    stages_of = Counter(name for name, _ in written)
    return {
        (name, stage): AttributeOfTable(_label(text, stage if stages_of[name] > 1 else ""), text, stage)
        for (name, stage), text in written.items()
    }


def _label(text: str, stage: str) -> str:
    """An attribute as it stands in a sentence: "Roast" is roast, "CO2" stays."""
    said = text if text[1:2].isupper() else text[:1].lower() + text[1:]
    return f"{said}, {stage_of(stage).name}" if stage else said
