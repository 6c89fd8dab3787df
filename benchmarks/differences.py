"""The measured tables of docs/reference/methods-differences.md, printed anew.

Everything but the spread between tasters is counted exactly, outcome by outcome. One and a half minutes.
"""

from collections.abc import Iterable

import numpy as np

from wetleaf.numerics.differences import METHODS, counted, plan_trials, score_trials, sequential_test
from wetleaf.numerics.differences.binomials import chances
from wetleaf.numerics.differences.criteria import model_of
from wetleaf.numerics.differences.dispersion import spread_pvalue
from wetleaf.numerics.differences.two_kinds import score_two_kinds

PANELS = 600
SEED = 1


def row(cells: Iterable[object]) -> None:
    print("| " + " | ".join(map(str, cells)) + " |")


def trials_to_plan() -> None:
    print("\nTrials at alpha 5 %: difference 80 % / 90 %, similarity 80 %, at d = 1, 1.5, 2, 3")
    for key in METHODS:
        cells = []
        for d_prime in (1.0, 1.5, 2.0, 3.0):
            find80, find90 = (plan_trials(key, d_prime=d_prime, power=power).trials for power in (0.8, 0.9))
            cells.append(f"{find80} / {find90}, {plan_trials(key, d_prime=d_prime, similar=True).trials}")
        row([key, *cells])


def sequences() -> None:
    print("\nSequential, alpha 5 %, beta 20 %: fixed, at most, average without and with, wrong yes, wrong no")
    for key in METHODS:
        test = sequential_test(key, d_prime=1.5, beta=0.2)
        fixed = plan_trials(key, d_prime=1.5).trials
        means = [f"{ends.expected_trials:.1f}" for ends in (test.by_guessing, test.at_size)]
        row([key, fixed, test.most, *means, f"{test.by_guessing.yes:.1%}", f"{test.at_size.no:.1%}"])


def coverage() -> None:
    print("\nCover of d-prime over d = 0 to 4: likelihood mean, least; exact mean, least")
    truths = np.arange(0, 4.001, 0.05)
    for key in ("2-afc", "triangle", "tetrad"):
        for trials in (8, 12, 24, 60):
            scores = [score_trials(key, correct, trials) for correct in range(trials + 1)]
            cells = []
            for ends in (
                [(one.estimate.low, one.estimate.high) for one in scores],
                [one.exact for one in scores],
            ):
                low, high = np.array(ends).T
                covered = [
                    chances(trials, METHODS[key].right(d)) @ ((low <= d) & (d <= high)) for d in truths
                ]
                cells += [f"{np.mean(covered):.1%}", f"{np.min(covered):.1%}"]
            row([key, trials, *cells])


def wrong_noes() -> None:
    print("\nWrong no of two-kind methods at the declared d-prime, over five criteria: least to most")
    for key, sizes in (("a-not-a", (1.0, 1.5, 2.0)), ("same-different", (1.5, 2.0, 3.0))):
        for each in (10, 20):
            for size in sizes:
                rates = _no_rates(key, each, size)
                row([key, each, size, f"{min(rates):.1%} to {max(rates):.1%}"])


def _no_rates(key: str, each: int, size: float) -> list[float]:
    said_no = np.array(
        [
            [
                score_two_kinds(
                    key, hits=hits, signals=each, false_alarms=false, noises=each, tolerable=size
                ).answer
                == "no"
                for false in range(each + 1)
            ]
            for hits in range(each + 1)
        ]
    )
    criteria = (
        size / 2 + np.array([-1, -0.5, 0, 0.5, 1]) if key == "a-not-a" else np.array([0.5, 1, 1.5, 2, 3])
    )
    rates = []
    for criterion in criteria:
        hit, false = model_of(key)(size, float(criterion))
        rates.append(float(chances(each, hit) @ said_no @ chances(each, false)))
    return rates


def spread() -> None:
    print(f"\nAlarms of the spread test at 5 %, {PANELS} panels a cell, gamma 0, 0.1, 0.3")
    rng = np.random.default_rng(SEED)
    for tasters in (4, 8, 12):
        for trials in (3, 6, 12):
            row(
                [tasters, trials, *(f"{_alarms(tasters, trials, gamma, rng):.0%}" for gamma in (0, 0.1, 0.3))]
            )


def _alarms(tasters: int, trials: int, gamma: float, rng: np.random.Generator) -> float:
    skills = np.full((PANELS, tasters), 0.6)
    if gamma:
        weight = (1 - gamma) / gamma
        skills = rng.beta(0.6 * weight, 0.4 * weight, size=skills.shape)
    panels = rng.binomial(trials, skills)
    alarms = [
        spread_pvalue([counted("triangle", int(right), trials) for right in panel], rng=rng, draws=199)
        <= 0.05
        for panel in panels
    ]
    return float(np.mean(alarms))


if __name__ == "__main__":
    for table in (trials_to_plan, sequences, coverage, wrong_noes, spread):
        table()
