"""Who can tell, what may be claimed of whom, and whether tasters differ."""

import numpy as np
import pytest

from wetleaf.numerics.differences import counted, score_panel
from wetleaf.numerics.differences.dispersion import dispersion, spread_pvalue
from wetleaf.numerics.differences.panels import TASTERS_TO_SPEAK_WIDER
from wetleaf.trade.errors import BadInput


def test_two_tasters_are_judged_each_by_their_own_trials() -> None:
    found = score_panel(
        {"Wren": [counted("triangle", 9, 12)], "Ottil": [counted("triangle", 4, 12)]},
        rng=np.random.default_rng(1),
    )

    ottil, wren = found.tasters
    assert (wren.taster, wren.can_tell, ottil.can_tell) == ("Wren", True, False)
    assert wren.p_adjusted == pytest.approx(2 * wren.p_value)
    assert found.claim == "These two tasters only: Wren can tell."
    assert found.dispersion is None
    assert "below 8" in found.why_none


def test_one_taster_speaks_for_one() -> None:
    found = score_panel({"Wren": [counted("2-afc", 14, 16)]}, rng=np.random.default_rng(1))

    assert found.claim == "This taster only: Wren can tell."


def test_a_taster_may_have_done_several_methods() -> None:
    found = score_panel(
        {"Wren": [counted("2-afc", 7, 8), counted("triangle", 6, 8)]}, rng=np.random.default_rng(1)
    )

    assert (found.tasters[0].correct, found.tasters[0].trials) == (13, 16)
    assert found.tasters[0].can_tell


def test_with_tasters_enough_their_spread_is_estimated_and_the_claim_is_wider() -> None:
    able = [3, 4, 11, 12, 4, 5, 9, 3, 11, 12]
    by_taster = {f"taster {place}": [counted("triangle", x, 12)] for place, x in enumerate(able)}

    found = score_panel(by_taster, rng=np.random.default_rng(1))

    assert found.dispersion is not None
    assert found.dispersion.gamma > 0.2
    assert found.dispersion.p_value < 0.01
    assert "Tasters like them" in found.claim


def test_tasters_who_are_alike_widen_nothing() -> None:
    alike = dispersion([counted("triangle", 6, 12)] * 8, rng=np.random.default_rng(1))
    mixed = dispersion([counted("triangle", x, 12) for x in [1, 11] * 4], rng=np.random.default_rng(1))

    assert alike.gamma == 0
    assert mixed.mean_high - mixed.mean_low > 1.5 * (alike.mean_high - alike.mean_low)


@pytest.mark.parametrize("share", [1 / 3, 0.6])
def test_the_test_of_spread_holds_its_level(share: float) -> None:
    """Simulated: 8 tasters of 6 trials, all alike; the test is exact: false alarms are at most 5 %."""
    rng = np.random.default_rng(3)
    tables = rng.binomial(6, share, size=(2000, TASTERS_TO_SPEAK_WIDER))

    alarms = np.mean(
        [
            spread_pvalue([counted("triangle", int(x), 6) for x in row], rng=rng, draws=199) <= 0.05
            for row in tables
        ]
    )

    assert alarms <= 0.05 + 3 * np.sqrt(0.05 * 0.95 / 2000)


def test_a_true_spread_is_mostly_found_and_about_the_right_size() -> None:
    rng = np.random.default_rng(4)
    gamma = 0.4
    skills = rng.beta(0.6 * (1 - gamma) / gamma, 0.4 * (1 - gamma) / gamma, size=(16, 12))
    tables = rng.binomial(8, skills)

    found = [dispersion([counted("triangle", int(x), 8) for x in row], rng=rng, draws=199) for row in tables]

    assert np.mean([one.p_value <= 0.05 for one in found]) > 0.7
    assert np.mean([one.gamma for one in found]) == pytest.approx(gamma, abs=0.1)


def test_a_spread_of_one_taster_or_of_several_methods_is_refused() -> None:
    rng = np.random.default_rng(1)

    with pytest.raises(BadInput, match="two tasters"):
        dispersion([counted("triangle", 3, 6)], rng=rng)
    with pytest.raises(BadInput, match="one method"):
        dispersion([counted("triangle", 3, 6), counted("tetrad", 3, 6)], rng=rng)


def test_a_panel_of_several_methods_says_why_no_spread_is_given() -> None:
    by_taster = {f"t{place}": [counted("triangle", 4, 8), counted("2-afc", 5, 8)] for place in range(9)}

    found = score_panel(by_taster, rng=np.random.default_rng(1))

    assert found.dispersion is None
    assert "one method at a time" in found.why_none
