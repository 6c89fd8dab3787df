"""Continuity: Holm and two one-sided tests against R, the brews asked for by simulation, and the words."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from wetleaf.numerics.continuity import AGAINST_TARGET, Change, Continuity, continuity
from wetleaf.trade.errors import BadInput


def ask(*changes: Change, brews_each: int = 4, tasters: int = 2, tied: bool = True) -> Continuity:
    return continuity(changes, brews_each=brews_each, tasters=tasters, tied=tied)


def with_p(name: str, p: float) -> Change:
    """A change whose two-sided p on 1e6 degrees of freedom is `p`."""
    return Change(name, float(np.sqrt(chi2.isf(p, 1))), 1.0, 1e9)


def test_adjusted_chances_are_rs_holm() -> None:
    """R 4.2.2: p.adjust(c(.01, .04, .03, .005, .2), "holm") is 0.040 0.090 0.090 0.025 0.200."""
    found = ask(*[with_p(name, p) for name, p in zip("abcde", [0.01, 0.04, 0.03, 0.005, 0.2], strict=True)])

    adjusted = [attribute.adjusted_p for attribute in found.attributes]
    assert adjusted == pytest.approx([0.04, 0.09, 0.09, 0.025, 0.2], abs=1e-6)
    assert [attribute.answer for attribute in found.attributes] == [
        "no",
        "can't tell",
        "can't tell",
        "no",
        "can't tell",
    ]


def test_the_chance_of_a_change_beyond_tolerance_is_rs() -> None:
    """R 4.2.2: pt((0.3 - 0.8) / 0.2, 11) and qt(0.975, 11) are 0.01475319 and 2.200985."""
    (found,) = ask(Change("roast", 0.3, 0.2, 11, tolerance=0.8)).attributes

    assert found.p_outside == pytest.approx(0.01475319, abs=1e-8)
    assert (found.low, found.high) == pytest.approx((0.3 - 0.440197, 0.3 + 0.440197), abs=1e-6)
    assert found.answer == "yes"


@given(difference=st.floats(-3, 3), se=st.floats(0.05, 2), df=st.floats(2, 80), tolerance=st.floats(0.1, 3))
def test_within_tolerance_is_the_90_percent_interval_inside_it(
    difference: float, se: float, df: float, tolerance: float
) -> None:
    (found,) = ask(Change("roast", difference, se, df, tolerance=tolerance)).attributes

    inside = -tolerance < found.low_90 and found.high_90 < tolerance
    edge = min(abs(found.low_90 + tolerance), abs(found.high_90 - tolerance)) < 1e-9
    assert (found.answer == "yes") == inside or edge


def test_all_attributes_must_be_within_tolerance() -> None:
    same, open_ = Change("roast", 0.1, 0.2, 20, tolerance=0.8), Change("floral", 0.1, 0.9, 20, tolerance=0.8)

    both, alone = ask(same, open_), ask(same)

    assert both.answer == "can't tell"
    assert both.words == "Can't tell yet for these 2 tasters: open are floral."
    assert alone.answer == "yes"


def test_one_drifted_attribute_makes_it_another_tea() -> None:
    found = ask(Change("roast", -1.2, 0.29, 20, tolerance=0.5), Change("floral", 0.0, 0.2, 20, tolerance=0.8))

    assert found.answer == "no"
    assert found.words == (
        "For these 2 tasters it is not last year's tea: roast: about 1.2 less (0.6 to 1.8), "
        "beyond the tolerance of 0.5."
    )


def test_a_difference_that_may_be_smaller_than_the_tolerance_says_so() -> None:
    (found,) = ask(Change("roast", 0.6, 0.2, 30, tolerance=0.5)).attributes

    assert found.answer == "no"
    assert "whether beyond the tolerance of 0.5 can't be told" in found.words


def test_a_small_but_real_change_within_tolerance_is_still_the_tea() -> None:
    (found,) = ask(Change("roast", 0.3, 0.05, 30, tolerance=0.8)).attributes

    assert found.answer == "yes"
    assert "a small change is real" in found.words


def test_without_a_tolerance_sameness_cannot_be_shown() -> None:
    found = ask(Change("roast", 0.0, 0.01, 100))

    assert found.answer == "can't tell"
    assert "fix a tolerance before tasting" in found.would_settle


def test_different_sittings_without_a_bridge_tea_tell_nothing() -> None:
    found = ask(Change("roast", 3.0, 0.1, 50, tolerance=0.5), tied=False)

    assert found.answer == "can't tell"
    assert [attribute.answer for attribute in found.attributes] == ["can't tell"]
    assert "different sittings" in found.words
    assert found.would_settle.startswith("Serve a kept sample of last year's tea")


@pytest.mark.parametrize(
    "change",
    [
        Change("roast", 0.0, 0.0, 20, tolerance=0.5),
        Change("roast", float("nan"), 0.2, 20, tolerance=0.5),
        Change("roast", 1.0, float("nan"), 20, tolerance=0.5),
        Change("roast", 1.0, 0.2, 0.0, tolerance=0.5),
        Change("roast", 1.0, 0.2, float("nan"), tolerance=0.5),
    ],
)
def test_an_attribute_without_a_known_spread_cannot_be_told(change: Change) -> None:
    found = ask(change)

    assert found.answer == "can't tell"
    assert "never varied or are too few" in found.would_settle


@pytest.mark.parametrize(("se", "df", "tolerance"), [(0.5, 6, 0.8), (0.9, 12, 1.0), (0.4, 30, 0.5)])
def test_the_brews_asked_for_show_sameness_four_times_in_five(se: float, df: float, tolerance: float) -> None:
    """20,000 tastings with the brews asked for, no change and spread estimated; two fewer fall short."""
    (open_,) = ask(Change("roast", 0.0, se, df, tolerance=tolerance), brews_each=3).attributes
    chance = np.random.default_rng(5)

    def share_shown(more: int) -> float:
        true_se, new_df = se * np.sqrt(3 / (3 + more)), df
        difference = chance.normal(0, true_se, 20_000)
        seen = true_se * np.sqrt(chance.chisquare(new_df, 20_000) / new_df)
        return float(np.mean(np.abs(difference) + seen * _t95(new_df) < tolerance))

    assert open_.answer == "can't tell"
    assert open_.more_brews is not None
    assert share_shown(open_.more_brews) > 0.77
    assert share_shown(max(open_.more_brews - 2, 0)) < 0.82


def _t95(df: float) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(df, 0.95))


def test_brews_cannot_settle_what_tasters_disagree_about() -> None:
    found = ask(Change("roast", 0.1, 0.6, 10, tolerance=0.5, lasting_se=0.5))

    assert found.attributes[0].more_brews is None
    assert "no number of brews with these tasters is likely to tell" in found.would_settle


def test_the_brews_asked_for_show_all_attributes_together_and_not_each() -> None:
    one = Change("roast", 0.0, 0.5, 10, tolerance=0.8)
    both = ask(one, Change("floral", 0.0, 0.5, 10, tolerance=0.8))

    alone = ask(one)

    assert alone.more_brews is not None
    assert both.more_brews is not None
    assert both.more_brews > alone.more_brews
    assert both.would_settle.startswith(f"About {both.more_brews} more brews of each tea")


def of_tasters(by_taster: tuple[float, ...], *, se: float) -> Change:
    mean = float(np.mean(by_taster))
    return Change("roast", mean, se, 20, tolerance=0.5, by_taster=by_taster)


def test_a_lot_that_divides_the_tasters_is_not_called_changed_on_what_other_lots_say() -> None:
    """Over all lots the three tasters differ by a few tenths, about this pair from none to 3.6."""
    divided, agreed = of_tasters((0.0, 1.8, 3.6), se=0.3), of_tasters((1.7, 1.8, 1.9), se=0.3)

    found = ask(divided, tasters=3)

    assert (found.answer, ask(agreed, tasters=3).answer) == ("can't tell", "no")
    assert found.attributes[0].is_divided
    assert "the tasters are divided about it" in found.attributes[0].words


def test_two_tasters_cannot_show_that_they_are_divided_and_that_is_said() -> None:
    found = ask(of_tasters((0.6, 3.0), se=0.3))

    assert found.answer == "no"
    assert "by how far both tasters differ over all lots" in found.words


@pytest.mark.parametrize(("tasters", "who"), [(1, "This taster"), (3, "These 3 tasters")])
def test_liking_alone_says_liked_as_much_and_no_more(tasters: int, who: str) -> None:
    found = ask(Change("liking", 0.1, 0.2, 20, tolerance=0.8), tasters=tasters)

    assert found.question == "Is it liked as much as last year's tea?"
    assert (
        found.words == f"{who} liked it as much as last year's tea; liking can't say if it is the same tea."
    )


def test_a_target_is_asked_about_in_its_own_words() -> None:
    found = continuity(
        [Change("roast", 0.1, 0.2, 20, tolerance=0.6), Change("floral", 0.0, 0.2, 20, tolerance=0.6)],
        brews_each=4,
        tasters=3,
        tied=True,
        against=AGAINST_TARGET,
    )

    assert found.question == "Is it within the line's target?"
    assert (
        found.words
        == "For these 3 tasters it is within the line's target: roast and floral are all within tolerance."
    )


def test_nothing_compared_is_said() -> None:
    found = ask()

    assert found.answer == "can't tell"
    assert found.words == "Can't tell: nothing was compared."
    assert found.would_settle == "Taste both teas in one sitting and score them."


def test_input_that_cannot_be_is_refused_with_a_way_out() -> None:
    roast = Change("roast", 0.1, 0.2, 20)

    with pytest.raises(BadInput, match="roast is given twice"):
        ask(roast, roast)
    with pytest.raises(BadInput, match="tolerance of 0 or less"):
        ask(Change("roast", 0.1, 0.2, 20, tolerance=0.0))
    with pytest.raises(BadInput, match="0 brews"):
        ask(roast, brews_each=0)
