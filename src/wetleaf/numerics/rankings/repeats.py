"""How much an answer counts that others have partly given already. Two stated rules.

- One taster, the same lots again: with chance `RECOGNISED` the taster knows the row and gives the answer of
  before, which tells nothing new. The first answer counts 1, each later one 1 - that chance.
- Several tasters, one row of bowls: they share the error of its brews, so that n answers of correlation
  `SHARED_BREWS` count together as n / (1 + (n - 1) rho), each as 1 / (1 + (n - 1) rho).
"""

from collections import Counter
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.likings import USUAL_POT
from wetleaf.numerics.rankings.answers import RowAnswer

RECOGNISED: Final = 0.5  # ours, not measured: with fresh codes a known pair is known half of the time
SHARED_BREWS: Final = USUAL_POT**2 / (1 + USUAL_POT**2)  # a brew's variance in brew and taster together


def weights_of(
    answers: Sequence[RowAnswer], *, recognised: float = RECOGNISED, shared_brews: float = SHARED_BREWS
) -> NDArray[np.float64]:
    """Return what each answer counts for, at most 1.

    >>> from wetleaf.numerics.rankings.answers import pair_answer
    >>> weights_of([pair_answer("a", "b", "a"), pair_answer("b", "a", "a")], recognised=0.25).tolist()
    [1.0, 0.75]
    """
    shared = Counter(answer.row for answer in answers if answer.row is not None)
    met: set[tuple[str, frozenset[str]]] = set()
    found = []
    for answer in answers:
        weight = 1.0 if answer.row is None else weight_of_shared(shared[answer.row], shared_brews)
        found.append(weight * (1 - recognised if _meeting(answer) in met else 1.0))
        met.add(_meeting(answer))
    return np.array(found)


def weight_of_shared(tasters: int, rho: float) -> float:
    """Return what each of so many answers to one row of bowls counts for."""
    return 1 / (1 + (tasters - 1) * rho)


def _meeting(answer: RowAnswer) -> tuple[str, frozenset[str]]:
    return answer.taster, frozenset(answer.lots)
