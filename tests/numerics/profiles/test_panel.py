"""What a panel's averages are worth: Shrout and Fleiss's example, Cronbach's alpha, weights said openly."""

import numpy as np
import pytest

from wetleaf.numerics.profiles import Scores
from wetleaf.numerics.profiles.crossed_table import Crossed, additive_fit
from wetleaf.numerics.profiles.panel import panel_of

JUDGES = np.array([[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]])


def scores_of(table: np.ndarray) -> Scores:
    """A table of lots (rows) by tasters."""
    lot, taster = (axis.ravel() for axis in np.indices(table.shape))
    values = table.astype(float).ravel()[:, None]
    return Scores([f"L{at}" for at in lot], [f"T{at}" for at in taster], values, ["a"])


def alpha(table: np.ndarray) -> float:
    k = table.shape[1]
    return k / (k - 1) * (1 - table.var(axis=0, ddof=1).sum() / table.sum(axis=1).var(ddof=1))


def test_the_trust_is_the_icc_of_shrout_and_fleiss() -> None:
    """Shrout, Fleiss (1979), tables 2 and 4: ICC(3,4) = 0.91 (from memory; R's psych prints 0.9093)."""
    assert panel_of(scores_of(JUDGES)).trust == pytest.approx(0.9093, abs=5e-5)


def test_a_tasters_gain_is_alpha_less_alpha_without() -> None:
    panel = panel_of(scores_of(JUDGES))

    for at in range(4):
        expected = alpha(JUDGES) - alpha(np.delete(JUDGES, at, axis=1))
        assert panel.gain[f"T{at}"] == pytest.approx(expected)


def test_with_three_tasters_there_are_no_weights_and_the_panel_says_so() -> None:
    panel = panel_of(scores_of(JUDGES[:, :3]))

    assert panel.weights is None
    assert "fewer than four" in panel.said


def test_a_careless_taster_gains_the_panel_least_and_weighs_least_but_something() -> None:
    rng = np.random.default_rng(11)
    lots = rng.normal(0, 2, 12)
    table = lots[:, None] + rng.normal(0, 0.5, (12, 5))
    table[:, 2] = rng.normal(0, 2, 12)

    panel = panel_of(scores_of(table))

    assert panel.weights is not None
    assert min(panel.gain, key=lambda name: panel.gain[name] or 0.0) == "T2"
    assert min(panel.weights, key=lambda name: (panel.weights or {})[name]) == "T2"
    assert all(0.5 - 1e-9 <= weight <= 2 + 1e-9 for weight in panel.weights.values())
    assert np.mean(list(panel.weights.values())) == pytest.approx(1.0, abs=0.01)
    assert "counts the same in all results" in panel.said


def test_tasters_without_a_shared_lot_give_no_trust() -> None:
    panel = panel_of(
        Scores(["A", "B", "C", "D"], ["x", "x", "y", "y"], np.array([[1.0], [2], [3], [4]]), ["a"])
    )

    assert panel.trust is None
    assert set(panel.gain.values()) == {None}


def test_the_additive_fit_of_a_table_with_gaps_is_plain_least_squares() -> None:
    rng = np.random.default_rng(3)
    means = rng.normal(size=(5, 7))
    means[rng.random((5, 7)) < 0.3] = np.nan
    table = Crossed(tuple("vwxyz"), tuple("ABCDEFG"), means, np.isfinite(means).astype(float))

    fit = additive_fit(table)

    taster, lot = np.nonzero(np.isfinite(means))
    columns = np.hstack([taster[:, None] == np.arange(5), lot[:, None] == np.arange(7)]).astype(float)
    y = means[taster, lot]
    fitted = np.linalg.lstsq(columns, y, rcond=None)[0]
    assert fit.left[taster, lot] == pytest.approx(y - columns @ fitted)
    assert fit.rest_df == y.size - np.linalg.matrix_rank(columns)
    assert fit.levels[taster] + fit.lots[lot] == pytest.approx(columns @ fitted)
