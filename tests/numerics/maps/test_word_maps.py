"""Words by lot: counts below five tasters, Cochran's Q from five on."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.contingency_tables import cochrans_q

from wetleaf.numerics.maps import correspondence, words_across_lots
from wetleaf.trade.errors import BadInput


@given(seed=st.integers(0, 1000), tasters=st.integers(5, 12), lots=st.integers(3, 6))
def test_q_agrees_with_statsmodels(seed: int, tasters: int, lots: int) -> None:
    """statsmodels 0.15.0, cochrans_q(said), on random answers."""
    said = np.random.default_rng(seed).random((tasters, lots)) < 0.5
    said[0] = np.arange(lots) == 0
    expected = cochrans_q(said.astype(int))

    (found,) = words_across_lots(said[:, :, None], words=["peas"], rng=np.random.default_rng(1))

    assert found.q == pytest.approx(expected.statistic, abs=1e-9)
    assert found.p_chi2 == pytest.approx(expected.pvalue, abs=1e-9)


def test_shuffling_gives_the_exact_chance_where_it_can_be_counted() -> None:
    """Five tasters, three lots, each said it of one lot and all of the same: 1 of 3^4 ways, whichever lot."""
    said = np.zeros((5, 3, 1), dtype=bool)
    said[:, 1] = True

    (found,) = words_across_lots(said, words=["peas"], rng=np.random.default_rng(1))

    assert found.counts == (0, 5, 0)
    assert found.p == pytest.approx(1 / 81, abs=0.005)


def test_luck_alone_is_called_a_difference_one_time_in_twenty() -> None:
    rng = np.random.default_rng(3)
    said = rng.random((6, 5, 300)) < 0.4

    found = words_across_lots(said, words=[f"w{k}" for k in range(300)], rng=rng)

    alarms = np.mean([one.p <= 0.05 for one in found])
    assert 0.01 <= alarms <= 0.08


def test_four_tasters_are_counted_and_not_tested() -> None:
    said = np.zeros((4, 3, 1), dtype=bool)
    said[:, 1] = True

    (found,) = words_across_lots(said, words=["peas"], rng=np.random.default_rng(1))

    assert found.counts == (0, 4, 0)
    assert np.isnan(found.p)
    assert np.isnan(found.q)


def test_a_word_everyone_says_of_every_lot_tells_nothing() -> None:
    (found,) = words_across_lots(np.ones((6, 3, 1), dtype=bool), words=["tea"], rng=np.random.default_rng(1))

    assert np.isnan(found.p)


def test_words_and_lots_without_a_count_are_left_out_by_name() -> None:
    table = np.array([[3.0, 1, 0], [1, 4, 0], [2, 2, 0], [0, 0, 0]])

    found = correspondence(table, rows=list("abcd"), columns=["peas", "nuts", "smoke"])

    assert found.empty == ("d", "smoke")
    assert found.rows == ("a", "b", "c")


@pytest.mark.parametrize(
    ("table", "said"),
    [
        (np.array([[1.0, -1], [1, 1], [2, 1]]), "negative"),
        (np.ones((3, 2)), "same words in the same shares"),
        (np.array([[1.0, 2], [2, 1], [0, 0]]), "2 lots and 2 words"),
    ],
)
def test_counts_that_make_no_map_are_refused_in_words(table: np.ndarray, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        correspondence(table, rows=["a", "b", "c"], columns=["x", "y"])
