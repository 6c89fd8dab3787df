"""Can they be told apart, by same-different or A-not-A? Models in `criteria`, test in `fisher`."""

from dataclasses import dataclass
from math import sqrt

from wetleaf.numerics.differences.binomials import exact_interval
from wetleaf.numerics.differences.counts import check_level, check_trials
from wetleaf.numerics.differences.criteria import Fit
from wetleaf.numerics.differences.estimates import Estimate
from wetleaf.numerics.differences.fisher import fisher_p
from wetleaf.numerics.differences.methods import LARGEST_D_PRIME, TWO_KIND_METHODS, TwoKindMethod, method_key
from wetleaf.numerics.differences.scoring import Answer, Share
from wetleaf.trade.errors import BadInput


@dataclass(frozen=True, slots=True)
class TwoKindScore:
    """The answer to "can they be told apart?" from `hits` of `signals` and `false_alarms` of `noises`.

    `p_value`: Fisher's exact, one-sided. `criterion`: tau for same-different, the place of the cut above
    A's mean for A-not-A; nan where the shares do not tell it. `p_tolerable`: likelihood-ratio chance
    (asymptotic, the criterion fitted anew) of a d-prime so low when the true one is `tolerable`.
    """

    method: str
    hits: int
    signals: int
    false_alarms: int
    noises: int
    alpha: float
    p_value: float
    hit_share: Share
    false_alarm_share: Share
    estimate: Estimate
    criterion: float
    answer: Answer
    tolerable: float | None
    p_tolerable: float | None


def score_two_kinds(
    method: str,
    *,
    hits: int,
    signals: int,
    false_alarms: int,
    noises: int,
    alpha: float = 0.05,
    tolerable: float | None = None,
    confidence: float = 0.95,
) -> TwoKindScore:
    """Return whether the teas can be told apart by same-different or A-not-A.

    `hits` of `signals` trials with different teas (the other tea) and `false_alarms` of `noises` with the
    same tea (A) were called different (not A). *Yes*: Fisher's exact test, one-sided, at `alpha`. *No*: a
    `tolerable` d-prime was declared and the likelihood excludes it, one-sided; this rests on large numbers,
    unlike the methods where an answer is right or wrong. Raises BadInput for counts, levels or sizes that
    cannot be.

    >>> score = score_two_kinds("a-not-a", hits=16, signals=20, false_alarms=6, noises=20)
    >>> score.answer, round(score.p_value, 4), round(score.estimate.d_prime, 3), round(score.estimate.se, 3)
    ('yes', 0.0018, 1.366, 0.435)
    """
    how = two_kind_method(method)
    _check_counts(how, hits, signals, false_alarms, noises)
    check_level("alpha", alpha)
    check_level("confidence", confidence)
    fit = Fit(how.key, hits, signals, false_alarms, noises)
    p_value = fisher_p(hits, signals, false_alarms, noises)
    p_tolerable = None if tolerable is None else _p_of_declared(fit, tolerable)
    return TwoKindScore(
        how.key,
        hits,
        signals,
        false_alarms,
        noises,
        alpha,
        p_value,
        Share(hits / signals, *exact_interval(hits, signals, confidence)),
        Share(false_alarms / noises, *exact_interval(false_alarms, noises, confidence)),
        fit.estimate(confidence),
        fit.criterion(),
        _answer(p_value, p_tolerable, alpha),
        tolerable,
        p_tolerable,
    )


def two_kind_method(name: str) -> TwoKindMethod:
    """Return same-different or A-not-A by name. Raises BadInput for any other.

    >>> two_kind_method("A not A").cups
    1
    """
    key = method_key(name)
    if key not in TWO_KIND_METHODS:
        raise BadInput(f"{key} has one kind of trial.", way_out="Give its right answers and its trials.")
    return TWO_KIND_METHODS[key]


def _check_counts(how: TwoKindMethod, hits: int, signals: int, false_alarms: int, noises: int) -> None:
    for said, trials, what in ((hits, signals, how.hit), (false_alarms, noises, how.false_alarm)):
        check_trials(trials)
        if not 0 <= said <= trials:
            raise BadInput(
                f"{said} of {trials} ({what}) cannot be.", way_out="Give a count from 0 to the trials."
            )


def _answer(p_value: float, p_tolerable: float | None, alpha: float) -> Answer:
    if p_value <= alpha:
        return "yes"
    return "no" if p_tolerable is not None and p_tolerable <= alpha else "can't tell"


def _p_of_declared(fit: Fit, tolerable: float) -> float:
    """One-sided, by the signed root of the likelihood ratio: small when the estimate is well below."""
    from scipy.special import ndtr

    if not 0 < tolerable <= LARGEST_D_PRIME:
        raise BadInput(
            f"A d-prime of {tolerable:g} cannot be declared.",
            way_out=f"Give the size that matters, above 0 and at most {LARGEST_D_PRIME:g}, such as 1.",
        )
    best = fit.d_prime()
    drop = max(0.0, fit.highest(best) - fit.profile(tolerable))
    root = sqrt(2 * drop)
    return float(ndtr(root if best > tolerable else -root))
