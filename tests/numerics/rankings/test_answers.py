"""What is no answer is refused by name; likings come onto the same scale."""

import numpy as np
import pytest

from wetleaf.numerics.likings import Rating, Steadiness
from wetleaf.numerics.rankings import (
    Assumed,
    RowAnswer,
    evidence_of,
    levels_from_ratings,
    pair_answer,
    rank_lots,
)
from wetleaf.trade.errors import BadInput


@pytest.mark.parametrize(
    ("answer", "why"),
    [
        (RowAnswer(()), "compares nothing"),
        (RowAnswer((("a",),)), "compares nothing"),
        (RowAnswer((), rest=("a", "b")), "compares nothing"),
        (RowAnswer((("a",), ("a",))), "compared with itself"),
        (RowAnswer((("a",), (" ",))), "no name"),
        (RowAnswer((("a",), ("b",)), first="c"), "'c' is not in the row"),
        (RowAnswer((("a", "b", "c", "d"),)), "share a place"),
        (RowAnswer(tuple((str(i),) for i in range(13))), "13 bowls"),
    ],
)
def test_what_cannot_be_an_answer_is_refused(answer: RowAnswer, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        evidence_of([answer])


def test_a_preferred_lot_that_is_neither_is_refused() -> None:
    with pytest.raises(BadInput, match="'c' is preferred but the pair is 'a' and 'b'"):
        pair_answer("a", "b", "c")


@pytest.mark.parametrize(
    ("assumed", "why"),
    [
        (Assumed(spread=0), "spread 0"),
        (Assumed(spread=float("nan")), "spread nan"),
        (Assumed(order_sd=-1), "order sd -1"),
        (Assumed(recognised=1.5), "recognised 1.5"),
        (Assumed("elo"), "'elo'"),  # type: ignore[arg-type]
    ],
)
def test_what_cannot_be_assumed_is_refused(assumed: Assumed, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        evidence_of([pair_answer("a", "b", "a")], assumed=assumed)


@pytest.mark.parametrize("model", ["thurstone", "bradley-terry"])
def test_rows_are_refused_by_models_of_pairs(model: str) -> None:
    row = RowAnswer((("a",), ("b",), ("c",)))

    with pytest.raises(BadInput, match="3 bowls"):
        evidence_of([row], assumed=Assumed.usual(model)).target()  # type: ignore[arg-type]


def test_no_lots_are_refused_and_one_is_said_to_be_alone() -> None:
    with pytest.raises(BadInput, match="no lots"):
        rank_lots(evidence_of([]), rng=np.random.default_rng(1))

    alone = rank_lots(evidence_of([], lots=["a"]), rng=np.random.default_rng(1))

    assert alone.answer == "can't tell"
    assert any("only one lot" in warning for warning in alone.warnings)


def test_lots_that_are_not_those_of_the_answers_are_refused() -> None:
    with pytest.raises(BadInput, match="'b' is in an answer"):
        evidence_of([pair_answer("a", "b", "a")], lots=["a", "c"])
    with pytest.raises(BadInput, match="'a' is named twice"):
        evidence_of([], lots=["a", "a"])


def test_only_the_best_of_a_row_can_be_named() -> None:
    found = rank_lots(
        evidence_of([RowAnswer((("a",),), rest=("b", "c"), taster=str(i)) for i in range(5)]),
        rng=np.random.default_rng(1),
    )

    strengths = {lot.lot: lot.strength for lot in found.lots}
    assert found.leader == "a"
    assert strengths["b"] == pytest.approx(strengths["c"], abs=0.1)
    assert (found.lots[0].wins, found.lots[1].losses) == (10, 5)


def test_a_liking_is_worth_what_a_ranked_cup_is() -> None:
    """One noisy cup each: a difference has twice a cup's variance, on this scale 2 * (pi / sqrt 6)^2."""
    levels = levels_from_ratings(
        [Rating("a", "Wren", 7.0), Rating("b", "Wren", 5.0)],
        {"Wren": Steadiness(1.0, 1e9)},
        lots=["a", "b"],
        scale=(1, 9),
    )

    contrast = np.array([0.5, -0.5])
    information = contrast @ levels.information @ contrast
    assert information == pytest.approx(1 / (2 * np.pi**2 / 6))
    lead = (contrast @ levels.pull) / information
    assert lead == pytest.approx(2.0 * np.pi / np.sqrt(6))


def test_a_level_of_a_taster_says_nothing() -> None:
    low = [Rating("a", "Wren", 3.0), Rating("b", "Wren", 2.0)]
    high = [Rating("a", "Wren", 8.0), Rating("b", "Wren", 7.0)]

    pulls = [levels_from_ratings(one, {}, lots=["a", "b"], scale=(1, 9)).pull for one in (low, high)]

    assert pulls[0] == pytest.approx(pulls[1])


def test_an_unsteady_taster_says_less() -> None:
    ratings = [Rating("a", "Wren", 7.0), Rating("b", "Wren", 5.0)]

    pulls = [
        levels_from_ratings(ratings, {"Wren": Steadiness(sd, 20)}, lots=["a", "b"], scale=(1, 9)).pull[0]
        for sd in (0.5, 2.0)
    ]

    assert pulls[0] > 2 * pulls[1] > 0


def test_ratings_and_pairs_are_ranked_together() -> None:
    ratings = [Rating("a", "Wren", 7.0), Rating("b", "Wren", 5.0), Rating("c", "Wren", 5.0)]
    lots = ["a", "b", "c"]
    levels = levels_from_ratings(ratings, {}, lots=lots, scale=(1, 9))

    rated = rank_lots(evidence_of([], lots=lots, levels=levels, rated=lots), rng=np.random.default_rng(1))
    both = rank_lots(
        evidence_of([pair_answer("a", "b", "a")], lots=lots, levels=levels, rated=lots),
        rng=np.random.default_rng(1),
    )

    assert rated.leader == both.leader == "a"
    assert both.chance_best > rated.chance_best + 0.02
    assert rated.answer == "can't tell"


def test_a_liking_off_the_scale_is_refused() -> None:
    with pytest.raises(BadInput, match="off the scale 1 to 9"):
        levels_from_ratings([Rating("a", "Wren", 12.0)], {}, lots=["a"], scale=(1, 9))


def test_intervals_hold_and_chances_are_true_over_invented_seasons() -> None:
    """A small look at calibration; the table is in docs/reference/methods-rankings.md."""
    rng = np.random.default_rng(9)
    held, said, right, listed = [], [], [], []
    for _ in range(150):
        strengths = rng.normal(0, rng.choice([0.5, 1.0, 2.0]), size=5)
        answers = [
            RowAnswer(tuple((str(lot),) for lot in row[np.argsort(-(strengths[row] + rng.gumbel(size=3)))]))
            for row in (rng.permutation(5)[:3] for _ in range(8))
        ]
        found = rank_lots(
            evidence_of(answers, lots=list("01234"), assumed=Assumed(recognised=0)), rng=rng, draws=1500
        )
        centred = strengths - strengths.mean()
        held += [lot.low <= centred[int(lot.lot)] <= lot.high for lot in found.lots]
        said.append(found.chance_best)
        right.append(found.leader == str(strengths.argmax()))
        listed.append(str(strengths.argmax()) in found.shortlist)

    assert np.mean(held) == pytest.approx(0.95, abs=0.035)
    assert np.mean(right) == pytest.approx(np.mean(said), abs=0.12)
    assert np.mean(listed) > 0.87
