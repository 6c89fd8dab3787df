"""How many more pots: shared pots count as one, and a plan is right as often as it says."""

import numpy as np
import pytest

from wetleaf.numerics.further_cups import MOST_MORE_CUPS, Settling, further_cups
from wetleaf.numerics.liking_model import Spreads
from wetleaf.numerics.likings import LikingDraws


def two_lots(
    *, apart: float, pot: float, sigma: float, tasters: int, shared: bool, known: bool = True
) -> Settling:
    """Draws of two lots whose difference is N(apart, 0.5^2), with spreads that are known."""
    rng = np.random.default_rng(3)
    lots = np.array([apart, 0.0]) + rng.normal(0, 0.5 / np.sqrt(2), (4000, 2))
    ones = np.ones(4000)
    spreads = Spreads(ones, pot * ones, 0 * ones, np.full((4000, tasters), sigma))
    return further_cups(
        LikingDraws(lots, spreads, 1000.0),
        ["one", "two"],
        again=["one", "two"],
        pots_are_shared=shared,
        pots_are_known=known,
        rng=rng,
    )


def test_no_number_of_tasters_makes_up_for_pots_that_all_share() -> None:
    shared, own = (
        two_lots(apart=0.3, pot=1.0, sigma=0.2, tasters=4, shared=shared) for shared in (True, False)
    )

    assert own.more_cups is not None
    assert shared.more_cups is None or shared.more_cups > 2 * own.more_cups


def test_two_lots_that_are_the_same_in_every_draw_but_little_stay_open() -> None:
    found = two_lots(apart=0.0, pot=2.0, sigma=2.0, tasters=1, shared=True)

    assert found.more_cups is None
    assert 0.5 < found.chance < 0.9


def test_without_second_pots_one_comes_first() -> None:
    found = two_lots(apart=0.0, pot=2.0, sigma=2.0, tasters=1, shared=True, known=False)

    assert (found.more_cups, found.first_step) == (1, True)


def test_the_chance_is_that_of_the_better_lot_leading_after_all_cups() -> None:
    """Difference D ~ N(0, 0.5^2), seen with variance v: P(right) = 1/2 + arctan(0.5 / sqrt(v)) / pi."""
    found = two_lots(apart=0.0, pot=0.2, sigma=0.3, tasters=2, shared=True)

    assert found.more_cups is not None
    assert 1 < found.more_cups < MOST_MORE_CUPS
    variance = 2 * (0.2**2 + 0.3**2 / 2) / found.more_cups
    assert found.chance == pytest.approx(0.5 + np.arctan(0.5 / np.sqrt(variance)) / np.pi, abs=0.02)
