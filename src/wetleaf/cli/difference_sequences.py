"""What `wetleaf difference next` says: the state after each trial, and whether to taste one more."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from wetleaf.cli.said import Said, shown
from wetleaf.cli.trial_file import Trial, read_trials
from wetleaf.numerics.differences import SequentialTest, follow, method_key, sequential_test
from wetleaf.numerics.differences.sequential import State
from wetleaf.trade.errors import BadInput

_USUAL_METHOD = "triangle"


@dataclass(frozen=True)
class Size:
    """The size watched for, and whether it was declared before tasting."""

    d_prime: float | None
    discriminators: float | None
    declared: bool


def follow_file(
    path: Path, method: str | None, size: Size, alpha: float, beta: float, most: int | None
) -> Said:
    """Follow the trials of a file by Wald's test."""
    trials = read_trials(path)
    key, told = _method(trials, method)
    test = sequential_test(
        key, d_prime=size.d_prime, discriminators=size.discriminators, alpha=alpha, beta=beta, most=most
    )
    states = follow(test, [trial.correct for trial in trials])
    notes = _notes(told, size, test, states, trials)
    answer = _answer(states[-1], size.declared)
    content = {
        "answer": answer,
        "decision": states[-1].decision,
        **_test(test, size),
        "trials": states[-1].trial,
        "correct": states[-1].correct,
        "states": [_state(state, trial) for state, trial in zip(states, trials, strict=False)],
        "unused": len(trials) - len(states),
        "tasters": _tasters(trials[: len(states)]),
        "claim": _claim(trials[: len(states)]),
        "notes": notes,
    }
    return Said(content, tuple(_lines(test, states, trials, answer, notes)))


def _method(trials: Sequence[Trial], method: str | None) -> tuple[str, bool]:
    """The method, and whether anybody named it."""
    named = {method_key(trial.method) for trial in trials if trial.method}
    if method is not None:
        named.add(method_key(method))
    if len(named) > 1:
        raise BadInput(
            f"A sequence is of one method, not of {', '.join(sorted(named))}.",
            way_out="Give a file for each method.",
        )
    return (named.pop(), True) if named else (_USUAL_METHOD, False)


def _answer(state: State, declared: bool) -> str:
    if state.decision == "stop yes":
        return "yes"
    return "no" if state.decision == "stop no" and declared else "can't tell"


def _notes(
    told: bool, size: Size, test: SequentialTest, states: Sequence[State], trials: Sequence[Trial]
) -> list[str]:
    notes = []
    if not told:
        notes.append(f"No method was named: taken for {_USUAL_METHOD}s (--method).")
    if not size.declared:
        notes.append(
            f"No size was declared before tasting: a d-prime of {test.size.d_prime:g} is watched for, "
            'and the answer is never "no" (--d-prime).'
        )
    if len(trials) > len(states):
        notes.append(f"The test had stopped: {len(trials) - len(states)} later trials were not used.")
    if test.by_guessing.yes == 0:
        notes.append(f"In {test.most} trials this test can never say yes: allow more (--most).")
    return notes


def _test(test: SequentialTest, size: Size) -> dict[str, Any]:
    return {
        "method": test.method,
        "d_prime": test.size.d_prime,
        "discriminators": test.size.discriminators,
        "declared": size.declared,
        "alpha": test.alpha,
        "beta": test.beta,
        "most": test.most,
        "lines": asdict(test.lines),
        "exact": {
            "false_yes": test.by_guessing.yes,
            "false_no": test.at_size.no,
            "without_difference": asdict(test.by_guessing),
            "at_size": asdict(test.at_size),
        },
        "wald": {
            "expected_without_difference": test.wald_trials[0],
            "expected_at_size": test.wald_trials[1],
        },
    }


def _tasters(trials: Sequence[Trial]) -> list[dict[str, Any]]:
    of = Counter(trial.taster for trial in trials if trial.taster)
    right = Counter(trial.taster for trial in trials if trial.correct)
    return [{"taster": name, "correct": right[name], "trials": of[name]} for name in sorted(of)]


def _claim(trials: Sequence[Trial]) -> str:
    names = sorted({trial.taster for trial in trials if trial.taster})
    return f"About {' and '.join(names) if names else 'those who did these trials'} only."


def _state(state: State, trial: Trial) -> dict[str, Any]:
    return {**asdict(state), "taster": trial.taster, "was_right": trial.correct}


def _lines(
    test: SequentialTest, states: Sequence[State], trials: Sequence[Trial], answer: str, notes: Sequence[str]
) -> list[str]:
    last = states[-1]
    rows = [
        f"  {state.trial:>3}  {'right' if trial.correct else 'wrong':<5}  {state.correct:>3} right   "
        f"no up to {state.no_up_to if state.no_up_to >= 0 else '-':>2}, "
        f"yes from {state.yes_from if state.yes_from <= state.trial else '-':>2}   {state.decision}"
        for state, trial in zip(states, trials, strict=False)
    ]
    return [
        f"{last.decision} (answer: {answer})",
        f"  {test.method}, {last.correct} right of {last.trial}; at most {test.most} trials",
        *rows,
        f"  exact chance of a wrong yes {test.by_guessing.yes:.1%}, of a wrong no at d-prime "
        f"{shown(test.size.d_prime)} {test.at_size.no:.1%}",
        f"  trials on average: {test.by_guessing.expected_trials:.1f} without a difference, "
        f"{test.at_size.expected_trials:.1f} at that size (Wald's own reckoning: {test.wald_trials[0]:.1f} "
        f"and {test.wald_trials[1]:.1f})",
        *notes,
        _claim(trials[: len(states)]),
    ]
