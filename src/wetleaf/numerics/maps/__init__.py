"""Where do they stand? Maps of lots, words and tasters, from arrays to frozen records.

Open `lot_maps.map_of_lots` first: principal components of lot means with ellipses. `distances` says how far
and who is nearest and where nobody is, `families` whether lots cluster, `many_tables` puts stages or tasters
on one map, `own_words` tasters who use their own words, `word_maps` counts of words. `axes` settles signs.
May import numpy, scipy and `wetleaf.trade`.
"""

from wetleaf.numerics.maps.components import Components, principal_components
from wetleaf.numerics.maps.distances import (
    Distance,
    EmptyRegion,
    Nearest,
    distance_of,
    distances_between,
    emptiest_region,
    nearest_lots,
)
from wetleaf.numerics.maps.families import Families, Family, families_of_lots
from wetleaf.numerics.maps.lot_maps import Ellipse, LotMap, map_of_lots
from wetleaf.numerics.maps.many_tables import CommonMap, common_map
from wetleaf.numerics.maps.own_words import OwnWords, own_words_map
from wetleaf.numerics.maps.word_maps import Correspondence, WordAcrossLots, correspondence, words_across_lots

__all__ = [
    "CommonMap",
    "Components",
    "Correspondence",
    "Distance",
    "Ellipse",
    "EmptyRegion",
    "Families",
    "Family",
    "LotMap",
    "Nearest",
    "OwnWords",
    "WordAcrossLots",
    "common_map",
    "correspondence",
    "distance_of",
    "distances_between",
    "emptiest_region",
    "families_of_lots",
    "map_of_lots",
    "nearest_lots",
    "own_words_map",
    "principal_components",
    "words_across_lots",
]
