"""Everything the book of a season rests on, as plain frozen rows; `fetching.py` fetches them.

Answers that a later one replaced are not among them. Facts and offers come oldest first, so the latest of a
field is the last.
"""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any


@dataclass(frozen=True)
class LotRow:
    """A lot on the books; `key` is its code, with the season where two seasons share the code."""

    pk: int
    key: str
    code: str
    name: str
    season: str
    producer: str
    contact: str
    line: str
    tea_class: str
    source: str


@dataclass(frozen=True)
class SampleRow:
    """A sample, the grams ever weighed in and those left; None where nothing was weighed."""

    pk: int
    lot: int
    code: str
    kind: str
    received_on: dt.date | None
    grams_per_brew: Decimal
    grams_in: Decimal | None
    grams_left: Decimal | None


@dataclass(frozen=True)
class FlightRow:
    """A flight; `blind` is None when no sheet says so."""

    pk: int
    name: str
    season: str
    held_on: dt.date | None
    blind: bool | None
    brewed: str
    purpose: str
    scale: tuple[float, float]
    source: str
    title: str = ""  # the name, with its year where a reader could take it for another flight

    @property
    def told(self) -> str:
        """What the flight is called where flights of several years stand together."""
        return self.title or self.name


@dataclass(frozen=True)
class ScoreRow:
    """One score that holds; `value` is None unless its status is ok."""

    flight: int
    sample: int
    taster: str
    brew: str
    attribute: str
    stage: str
    replicate: str
    value: float | None
    status: str


@dataclass(frozen=True)
class VerdictRow:
    """A verdict as it was given."""

    pk: int
    sample: int
    flight: int | None
    taster: str
    by_buyer: bool
    word: str
    liking: float | None
    scale: tuple[float, float]
    given_on: dt.date | None


@dataclass(frozen=True)
class DecisionRow:
    """What the buyer noted of a lot as a whole; `replaced` by a later note. `price` is private."""

    lot: int
    word: str
    step: str
    why: str
    kilos: Decimal | None
    price: str
    noted_on: dt.date | None
    rests_on: tuple[tuple[str, str, str], ...]  # question, answer, digest
    replaced: bool = False


@dataclass(frozen=True)
class RemarkRow:
    """A remark that holds."""

    sample: int
    flight: int | None
    taster: str
    stage: str
    text: str


@dataclass(frozen=True)
class PreferenceRow:
    """Which of two samples was preferred; neither `winner` nor `tie`: the answer could not be used."""

    taster: str
    first: int
    second: int
    winner: int | None
    tie: bool


@dataclass(frozen=True)
class TrialRow:
    """A triangle: the samples served, by position, and whether the odd cup was found."""

    taster: str
    cups: tuple[int, ...]
    correct: bool | None


@dataclass(frozen=True)
class RetasteRow:
    """A lot tasted some days after its roast."""

    lot: int
    roasted_on: dt.date | None
    tasted_on: dt.date | None
    ready: str
    doubtful: bool
    roast_aroma: float | None = None
    remark: str = ""


@dataclass(frozen=True)
class FactRow:
    """A fact as it was said; the later of a field holds."""

    field: str
    written: str
    value: Any
    ground: str
    source: str
    said_at: dt.datetime


@dataclass(frozen=True)
class OfferRow:
    """An offer; `until` is the day it ends as far as a day is known."""

    price_per_kg: Decimal | None
    currency: str
    written: str
    minimum_grams: Decimal | None
    available_grams: Decimal | None
    until: dt.date | None
    until_written: str
    held_until: dt.date | None
    deposit: str
    source: str
    lacks_weight: bool = False  # an amount of money, and not for which weight
    noted_on: dt.date | None = None


@dataclass(frozen=True)
class TargetRow:
    """What a line should be on an attribute ("" for all): the value, and how far it may lie off."""

    attribute: str
    value: float | None
    tolerance: float | None


@dataclass(frozen=True)
class LineRow:
    """A line as the shop keeps it."""

    name: str
    tea_class: str
    wanted_kg: Decimal | None


@dataclass(frozen=True)
class DroppedRow:
    """A cell left out or inferred at import."""

    sheet: str
    cell: str
    says: str
    kind: str
    severity: str
    why: str


@dataclass(frozen=True)
class MakingRow:
    """A child lot's way from a parent: grams in and out, and what was lost in per cent, where known."""

    parent: str
    child: str
    kind: str
    grams_in: Decimal | None = None
    grams_out: Decimal | None = None
    loss_percent: Decimal | None = None
    made_on: dt.date | None = None


@dataclass(frozen=True)
class SeasonRecords:
    """A season, the season before it, and every row the book reads."""

    season: str
    before: str
    is_invented: bool
    lots: tuple[LotRow, ...]  # of this season
    other_lots: tuple[LotRow, ...]  # of the season before, and of kept samples from further back
    samples: tuple[SampleRow, ...]
    flights: tuple[FlightRow, ...]
    scores: tuple[ScoreRow, ...]
    verdicts: tuple[VerdictRow, ...]
    remarks: tuple[RemarkRow, ...]
    preferences: tuple[PreferenceRow, ...]
    trials: tuple[TrialRow, ...]
    retastes: tuple[RetasteRow, ...]
    facts: dict[int, tuple[FactRow, ...]]
    offers: dict[int, OfferRow]
    lines: dict[str, LineRow]
    targets: dict[str, dict[str, TargetRow]]
    dropped: tuple[DroppedRow, ...]
    files: tuple[tuple[str, str], ...]  # name and digest
    makings: tuple[MakingRow, ...]
    earlier_verdicts: tuple[VerdictRow, ...] = ()  # those that a later one replaced
    decisions: tuple[DecisionRow, ...] = ()  # oldest first

    @cached_property
    def lot_of(self) -> dict[int, LotRow]:
        """Every known lot by its row."""
        return {lot.pk: lot for lot in (*self.lots, *self.other_lots)}

    @cached_property
    def sample_of(self) -> dict[int, SampleRow]:
        """Every known sample by its row."""
        return {sample.pk: sample for sample in self.samples}

    @cached_property
    def flight_of(self) -> dict[int, FlightRow]:
        """Every flight by its row."""
        return {flight.pk: flight for flight in self.flights}

    @cached_property
    def samples_of(self) -> dict[int, tuple[SampleRow, ...]]:
        """The samples of each lot."""
        found: dict[int, list[SampleRow]] = defaultdict(list)
        for sample in self.samples:
            found[sample.lot].append(sample)
        return {lot: tuple(samples) for lot, samples in found.items()}

    def lot_of_sample(self, sample: int) -> LotRow:
        """The lot a sample was taken from."""
        return self.lot_of[self.sample_of[sample].lot]
