"""How a lot met last year's: the cups that tie the two, and the kept samples that this rests on.

A kept sample that has faded for all we know ties the scales of two sittings and no more. Where another tea
ties the two years without it, that tie is used and the faded sample's cups are left out.
"""

from dataclasses import dataclass, replace
from functools import cached_property

from wetleaf.findings.readings.cups import CupTable, tables_of
from wetleaf.findings.readings.forebears import line_before, same_tea_before
from wetleaf.findings.readings.kept import KeptRead, poured_kept, read_kept
from wetleaf.findings.readings.profiles import ProfileRead, read_profile
from wetleaf.findings.readings.stated import StatedLot
from wetleaf.findings.records import LotRow, SampleRow, SeasonRecords


@dataclass(frozen=True)
class Tie:
    """Last year's lot and the profile both stand in, None where they never met.

    `kept` are the kept samples poured in it; `faded` those that the comparison rests on and that may have
    faded; `left_out` those whose cups were not used, since another tea ties the years.
    """

    before: LotRow
    profile: ProfileRead | None
    kept: tuple[KeptRead, ...] = ()
    faded: tuple[KeptRead, ...] = ()
    left_out: tuple[KeptRead, ...] = ()


@dataclass(frozen=True)
class Ties:
    """The ties of a season's lots to the season before."""

    records: SeasonRecords
    stated: dict[int, StatedLot]
    profiles: tuple[ProfileRead, ...]

    def of(self, lot: LotRow) -> Tie | None:
        """Tie a lot to last year's same tea where they met or it has no line, else to its line's; or None."""
        same, of_line = same_tea_before(self.records, lot), line_before(self.records, lot)
        tie = self._between(lot, same) if same else None
        if tie and (tie.profile or not lot.line):
            return tie
        return self._between(lot, of_line) if of_line else None

    def _between(self, lot: LotRow, before: LotRow) -> Tie:
        profile = _best(self.profiles, lot, before)
        if profile is None:
            return Tie(before, None)
        faded = tuple(one for one in self._rests_on(profile.table, before) if not one.is_stable)
        if not faded:
            return Tie(before, profile, self._kept(profile.table))
        without = self._without_faded(lot, before)
        if without is None:
            return Tie(before, profile, self._kept(profile.table), faded)
        return Tie(before, without, self._kept(without.table), left_out=faded)

    def _kept(self, table: CupTable) -> tuple[KeptRead, ...]:
        return tuple(self._read(sample, table) for sample in self._poured(table))

    def _rests_on(self, table: CupTable, before: LotRow) -> list[KeptRead]:
        """Last year's own kept sample, and the kept ones that tie flights to each other."""
        flights_of: dict[str, set[int]] = {}
        for cup in table.cups:
            flights_of.setdefault(cup.lot, set()).add(cup.flight)
        return [one for one in self._kept(table) if one.lot == before or len(flights_of[one.lot.key]) > 1]

    def _poured(self, table: CupTable) -> list[SampleRow]:
        among = poured_kept(self.records, table.flights)
        return [sample for sample in among if self.records.lot_of[sample.lot].key in table.lots]

    def _read(self, sample: SampleRow, table: CupTable) -> KeptRead:
        return read_kept(sample, self.records, self.stated, flights=table.flights, on=None)

    def _without_faded(self, lot: LotRow, before: LotRow) -> ProfileRead | None:
        """The profile that ties the two once every faded sample's cups are left out; None where none does."""
        held = [table for table in self._tables_without_faded if {lot.key, before.key} <= set(table.lots)]
        table = max(held, key=lambda one: (one.blind, len(one.cups)), default=None)
        return None if table is None else self._fitted(table)

    def _fitted(self, table: CupTable) -> ProfileRead:
        known = {profile.table.digest: profile for profile in (*self.profiles, *self._refitted.values())}
        if table.digest not in known:
            self._refitted[table.digest] = known[table.digest] = read_profile(table)
        return known[table.digest]

    @cached_property
    def _refitted(self) -> dict[str, ProfileRead]:
        """Profiles without faded samples, each fitted once."""
        return {}

    @cached_property
    def _tables_without_faded(self) -> tuple[CupTable, ...]:
        classes = {lot: one.tea_class for lot, one in self.stated.items()}
        poured = poured_kept(self.records, self.records.flights)
        faded = {sample.pk for sample in poured if not self._when_last_poured(sample).is_stable}
        scores = tuple(row for row in self.records.scores if row.sample not in faded)
        return tables_of(replace(self.records, scores=scores), classes)

    def _when_last_poured(self, sample: SampleRow) -> KeptRead:
        return read_kept(sample, self.records, self.stated, flights=self.records.flights, on=None)


def _best(profiles: tuple[ProfileRead, ...], lot: LotRow, before: LotRow) -> ProfileRead | None:
    shared = [one for one in profiles if {lot.key, before.key} <= set(one.table.lots)]
    return max(shared, key=lambda one: (one.table.blind, len(one.table.cups)), default=None)
