"""What `wetleaf difference score` says of counts, of a file of trials, and of two kinds of trial."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, cast

import numpy as np

from wetleaf.cli.said import Said, chance, shown
from wetleaf.cli.trial_file import Trial, read_trials
from wetleaf.numerics.differences import (
    METHODS,
    Counted,
    DifferenceScore,
    PanelScore,
    PooledScore,
    TwoKindScore,
    counted,
    method_key,
    plan_trials,
    pool,
    score_panel,
    score_trials,
    score_two_kinds,
)
from wetleaf.numerics.differences.estimates import Estimate
from wetleaf.numerics.differences.methods import declared_size
from wetleaf.numerics.differences.pooling import pooled_findable
from wetleaf.numerics.differences.spending import Spending
from wetleaf.trade.errors import BadInput

_DRAW = 1
"""The seed of the one test that draws, so that the same file gives the same numbers."""
_UNNAMED = "unnamed"


@dataclass(frozen=True)
class Asked:
    """How to judge: the options of the command that do not count trials."""

    alpha: float
    tolerable: float | None
    tolerable_discriminators: float | None
    planned: int | None
    looks: tuple[int, ...]
    spending: str
    power: float


def of_counts(method: str, correct: int, trials: int, asked: Asked) -> Said:
    """Judge right answers of one method."""
    found = _score(method, correct, trials, asked)
    claim = "About those who did these trials only; a wider claim needs their names (--file)."
    return Said({**_single(found), "claim": claim}, (*_single_lines(found), claim))


def of_file(path: Path, method: str | None, asked: Asked) -> Said:
    """Judge a file of trials: each method, all together, and taster by taster."""
    trials = read_trials(path)
    by_method = _by_method(trials, method)
    panel = score_panel(_by_taster(trials, method), alpha=asked.alpha, rng=np.random.default_rng(_DRAW))
    if len(by_method) == 1:
        (one,) = by_method
        found = _score(one.method.key, one.correct, one.trials, asked)
        content, lines = _single(found), _single_lines(found)
    else:
        content, lines = _pooled(by_method, asked)
    named = any(trial.taster for trial in trials)
    return Said({**content, **_panel(panel, named)}, (*lines, *_panel_lines(panel, named)))


def of_two_kinds(method: str, hits: int, signals: int, false_alarms: int, noises: int, asked: Asked) -> Said:
    """Judge same-different or A-not-A."""
    if asked.planned is not None or asked.looks or asked.tolerable_discriminators is not None:
        raise BadInput(
            f"{method_key(method)} is judged once, and a size is declared as a d-prime.",
            way_out="Leave out --planned, --looks and --tolerable-discriminators.",
        )
    found = score_two_kinds(
        method,
        hits=hits,
        signals=signals,
        false_alarms=false_alarms,
        noises=noises,
        alpha=asked.alpha,
        tolerable=asked.tolerable,
    )
    return Said(_two_kinds(found), tuple(_two_kind_lines(found)))


def _score(method: str, correct: int, trials: int, asked: Asked) -> DifferenceScore:
    return score_trials(
        method,
        correct,
        trials,
        alpha=asked.alpha,
        tolerable=asked.tolerable,
        tolerable_discriminators=asked.tolerable_discriminators,
        planned=asked.planned,
        looks=asked.looks,
        spending=cast(Spending, asked.spending),
        powers=sorted({asked.power, 0.8, 0.9}, key=lambda power: (power != asked.power, power)),
    )


def _single(found: DifferenceScore) -> dict[str, Any]:
    return {
        "method": found.method,
        "correct": found.correct,
        "trials": found.trials,
        "guessing": METHODS[found.method].guessing,
        "alpha": found.alpha,
        "p_value": found.p_value,
        "p_after_looks": found.p_after_looks,
        "proportion": found.proportion.value,
        "proportion_low": found.proportion.low,
        "proportion_high": found.proportion.high,
        "discriminators": found.discriminators.value,
        "discriminators_low": found.discriminators.low,
        "discriminators_high": found.discriminators.high,
        **asdict(found.estimate),
        "exact_low": found.exact[0],
        "exact_high": found.exact[1],
        "answer": found.answer,
        "tolerable": asdict(found.tolerable) if found.tolerable else None,
        "p_tolerable": found.p_tolerable,
        "within_tolerable": found.within_tolerable,
        "would_have_found": asdict(found.would_have_found[0]),
        "would_have_found_at": [asdict(one) for one in found.would_have_found],
        "rule": asdict(found.rule),
        "extended": found.rule.kind == "extended",
        "more_trials": found.more_trials,
        "next_step": _next_step(found),
    }


def _next_step(found: DifferenceScore) -> str:
    if found.answer != "can't tell":
        return ""
    if found.more_trials is not None:
        return f"Taste on as planned: up to {found.more_trials} trials more, {found.rule.planned} in all."
    if found.tolerable is None:
        return "Declare the size that matters (--tolerable), plan a fresh test for it, and taste that one."
    return _fresh_test(found.method, found.tolerable.d_prime)


def _fresh_test(method: str, d_prime: float) -> str:
    """A test that is planned anew; adding to this one would be looking twice."""
    try:
        plan = plan_trials(method, d_prime=d_prime)
        pairs = plan_trials("2-afc", d_prime=d_prime)
    except BadInput:
        return "A difference as small as that takes more trials than anyone tastes: declare a larger one."
    return (
        f"A fresh test of {plan.trials} trials would find the declared size with 80 %; if it is known in "
        f"what the teas differ, {pairs.trials} directed pairs would. "
        "Adding to these trials would be a second look."
    )


def _single_lines(found: DifferenceScore) -> list[str]:
    guessed = METHODS[found.method].guessing * found.trials
    lines = [
        "Can they be told apart? " + found.answer,
        f"  {found.method}: {found.correct} right of {found.trials}, where guessing gives {guessed:.1f}; "
        f"chance by guessing {chance(found.p_value)}",
        f"  d-prime {_estimate(found.estimate)}; exact {shown(found.exact[0])} to {shown(found.exact[1])}",
        f"  share of discriminators {found.discriminators.value:.0%} "
        f"({found.discriminators.low:.0%} to {found.discriminators.high:.0%})",
        *_rule_lines(found),
        *_tolerable_lines(found),
        f"  {_findable(found.trials, [(one.d_prime, one.power) for one in found.would_have_found])}",
    ]
    step = _next_step(found)
    return [*lines, f"To settle it: {step}"] if step else lines


def _estimate(found: Estimate) -> str:
    ends = f"{found.confidence:.0%} interval {shown(found.low)} to {shown(found.high)}"
    if found.d_prime in (0, float("inf")):
        return f"{shown(found.d_prime)} ({ends})"
    return f"{shown(found.d_prime)} (standard error {shown(found.se)}; {ends})"


def _rule_lines(found: DifferenceScore) -> list[str]:
    rule = found.rule
    if rule.kind == "planned":
        return [
            f"  a look at {found.trials} of {rule.planned} planned: yes from {rule.yes_from} right on; "
            f"guessing has passed by now with {chance(rule.error)}"
        ]
    if rule.kind == "fixed" or found.p_after_looks is None:
        return []
    listed = ", ".join(map(str, rule.looks))
    return [
        f"  EXTENDED after a look: judged at {listed} trials, each at {found.alpha:.0%}, guessing passes "
        f"with {rule.plain_error:.1%}; so yes only from {rule.yes_from} right on "
        f"(chance by guessing after the looks {chance(found.p_after_looks)})"
    ]


def _tolerable_lines(found: DifferenceScore) -> list[str]:
    if found.tolerable is None or found.p_tolerable is None:
        return ['  no size was declared before tasting, so the answer cannot be "no"']
    size = f"d-prime {shown(found.tolerable.d_prime)} (discriminators {found.tolerable.discriminators:.0%})"
    if not found.within_tolerable:
        return [f"  a difference of the declared {size} is not excluded (p = {chance(found.p_tolerable)})"]
    kind = "told apart, yet smaller than" if found.answer == "yes" else "none as large as"
    return [f"  {kind} the declared {size} (p = {chance(found.p_tolerable)})"]


def _findable(trials: int, found: Sequence[tuple[float, float]]) -> str:
    reached = [f"{shown(d_prime)} with {power:.0%}" for d_prime, power in found if d_prime != float("inf")]
    if not reached:
        return f"{trials} trials are too few to find any difference"
    return f"{trials} trials would have found a d-prime of {', '.join(reached)}"


def _by_method(trials: Sequence[Trial], method: str | None) -> list[Counted]:
    right, of = Counter[str](), Counter[str]()
    for trial in trials:
        key = _method_of(trial, method)
        of[key] += 1
        right[key] += trial.correct
    return [counted(key, right[key], of[key]) for key in of]


def _by_taster(trials: Sequence[Trial], method: str | None) -> dict[str, list[Counted]]:
    names = dict.fromkeys(trial.taster or _UNNAMED for trial in trials)
    return {
        name: _by_method([trial for trial in trials if (trial.taster or _UNNAMED) == name], method)
        for name in names
    }


def _method_of(trial: Trial, method: str | None) -> str:
    if method is None and not trial.method:
        raise BadInput(
            f"Row {trial.row} does not say by which method.",
            way_out="Give --method, or a column 'method'.",
        )
    own = method_key(trial.method) if trial.method else None
    if method is not None and own is not None and own != method_key(method):
        raise BadInput(
            f"Row {trial.row} is a {own}, not a {method_key(method)}.",
            way_out="Leave out --method to judge all methods of the file together.",
        )
    return own or method_key(cast(str, method))


def _pooled(counts: Sequence[Counted], asked: Asked) -> tuple[dict[str, Any], list[str]]:
    if asked.planned is not None or asked.looks:
        raise BadInput(
            "Several methods are judged together once, without looks.",
            way_out="Leave out --planned and --looks.",
        )
    size = None
    if asked.tolerable is not None or asked.tolerable_discriminators is not None:
        if asked.tolerable is None:
            raise BadInput(
                "A share of discriminators is not one size for several methods.",
                way_out="Declare a d-prime (--tolerable).",
            )
        size = declared_size(counts[0].method, d_prime=asked.tolerable)
    found = pool(counts, tolerable=size)
    return _pooled_content(found, asked), _pooled_lines(found, asked)


def _pooled_answer(found: PooledScore, alpha: float) -> str:
    if found.p_value <= alpha:
        return "yes"
    return "no" if found.p_tolerable is not None and found.p_tolerable <= alpha else "can't tell"


def _pooled_content(found: PooledScore, asked: Asked) -> dict[str, Any]:
    powers = [asked.power, *(power for power in (0.8, 0.9) if power != asked.power)]
    findable = [
        {"d_prime": pooled_findable(found.counts, power, alpha=asked.alpha), "power": power}
        for power in powers
    ]
    return {
        "method": "several",
        "methods": [
            {"method": one.method.key, "correct": one.correct, "trials": one.trials, "weight": weight}
            for one, weight in zip(found.counts, found.weights, strict=True)
        ],
        "correct": sum(one.correct for one in found.counts),
        "trials": sum(one.trials for one in found.counts),
        "alpha": asked.alpha,
        "p_value": found.p_value,
        "proportion": None,
        "discriminators": None,
        **asdict(found.estimate),
        "p_agree": found.p_agree,
        "answer": _pooled_answer(found, asked.alpha),
        "tolerable": asked.tolerable,
        "p_tolerable": found.p_tolerable,
        "would_have_found": findable[0],
        "would_have_found_at": findable,
        "more_trials": None,
    }


def _pooled_lines(found: PooledScore, asked: Asked) -> list[str]:
    lines = [
        "Can they be told apart? " + _pooled_answer(found, asked.alpha),
        *(f"  {one.method.key}: {one.correct} right of {one.trials}" for one in found.counts),
        f"  together: chance by guessing {chance(found.p_value)}; d-prime {_estimate(found.estimate)}",
    ]
    if found.p_agree is not None:
        lines.append(f"  chance of methods so unlike if there is one d-prime: {chance(found.p_agree)}")
    if found.p_tolerable is not None:
        lines.append(f"  a d-prime of {asked.tolerable} or more: p = {chance(found.p_tolerable)}")
    return lines


def _panel(panel: PanelScore, named: bool) -> dict[str, Any]:
    return {
        "tasters": [asdict(one) for one in panel.tasters] if named else [],
        "dispersion": asdict(panel.dispersion) if panel.dispersion and named else None,
        "why_no_dispersion": panel.why_none if named else "The file names no tasters.",
        "claim": panel.claim if named else "About those who did these trials only.",
    }


def _panel_lines(panel: PanelScore, named: bool) -> list[str]:
    if not named:
        return ["About those who did these trials only: the file names no tasters."]
    lines = [
        f"  {one.taster}: {one.correct} right of {one.trials}, chance by guessing {chance(one.p_value)} "
        f"(for all asked about {chance(one.p_adjusted)}), d-prime {shown(one.d_prime)}"
        for one in panel.tasters
    ]
    if panel.dispersion is not None:
        lines.append(
            f"  spread between tasters {shown(panel.dispersion.gamma)} (0: all alike; "
            f"p = {chance(panel.dispersion.p_value)})"
        )
    return [*lines, panel.claim]


def _two_kinds(found: TwoKindScore) -> dict[str, Any]:
    return {
        "method": found.method,
        "hits": found.hits,
        "signals": found.signals,
        "false_alarms": found.false_alarms,
        "noises": found.noises,
        "trials": found.signals + found.noises,
        "alpha": found.alpha,
        "p_value": found.p_value,
        "proportion": (found.hits + found.noises - found.false_alarms) / (found.signals + found.noises),
        "discriminators": None,
        "hit_share": asdict(found.hit_share),
        "false_alarm_share": asdict(found.false_alarm_share),
        **asdict(found.estimate),
        "criterion": found.criterion,
        "answer": found.answer,
        "tolerable": found.tolerable,
        "p_tolerable": found.p_tolerable,
        "more_trials": None,
        "claim": "About those who did these trials only.",
    }


def _two_kind_lines(found: TwoKindScore) -> list[str]:
    lines = [
        "Can they be told apart? " + found.answer,
        f"  {found.method}: {found.hits} of {found.signals} hits, "
        f"{found.false_alarms} of {found.noises} false alarms; "
        f"chance by Fisher's exact test {chance(found.p_value)}",
        f"  d-prime {_estimate(found.estimate)}",
    ]
    if found.p_tolerable is None:
        lines.append('  no size was declared before tasting, so the answer cannot be "no"')
    else:
        lines.append(f"  a d-prime of {found.tolerable} or more: p = {chance(found.p_tolerable)}")
    return [*lines, "About those who did these trials only."]
