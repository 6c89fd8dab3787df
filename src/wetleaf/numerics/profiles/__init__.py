"""What the cups say: the profile of lots from intensity scores, many attributes at once.

Start at `fit.fit_profiles`. The way through: `scores` (the table) -> `layout` (cells) -> `design` (which
effects) -> `cells`, `reml`, `optimum` (the fit) -> `satterthwaite` (doubt) -> `contrasts` (means, pairs,
against a baseline). Beside it `strata` -> `decisions` (yes, no, can't tell); of the tasters `tasters` (how
they agreed), `scale_use`, `panel`, `drift`, `season_alone`; `lots_at_large` (the lots' own variance). `words`
holds the sentences. May import numpy, scipy and `trade.errors`.
"""

from wetleaf.numerics.profiles.drift import Drift, drifts
from wetleaf.numerics.profiles.fit import fit_profiles
from wetleaf.numerics.profiles.lots_at_large import Components, variance_components
from wetleaf.numerics.profiles.panel import Panel, panel_of
from wetleaf.numerics.profiles.results import (
    AttributeProfile,
    Decision,
    Difference,
    LotMean,
    Profiles,
    Verdict,
)
from wetleaf.numerics.profiles.scale_use import ScaleUse, scale_use
from wetleaf.numerics.profiles.scores import Scores
from wetleaf.numerics.profiles.season_alone import SeasonAlone, season_alone
from wetleaf.numerics.profiles.tasters import Measured, TasterMark, taster_marks

__all__ = [
    "AttributeProfile",
    "Components",
    "Decision",
    "Difference",
    "Drift",
    "LotMean",
    "Measured",
    "Panel",
    "Profiles",
    "ScaleUse",
    "Scores",
    "SeasonAlone",
    "TasterMark",
    "Verdict",
    "drifts",
    "fit_profiles",
    "panel_of",
    "scale_use",
    "season_alone",
    "taster_marks",
    "variance_components",
]
