"""Tasters who use their own words: generalised Procrustes analysis, one picture from unlike score sheets."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from wetleaf.numerics.maps.axes import Floats, settled
from wetleaf.trade.errors import BadInput

_ROUNDS: Final = 500
_SETTLED: Final = 1e-12  # change of the loss, as a share of the whole
SHUFFLES: Final = 199


@dataclass(frozen=True, slots=True)
class OwnWords:
    """Do tasters who each use their own words see the same picture?

    `consensus` (rows, axes) is their common picture on its principal axes, `share` (axes,) of its spread;
    `own` (tasters, rows, axes) each taster's, turned and stretched onto it by `stretch` (tasters,).
    `agreement` is the share of the whole spread that is common; `p` how often lots shuffled within each
    taster agree as much. `word_scores` holds, taster by taster, each word's correlation with the axes.
    `converged` is False when the turning had not come to rest.
    """

    question: str
    rows: tuple[str, ...]
    tasters: tuple[str, ...]
    consensus: Floats
    share: Floats
    own: Floats
    stretch: Floats
    agreement: float
    taster_agreement: Floats
    p: float
    word_scores: Mapping[str, Mapping[str, tuple[float, ...]]]
    converged: bool
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Fit:
    configurations: Floats
    stretch: Floats
    loss: float
    converged: bool


def own_words_map(
    tables: Mapping[str, tuple[Sequence[str], Floats]],
    *,
    rows: Sequence[str],
    rng: np.random.Generator,
    shuffles: int = SHUFFLES,
) -> OwnWords:
    """Return the common picture of each taster's own table: a name with words and scores (rows, words).

    Centred tables of equal size are rotated to the mean of the others and stretched by the eigenvector of
    ten Berge, in turn until the loss rests [1]_ [2]_. Raises BadInput for fewer than two tasters, three
    rows, gaps, or a taster who gave every lot the same.

    >>> rng = np.random.default_rng(2)
    >>> true = rng.normal(size=(6, 2))
    >>> turn = np.array([[0.0, -1.0], [1.0, 0.0]])
    >>> tables = {"A": (["pea", "nut"], true), "B": (["soft", "dry"], 3 * true @ turn)}
    >>> round(own_words_map(tables, rows="uvwxyz", rng=rng, shuffles=19).agreement, 6)
    1.0

    References
    ----------
    .. [1] Gower, Generalized Procrustes analysis, Psychometrika 40 (1975) 33-51.
    .. [2] ten Berge, Orthogonal Procrustes rotation for two or more matrices, Psychometrika 42 (1977)
           267-276.
    """
    names = tuple(tables)
    given = _equal_size(tables, rows)
    fit = _turned(given)
    centre = fit.configurations.mean(axis=0)
    left, singular, _ = np.linalg.svd(centre, full_matrices=False)
    kept = singular > 1e-9 * singular[0]
    sided = settled(left[:, kept], singular[kept] ** 2, rows)
    turn = centre.T @ (sided / singular[kept])
    own = fit.configurations @ turn
    consensus = centre @ turn
    agreement = 1 - fit.loss
    by_luck = [1 - _turned(_shuffled(given, rng)).loss for _ in range(shuffles)]
    left_over = ((own - consensus) ** 2).sum(axis=(1, 2))
    return OwnWords(
        question="Do tasters who each use their own words see the same picture?",
        rows=tuple(rows),
        tasters=names,
        consensus=consensus,
        share=singular[kept] ** 2 / (singular**2).sum(),
        own=own,
        stretch=fit.stretch,
        agreement=agreement,
        taster_agreement=1 - left_over / (fit.configurations**2).sum(axis=(1, 2)),
        p=(1 + sum(value >= agreement - 1e-12 for value in by_luck)) / (1 + shuffles),
        word_scores={name: _word_scores(*tables[name], consensus) for name in names},
        converged=fit.converged,
        warnings=_warnings(fit, len(names)),
    )


def _equal_size(tables: Mapping[str, tuple[Sequence[str], Floats]], rows: Sequence[str]) -> Floats:
    """Centre every table, pad it with empty words to the widest, and give all the same size."""
    if len(tables) < 2 or len(rows) < 3:
        raise BadInput(
            f"{len(tables)} tasters and {len(rows)} lots make no common picture.",
            way_out="Give two tasters and three lots or more.",
        )
    width = max(table.shape[1] for _, table in tables.values())
    result = np.zeros((len(tables), len(rows), width))
    for place, (name, (words, table)) in enumerate(tables.items()):
        if table.shape != (len(rows), len(words)) or not np.isfinite(table).all():
            raise BadInput(
                f"{name}'s scores of shape {table.shape} have gaps or do not fit {len(rows)} lots and "
                f"{len(words)} words.",
                way_out="Give one score a lot and word, or leave out the lot.",
            )
        apart = table - table.mean(axis=0)
        size = float(np.linalg.norm(apart))
        if size <= 1e-12 * max(float(np.abs(table).max()), 1e-300):
            raise BadInput(f"{name} gave every lot the same scores.", way_out="Leave this taster out.")
        result[place, :, : table.shape[1]] = apart / size
    return result


def _turned(given: Floats) -> _Fit:
    """Alternate rotations and stretches; loss is the share of the whole that is not common."""
    count = len(given)
    turned, stretch = given.copy(), np.ones(count)
    loss, settled_down = np.inf, False
    for _ in range(_ROUNDS):
        for k in range(count):
            others = turned.sum(axis=0) - turned[k]
            left, _, right = np.linalg.svd(given[k].T @ others)
            turned[k] = stretch[k] * given[k] @ (left @ right)
        stretch, turned = _stretched(given, turned, stretch)
        now = 1 - float((turned.sum(axis=0) ** 2).sum()) / count / float((turned**2).sum())
        if abs(loss - now) < _SETTLED:
            settled_down = True
            break
        loss = now
    return _Fit(turned, stretch, now, settled_down)


def _stretched(given: Floats, turned: Floats, stretch: Floats) -> tuple[Floats, Floats]:
    """Return the stretches that make the most of the common part at the same whole size (ten Berge 1977)."""
    plain = turned / stretch[:, None, None]
    flat = plain.reshape(len(plain), -1)
    _, vectors = np.linalg.eigh(flat @ flat.T)  # every table has size 1, so no weights are needed
    best = vectors[:, -1] * np.sign(vectors[:, -1].sum()) * np.sqrt(len(given))
    best = np.maximum(best, 1e-6)
    return best, plain * best[:, None, None]


def _shuffled(given: Floats, rng: np.random.Generator) -> Floats:
    return np.stack([table[rng.permutation(len(table))] for table in given])


def _word_scores(words: Sequence[str], table: Floats, consensus: Floats) -> dict[str, tuple[float, ...]]:
    axes = consensus / np.linalg.norm(consensus, axis=0)
    found = {}
    for word, scores in zip(words, table.T, strict=True):
        apart = scores - scores.mean()
        size = float(np.linalg.norm(apart))
        found[word] = tuple((apart / size @ axes).tolist()) if size > 0 else (float("nan"),) * axes.shape[1]
    return found


def _warnings(fit: _Fit, tasters: int) -> tuple[str, ...]:
    said = []
    if not fit.converged:
        said.append(f"The turning had not come to rest after {_ROUNDS} rounds; take the picture with care.")
    if tasters == 2:
        said.append("Two tasters can always be turned to agree in part; see how often luck agrees as much.")
    return tuple(said)
