"""Right picks and preferences in a few trials: exact binomial chances, for the season book.

Open `triangle_pvalue` for odd-cup trials, `preference` for which of two cups was liked better.
"""

from dataclasses import dataclass

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


def triangle_pvalue(n_correct: int, n_trials: int) -> float:
    """Return the chance of `n_correct` or more right picks if nobody can tell the odd cup of three.

    Exact binomial with guessing chance 1/3 (ISO 4120). Raises BadInput for counts that cannot be.

    >>> round(triangle_pvalue(15, 30), 4)
    0.0435
    """
    return right_picks_pvalue(n_correct, n_trials, guessing=1 / 3)


def directed_pair_pvalue(n_correct: int, n_trials: int) -> float:
    """Return the chance of `n_correct` or more right answers to "which has more of it?" by guessing.

    Guessing is right with chance 1/2. One-sided: the direction was fixed before tasting (ISO 5495).

    >>> round(directed_pair_pvalue(9, 10), 4)
    0.0107
    """
    return right_picks_pvalue(n_correct, n_trials, guessing=1 / 2)


def right_picks_pvalue(n_correct: int, n_trials: int, *, guessing: float) -> float:
    """Return the exact chance of `n_correct` or more right picks by luck, each right with chance `guessing`.

    >>> right_picks_pvalue(0, 8, guessing=1 / 3)
    1.0
    """
    from scipy.special import bdtrc

    if not 0 <= n_correct <= n_trials:
        raise BadInput(
            f"{n_correct} right picks of {n_trials} trials cannot be.",
            way_out="Right picks lie between 0 and the number of trials.",
        )
    return 1.0 if n_correct == 0 else float(bdtrc(n_correct - 1, n_trials, guessing))


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
