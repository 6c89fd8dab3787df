"""Two seasons of one line, with last year's sample kept, and cups poured at known strengths. All invented.

The kept sample lasts unless told otherwise: it is sealed in the freezer, of a tea picked the spring before.
"""

import numpy as np

from tests.room import Cast, a_brew, a_line, a_lot, a_sample, a_score, a_season, the_cast
from wetleaf.flights.models import Flight
from wetleaf.lots.models import Line, Lot, Sample, Target
from wetleaf.people.models import Taster

Cups = dict[Sample, dict[str, float]]


def pour(flight: Flight, tasters: list[Taster], cups: Cups, pots: int, *, noise: float) -> None:
    """Each taster scores every pot: the cup's own strength, the taster's level, a little noise."""
    rng = np.random.default_rng(20260512)
    for place, taster in enumerate(tasters):
        for cup, strengths in cups.items():
            for pot in range(1, pots + 1):
                brew = a_brew(flight, cup, str(pot))
                for attribute, strength in strengths.items():
                    value = round(strength + 0.3 * place + float(rng.normal(0, noise)), 2)
                    a_score(flight, cup, taster, attribute, value, brew=brew, replicate=str(pot))


class Years:
    """Two seasons with a line; last year's lot has a kept sample."""

    def __init__(
        self,
        *,
        tolerance: float | None = None,
        kept: str = "sealed, in the freezer",
        picked: str = "20 Apr 2025",
    ) -> None:
        self.last = a_season("2025")
        self.now = a_season("2026", before=self.last)
        self.line: Line = a_line("Dong Ding")
        if tolerance is not None:
            Target.objects.create(line=self.line, attribute="", tolerance=tolerance)
        said = {field: written for field, written in (("kept", kept), ("harvest", picked)) if written}
        self.old: Lot = a_lot(self.last, "OLD", line=self.line, **said)
        self.kept = Sample.objects.create(lot=self.old, code="OLD", kind="kept")
        self.cast: Cast = the_cast()
        self.tasters = [self.cast.owner, self.cast.helper, self.cast.taster]

    def a_cup(self, code: str) -> Sample:
        return a_sample(a_lot(self.now, code, line=self.line))
