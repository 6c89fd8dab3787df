"""What holds whatever was answered: names, direction, more answers, lots nobody met."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetleaf.numerics.rankings import (
    Assumed,
    Ranking,
    RowAnswer,
    evidence_of,
    next_row,
    pair_answer,
    rank_lots,
)

LOTS = ["a", "b", "c", "d"]


@st.composite
def row_answers(draw: st.DrawFn) -> RowAnswer:
    lots = draw(st.permutations(LOTS))[: draw(st.integers(2, 4))]
    level = draw(st.lists(st.booleans(), min_size=len(lots) - 1, max_size=len(lots) - 1))
    places: list[tuple[str, ...]] = [(lots[0],)]
    for lot, same in zip(lots[1:], level, strict=True):
        if same and len(places[-1]) < 2:
            places[-1] = (*places[-1], lot)
        else:
            places.append((lot,))
    first = draw(st.sampled_from([None, *lots]))
    return RowAnswer(tuple(places), taster=draw(st.sampled_from(["Wren", "Ottil"])), first=first)


SOME = st.lists(row_answers(), min_size=1, max_size=12)


def ranked(answers: list[RowAnswer], **options: object) -> Ranking:
    evidence = evidence_of(answers, lots=LOTS, **options)  # type: ignore[arg-type]
    return rank_lots(evidence, rng=np.random.default_rng(1))


def chances(ranking: Ranking) -> dict[str, float]:
    return {lot.lot: lot.chance_best for lot in ranking.lots}


@given(SOME)
@settings(max_examples=15, deadline=None)
def test_chances_add_up_and_losses_are_none_below_zero(answers: list[RowAnswer]) -> None:
    found = ranked(answers)

    assert sum(lot.chance_best for lot in found.lots) == pytest.approx(1)
    assert sum(lot.chance_top for lot in found.lots) == pytest.approx(found.top)
    assert all(lot.expected_loss >= 0 and lot.low <= lot.strength <= lot.high for lot in found.lots)
    assert sum(lot.strength for lot in found.lots) == pytest.approx(0, abs=1e-9)
    assert found.expected_loss == min(lot.expected_loss for lot in found.lots)
    assert found.holds_best >= 0.9
    assert found.effective > 400


@given(SOME, st.permutations(LOTS))
@settings(max_examples=10, deadline=None)
def test_other_names_give_the_same_answer(answers: list[RowAnswer], others: list[str]) -> None:
    name = dict(zip(LOTS, others, strict=True))
    renamed = [
        replace(
            answer,
            places=tuple(tuple(name[lot] for lot in place) for place in answer.places),
            first=None if answer.first is None else name[answer.first],
        )
        for answer in answers
    ]

    plain, other = ranked(answers), ranked(renamed)

    there = chances(other)
    assert [there[name[lot]] for lot in LOTS] == pytest.approx(
        [chances(plain)[lot] for lot in LOTS], abs=0.04
    )


@given(st.lists(st.tuples(st.permutations(LOTS), st.booleans()), min_size=1, max_size=12))
@settings(max_examples=10, deadline=None)
def test_every_preference_turned_round_turns_the_strengths_round(
    pairs: list[tuple[list[str], bool]],
) -> None:
    answers = [pair_answer(a, b, None if level else a) for (a, b, *_), level in pairs]
    turned = [pair_answer(a, b, None if level else b) for (a, b, *_), level in pairs]
    # the order effect turns round with the preferences, and its prior is the same either way

    strengths = {lot.lot: lot.strength for lot in ranked(answers).lots}
    against = {lot.lot: lot.strength for lot in ranked(turned).lots}

    assert [against[lot] for lot in LOTS] == pytest.approx([-strengths[lot] for lot in LOTS], abs=0.15)


def test_more_of_the_same_answers_narrow_the_intervals() -> None:
    pairs = [("a", "b"), ("b", "c"), ("c", "d"), ("d", "a"), ("a", "c"), ("b", "d")]
    answers = [pair_answer(one, two, which) for one, two in pairs for which in (one, two, min(one, two))]
    known = Assumed(recognised=0)

    few, many = ranked(answers, assumed=known), ranked(answers * 8, assumed=known)

    widths = [{lot.lot: lot.high - lot.low for lot in one.lots} for one in (few, many)]
    assert all(widths[1][lot] < 0.8 * widths[0][lot] for lot in LOTS)


def test_repeats_of_a_known_pair_count_as_less() -> None:
    answers = [pair_answer("a", "b", "a")] * 6
    anew = [replace(answer, taster=f"taster {i}") for i, answer in enumerate(answers)]

    known, fresh = ranked(answers), ranked(answers, assumed=Assumed(recognised=0))

    assert chances(known)["a"] < chances(fresh)["a"] - 0.02
    assert any("may know them again" in warning for warning in known.warnings)
    assert not any("may know them again" in warning for warning in ranked(anew).warnings)


def test_tasters_of_one_row_of_bowls_count_as_less_than_those_of_two() -> None:
    def of_rows(*rows: str) -> list[RowAnswer]:
        return [
            RowAnswer((("a",), ("b",), ("c",), ("d",)), taster=str(i), row=row) for i, row in enumerate(rows)
        ]

    one, two = ranked(of_rows("x", "x", "x")), ranked(of_rows("x", "y", "z"))

    assert one.chance_best < two.chance_best
    assert one.answer == "can't tell"
    assert any("one row only" in warning for warning in one.warnings)


def test_half_and_twice_the_spread_are_those_of_a_prior_set_so() -> None:
    answers = [pair_answer("a", "b", "a"), pair_answer("c", "d", "c"), pair_answer("a", "c", "a")]

    usual = ranked(answers)
    halved = ranked(answers, assumed=Assumed(spread=0.5))

    assert usual.at_half.chance_best == pytest.approx(halved.at_spread.chance_best, abs=0.03)
    assert usual.at_spread.chance_best == pytest.approx(halved.at_twice.chance_best, abs=0.03)
    assert usual.at_half.chance_best < usual.at_spread.chance_best < usual.at_twice.chance_best


def test_groups_never_compared_are_named_and_still_ranked() -> None:
    found = ranked([pair_answer("a", "b", "a")] * 2 + [pair_answer("c", "d", "c")] * 2)

    assert "a, b | c, d" in found.warnings[0]
    assert chances(found)["a"] == pytest.approx(chances(found)["c"], abs=0.03)
    assert found.answer == "can't tell"


def test_a_lot_never_tasted_is_known_from_the_prior_alone() -> None:
    found = ranked([pair_answer("a", "b", "a"), pair_answer("b", "c", "b"), pair_answer("a", "c", "a")])

    assert any("Never tasted" in warning and "d" in warning for warning in found.warnings)
    assert chances(found)["d"] > 0.05


def test_a_lot_that_won_everything_stays_within_reason() -> None:
    answers = [pair_answer("a", other, "a", taster=str(i)) for i in range(10) for other in "bcd"]

    found = ranked(answers)

    assert found.answer == "yes"
    assert found.best == "a"
    assert 1 < found.lots[0].strength < found.lots[0].high < 12


def test_everyone_level_names_nobody() -> None:
    found = ranked([pair_answer(a, b, None) for a in LOTS for b in LOTS if a < b])

    assert found.answer == "can't tell"
    assert len(found.shortlist) == 4
    assert list(chances(found).values()) == pytest.approx([0.25] * 4, abs=0.05)


def test_the_first_cups_advantage_is_found_and_taken_off() -> None:
    rng = np.random.default_rng(7)
    answers = []
    for i in range(120):
        first, second = ("a", "b") if rng.random() < 0.8 else ("b", "a")  # a is mostly served first
        answers.append(
            pair_answer(first, second, first if rng.random() < 0.75 else second, taster=str(i % 2))
        )
    known = Assumed(recognised=0)

    found = ranked(answers, assumed=known)
    blind_to_it = ranked([replace(answer, first=None) for answer in answers], assumed=known)

    assert found.order_effect is not None
    assert found.order_effect.low > 0.2
    lead, naive = ({lot.lot: lot.strength for lot in one.lots} for one in (found, blind_to_it))
    assert abs(lead["a"] - lead["b"]) < abs(naive["a"] - naive["b"]) / 2


def test_a_careless_taster_is_seen_and_counts_for_less() -> None:
    rng = np.random.default_rng(8)
    answers = []
    for _ in range(60):
        a, b = sorted(rng.choice(LOTS, 2, replace=False))
        answers.append(pair_answer(a, b, a if rng.random() < 0.9 else b, taster="steady"))
        answers.append(pair_answer(a, b, a if rng.random() < 0.5 else b, taster="careless"))

    found = ranked(answers, assumed=Assumed(recognised=0))

    steadiness = {one.taster: one.steadiness for one in found.tasters}
    assert steadiness["careless"].high < steadiness["steady"].low
    assert found.lots[0].lot == "a"


@given(SOME, st.integers(2, 6))
@settings(max_examples=15, deadline=None)
def test_the_next_row_is_one_that_can_be_brewed(answers: list[RowAnswer], bowls: int) -> None:
    found = next_row(evidence_of(answers, lots=LOTS), rng=np.random.default_rng(2), bowls=bowls)

    assert found.pair is not None
    assert len(set(found.pair.lots)) == 2
    if bowls == 2:
        assert found.row is None
    else:
        assert found.row is not None
        assert len(set(found.row.lots)) == min(bowls, 4)
        assert set(found.pair.lots) <= set(found.row.lots)
