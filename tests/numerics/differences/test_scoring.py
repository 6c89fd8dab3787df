"""Yes, no or can't tell from right answers: fixed tests, planned looks, and tests that were extended."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.numerics.differences.published import PUBLISHED

from wetleaf.numerics.differences import METHODS, score_trials
from wetleaf.numerics.differences.binomials import at_least, at_most
from wetleaf.numerics.differences.looks import course, error_of_looks
from wetleaf.numerics.differences.rules import rule_for
from wetleaf.numerics.differences.spending import group_boundaries, may_spend
from wetleaf.trade.errors import BadInput

KEYS = list(METHODS)


def test_looking_four_times_turns_5_percent_into_7() -> None:
    block = PUBLISHED["looks"]

    found = error_of_looks(block["looks"], block["guessing"], block["level"])

    assert found == pytest.approx(block["error"], abs=1e-10)
    assert round(100 * found) == 7


def test_a_test_extended_after_looks_says_so_and_pays_for_it() -> None:
    once = score_trials("triangle", 15, 30)

    extended = score_trials("triangle", 15, 30, looks=[12, 18, 24])

    assert (once.answer, once.rule.kind) == ("yes", "fixed")
    assert (extended.answer, extended.rule.kind) == ("can't tell", "extended")
    assert extended.rule.plain_error == pytest.approx(0.0737, abs=1e-4)
    assert extended.rule.error <= 0.05
    assert extended.p_after_looks is not None
    assert extended.p_after_looks > extended.p_value
    assert extended.more_trials is None


def test_going_on_beyond_the_plan_is_an_extension_too() -> None:
    found = score_trials("triangle", 15, 30, planned=24)

    assert found.rule.kind == "extended"
    assert found.rule.looks == (24, 30)


def test_more_trials_are_named_only_within_a_plan() -> None:
    planned = score_trials("triangle", 12, 24, planned=36)
    unplanned = score_trials("triangle", 12, 24)
    settled = score_trials("triangle", 20, 24, planned=36)

    assert (planned.answer, planned.more_trials) == ("can't tell", 12)
    assert unplanned.more_trials is None
    assert (settled.answer, settled.more_trials) == ("yes", None)


def test_no_needs_a_declared_size() -> None:
    undeclared = score_trials("2-afc", 10, 20)
    declared = score_trials("2-afc", 10, 20, tolerable=1.5)
    too_small = score_trials("2-afc", 10, 20, tolerable=0.3)

    assert undeclared.answer == "can't tell"
    assert undeclared.within_tolerable is None
    assert declared.answer == "no"
    assert too_small.answer == "can't tell"


def test_a_difference_may_be_found_and_yet_be_tolerable() -> None:
    found = score_trials("2-afc", 130, 200, tolerable=1.5)

    assert found.answer == "yes"
    assert found.within_tolerable


def test_a_tolerable_share_of_discriminators_is_a_declared_size_too() -> None:
    found = score_trials("triangle", 18, 60, tolerable_discriminators=0.3)

    assert found.answer == "no"
    assert found.tolerable is not None
    assert found.tolerable.right == pytest.approx(1 / 3 + 0.2)


@given(
    key=st.sampled_from(KEYS),
    trials=st.integers(1, 80),
    tolerable=st.sampled_from([None, 0.7, 1.0, 2.0]),
    data=st.data(),
)
def test_every_answer_holds_its_error(
    key: str, trials: int, tolerable: float | None, data: st.DataObject
) -> None:
    method = METHODS[key]
    correct = data.draw(st.integers(0, trials))

    found = score_trials(key, correct, trials, tolerable=tolerable)

    if found.answer == "yes":
        assert float(at_least(correct, trials, method.guessing)) <= 0.05
    elif found.answer == "no":
        assert tolerable is not None
        assert float(at_most(correct, trials, method.right(tolerable))) <= 0.05
    else:
        assert float(at_least(correct, trials, method.guessing)) > 0.05
    assert found.discriminators.low <= found.discriminators.value <= found.discriminators.high
    assert found.proportion.low <= found.proportion.value <= found.proportion.high


@given(key=st.sampled_from(KEYS), trials=st.integers(2, 80))
def test_what_would_have_been_found_is_found_with_that_power(key: str, trials: int) -> None:
    found = score_trials(key, 0, trials)

    for one in found.would_have_found:
        if one.d_prime != float("inf"):
            reached = float(at_least(found.rule.yes_from, trials, METHODS[key].right(one.d_prime)))
            assert reached == pytest.approx(one.power, abs=1e-6)


def test_two_trials_would_have_found_nothing_however_large() -> None:
    found = score_trials("triangle", 2, 2)

    assert [one.d_prime for one in found.would_have_found] == [float("inf")] * 2
    assert found.answer == "can't tell"


@pytest.mark.parametrize("spending", ["obrien-fleming", "pocock"])
@pytest.mark.parametrize("guessing", [1 / 2, 1 / 3])
def test_planned_looks_never_spend_more_than_they_may(spending: str, guessing: float) -> None:
    looks = [6, 12, 20, 30, 48]

    found = group_boundaries(looks, 48, guessing, declared=0.7, spending=spending)  # type: ignore[arg-type]

    for look, spent in zip(looks, found.spent, strict=True):
        assert spent <= may_spend(look / 48, 0.05, spending) + 1e-12  # type: ignore[arg-type]
    assert sum(found.course(guessing).yes) <= 0.05
    assert sum(found.course(0.7).no) <= 0.05
    assert found.spent[-1] > 0.02


def test_with_many_trials_the_boundaries_are_those_of_the_normal_table() -> None:
    block = PUBLISHED["spending"]
    trials = 20_000
    looks = [round(trials * fraction) for fraction in block["fractions"]]

    found = group_boundaries(looks, trials, 1 / 2, alpha=0.05)

    z = [
        (least - 0.5 - look / 2) / (look / 4) ** 0.5
        for least, look in zip(found.yes_from, looks, strict=True)
    ]
    assert z == pytest.approx(block["z"], abs=0.03)
    allowed = [may_spend(fraction, 0.05) for fraction in block["fractions"]]
    assert allowed == pytest.approx(block["spent"], rel=1e-5)


def test_a_course_is_that_of_all_sequences_of_answers() -> None:
    """All 2^8 sequences by hand, looked at after 3, 5 and 8."""
    looks, yes_from, no_up_to = [3, 5, 8], [3, 4, 6], [0, 1, 3]
    yes, no = [0.0] * 3, [0.0] * 3
    for code in range(256):
        answers = [code >> bit & 1 for bit in range(8)]
        chance = 0.6 ** sum(answers) * 0.4 ** (8 - sum(answers))
        for place, look in enumerate(looks):
            if sum(answers[:look]) >= yes_from[place]:
                yes[place] += chance
                break
            if sum(answers[:look]) <= no_up_to[place]:
                no[place] += chance
                break

    found = course(looks, 0.6, yes_from=yes_from, no_up_to=no_up_to)

    assert found.yes == pytest.approx(yes)
    assert found.no == pytest.approx(no)
    assert found.unsettled == pytest.approx(1 - sum(yes) - sum(no))


@pytest.mark.parametrize(
    "asked",
    [
        {"alpha": 0.0},
        {"alpha": 1.0},
        {"tolerable": 0.0},
        {"tolerable": -1.0},
        {"tolerable_discriminators": 1.0},
        {"tolerable": 1.0, "tolerable_discriminators": 0.2},
        {"planned": 0},
        {"looks": [18, 12]},
        {"looks": [24]},
        {"powers": [1.0]},
        {"confidence": 1.0},
        {"planned": 36, "spending": "haybittle"},
    ],
)
def test_what_cannot_be_asked_is_refused(asked: dict[str, object]) -> None:
    with pytest.raises(BadInput):
        score_trials("triangle", 12, 24, **asked)  # type: ignore[arg-type]


def test_a_rule_within_a_plan_spends_nothing_early() -> None:
    early, late = (rule_for(n, 1 / 3, 0.05, planned=36) for n in (12, 36))

    assert early.error < 0.001
    assert 0.02 < late.error <= 0.05
