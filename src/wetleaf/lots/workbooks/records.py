"""What is read from a workbook: plain frozen records, each knowing the cells it came from.

`read_book` (in `reading.py`) makes a `ReadBook`; `sheets.intake` stores one; `writing.py` makes a workbook
from one. Field names are those of the JSON that `wetleaf import --dry-run --json` prints.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from wetleaf.trade.dates import PartialDate
from wetleaf.trade.money import Price
from wetleaf.trade.quantities import Degree, Elevation

Severity = Literal["error", "warn", "info"]
ScoreStatus = Literal["ok", "missing", "censored", "range", "out_of_range", "not_a_number", "error_value"]


@dataclass(frozen=True)
class Cell:
    """Where something stood, and what stood there, as written; `sheet` is "" in a CSV file.

    `says` is a formula where there is one, `cached` then its last value; `native` is how it was stored (text,
    number, date, truth, formula, empty); `merged` names the range that a merged cell covers.
    """

    sheet: str
    cell: str
    says: str
    native: str = "text"
    cached: str = ""
    merged: str = ""


@dataclass(frozen=True)
class Column:
    """How a column was understood, and why; `read_as` is a field name, `attribute` only for score
    columns, `taster` only where the head names one.
    """

    sheet: str
    column: str
    header: str
    read_as: str
    why: str
    attribute: str = ""
    stage: str = ""
    taster: str = ""


@dataclass(frozen=True)
class Problem:
    """A cell that could not be used as it stands (`error`), was inferred (`warn`) or tidied (`info`)."""

    sheet: str | None
    cell: str | None
    says: str
    kind: str
    severity: Severity
    why: str
    do: str
    column: str = ""
    record: str = ""


@dataclass(frozen=True)
class LotRow:
    """One lot as its row tells it. `cells` maps each field to its cell; a value of None was not
    usable or not said.

    `facts` holds the further text fields by name, as written: grade, invoice, press_year, opened,
    kept, weather, firing, competition, garden_mark, vintage, season, tea_class, line, parent,
    making, contact, claims, hold, deposit, organic, residue.
    """

    sheet: str
    row: int
    code: str | None
    name: str | None = None
    producer: str | None = None
    region: str | None = None
    elev: Elevation | None = None
    harvest: PartialDate | None = None
    cv: str | None = None
    ox: Degree | None = None
    roast: Degree | None = None
    price: Price | None = None
    moq_grams: Decimal | None = None
    moq_grams_max: Decimal | None = None  # only where a range is written; the plain field is its lower end
    avail_grams: Decimal | None = None
    avail_grams_max: Decimal | None = None
    sample_grams: Decimal | None = None
    sample_received: PartialDate | None = None
    offer_until: PartialDate | None = None
    loss_percent: Decimal | None = None
    markup: Decimal | None = None
    claims: str | None = None
    facts: Mapping[str, str] = field(default_factory=dict)
    cells: Mapping[str, Cell] = field(default_factory=dict)
    claims_are_ours: bool = False  # plain remarks: the buyer's own, not what the maker states


@dataclass(frozen=True)
class SampleCode:
    """A code used at the table, with the lot rows (sheet, row) that carry it; two rows make it ambiguous.

    A sample of a lot without a row here names it by `of_lot`, and the season of such a lot by `of_season`.
    """

    code: str
    lots: tuple[tuple[str, int], ...]
    ambiguous: bool
    kind: str = "offer"  # offer, roast trial, pre-shipment, arrival, kept
    of_lot: str = ""
    of_season: str = ""
    received_on: dt.date | None = None


@dataclass(frozen=True)
class Sitting:
    """A tasting as a sheet tells it: its name, when it was, how it was brewed, on which scale."""

    name: str
    sheet: str
    held_on: dt.date | None = None
    blind: bool | None = None
    brewed: str = ""
    purpose: str = ""
    scale_low: float | None = None
    scale_high: float | None = None


@dataclass(frozen=True)
class Score:
    """One score cell; only `ok` has a value. `sample` or `taster` is None when it cannot be known."""

    cell: Cell
    row: int
    taster: str | None
    taster_raw: str
    sample: str | None
    sample_raw: str
    attribute: str
    value: float | None
    status: ScoreStatus
    stage: str = ""
    replicate: str = ""
    brew: str = ""
    sitting: str = ""
    lower: float | None = None
    upper: float | None = None
    sample_from_neighbouring_rows: str | None = None


@dataclass(frozen=True)
class Note:
    """A remark as written, by whom and of what, when that is known."""

    cell: Cell
    text: str
    taster: str | None = None
    taster_raw: str = ""
    sample: str | None = None
    sample_raw: str = ""
    stage: str = ""
    sitting: str = ""


@dataclass(frozen=True)
class Verdict:
    """Keep, maybe or no, and a liking on its scale: a first pass over a lot, often the buyer's own."""

    cell: Cell
    sample: str | None
    sample_raw: str = ""
    taster: str | None = None
    verdict: Literal["keep", "maybe", "no"] | None = None
    liking: float | None = None
    scale_low: float | None = None
    scale_high: float | None = None
    sitting: str = ""
    on: dt.date | None = None


@dataclass(frozen=True)
class Preference:
    """Which of two was preferred: a sample code, `tie`, or None when the answer cannot be used."""

    cell: Cell
    row: int
    taster: str | None
    taster_raw: str
    a: str
    b: str
    winner: str | None
    tie: bool = False
    why: str | None = None


@dataclass(frozen=True)
class Triangle:
    """Three cups, the odd one and the one picked (1, 2, 3); `correct` is None when the trial
    cannot be used.
    """

    cell: Cell
    row: int
    taster: str | None
    taster_raw: str
    cups: tuple[str, ...]
    odd_cup: int | None
    picked: int | None
    correct: bool | None
    usable: bool
    remark: str | None = None
    odd_said: int | None = None  # what the sheet says, where the cups tell another


@dataclass(frozen=True)
class Retaste:
    """A tasting of a roasted lot some days after its roast, and whether it was found ready."""

    cell: Cell
    row: int
    lot: str
    roast_date: dt.date | None
    taste_date: dt.date | None
    days: int | None
    roast_aroma: float | None
    ready: Literal["not_ready", "nearly", "ready"] | None
    doubtful: bool = False
    remark: str | None = None


@dataclass(frozen=True)
class LedgerEntry:
    """Grams of a sample in (positive) or out (negative), what for and when."""

    cell: Cell
    sample: str
    grams: Decimal
    what: str
    on: dt.date | None = None


@dataclass(frozen=True)
class LineRow:
    """A tea the shop keeps from year to year: its class, the kilos wanted, the profile it should have."""

    cell: Cell
    name: str
    tea_class: str = ""
    wanted_kg: Decimal | None = None
    attribute: str = ""
    target: float | None = None
    tolerance: float | None = None


@dataclass(frozen=True)
class SheetReport:
    """What a sheet, or one of its tables, was taken for; rows as in the file."""

    sheet: str
    role: str
    header_rows: tuple[int, ...] = ()
    first_row: int | None = None
    last_row: int | None = None
    hidden_columns: tuple[str, ...] = ()
    ignored_rows: tuple[tuple[int, str], ...] = ()
    blank_rows: tuple[int, ...] = ()
    scale: tuple[float, float] | None = None
    scale_source: str = ""


@dataclass(frozen=True)
class Decision:
    """What the buyer decided of a whole lot: keep, maybe, no, or a next step in words; and why."""

    cell: Cell
    lot: str
    said: str
    why: str = ""
    kilos: Decimal | None = None
    price: str = ""  # as written
    on: dt.date | None = None


@dataclass(frozen=True)
class ReadBook:
    """Everything read from one file, and everything that could not be."""

    file: str
    digest: str  # SHA-256 of the file's bytes
    kind: str  # xlsx, ods, csv
    roles: Mapping[str, str]  # sheet name -> lots, scores_long, scores_wide, notes, ...
    columns: tuple[Column, ...] = ()
    lots: tuple[LotRow, ...] = ()
    samples: tuple[SampleCode, ...] = ()
    sittings: tuple[Sitting, ...] = ()
    scores: tuple[Score, ...] = ()
    notes: tuple[Note, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    preferences: tuple[Preference, ...] = ()
    triangles: tuple[Triangle, ...] = ()
    retastes: tuple[Retaste, ...] = ()
    ledger: tuple[LedgerEntry, ...] = ()
    lines: tuple[LineRow, ...] = ()
    decisions: tuple[Decision, ...] = ()
    problems: tuple[Problem, ...] = ()
    comments: tuple[Cell, ...] = ()
    taster_aliases: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    season: str = ""  # as a title row names it, "Spring 2025"; never used without being shown
    sheets: tuple[SheetReport, ...] = ()
    encoding: str = ""  # of a CSV
    separator: str = ""
    sheet_seasons: Mapping[str, str] = field(default_factory=dict)  # what each sheet of lots speaks of
