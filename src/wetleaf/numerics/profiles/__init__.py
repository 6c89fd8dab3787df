"""What the cups say: the profile of lots from intensity scores, many attributes at once.

Start at `fit.fit_profiles`. The way through: `scores` (the table) -> `layout` (cells) -> `design` (which
effects) -> `cells`, `reml`, `optimum` (the fit) -> `satterthwaite` (doubt) -> `contrasts` (means, pairs,
against a baseline); beside it `strata` -> `decisions` (yes, no, can't tell) and `tasters` (how they
agreed) and `lots_at_large` (the lots' own variance). `words` holds the sentences. May import numpy, scipy
and `trade.errors`.
"""

from wetleaf.numerics.profiles.fit import fit_profiles
from wetleaf.numerics.profiles.lots_at_large import Components, variance_components
from wetleaf.numerics.profiles.results import (
    AttributeProfile,
    Decision,
    Difference,
    LotMean,
    Profiles,
    Verdict,
)
from wetleaf.numerics.profiles.scores import Scores
from wetleaf.numerics.profiles.tasters import Measured, TasterMark, taster_marks

__all__ = [
    "AttributeProfile",
    "Components",
    "Decision",
    "Difference",
    "LotMean",
    "Measured",
    "Profiles",
    "Scores",
    "TasterMark",
    "Verdict",
    "fit_profiles",
    "taster_marks",
    "variance_components",
]
