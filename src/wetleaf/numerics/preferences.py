"""Which of two teas was liked better: exact binomial chances of a split, for the season book."""

from dataclasses import dataclass

from wetleaf.numerics.differences import right_picks_pvalue
from wetleaf.trade.errors import BadInput


@dataclass(frozen=True, slots=True)
class Preference:
    """Which of two teas was preferred, and the chance of a split as uneven if neither is liked better.

    `ties` were left out of `pvalue`, which is two-sided; nan when nobody preferred either.
    """

    first: int
    second: int
    ties: int
    pvalue: float
    words: str


def preference(first: int, second: int, ties: int = 0) -> Preference:
    """Return what `first` choices of one tea, `second` of the other and `ties` without preference say.

    Two-sided exact binomial with chance 1/2; ties are left out, and the words say so. Choices of one taster
    over and over tell about that taster only. Raises BadInput for a count below 0.

    >>> preference(9, 1, ties=2).words
    '9 to 1 for the first (p = 0.021); 2 without preference left out.'
    """
    if min(first, second, ties) < 0:
        raise BadInput(f"Choices {first}, {second} and {ties} cannot be.", way_out="No count is below 0.")
    pvalue = _two_sided(first, second)
    return Preference(first, second, ties, pvalue, _preference_words(first, second, ties, pvalue))


def _two_sided(first: int, second: int) -> float:
    if first + second == 0:
        return float("nan")
    return min(1.0, 2 * right_picks_pvalue(max(first, second), first + second, guessing=1 / 2))


def _preference_words(first: int, second: int, ties: int, pvalue: float) -> str:
    left_out = f"; {ties} without preference left out" if ties else ""
    if first + second == 0:
        return f"Nobody preferred either{left_out}; nothing can be told."
    if first == second:
        return f"{first} to {second}, even (p = {pvalue:.3f}){left_out}."
    leader = "first" if first > second else "second"
    return f"{max(first, second)} to {min(first, second)} for the {leader} (p {_shown(pvalue)}){left_out}."


def _shown(pvalue: float) -> str:
    return "< 0.001" if pvalue < 0.001 else f"= {pvalue:.3f}"
