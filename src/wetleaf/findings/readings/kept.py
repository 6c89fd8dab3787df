"""Kept samples that stood on a table: how old when poured, how kept, and how their kind keeps."""

import datetime as dt
from dataclasses import dataclass

from wetleaf.findings.readings.forebears import kept_sample
from wetleaf.findings.readings.stated import StatedLot
from wetleaf.findings.readings.years import YearsRead
from wetleaf.findings.records import LotRow, SampleRow, SeasonRecords
from wetleaf.trade.keeping import Keeping, keeping_of

_DAYS_A_MONTH = 30.44


@dataclass(frozen=True)
class KeptRead:
    """A kept sample. `served_on` is the last day it was poured; None where it is only there to be poured.

    Ages are in months on that day, or on the day of the book; None where no date gives them.
    """

    lot: LotRow
    served_on: dt.date | None
    months_since_picking: int | None
    months_since_arrival: int | None
    how: str
    opened: str
    keeping: Keeping | None

    @property
    def is_stable(self) -> bool:
        """Whether its kind holds for a year, so that it can stand for the tea it was."""
        return self.keeping is not None and self.keeping.is_stable


def kept_for(
    years: YearsRead, records: SeasonRecords, stated: dict[int, StatedLot], on: dt.date
) -> tuple[KeptRead, ...]:
    """Return the kept samples that a comparison of years rests on, last year's own before other ties.

    Where the two never met, the sample that is there to be poured; empty when none was kept.
    """
    poured = _poured(years, records)
    own = kept_sample(records, years.before)
    samples = [own] if own and (own.pk in poured or not poured) else []
    samples += [sample for sample in poured.values() if sample not in samples]
    return tuple(_read(sample, years, records, stated, on) for sample in samples)


def _poured(years: YearsRead, records: SeasonRecords) -> dict[int, SampleRow]:
    """The kept samples scored in the flights of the comparison that this year's lot is tied through."""
    if years.profile is None:
        return {}
    flights = {flight.pk for flight in years.profile.table.flights}
    scored = dict.fromkeys(row.sample for row in records.scores if row.flight in flights)
    return {pk: records.sample_of[pk] for pk in scored if records.sample_of[pk].kind == "kept"}


def _read(
    sample: SampleRow, years: YearsRead, records: SeasonRecords, stated: dict[int, StatedLot], on: dt.date
) -> KeptRead:
    lot = records.lot_of[sample.lot]
    said = stated[lot.pk]
    served = _last_served(sample, years, records)
    came = sample.received_on or _came(lot, records)
    return KeptRead(
        lot,
        served,
        _months(said.harvest_from, served or on),
        _months(came, served or on),
        said.written("kept"),
        said.written("opened"),
        keeping_of(said.tea_class, roast=said.written("roast"), making=_making(said)),
    )


def _last_served(sample: SampleRow, years: YearsRead, records: SeasonRecords) -> dt.date | None:
    flights = {flight.pk for flight in years.profile.table.flights} if years.profile else set()
    poured = {row.flight for row in records.scores if row.sample == sample.pk and row.flight in flights}
    return max((day for one in poured if (day := records.flight_of[one].held_on)), default=None)


def _came(lot: LotRow, records: SeasonRecords) -> dt.date | None:
    """The day its lot's first sample came: a kept one without a day of its own was put by from that."""
    days = [sample.received_on for sample in records.samples_of.get(lot.pk, ()) if sample.received_on]
    return min(days, default=None)


def _months(since: dt.date | None, until: dt.date) -> int | None:
    return None if since is None or since > until else round((until - since).days / _DAYS_A_MONTH)


def _making(said: StatedLot) -> str:
    return " ".join((said.lot.name, said.lot.line, said.written("season"), said.written("ox")))
