"""One taster, one lot, nothing but sevens: a reduced model in words or "can't tell", no made-up number."""

import numpy as np
import pytest

from wetleaf.numerics.profiles import AttributeProfile, Scores, fit_profiles
from wetleaf.trade.errors import BadInput


def profile(lots: str, tasters: str, sweet: list[float], **more: object) -> AttributeProfile:
    question = {name: more.pop(name) for name in ("baseline", "tolerance") if name in more}
    scores = Scores(list(lots), list(tasters), np.array(sweet, dtype=float)[:, None], ["sweet"], **more)
    return fit_profiles(scores, **question)["sweet"]


def numbers(found: AttributeProfile) -> set[float | None]:
    return {found.f, found.df1, found.df2, found.p, found.decision.p}


def test_a_constant_attribute_cannot_be_told_and_has_no_numbers() -> None:
    found = profile("ABCABC", "xxxyyy", [7] * 6)

    assert found.decision.answer == "can't tell"
    assert "same" in found.decision.rule
    assert numbers(found) == {None}
    assert set(found.variance.values()) == {None}


def test_one_taster_with_one_cup_a_lot_cannot_tell() -> None:
    found = profile("ABC", "xxx", [1, 5, 9])

    assert found.decision.answer == "can't tell"
    assert "One taster" in found.decision.rule
    assert numbers(found) == {None}
    assert [mean.mean for mean in found.means] == [1, 5, 9]


def test_one_taster_with_repeats_claims_for_this_taster_only() -> None:
    found = profile("ABCABC", "x" * 6, [1, 5, 9, 1.2, 5.1, 8.7])

    assert found.decision.answer == "yes"
    assert found.decision.claim == "lots, as this taster finds them"
    assert found.decision.df2 == 3
    assert "this taster only" in found.model


def test_two_tasters_keep_the_stratum_of_their_disagreement() -> None:
    found = profile("ABCABCABCABC", "xxxyyyxxxyyy", [2, 4, 6, 3, 4, 8, 2.2, 4.3, 6.1, 2.8, 4.1, 7.7])

    assert found.decision.df2 == 2
    assert found.decision.claim == "lots"


def test_one_lot_has_a_mean_and_nothing_to_compare() -> None:
    found = profile("AAAAAA", "xxyyzz", [4, 5, 6, 6, 7, 5])

    assert found.decision.answer == "can't tell"
    assert found.p is None
    assert found.pairs == ()
    assert found.means[0].mean == pytest.approx(5.5)


def test_an_attribute_without_scores_says_so_and_does_not_hurt_its_neighbour() -> None:
    values = np.column_stack([[2, 4, 6, 3, 4, 8, 3, 5, 6], [np.nan] * 9])

    found = fit_profiles(Scores(list("ABCABCABC"), list("xxxyyyzzz"), values, ["sweet", "sour"]))

    assert found["sweet"].p is not None
    assert found["sour"].decision.rule == "No score on this attribute."
    assert numbers(found["sour"]) == {None}


def test_scores_without_any_spread_beside_the_lots_have_no_yardstick() -> None:
    found = profile("ABCABC", "xxxyyy", [1, 2, 3, 1, 2, 3])

    assert found.decision.answer == "can't tell"
    assert numbers(found) == {None}


def test_scores_that_add_up_exactly_are_reported_as_not_settled() -> None:
    found = profile("ABCABC", "xxxyyy", [1, 2, 3, 2, 3, 4])

    assert not found.converged
    assert "did not converge" in found.warnings[0]
    assert numbers(found) == {None}


@pytest.mark.parametrize("lot_step", [0.0, 0.7])
def test_scores_that_are_lot_plus_sitting_and_nothing_else_have_no_numbers(lot_step: float) -> None:
    cups = [(lot, taster, sitting) for lot in range(4) for taster in "xyz" for sitting in range(2)]
    sweet = [lot * lot_step + 5.1 * sitting for lot, _, sitting in cups]

    found = profile(
        "".join("ABCD"[lot] for lot, _, _ in cups),
        "".join(taster for _, taster, _ in cups),
        sweet,
        sittings=[str(sitting) for _, _, sitting in cups],
        tolerance=1.0,
    )

    assert found.decision.answer == "can't tell"
    assert numbers(found) == {None}


def test_a_difference_that_all_agree_on_is_shown_though_it_cannot_be_judged() -> None:
    found = profile("ABCABC", "xxxyyy", [0, 5, 0, 0, 5, 0], tolerance=1.0, baseline="A")

    assert {(pair.a, pair.b): pair.difference for pair in found.decision.pairs}["A", "B"] == pytest.approx(-5)
    assert {pair.answer for pair in found.decision.pairs} == {"can't tell"}
    assert {pair.low_90 for pair in found.decision.pairs} == {None}


@pytest.mark.parametrize("size", [1e200, 1e308, 1e-200])
def test_scores_too_large_or_small_to_square_are_refused_and_not_called_the_same(size: float) -> None:
    with pytest.raises(BadInput, match="no size of a score"):
        profile("ABABAB", "xxyyzz", [size, size / 2, size / 3, size, size / 4, size / 3])


def test_identical_repeats_count_once() -> None:
    once = profile("ABCABC", "xxxyyy", [1, 2, 3, 2, 3.5, 3])

    twice = profile("ABCABC" * 2, "xxxyyy" * 2, [1, 2, 3, 2, 3.5, 3] * 2)

    assert twice.p == pytest.approx(once.p)
    assert "count once" in twice.model


def test_lots_of_unjoined_sittings_are_not_compared() -> None:
    sweet = [1, 2, 6, 7, 2, 2.5, 7, 6, 1, 3, 6, 8]

    found = profile("ABCD" * 3, "xxxxyyyyzzzz", sweet, sittings=list("1122" * 3), baseline="A")

    assert found.decision.answer == "can't tell"
    assert "not joined" in found.decision.rule
    across = next(pair for pair in found.pairs if {pair.a, pair.b} == {"A", "C"})
    within = next(pair for pair in found.pairs if {pair.a, pair.b} == {"A", "B"})
    assert across.difference is None
    assert across.p is None
    assert within.p is not None


def test_a_bridge_tea_joins_sittings() -> None:
    sweet = [1, 4, 6, 8, 2, 4.5, 7, 7, 1, 5, 6, 9]

    found = profile("ABBC" * 3, "xxxxyyyyzzzz", sweet, sittings=list("1122" * 3))

    assert found.decision.p is not None
    assert "2 sittings as fixed shifts" in found.model


def test_single_pots_claim_nothing_about_lots() -> None:
    found = profile("ABC" * 3, "xxxyyyzzz", [1, 5, 9, 2, 5, 8, 1, 6, 9], brews=["1"] * 9)

    assert found.decision.answer == "can't tell"
    assert found.decision.pots_answer == "yes"
    assert found.decision.claim == "these pots"
    assert {pair.answer for pair in found.decision.pairs} == {"can't tell"}


def test_a_no_needs_a_declared_tolerance() -> None:
    sweet = [3.0, 3.1, 3.1, 2.0, 2.1, 1.9, 4.0, 4.1, 4.2, 3.3, 3.2, 3.3]

    open_ended = profile("ABC" * 4, "xxxyyyzzzwww", sweet)
    against_one = profile("ABC" * 4, "xxxyyyzzzwww", sweet, tolerance=1.0)

    assert open_ended.decision.answer == "can't tell"
    assert against_one.decision.answer == "no"
    assert all(-1 <= pair.low_90 <= pair.high_90 <= 1 for pair in against_one.decision.pairs)


def test_lots_of_tasters_who_share_none_are_not_decided() -> None:
    found = profile("ABCDABCD", "xxyyxxyy", [1, 2, 3, 4, 1.5, 2.2, 3.3, 4.1])

    assert found.decision.answer == "can't tell"
    assert "shared tasters" in found.decision.rule


@pytest.mark.parametrize(
    ("question", "why"),
    [
        ({"baseline": "Z"}, "not in the table"),
        ({"tolerance": -1.0}, "tolerance"),
        ({"tolerance": float("nan")}, "tolerance"),
    ],
)
def test_a_question_that_cannot_be_asked_is_refused(question: dict[str, object], why: str) -> None:
    with pytest.raises(BadInput, match=why):
        profile("AB", "xx", [1, 2], **question)


def test_an_infinite_score_counts_as_missing() -> None:
    found = profile("ABAB", "xxyy", [1, 2, float("inf"), 3])

    assert found.n == 3


@pytest.mark.parametrize(
    ("lots", "tasters"),
    [("AAABBBCCC", "xxxyyyzzz"), ("ABCABC", "xyzxyz"), ("AABBCCDD", "xxxxyyyy"), ("AABBCC", "xxxxyy")],
)
def test_where_lot_and_taster_cannot_be_separated_there_is_no_f_and_no_p(lots: str, tasters: str) -> None:
    sweet = np.random.default_rng(3).normal(size=len(lots)).tolist()
    owner = dict(zip(lots, tasters, strict=True))

    found = profile(lots, tasters, sweet, baseline="A")

    assert numbers(found) == {None}
    assert "No chain of shared tasters" in found.decision.rule
    assert any("no F and no p" in warning for warning in found.warnings)
    for pair in (*found.pairs, *found.against):
        assert (pair.p is None) == (owner[pair.a] != owner[pair.b])
        assert (pair.difference is None) == (owner[pair.a] != owner[pair.b])


def test_parts_without_a_shared_taster_are_compared_within_and_never_across() -> None:
    lots, tasters = "ABABABABCDCDCDCD", "xxyyxxyyzzwwzzww"
    sweet = [2, 6, 3, 7, 2.5, 6.1, 2.8, 7.2, 4, 4.4, 5, 5.1, 4.2, 4.1, 5.3, 4.9]

    found = profile(lots, tasters, sweet, baseline="A", tolerance=9.0)

    assert numbers(found) == {None}
    told = {(pair.a, pair.b) for pair in found.pairs if pair.p is not None}
    decided = {(pair.a, pair.b) for pair in found.decision.pairs if pair.p is not None}
    assert told == decided == {("A", "B"), ("C", "D")}
    assert {pair.a for pair in found.decision.against if pair.difference is not None} == {"B"}
    assert found.decision.answer == "can't tell"
    assert "ties them together" in found.decision.next_step


def test_one_residual_degree_of_freedom_is_one_and_not_two() -> None:
    """R 4.2.2, anova(lm(c(1, 5, 9, 2) ~ factor(c("A", "B", "C", "A")))): F 38.25 on 2 and 1 df, p 0.1136."""
    found = profile("ABCA", "xxxx", [1, 5, 9, 2])

    assert (found.df1, found.df2) == (2, pytest.approx(1))
    assert found.f == pytest.approx(38.25)
    assert found.p == pytest.approx(0.1136, abs=1e-4)


def test_identical_repeats_count_as_they_are_where_other_cups_show_a_spread() -> None:
    """The same taster met the lots in two sittings: a tied pair is then no reason to leave a cup out."""
    lots, tasters, sittings = "AABBAABB" * 2, "xxxxyyyy" * 2, list("1212121212121212")
    sweet = [3, 4, 5, 7, 2, 4, 6, 6] * 2

    found = profile(lots, tasters, sweet, sittings=sittings)

    assert "count once" not in found.model
    assert found.n == 16
