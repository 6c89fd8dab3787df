"""Stop or one more: Wald's lines, and the exact errors and lengths they truly have."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.numerics.differences.published import PUBLISHED

from wetleaf.numerics.differences import METHODS, follow, plan_trials, sequential_test
from wetleaf.numerics.differences.sequential import characteristic, wald_lines
from wetleaf.trade.errors import BadInput


@pytest.mark.parametrize("row", PUBLISHED["wald_lines"]["rows"])
def test_the_lines_are_walds(row: dict[str, float]) -> None:
    lines = wald_lines(row["guessing"], row["right"], row["alpha"], row["beta"])

    assert (lines.slope, lines.lower, lines.upper) == pytest.approx(
        (row["slope"], row["lower"], row["upper"]), abs=1e-4
    )


@settings(max_examples=40, deadline=None)
@given(
    key=st.sampled_from(["2-afc", "triangle", "duo-trio", "tetrad", "3-afc"]),
    d_prime=st.floats(1.0, 3.5),
    alpha=st.sampled_from([0.01, 0.05, 0.1]),
    beta=st.sampled_from([0.05, 0.1, 0.2]),
)
def test_the_exact_errors_stay_within_what_was_asked(
    key: str, d_prime: float, alpha: float, beta: float
) -> None:
    test = sequential_test(key, d_prime=d_prime, alpha=alpha, beta=beta)

    for ends in (test.by_guessing, test.at_size):
        assert ends.yes + ends.no + ends.unsettled == pytest.approx(1)
        assert 1 <= ends.expected_trials <= test.most
    assert test.by_guessing.yes <= alpha
    assert test.at_size.no <= beta


@pytest.mark.parametrize("d_prime", [0.0, 1.2, 2.0])
def test_simulated_tastings_end_as_the_exact_count_says(d_prime: float) -> None:
    rng = np.random.default_rng(11)
    test = sequential_test("triangle", d_prime=2.0)
    exact = characteristic(test, d_prime)
    answers = rng.random((4000, test.most)) < METHODS["triangle"].right(d_prime)

    ends = [follow(test, row.tolist())[-1] for row in answers]

    yes = np.mean([end.decision == "stop yes" for end in ends])
    no = np.mean([end.decision == "stop no" for end in ends])
    assert (yes, no) == pytest.approx((exact.yes, exact.no), abs=0.035)
    assert np.mean([end.trial for end in ends]) == pytest.approx(exact.expected_trials, rel=0.06)


def test_stopping_when_clear_takes_far_fewer_trials_than_the_fixed_test() -> None:
    test = sequential_test("2-afc", d_prime=1.0)

    assert test.by_guessing.expected_trials < 0.6 * test.most
    assert test.at_size.expected_trials < 0.7 * test.most


@pytest.mark.parametrize("key", list(METHODS))
@pytest.mark.parametrize("d_prime", [1.0, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("beta", [0.1, 0.2])
def test_left_to_itself_it_is_long_enough_to_find_the_size(key: str, d_prime: float, beta: float) -> None:
    test = sequential_test(key, d_prime=d_prime, beta=beta)

    assert test.at_size.yes >= 1 - beta
    assert test.most <= 2 * plan_trials(key, d_prime=d_prime, power=1 - beta).trials


def test_answers_beyond_the_stop_are_not_used() -> None:
    test = sequential_test("triangle", d_prime=2.0)

    states = follow(test, [True] * test.most)

    assert states[-1].decision == "stop yes"
    assert len(states) < test.most
    assert [state.decision for state in states[:-1]] == ["one more"] * (len(states) - 1)


def test_wrong_answers_all_the_way_stop_with_no() -> None:
    test = sequential_test("triangle", d_prime=2.0)

    assert follow(test, [False] * 12)[-1].decision == "stop no"


def test_a_test_cut_too_short_cannot_say_yes() -> None:
    test = sequential_test("2-afc", d_prime=1.0, most=3)

    assert follow(test, [True] * 3)[-1].decision == "stop can't tell"
    assert test.by_guessing.yes == 0


def test_no_answers_yet_is_no_state() -> None:
    assert follow(sequential_test("2-afc", d_prime=1.0), []) == ()


@pytest.mark.parametrize(
    "asked",
    [
        {"d_prime": 0.0},
        {"d_prime": 1.0, "alpha": 0.0},
        {"d_prime": 1.0, "beta": 1.0},
        {"d_prime": 1.0, "alpha": 0.6, "beta": 0.5},
        {"d_prime": 1.0, "most": 0},
        {"d_prime": 1.0, "most": 1001},
        {"d_prime": 0.3},
        {},
    ],
)
def test_a_sequence_that_cannot_be_is_refused(asked: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        sequential_test("triangle", **asked)  # type: ignore[arg-type]
