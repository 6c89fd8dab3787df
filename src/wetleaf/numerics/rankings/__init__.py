"""Which lot is best, in the fewest cups: preferences and rankings on one scale, and the next row to brew.

Open `standing.py` first (`rank_lots`), then `next_row.py`. `answers` holds what was said, `evidence`
gathers it, `choices` and `thurstone` are the models, `posterior` what is known after, `ratings` brings
likings onto the scale, `repeats` what counts as less; `rank_sums` and `incomplete_rows` test whether rows
agree at all. May import numpy, scipy, `numerics.likings` and `trade`.
"""

from wetleaf.numerics.rankings.answers import RowAnswer, pair_answer
from wetleaf.numerics.rankings.evidence import Assumed, Evidence, evidence_of
from wetleaf.numerics.rankings.incomplete_rows import durbin
from wetleaf.numerics.rankings.next_row import NextRow, SuggestedRow, next_row
from wetleaf.numerics.rankings.posterior import Unsettled
from wetleaf.numerics.rankings.rank_sums import LotSum, RankSums, friedman, kramer, page
from wetleaf.numerics.rankings.ratings import levels_from_ratings
from wetleaf.numerics.rankings.results import AtSpread, Estimate, LotRank, Ranking, TasterRank
from wetleaf.numerics.rankings.standing import rank_lots

__all__ = [
    "Assumed",
    "AtSpread",
    "Estimate",
    "Evidence",
    "LotRank",
    "LotSum",
    "NextRow",
    "RankSums",
    "Ranking",
    "RowAnswer",
    "SuggestedRow",
    "TasterRank",
    "Unsettled",
    "durbin",
    "evidence_of",
    "friedman",
    "kramer",
    "levels_from_ratings",
    "next_row",
    "page",
    "pair_answer",
    "rank_lots",
]
