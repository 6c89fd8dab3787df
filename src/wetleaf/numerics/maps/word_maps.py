"""Words by lot: correspondence analysis of counts, and Cochran's Q for each word."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from wetleaf.numerics.maps.axes import Floats, weighted_axes
from wetleaf.trade.errors import BadInput

TASTERS_FOR_A_TEST: Final = 5  # below it words are counted, not tested
_SHUFFLES: Final = 4999


@dataclass(frozen=True, slots=True)
class Correspondence:
    """Which lots go with which words? `row_scores` (rows, axes) and `column_scores` (columns, axes) are
    principal coordinates; `row_quality`, `column_quality` cos2; `row_share`, `column_share` contributions.

    `inertia` is chi-squared / total, `statistic` chi-squared with `df`; words of one taster are not
    independent, so no p is given. `empty` names lots and words without any count, left out.
    """

    question: str
    rows: tuple[str, ...]
    columns: tuple[str, ...]
    eigenvalues: Floats
    share: Floats
    row_scores: Floats
    column_scores: Floats
    row_quality: Floats
    column_quality: Floats
    row_share: Floats
    column_share: Floats
    inertia: float
    statistic: float
    df: int
    empty: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WordAcrossLots:
    """Is `word` said of some lots more than of others? Cochran's Q over tasters who used it or did not.

    `counts` (lots,) tasters who said it. `q`, `df`, `p_chi2` from the large-sample law, `p` from shuffling
    each taster's answers among the lots; all nan below five tasters, or when no taster told lots apart by it.
    """

    word: str
    counts: tuple[int, ...]
    q: float
    df: int
    p_chi2: float
    p: float


def correspondence(
    counts: NDArray[np.float64], *, rows: Sequence[str], columns: Sequence[str]
) -> Correspondence:
    """Return the correspondence analysis of counts (rows, columns).

    Principal axes of the profiles under chi-squared weights [1]_. Lots and words without a count are left out
    and named. Raises BadInput for negative counts, fewer than three lots or two words left, or lots that all
    have the same words in the same shares.

    >>> table = np.array([[9.0, 1.0, 2.0], [1.0, 8.0, 2.0], [2.0, 2.0, 9.0]])
    >>> correspondence(table, rows="abc", columns=["peas", "nuts", "smoke"]).share.round(2)
    array([0.61, 0.39])

    References
    ----------
    .. [1] Greenacre, Correspondence Analysis in Practice, 2nd ed. (2007), appendix A.
    """
    table, own, words, empty = _kept(counts, rows, columns)
    shares = table / table.sum()
    row_mass, column_mass = shares.sum(axis=1), shares.sum(axis=0)
    expected = np.outer(row_mass, column_mass)
    ratios = shares / expected - 1
    axes = weighted_axes(ratios, row_weights=row_mass, column_weights=column_mass, names=words)
    if not axes.eigenvalues.size or axes.eigenvalues[0] < 1e-14:
        raise BadInput(
            "Every lot has the same words in the same shares, so there is nothing to map.",
            way_out="Map words that were not said of every lot alike.",
        )
    row_scores, column_scores = axes.row_scores, axes.directions * np.sqrt(axes.eigenvalues)
    inertia = float(axes.eigenvalues.sum())
    return Correspondence(
        question="Which lots go with which words?",
        rows=own,
        columns=words,
        eigenvalues=axes.eigenvalues,
        share=axes.eigenvalues / inertia,
        row_scores=row_scores,
        column_scores=column_scores,
        row_quality=_quality(row_scores),
        column_quality=_quality(column_scores),
        row_share=row_mass[:, None] * row_scores**2 / axes.eigenvalues,
        column_share=column_mass[:, None] * column_scores**2 / axes.eigenvalues,
        inertia=inertia,
        statistic=inertia * float(table.sum()),
        df=(len(own) - 1) * (len(words) - 1),
        empty=empty,
    )


def words_across_lots(
    said: NDArray[np.bool_], *, words: Sequence[str], rng: np.random.Generator
) -> tuple[WordAcrossLots, ...]:
    """Return for each word whether it belongs to some lots more than to others.

    `said` (tasters, lots, words) is True where a taster used the word of the lot. Each taster's answers are
    the block; Q has lots - 1 degrees of freedom [1]_. Many words at once: hold p against 0.05 / number of
    words, or expect one in twenty by luck.

    References
    ----------
    .. [1] Cochran, The comparison of percentages in matched samples, Biometrika 37 (1950) 256-266.
    """
    if said.ndim != 3 or said.shape[2] != len(words):
        raise BadInput(
            f"Answers of shape {said.shape} do not fit {len(words)} words.",
            way_out="Give tasters by lots by words.",
        )
    return tuple(_word(name, said[:, :, k], rng) for k, name in enumerate(words))


def _word(name: str, said: NDArray[np.bool_], rng: np.random.Generator) -> WordAcrossLots:
    tasters, lots = said.shape
    counts = tuple(int(count) for count in said.sum(axis=0))
    telling = said[(said.sum(axis=1) > 0) & (said.sum(axis=1) < lots)]
    nan = float("nan")
    if tasters < TASTERS_FOR_A_TEST or not len(telling):
        return WordAcrossLots(name, counts, nan, lots - 1, nan, nan)
    each = telling.sum(axis=1)
    spread = float((each * (lots - each)).sum())
    q = _cochran(telling.sum(axis=0), lots, spread)
    shuffled = rng.permuted(np.broadcast_to(telling, (_SHUFFLES, *telling.shape)), axis=2).sum(axis=1)
    by_luck = _cochran(shuffled, lots, spread)
    p = (1 + int((by_luck >= q - 1e-9).sum())) / (1 + _SHUFFLES)
    return WordAcrossLots(name, counts, float(q), lots - 1, float(chi2.sf(q, lots - 1)), p)


def _cochran(totals: NDArray[np.int_], lots: int, spread: float) -> Floats:
    """Q = (k - 1) (k sum of squares - square of sum) / sum of L (k - L) over the last axis of `totals`."""
    whole = totals.sum(axis=-1) ** 2
    return np.asarray((lots - 1) * (lots * (totals**2).sum(axis=-1) - whole) / spread, dtype=float)


def _quality(scores: Floats) -> Floats:
    own = (scores**2).sum(axis=1, keepdims=True)
    return np.asarray(scores**2 / np.where(own > 0, own, 1.0))


def _kept(
    counts: NDArray[np.float64], rows: Sequence[str], columns: Sequence[str]
) -> tuple[Floats, tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    if counts.shape != (len(rows), len(columns)):
        raise BadInput(
            f"Counts of shape {counts.shape} do not fit {len(rows)} lots and {len(columns)} words."
        )
    if not np.isfinite(counts).all() or (counts < 0).any():
        raise BadInput("A count is negative or no number.", way_out="Give whole numbers from 0.")
    with_rows, with_columns = counts.sum(axis=1) > 0, counts.sum(axis=0) > 0
    own = tuple(name for name, held in zip(rows, with_rows, strict=True) if held)
    words = tuple(name for name, held in zip(columns, with_columns, strict=True) if held)
    empty = tuple(name for name in (*rows, *columns) if name not in {*own, *words})
    if len(own) < 3 or len(words) < 2:
        raise BadInput(
            f"{len(own)} lots and {len(words)} words with any count make no map.",
            way_out="Give three lots and two words or more.",
        )
    return counts[np.ix_(with_rows, with_columns)], own, words, empty
