"""Kept samples that stood on a table: how old when poured, how kept, and whether they can have lasted."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from wetleaf.findings.readings.stated import StatedLot
from wetleaf.findings.records import FlightRow, LotRow, SampleRow, SeasonRecords
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
        """Whether, by its kind, keeping and age, it can stand for the tea it was."""
        return self.keeping is not None and self.keeping.is_stable


def read_kept(
    sample: SampleRow,
    records: SeasonRecords,
    stated: dict[int, StatedLot],
    *,
    flights: Iterable[FlightRow],
    on: dt.date | None,
) -> KeptRead:
    """Read a kept sample as it was when last poured in these flights, or else as it is on the day `on`."""
    lot = records.lot_of[sample.lot]
    said = stated[lot.pk]
    served = _last_served(sample, records, flights)
    picked = _months(said.harvest_from, served or on)
    came = _months(sample.received_on or _came(lot, records), served or on)
    keeping = keeping_of(
        said.tea_class,
        roast=said.written("roast"),
        making=_making(said),
        kept=said.written("kept"),
        months=came if picked is None else picked,
    )
    return KeptRead(lot, served, picked, came, said.written("kept"), said.written("opened"), keeping)


def poured_kept(records: SeasonRecords, flights: Iterable[FlightRow]) -> tuple[SampleRow, ...]:
    """Return the kept samples that were scored in these flights."""
    among = {flight.pk for flight in flights}
    scored = dict.fromkeys(row.sample for row in records.scores if row.flight in among)
    return tuple(records.sample_of[pk] for pk in scored if records.sample_of[pk].kind == "kept")


def _last_served(sample: SampleRow, records: SeasonRecords, flights: Iterable[FlightRow]) -> dt.date | None:
    among = {flight.pk for flight in flights}
    poured = {row.flight for row in records.scores if row.sample == sample.pk and row.flight in among}
    return max((day for one in poured if (day := records.flight_of[one].held_on)), default=None)


def _came(lot: LotRow, records: SeasonRecords) -> dt.date | None:
    """The day its lot's first sample came: a kept one without a day of its own was put by from that."""
    days = [sample.received_on for sample in records.samples_of.get(lot.pk, ()) if sample.received_on]
    return min(days, default=None)


def _months(since: dt.date | None, until: dt.date | None) -> int | None:
    if since is None or until is None or since > until:
        return None
    return round((until - since).days / _DAYS_A_MONTH)


def _making(said: StatedLot) -> str:
    return " ".join((said.lot.name, said.lot.line, said.written("season"), said.written("ox")))
