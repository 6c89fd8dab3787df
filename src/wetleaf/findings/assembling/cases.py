"""One lot's case: everything the readings found of it, side by side, before any of it is put into words."""

import datetime as dt
from dataclasses import dataclass
from functools import cached_property

from wetleaf.findings.readings.forebears import kept_sample
from wetleaf.findings.readings.groups import LotGroup
from wetleaf.findings.readings.kept import KeptRead, read_kept
from wetleaf.findings.readings.liking import LikedGroup, LikedLot
from wetleaf.findings.readings.profiles import ProfileRead
from wetleaf.findings.readings.seasons import SeasonRead
from wetleaf.findings.readings.stated import StatedLot, facts_of
from wetleaf.findings.readings.targets import TargetRead
from wetleaf.findings.readings.words import SaidOfLot
from wetleaf.findings.readings.years import YearsRead
from wetleaf.findings.records import LotRow
from wetleaf.lots.ledger import LeafLeft
from wetleaf.trade.facts import Doubt
from wetleaf.trade.provenance import check_lot

# A gap this heavy is worth a question before anything is bought; lighter ones are only named.
HEAVY_GAP = 70


@dataclass(frozen=True)
class LotCase:
    """A lot in its group, with what the season's readings say of it."""

    lot: LotRow
    group: LotGroup
    season: SeasonRead
    made_on: dt.date

    @cached_property
    def stated(self) -> StatedLot:
        """What is stated of it."""
        return self.season.stated[self.lot.pk]

    @cached_property
    def asked(self) -> tuple[Doubt, ...]:
        """What there is to ask about its papers, the weightiest first."""
        return check_lot(facts_of(self.stated), today=self.made_on)

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What is stated but at odds with what the trade knows."""
        return tuple(doubt for doubt in self.asked if doubt.kind == "doubt")

    @property
    def gaps(self) -> tuple[Doubt, ...]:
        """What is not stated."""
        return tuple(doubt for doubt in self.asked if doubt.kind == "gap")

    @property
    def heavy_gaps(self) -> tuple[Doubt, ...]:
        """What is not stated and has to be before the papers can be said to add up."""
        return tuple(gap for gap in self.gaps if gap.weight >= HEAVY_GAP)

    @property
    def verdict(self) -> str:
        """The last word on it."""
        return self.season.verdicts.get(self.lot.pk, "")

    @property
    def tasted(self) -> bool:
        """Whether anybody scored, liked, judged or described a cup of it."""
        return self.lot.pk in self.season.tasted

    @property
    def liked_group(self) -> LikedGroup | None:
        """How its group is liked."""
        return self.season.liking.get(self.group.name)

    @property
    def liked(self) -> LikedLot | None:
        """How it is liked, where it can stand with its group."""
        return self.liked_group.lots.get(self.lot.key) if self.liked_group else None

    @property
    def years(self) -> YearsRead | None:
        """How it stands to last year's lot; None without one."""
        return self.season.years.get(self.lot.pk)

    @cached_property
    def kept(self) -> tuple[KeptRead, ...]:
        """The kept samples of its comparison with last year, last year's own first.

        Where the two never met, the one that is there to be poured.
        """
        years = self.years
        if years is None:
            return ()
        if years.profile is not None:
            return tuple(sorted(years.kept, key=lambda one: one.lot.pk != years.before.pk))
        own = kept_sample(self.season.records, years.before)
        if own is None:
            return ()
        return (read_kept(own, self.season.records, self.season.stated, flights=(), on=self.made_on),)

    @property
    def target(self) -> TargetRead | None:
        """How it stands to its line's target; None without one."""
        return self.season.targets.get(self.lot.pk)

    @cached_property
    def profile(self) -> ProfileRead | None:
        """The profile it stands in: shared with last year's lot, else blind, else the largest."""
        if self.years and self.years.profile:
            return self.years.profile
        held = [one for one in self.season.profiles if self.lot.key in one.table.lots]
        return max(held, key=lambda one: (one.table.blind, len(one.table.cups)), default=None)

    @property
    def said(self) -> SaidOfLot | None:
        """What was said of it."""
        return self.season.words.get(self.lot.pk)

    @property
    def said_before(self) -> SaidOfLot | None:
        """What was said of last year's lot."""
        return self.season.words.get(self.years.before.pk) if self.years else None

    @cached_property
    def leaf(self) -> LeafLeft | None:
        """The leaf of the sample with most brews left; None when no sample came."""
        samples = self.season.records.samples_of.get(self.lot.pk, ())
        left = [LeafLeft(sample.grams_left, sample.grams_per_brew) for sample in samples]
        return max(left, key=lambda one: -1 if one.brews is None else one.brews, default=None)

    @property
    def offer_until(self) -> dt.date | None:
        """The day until which it is on offer, or held for us, whichever is later."""
        return self.stated.offer_until

    @property
    def refused(self) -> frozenset[str]:
        """The lots of its group whose last word is no: nobody tastes beside them again."""
        return frozenset(lot.key for lot in self.group.lots if self.season.verdicts.get(lot.pk) == "no")

    def first_deadline(self, keys: tuple[str, ...]) -> dt.date | None:
        """The first day still to come on which an offer of these lots ends: their flight comes before it."""
        lots = {lot.key: lot.pk for lot in self.season.records.lots}
        days = [self.season.stated[lots[key]].offer_until for key in keys if key in lots]
        return min((day for day in days if day and day >= self.made_on), default=None)
