"""Right picks and preferences, against FAO's table of triangles and R's binom.test."""

import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.numerics.trials import directed_pair_pvalue, preference, right_picks_pvalue, triangle_pvalue
from wetleaf.trade.errors import BadInput

PUBLISHED: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "trials.toml").read_text(encoding="utf-8")
)


def least_right_picks(n: int, alpha: float) -> int:
    return next((c for c in range(n + 1) if triangle_pvalue(c, n) <= alpha), 0)


@pytest.mark.parametrize("kind", ["published", "computed"])
def test_the_fewest_right_picks_of_triangles_are_those_of_the_table(kind: str) -> None:
    rows = PUBLISHED[kind]

    found = [[least_right_picks(row["n"], alpha) for alpha in PUBLISHED["alphas"]] for row in rows]

    assert len(rows) > 10
    assert found == [row["least"] for row in rows]


def test_chances_agree_with_rs_binom_test() -> None:
    """R 4.2.2: binom.test(15, 30, 1/3, "greater"), binom.test(9, 10, 1/2, "greater"), binom.test(14, 17)."""
    assert triangle_pvalue(15, 30) == pytest.approx(0.04348227, abs=1e-8)
    assert directed_pair_pvalue(9, 10) == pytest.approx(0.01074219, abs=1e-8)
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


@given(n=st.integers(1, 80), guessing=st.sampled_from([1 / 2, 1 / 3]))
def test_more_right_picks_are_less_likely_by_luck(n: int, guessing: float) -> None:
    chances = [right_picks_pvalue(c, n, guessing=guessing) for c in range(n + 1)]

    assert chances[0] == 1
    assert all(later <= earlier for earlier, later in pairwise(chances))
    assert chances[-1] == pytest.approx(guessing**n)


@pytest.mark.parametrize(("correct", "trials"), [(-1, 5), (6, 5)])
def test_counts_that_cannot_be_are_refused(correct: int, trials: int) -> None:
    with pytest.raises(BadInput, match="cannot be"):
        triangle_pvalue(correct, trials)
    with pytest.raises(BadInput, match="cannot be"):
        preference(-1, 2)
