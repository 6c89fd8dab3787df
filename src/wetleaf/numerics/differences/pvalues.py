"""The bare exact chance of so many right answers by luck, where nothing more is wanted."""

from wetleaf.numerics.differences.binomials import at_least
from wetleaf.trade.errors import BadInput


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
    if not 0 <= n_correct <= n_trials:
        raise BadInput(
            f"{n_correct} right picks of {n_trials} trials cannot be.",
            way_out="Right picks lie between 0 and the number of trials.",
        )
    return float(at_least(n_correct, n_trials, guessing))
