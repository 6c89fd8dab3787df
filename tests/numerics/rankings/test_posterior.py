"""Draws against numbers integrated by other means, and the slopes against differences."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.optimize import approx_fprime
from scipy.stats import norm

from wetleaf.numerics.rankings import Assumed, RowAnswer, evidence_of, pair_answer, rank_lots
from wetleaf.numerics.rankings.posterior import SPREADS, find_modes

MIXED = [
    pair_answer("a", "b", "a", taster="Wren"),
    pair_answer("c", "a", None, taster="Ottil"),
    pair_answer("b", "c", "c", taster="Wren"),
    pair_answer("b", "a", "a", taster="Ottil"),
]
ROWS = [
    RowAnswer((("d",), ("a", "b"), ("c",)), taster="Wren", first="a"),
    RowAnswer((("b",),), ("a", "d"), taster="Ottil", first="d"),
]


def two_lots_by_quadrature(wins: int, losses: int, spread: float = 1.0) -> tuple[float, float]:
    """Chance that the first of two lots is better, and its mean lead: normal, of variance 2 spread²."""

    def moment(power: int, start: float) -> float:
        def density(lead: float) -> float:
            prior = np.mean([norm.pdf(lead, 0, np.sqrt(2) * spread * one) for one in SPREADS])
            likelihood = (1 + np.exp(-lead)) ** -wins * (1 + np.exp(lead)) ** -losses
            return float(lead**power * prior * likelihood)

        return float(quad(density, start, 40, epsabs=1e-12, limit=400)[0])

    return moment(0, 0) / moment(0, -40), moment(1, -40) / moment(0, -40)


@pytest.mark.parametrize(("wins", "losses"), [(1, 0), (3, 0), (12, 0), (9, 4), (0, 30)])
def test_two_lots_agree_with_a_one_dimensional_integral(wins: int, losses: int) -> None:
    answers = [RowAnswer((("a",), ("b",)))] * wins + [RowAnswer((("b",), ("a",)))] * losses
    chance, lead = two_lots_by_quadrature(wins, losses)

    evidence = evidence_of(answers, assumed=Assumed(recognised=0))
    draws = evidence.draw(40_000, np.random.default_rng(1))

    apart = draws.strengths[:, 0] - draws.strengths[:, 1]
    assert draws.weights @ (apart > 0) == pytest.approx(chance, abs=0.01)
    assert draws.weights @ apart == pytest.approx(lead, abs=0.03)


def test_without_answers_the_prior_is_left() -> None:
    draws = evidence_of([], lots=["a", "b", "c"]).draw(40_000, np.random.default_rng(2))

    assert draws.evidence == pytest.approx([1 / 3] * 3, abs=0.01)
    assert draws.weights @ draws.strengths == pytest.approx([0, 0, 0], abs=0.05)
    assert draws.weights @ draws.strengths**2 == pytest.approx([np.mean(np.square(SPREADS))] * 3, rel=0.05)


def walked(evidence_answers: list[RowAnswer], steps: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Chances of being best by a random walk (Metropolis) over the same target: slow, but another way."""
    evidence = evidence_of(evidence_answers)
    target = evidence.target()
    points = np.zeros((500, target.answers.size))

    def height(at: NDArray[np.float64]) -> NDArray[np.float64]:
        return target.log_likelihood(at) + np.logaddexp.reduce(target.log_prior(at), axis=0)

    here, met = height(points), np.zeros(len(evidence.lots))
    for step in range(steps):
        tried = points + rng.normal(0, 0.5, points.shape)
        there = height(tried)
        taken = np.log(rng.random(len(points))) < there - here
        points[taken], here[taken] = tried[taken], there[taken]
        if step > steps // 4:
            met += np.bincount(points[:, : met.size].argmax(axis=1), minlength=met.size)
    return met / met.sum()


@pytest.mark.parametrize(
    "answers", [MIXED, MIXED * 4, ROWS, MIXED + ROWS * 3], ids=["pairs", "more", "rows", "both"]
)
def test_ties_order_and_tasters_agree_with_a_random_walk(answers: list[RowAnswer]) -> None:
    slow = walked(answers, 700, np.random.default_rng(3))

    found = rank_lots(evidence_of(answers), rng=np.random.default_rng(4))

    quick = {lot.lot: lot.chance_best for lot in found.lots}
    assert [quick[lot] for lot in sorted(quick)] == pytest.approx(slow, abs=0.03)
    assert found.effective > 1000


@pytest.mark.parametrize("model", ["plackett-luce", "thurstone"])
def test_slopes_are_those_of_the_likelihood(model: str) -> None:
    answers = MIXED if model == "thurstone" else MIXED + ROWS
    likelihood = evidence_of(answers, assumed=Assumed.usual(model)).target().answers  # type: ignore[arg-type]
    point = np.random.default_rng(5).normal(0, 0.7, likelihood.size)

    score, information, bend = likelihood.score_and_information(point)

    assert score == pytest.approx(approx_fprime(point, likelihood.log_likelihood, 1e-7), abs=1e-5)
    assert np.linalg.eigvalsh(information).min() > -1e-9
    if model == "plackett-luce":
        curvature = approx_fprime(point, lambda at: -likelihood.score_and_information(at)[0], 1e-7)
        assert information + bend == pytest.approx(curvature, abs=1e-5)


def test_case_v_and_bradley_terry_hardly_differ_where_pairs_are_many() -> None:
    rng = np.random.default_rng(6)
    answers = []
    for _ in range(60):
        one, two = rng.choice(["a", "b", "c"], 2, replace=False)
        answers.append(pair_answer(one, two, min(one, two) if rng.random() < 0.75 else max(one, two)))

    logit = rank_lots(evidence_of(answers), rng=rng)
    probit = rank_lots(evidence_of(answers, assumed=Assumed.usual("thurstone")), rng=rng)

    assert [lot.lot for lot in probit.lots] == [lot.lot for lot in logit.lots]
    assert [lot.chance_best for lot in probit.lots] == pytest.approx(
        [lot.chance_best for lot in logit.lots], abs=0.04
    )


def test_the_mode_is_found_where_a_lot_won_everything_many_times() -> None:
    evidence = evidence_of([pair_answer("a", "b", "a")] * 3000 + [pair_answer("b", "c", "b")] * 3000)

    modes = find_modes(evidence.target())

    assert np.isfinite(modes.points).all()
    assert (modes.points[:, 0] > modes.points[:, 1]).all()


def test_the_mode_is_found_whoever_tasted_what() -> None:
    """Three tasters of unlike steadiness bend the likelihood: plain scoring steps crawled here for ever."""
    from wetleaf.numerics.rankings.posterior import _Hill

    rng = np.random.default_rng(10)
    for _ in range(40):
        count = int(rng.integers(3, 11))
        strengths, steadiness = rng.normal(0, 1.5, count), np.exp(rng.normal(0, 0.7, 3))
        answers = []
        for turn in range(int(rng.choice([4, 12, 40]))):
            row = rng.permutation(count)[: int(rng.integers(2, min(count, 5) + 1))]
            felt = steadiness[turn % 3] * strengths[row] + rng.gumbel(size=row.size)
            places = tuple((str(lot),) for lot in row[np.argsort(-felt)])
            answers.append(RowAnswer(places, taster=str(turn % 3), first=str(row[0])))
        target = evidence_of(answers).target()

        modes = find_modes(target)

        score, _ = _Hill.of(target).score_and_information(modes.points)
        assert np.abs(score).max() < 1e-3
        assert np.linalg.eigvalsh(modes.precisions).min() > 0
