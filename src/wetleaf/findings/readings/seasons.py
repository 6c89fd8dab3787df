"""Everything the readings find of a season, each thing once: what book, site and findings share."""

from dataclasses import dataclass

from wetleaf.findings.readings.alone import AloneRead, read_alone
from wetleaf.findings.readings.cups import tables_of
from wetleaf.findings.readings.forebears import latest_verdict
from wetleaf.findings.readings.groups import LotGroup, groups_of
from wetleaf.findings.readings.liking import LikedGroup, rating_sets, read_liking
from wetleaf.findings.readings.maps import MapRead, maps_of
from wetleaf.findings.readings.panels import FlightRead, read_flights
from wetleaf.findings.readings.preferred import RankedRead, read_ranked
from wetleaf.findings.readings.profiles import ProfileRead, read_profile
from wetleaf.findings.readings.stated import StatedLot, stated_lots
from wetleaf.findings.readings.targets import TargetRead, read_targets
from wetleaf.findings.readings.trials import (
    DifferenceRead,
    PreferenceRead,
    read_differences,
    read_preferences,
)
from wetleaf.findings.readings.words import SaidOfLot, read_words
from wetleaf.findings.readings.years import YearsRead, read_years
from wetleaf.findings.records import SeasonRecords


@dataclass(frozen=True)
class SeasonRead:
    """A season as read. Lots are keyed by their row, groups by their name."""

    records: SeasonRecords
    stated: dict[int, StatedLot]
    groups: tuple[LotGroup, ...]
    verdicts: dict[int, str]
    tasted: frozenset[int]
    words: dict[int, SaidOfLot]
    profiles: tuple[ProfileRead, ...]
    liking: dict[str, LikedGroup]
    years: dict[int, YearsRead]
    targets: dict[int, TargetRead]
    flights: tuple[FlightRead, ...]
    differences: tuple[DifferenceRead, ...]
    preferences: tuple[PreferenceRead, ...]
    ranked: tuple[RankedRead, ...]
    alone: tuple[AloneRead, ...]
    maps: dict[str, MapRead]  # by the digest of their table

    @property
    def people(self) -> int:
        """How many usually sit at the table: the most of any flight, at least one."""
        return max((len(flight.tasters) for flight in self.flights), default=1) or 1


def read_season(records: SeasonRecords) -> SeasonRead:
    """Read a season. No question to the database is asked here."""
    stated = stated_lots(records)
    groups = groups_of(records, stated)
    classes = {lot: one.tea_class for lot, one in stated.items()}
    profiles = tuple(read_profile(table) for table in tables_of(records, classes))
    flights = read_flights(records, profiles)
    own = [flight.profile for flight in flights if flight.profile]
    return SeasonRead(
        records=records,
        stated=stated,
        groups=groups,
        verdicts={lot.pk: latest_verdict(records, lot) for lot in records.lots},
        tasted=_tasted(records),
        words=read_words(records),
        profiles=profiles,
        liking=read_liking(rating_sets(records), groups),
        years=read_years(records, profiles, stated),
        targets=read_targets(records, profiles),
        flights=flights,
        differences=read_differences(records),
        preferences=read_preferences(records),
        ranked=read_ranked(records, groups),
        alone=read_alone(records),
        maps=maps_of(profile.table for profile in (*profiles, *own)),
    )


def _tasted(records: SeasonRecords) -> frozenset[int]:
    """Lots of which somebody scored, judged or described a cup."""
    samples = [score.sample for score in records.scores if score.value is not None]
    samples += [verdict.sample for verdict in records.verdicts if verdict.word or verdict.liking is not None]
    samples += [remark.sample for remark in records.remarks]
    return frozenset(records.sample_of[sample].lot for sample in samples)
