"""Yes, no, or can't tell: what may be decided about the lots, on the stratum that is always kept.

"Yes" when lots differ more than the tasters' disagreement explains, at 5 %. "No" only against a declared
tolerance: when every pair's 90 % interval lies in it (two one-sided tests at 5 % each). Else "can't tell".

References
----------
Schuirmann (1987) A comparison of the two one-sided tests procedure, J Pharmacokinet Biopharm 15: 657-680.
Benjamini, Hochberg (1995) Controlling the false discovery rate, J R Stat Soc B 57: 289-300.
"""

from dataclasses import dataclass, replace
from itertools import cycle

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles import words
from wetleaf.numerics.profiles.contrasts import Estimates, Family, against_one, all_pairs, f_tail, half_width
from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.results import (
    Answer,
    Decision,
    LotMean,
    Verdict,
    many,
    number,
    numbers_in,
    parted,
)
from wetleaf.numerics.profiles.strata import Stratum

ALPHA = 0.05


@dataclass(frozen=True)
class Question:
    """What is asked of every attribute: against which lot, within which tolerance, how sure the intervals
    are."""

    lots: tuple[str, ...]
    baseline: int | None
    tolerance: float | None
    confidence: float


@dataclass(frozen=True)
class Cups:
    """What stands behind one attribute's scores: who tasted, whether pots are told apart, or why there is
    no test."""

    n_tasters: int
    n_per_lot: tuple[int, ...]
    pots: words.Pots
    why_not: str = ""
    next_step: str = ""


def decide(question: Question, strata: list[Stratum], cups: list[Cups]) -> list[Decision]:
    """Decide every attribute. `strata` and `cups` hold one entry an attribute."""
    if not strata:
        return []
    first, second = np.triu_indices(len(question.lots), 1)
    pairs = _verdicts(question, _judge_pairs(question, strata, first, second), len(strata))
    against = _verdicts(question, _judge_against(question, strata), len(strata))
    means = _lot_means(question, strata, cups)
    p = f_tail(*(np.array([getattr(one, name) for one in strata]) for name in ("f", "df1", "df")))
    return [
        _decision(question, *of_one)
        for of_one in zip(strata, cups, p.tolist(), means, pairs, against, strict=True)
    ]


@dataclass(frozen=True)
class _Judged:
    """A family of differences with the plain 90 % half widths beside the adjusted ones."""

    first: NDArray[np.intp]
    second: NDArray[np.intp]
    family: Family
    margin_90: Floats


def _judge_pairs(
    question: Question, strata: list[Stratum], first: NDArray[np.intp], second: NDArray[np.intp]
) -> _Judged:
    estimates = _differences(strata, first, second)
    n_lots = np.array([int(one.comparable.diagonal().sum()) for one in strata])
    family = all_pairs(estimates, n_lots, question.confidence)
    return _Judged(first, second, family, half_width(estimates.se, estimates.df, 0.90))


def _judge_against(question: Question, strata: list[Stratum]) -> _Judged | None:
    if question.baseline is None:
        return None
    first = np.array([lot for lot in range(len(question.lots)) if lot != question.baseline], dtype=np.intp)
    second = np.full_like(first, question.baseline)
    if not first.size:
        return None
    estimates = _differences(strata, first, second)
    rows = np.eye(len(question.lots))[first] - np.eye(len(question.lots))[second]
    covariance = np.stack([rows @ np.nan_to_num(one.structure) @ rows.T for one in strata])
    family = against_one(
        estimates, correlation_of(covariance), question.confidence, settled=np.isfinite(estimates.value)
    )
    return _Judged(first, second, family, half_width(estimates.se, estimates.df, 0.90))


def _differences(strata: list[Stratum], first: NDArray[np.intp], second: NDArray[np.intp]) -> Estimates:
    means = np.stack([one.means for one in strata])
    structure = np.stack([one.structure for one in strata])
    mean_square = np.array([one.mean_square if np.isfinite(one.f) else np.nan for one in strata])[:, None]
    comparable = np.stack([one.comparable for one in strata])[:, first, second]
    diagonal = np.einsum("aii->ai", structure)
    spread = diagonal[:, first] + diagonal[:, second] - 2.0 * structure[:, first, second]
    df = np.array([one.df for one in strata])[:, None]
    return Estimates(
        value=np.where(comparable, means[:, first] - means[:, second], np.nan),
        se=np.where(comparable, np.sqrt(np.maximum(spread, 0.0) * mean_square), np.nan),
        df=np.where(comparable, df, np.nan),
    )


def correlation_of(covariance: Floats) -> Floats:
    """Return the correlations of covariances (..., m, m); 0 where a variance is 0."""
    spread = np.sqrt(np.maximum(np.einsum("...ii->...i", covariance), 0.0))
    scale = spread[..., :, None] * spread[..., None, :]
    found = np.divide(covariance, scale, out=np.zeros_like(covariance), where=scale > 0)
    found = np.clip((found + np.swapaxes(found, -1, -2)) / 2.0, -1.0, 1.0)
    diagonal = np.arange(found.shape[-1])
    found[..., diagonal, diagonal] = 1.0
    return np.asarray(found)


def _verdicts(question: Question, judged: _Judged | None, n_attributes: int) -> list[tuple[Verdict, ...]]:
    """Return the verdicts of every attribute."""
    if judged is None or not judged.first.size:
        return [()] * n_attributes
    e, margin, margin_90, p = judged.family.estimates, judged.family.margin, judged.margin_90, judged.family.p
    ends = (e.value - margin, e.value + margin, e.value - margin_90, e.value + margin_90)
    numbers = map(numbers_in, (e.value, e.se, e.df, *ends, p))
    sides = (cycle([question.lots[lot] for lot in side.tolist()]) for side in (judged.first, judged.second))
    answers = _answers(question.tolerance, e.value.ravel(), margin_90.ravel(), p.ravel())
    return parted(many(Verdict, p.size, *sides, *numbers, answers), judged.first.size)


def _answers(tolerance: float | None, difference: Floats, margin_90: Floats, p: Floats) -> list[Answer]:
    """Return the answer for every pair; a comparison with nan is false, so those cannot be told."""
    answers: list[Answer] = ["yes" if found else "can't tell" for found in (p < ALPHA).tolist()]
    if tolerance is None:
        return answers
    within = (np.abs(difference) + margin_90 <= tolerance).tolist()
    return ["no" if inside else answer for inside, answer in zip(within, answers, strict=True)]


def _decision(
    question: Question,
    stratum: Stratum,
    cups: Cups,
    p: float,
    means: tuple[LotMean, ...],
    pairs: tuple[Verdict, ...],
    against: tuple[Verdict, ...],
) -> Decision:
    if cups.why_not:
        told = cups.why_not in words.DIFFERENCES_WITHOUT_DOUBT
        return Decision(
            "can't tell",
            cups.why_not,
            "none",
            tolerance=question.tolerance,
            next_step=cups.next_step,
            pairs=pairs if told else (),
            against=against if told else (),
        )
    why_not = words.why_no_test(stratum, cups.pots)
    if why_not:
        told = why_not == words.DISJOINED_TASTERS or np.isfinite(stratum.mean_square)
        return Decision(
            "can't tell",
            why_not,
            "none",
            tolerance=question.tolerance,
            next_step=words.join_step(why_not),
            pairs=pairs if told else (),
            against=against if told else (),
        )
    within = bool(pairs) and all(pair.answer == "no" for pair in pairs if pair.difference is not None)
    answer: Answer = "no" if within else "yes" if p < ALPHA else "can't tell"
    claim = words.claim_of(cups.n_tasters, cups.pots)
    decision = Decision(
        answer=answer,
        rule=_rule(question, stratum, cups, within=within, found=p < ALPHA),
        claim=claim,
        p=number(p),
        f=number(stratum.f),
        df1=number(stratum.df1),
        df2=number(stratum.df),
        tolerance=question.tolerance,
        next_step=words.next_step(answer, claim, stratum, question.tolerance),
        means=means,
        pairs=pairs,
        against=against,
        parts=stratum.parts,
    )
    return _about_pots(decision) if claim == "these pots" else decision


def _rule(question: Question, stratum: Stratum, cups: Cups, *, within: bool, found: bool) -> str:
    rule = words.rule_of(stratum, question.tolerance, within=within, found=found)
    return f"{rule} {words.POTS_OF_THEIR_OWN}" if cups.pots == "not told" and cups.n_tasters > 1 else rule


def _about_pots(decision: Decision) -> Decision:
    """Take back what single pots cannot say of their lots; what they say of themselves stays beside it."""
    return replace(
        decision,
        answer="can't tell",
        pots_answer=decision.answer,
        rule=words.rule_of_pots(decision.rule, decision.answer),
        pairs=tuple(replace(pair, answer="can't tell") for pair in decision.pairs),
        against=tuple(replace(pair, answer="can't tell") for pair in decision.against),
    )


def _lot_means(question: Question, strata: list[Stratum], cups: list[Cups]) -> list[tuple[LotMean, ...]]:
    means = np.stack([one.means for one in strata])
    square = np.array([one.mean_square for one in strata])[:, None]
    se = np.sqrt(np.stack([one.structure.diagonal() for one in strata]) * square)
    se = np.where(np.isfinite(means), se, np.nan)
    df = np.broadcast_to(np.array([one.df for one in strata])[:, None], se.shape)
    margin = half_width(se, df, question.confidence)
    numbers = map(numbers_in, (means, se, df, means - margin, means + margin))
    counts = [count for one in cups for count in one.n_per_lot]
    return parted(many(LotMean, se.size, cycle(question.lots), *numbers, counts), len(question.lots))


def false_discovery(p: Floats) -> Floats:
    """Return Benjamini and Hochberg's adjusted p over the attributes; nan stays nan.

    >>> false_discovery(np.array([0.01, 0.04, 0.03, np.nan])).round(3).tolist()
    [0.03, 0.04, 0.04, nan]
    """
    adjusted = np.full(p.shape, np.nan)
    there = np.flatnonzero(np.isfinite(p))
    if not there.size:
        return adjusted
    order = there[np.argsort(p[there])]
    steps = p[order] * there.size / np.arange(1, there.size + 1)
    adjusted[order] = np.minimum.accumulate(steps[::-1])[::-1].clip(max=1.0)
    return adjusted
