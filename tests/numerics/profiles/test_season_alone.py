"""One taster alone: pairs of a season, by Shrout and Fleiss's intraclass correlation and chi-squared."""

import numpy as np
import pytest
from scipy import stats

from wetleaf.numerics.profiles.season_alone import _self_consistency, season_alone
from wetleaf.trade.errors import BadInput


def test_the_likeness_is_icc_1_1_of_shrout_and_fleiss() -> None:
    """Shrout, Fleiss (1979), table 2: ICC(1,1) = .17; the interval -0.13 to 0.72 as R's psych prints it (from
    memory)."""
    judges = np.array([[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]])

    found = _self_consistency(judges.astype(float))

    assert found.value == pytest.approx(0.166, abs=5e-4)
    assert (found.low, found.high) == pytest.approx((-0.133, 0.723), abs=1e-3)


def test_one_pair_says_nothing_yet_and_ten_steady_ones_say_steady() -> None:
    first = [2, 5, 7, 3, 6, 8, 1, 4, 5, 7]
    second = [3, 5, 6, 3, 7, 8, 2, 4, 4, 7]

    assert season_alone(first[:1], second[:1]).steady == "can't tell"
    assert "1 of the 10" in season_alone(first[:1], second[:1]).rule
    assert season_alone(first, second).steady == "yes"


def test_the_intervals_hold_the_truth_in_95_of_100() -> None:
    rng = np.random.default_rng(8)
    sd_held, alike_held = [], []

    for _ in range(2000):
        lots = rng.normal(0, 1.5, 12)
        cups = lots[:, None] + rng.normal(0, 0.8, (12, 2))
        found = season_alone(*cups.T)
        assert found.repeat_sd.low is not None
        assert found.self_consistency.low is not None
        sd_held.append(found.repeat_sd.low <= 0.8 <= (found.repeat_sd.high or 0))
        true = 1.5**2 / (1.5**2 + 0.8**2)
        alike_held.append(found.self_consistency.low <= true <= (found.self_consistency.high or 0))

    assert np.mean(sd_held) == pytest.approx(0.95, abs=0.015)
    assert np.mean(alike_held) == pytest.approx(0.95, abs=0.015)


def test_the_repeat_sd_is_chi_squared_on_the_number_of_pairs() -> None:
    first, second = np.arange(10.0), np.arange(10.0) + np.array([1, -1] * 5)

    found = season_alone(first.tolist(), second.tolist()).repeat_sd

    assert found.value == pytest.approx(np.sqrt(0.5))
    assert found.low == pytest.approx(np.sqrt(5 / stats.chi2.ppf(0.975, 10)))
    assert found.high == pytest.approx(np.sqrt(5 / stats.chi2.ppf(0.025, 10)))


def test_scores_that_never_move_are_no_proof_of_steadiness() -> None:
    assert season_alone([5] * 12, [5] * 12).steady == "can't tell"


def test_missing_cups_leave_their_pair_out_and_uneven_lists_are_refused() -> None:
    assert season_alone([1, float("nan")], [2, 3]).pairs == 1
    assert season_alone([], []).steady == "can't tell"
    with pytest.raises(BadInput, match="first cups"):
        season_alone([1], [])
