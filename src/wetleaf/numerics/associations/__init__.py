"""What goes with what, across the archive: which facts of a lot go with which attributes of its cups.

Open `ties.what_goes_with_what`. `archive` holds the lots as arrays, `shrunk` the regression and its skill on
makers and seasons left out, `chances` how often luck would do as well. Nothing here is said to be the reason
of anything. May import numpy, scipy and `wetleaf.trade`.
"""

from wetleaf.numerics.associations.archive import Archive
from wetleaf.numerics.associations.ties import Tie, what_goes_with_what

__all__ = ["Archive", "Tie", "what_goes_with_what"]
