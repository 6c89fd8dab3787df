"""Can two teas be told apart, or is no difference large enough to matter? Right answers in, an answer out.

Start at `scoring.score_trials` (tasted), `planning.plan_trials` (before tasting) and
`sequential.sequential_test` (stop or one more). The way through: `methods` (triangle, directed pair ... by
name) over `psychometric` (how often a taster is right at a d-prime); `counts` -> `binomials` (exact
chances) and `estimates` (d-prime); `looks` and `spending` (looking more than once) -> `rules`; `pooling`
(several methods, one scale), `panels` and `dispersion` (who can tell); `criteria`, `fisher`, `two_kinds`,
`two_kind_plans` (same-different, A-not-A); `costs` (brews, cups, grams, sittings). May import numpy, scipy
and the plain values of `trade`.
"""

from wetleaf.numerics.differences.costs import Cost, cost_of_trials, trials_from_leaf
from wetleaf.numerics.differences.counts import Counted, counted
from wetleaf.numerics.differences.group_plans import GroupPlan, plan_looks
from wetleaf.numerics.differences.methods import METHODS, TWO_KIND_METHODS, DeclaredSize, method_key
from wetleaf.numerics.differences.panels import PanelScore, TasterScore, score_panel
from wetleaf.numerics.differences.planning import TrialPlan, plan_trials
from wetleaf.numerics.differences.pooling import PooledScore, pool
from wetleaf.numerics.differences.pvalues import directed_pair_pvalue, right_picks_pvalue, triangle_pvalue
from wetleaf.numerics.differences.scoring import DifferenceScore, score_trials
from wetleaf.numerics.differences.sequential import SequentialTest, follow, sequential_test
from wetleaf.numerics.differences.two_kind_plans import TwoKindPlan, plan_two_kinds
from wetleaf.numerics.differences.two_kinds import TwoKindScore, score_two_kinds

__all__ = [
    "METHODS",
    "TWO_KIND_METHODS",
    "Cost",
    "Counted",
    "DeclaredSize",
    "DifferenceScore",
    "GroupPlan",
    "PanelScore",
    "PooledScore",
    "SequentialTest",
    "TasterScore",
    "TrialPlan",
    "TwoKindPlan",
    "TwoKindScore",
    "cost_of_trials",
    "counted",
    "directed_pair_pvalue",
    "follow",
    "method_key",
    "plan_looks",
    "plan_trials",
    "plan_two_kinds",
    "pool",
    "right_picks_pvalue",
    "score_panel",
    "score_trials",
    "score_two_kinds",
    "sequential_test",
    "trials_from_leaf",
    "triangle_pvalue",
]
