"""From a table of scores to the profiles of its attributes: the one way in for pages, commands and
notebooks."""

from dataclasses import replace

import numpy as np

from wetleaf.numerics.profiles import words
from wetleaf.numerics.profiles.decisions import Question, decide, false_discovery
from wetleaf.numerics.profiles.estimation import fit_table
from wetleaf.numerics.profiles.layout import lay_out
from wetleaf.numerics.profiles.records import Writer
from wetleaf.numerics.profiles.results import Profiles, number
from wetleaf.numerics.profiles.scores import Scores
from wetleaf.numerics.profiles.strata import kept_strata
from wetleaf.numerics.profiles.table import Table
from wetleaf.trade.errors import BadInput

LARGEST_SCORE = 1e100


def fit_profiles(
    scores: Scores,
    *,
    baseline: str | None = None,
    tolerance: float | None = None,
    confidence: float = 0.95,
) -> Profiles:
    """Fit every attribute of a table and decide whether its lots differ.

    Parameters
    ----------
    scores
        The table, a row a cup.
    baseline
        The lot every other lot is held against (Dunnett); None for no such comparison.
    tolerance
        The largest difference that does not matter, in the table's scale. Without it no answer is "no".
    confidence
        Of the means' intervals and of the simultaneous intervals of differences.

    Raises
    ------
    BadInput
        When there is no score at all, the baseline is not among the lots, or the tolerance is not above 0.

    Examples
    --------
    >>> import numpy as np
    >>> lots = ["A", "B"] * 4
    >>> tasters = ["Ada", "Ada", "Bo", "Bo", "Cy", "Cy", "Di", "Di"]
    >>> sweet = np.array([3.0, 3.2, 2.0, 2.3, 4.1, 4.0, 3.3, 3.1])[:, None]
    >>> scores = Scores(lots, tasters, sweet, ["sweet"])
    >>> fit_profiles(scores, tolerance=1.0)["sweet"].decision.answer
    'no'
    """
    _refuse(scores, baseline, tolerance, confidence)
    layout = lay_out(scores)
    place = layout.lots.index(baseline) if baseline is not None else None
    question = Question(layout.lots, place, tolerance, confidence)
    table = Table(layout)
    fit = fit_table(table)
    strata = kept_strata(table.design, table.counts, layout.means, layout.within)
    decisions = decide(question, strata, table.cups())
    comparable = np.stack([one.comparable for one in strata])
    profiles = Writer(question, table, fit, comparable).profiles(decisions)
    return _with_discovery(
        Profiles(
            profiles, layout.lots, layout.tasters, baseline, tolerance, confidence, warnings=table.warnings()
        )
    )


def _refuse(scores: Scores, baseline: str | None, tolerance: float | None, confidence: float) -> None:
    if scores.n_rows == 0 or not scores.attributes or not np.isfinite(scores.values).any():
        raise BadInput(
            "There is no score in this table.", way_out="Give at least one number in an attribute's column."
        )
    _refuse_sizes(scores)
    lots = sorted({str(lot) for lot in scores.lots})
    if baseline is not None and baseline not in lots:
        raise BadInput(
            f"The baseline lot '{baseline}' is not in the table.", way_out=f"Its lots are: {', '.join(lots)}."
        )
    if tolerance is not None and not (np.isfinite(tolerance) and tolerance > 0):
        raise BadInput(
            f"The tolerance {tolerance:g} is no size of difference.", way_out="Give a number above 0."
        )
    if not 0.5 <= confidence < 1:
        raise BadInput(
            f"The confidence {confidence:g} is out of range.", way_out="Give one from 0.5 to below 1."
        )


def _refuse_sizes(scores: Scores) -> None:
    """Refuse scores whose squares no computer holds: they would come out as "all the same"."""
    given = np.isfinite(scores.values)
    largest = np.abs(np.where(given, scores.values, 0.0)).max(axis=0)
    odd = np.flatnonzero((largest > LARGEST_SCORE) | ((largest > 0) & (largest < 1 / LARGEST_SCORE)))
    if odd.size:
        name, size = scores.attributes[int(odd[0])], largest[odd[0]]
        raise BadInput(
            f"The scores of '{name}' reach {size:g}, which is no size of a score.",
            way_out=f"Give scores whose largest lies between {1 / LARGEST_SCORE:g} and {LARGEST_SCORE:g}.",
        )


def _with_discovery(profiles: Profiles) -> Profiles:
    p = np.array([np.nan if one.decision.p is None else one.decision.p for one in profiles.attributes])
    adjusted = false_discovery(p)
    attributes = tuple(
        replace(one, decision=replace(one.decision, false_discovery=number(q)))
        for one, q in zip(profiles.attributes, adjusted.tolist(), strict=True)
    )
    there = np.isfinite(p)
    note = words.discovery_note(
        int(there.sum()), int((p[there] < 0.05).sum()), int((adjusted[there] < 0.05).sum())
    )
    return replace(profiles, attributes=attributes, note=note)
