"""Is it last year's tea? This year's lot against last year's, through the cups in which the two met.

They meet when last year's kept sample is served beside this year's lots, or through another tea that was served in
flights of both. Where they never met there is nothing to compute: only the words of both years can be read.
"""

from dataclasses import dataclass

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.readings.forebears import kept_sample, last_years_lot
from wetleaf.findings.readings.profiles import ProfileRead
from wetleaf.findings.records import LotRow, SeasonRecords

METHOD = "differences from last year's lot on the taster by lot stratum, adjusted for their number"


@dataclass(frozen=True)
class ChangeRead:
    """How one attribute moved from last year's lot to this year's."""

    label: str
    difference: float
    low: float | None
    high: float | None
    tolerance: float | None
    answer: AnswerWord  # to "has it moved?"


@dataclass(frozen=True)
class YearsRead:
    """This year's lot against last year's. `answer` is to "is it last year's tea?"; no table: they never met."""

    lot: LotRow
    before: LotRow
    answer: AnswerWord
    why: str
    changes: tuple[ChangeRead, ...]
    profile: ProfileRead | None
    how_met: str
    settle: str
    digest: str

    @property
    def moved(self) -> tuple[ChangeRead, ...]:
        """What moved, the largest first."""
        return tuple(change for change in self.changes if change.answer == "yes")

    def change(self, label: str) -> ChangeRead | None:
        """The change of one attribute."""
        return next((change for change in self.changes if change.label == label), None)


def read_years(records: SeasonRecords, profiles: tuple[ProfileRead, ...]) -> dict[int, YearsRead]:
    """Return how each lot stands to last year's lot of its line, by the lot's row; lots without one are left out."""
    found: dict[int, YearsRead] = {}
    for lot in records.lots:
        before = last_years_lot(records, lot)
        if before is not None:
            found[lot.pk] = _compared(records, lot, before, profiles)
    return found


def _compared(
    records: SeasonRecords, lot: LotRow, before: LotRow, profiles: tuple[ProfileRead, ...]
) -> YearsRead:
    shared = [one for one in profiles if {lot.key, before.key} <= set(one.table.lots)]
    profile = max(shared, key=lambda one: (one.table.blind, len(one.table.cups)), default=None)
    if profile is None:
        return YearsRead(
            lot, before, "can't tell yet", _why_never_met(records, lot, before), (), None, "", "", ""
        )
    return _met(records, lot, before, profile)


def _met(records: SeasonRecords, lot: LotRow, before: LotRow, profile: ProfileRead) -> YearsRead:
    raise NotImplementedError


def _why_never_met(records: SeasonRecords, lot: LotRow, before: LotRow) -> str:
    scored = {records.lot_of_sample(row.sample).pk for row in records.scores if row.value is not None}
    if lot.pk not in scored:
        return "this year's was not scored, so only the words of both years can be read"
    if before.pk not in scored:
        return "last year's was never scored, so only the words of both years can be read"
    if kept_sample(records, before) is None:
        return "the two were never served together, no tea ties their flights, and no sample was kept"
    return "the two were never served together and no tea ties their flights; a kept sample is there"


def _how_met(lot: LotRow, before: LotRow, profile: ProfileRead) -> str:
    table = profile.table
    flights_of = {key: {cup.flight for cup in table.cups if cup.lot == key} for key in (lot.key, before.key)}
    both = flights_of[lot.key] & flights_of[before.key]
    how = "blind" if table.blind else "open"
    if both:
        names = [flight.name for flight in table.flights if flight.pk in both]
        return f"{before.code} was served beside it, {how}, in {' and '.join(names)}"
    ties = sorted({cup.lot for cup in table.cups} - {lot.key, before.key})
    return f"the two flights are tied by other teas ({', '.join(ties)}), {how}"
