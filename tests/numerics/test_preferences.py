"""Which of two teas was liked better, against R's binom.test."""

import pytest

from wetleaf.numerics.preferences import preference
from wetleaf.trade.errors import BadInput


def test_chances_agree_with_rs_binom_test() -> None:
    """R 4.2.2: binom.test(14, 17)."""
    assert preference(14, 3).pvalue == pytest.approx(0.01272583, abs=1e-8)


def test_ties_are_left_out_and_the_words_say_so() -> None:
    with_ties, without = preference(8, 2, ties=5), preference(8, 2)

    assert with_ties.pvalue == without.pvalue
    assert "5 without preference left out" in with_ties.words


def test_nobody_preferring_either_tells_nothing() -> None:
    found = preference(0, 0, ties=4)

    assert found.pvalue != found.pvalue
    assert "nothing can be told" in found.words


def test_an_even_split_is_called_even() -> None:
    assert preference(4, 4).words == "4 to 4, even (p = 1.000)."


def test_the_second_tea_may_lead() -> None:
    assert preference(0, 14).words == "14 to 0 for the second (p < 0.001)."


def test_counts_that_cannot_be_are_refused() -> None:
    with pytest.raises(BadInput, match="cannot be"):
        preference(-1, 2)
