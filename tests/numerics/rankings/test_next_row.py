"""The next row: what it chooses, when it stops, how long it takes."""

import time
from itertools import permutations

import numpy as np
import pytest

from wetleaf.numerics.rankings import Assumed, RowAnswer, evidence_of, next_row, pair_answer
from wetleaf.numerics.rankings.next_row import _orders
from wetleaf.trade.errors import BadInput

NAMES = [f"lot {i:02d}" for i in range(20)]


def heard(pairs: int, lots: int, seed: int = 1) -> list[RowAnswer]:
    rng = np.random.default_rng(seed)
    strengths = rng.normal(size=lots)
    answers = []
    for _ in range(pairs):
        one, two = rng.choice(lots, 2, replace=False)
        better = one if rng.random() < 1 / (1 + np.exp(strengths[two] - strengths[one])) else two
        answers.append(pair_answer(NAMES[one], NAMES[two], NAMES[better]))
    return answers


def test_a_lot_that_lost_everything_is_not_brewed_again() -> None:
    answers = [pair_answer(a, b, a, taster=str(i)) for i in range(4) for a in "abc" for b in "xyz"]

    found = next_row(evidence_of(answers), rng=np.random.default_rng(1), bowls=3)

    assert found.row is not None
    assert found.row.lots == ("c", "b", "a")[::-1]
    assert not found.stop


def test_lots_never_tasted_are_looked_at_when_they_may_be_best() -> None:
    answers = [pair_answer("a", "b", "a"), pair_answer("b", "a", "a")]

    found = next_row(evidence_of(answers, lots=["a", "b", "new"]), rng=np.random.default_rng(1))

    assert found.pair is not None
    assert set(found.pair.lots) == {"a", "new"}


def test_who_has_been_first_less_often_is_served_first() -> None:
    answers = [pair_answer("a", "b", "a", taster="x"), pair_answer("a", "b", "b", taster="y")]

    found = next_row(evidence_of(answers), rng=np.random.default_rng(1))

    assert found.pair is not None
    assert found.pair.lots == ("b", "a")


def test_a_known_pair_is_worth_less_to_the_taster_who_knows_it() -> None:
    answers = [pair_answer("a", "b", "a", taster="x"), pair_answer("b", "c", "c", taster="y")]
    evidence = evidence_of(answers, lots=["a", "b", "c"])

    known = next_row(evidence, rng=np.random.default_rng(1), taster="x").pair
    fresh = next_row(evidence, rng=np.random.default_rng(1), taster="y").pair

    assert known is not None
    assert fresh is not None
    assert {*known.lots} == {*fresh.lots} == {"a", "c"}


@pytest.mark.parametrize(
    ("times", "chance", "worth", "stop"), [(12, 0.9, 0.0, True), (1, 0.9, 0.0, False), (1, 0.99, 5.0, True)]
)
def test_it_stops_at_the_chance_or_the_loss_that_was_set(
    times: int, chance: float, worth: float, stop: bool
) -> None:
    answers = [pair_answer("a", "b", "a", taster=str(i)) for i in range(times)]

    found = next_row(evidence_of(answers), rng=np.random.default_rng(1), stop_chance=chance, stop_loss=worth)

    assert found.stop is stop
    assert found.leader == "a"


def test_chances_of_the_first_places_are_plackett_luces() -> None:
    worth = np.array([[4.0], [2.0], [1.0], [0.5]])
    orders = list(permutations(range(4), 2))

    found = [float(np.ravel(chance)[0]) for chance in _orders(list(worth), 1.0, 2)]

    by_hand = [worth[a, 0] / 7.5 * worth[b, 0] / (7.5 - worth[a, 0]) for a, b in orders]
    assert found == pytest.approx(by_hand)
    assert sum(found) == pytest.approx(1)


def test_case_v_names_pairs_only() -> None:
    found = next_row(
        evidence_of(heard(10, 4), assumed=Assumed.usual("thurstone")), rng=np.random.default_rng(1)
    )

    assert found.pair is not None
    assert found.row is None


@pytest.mark.parametrize(
    ("options", "why"),
    [
        ({"bowls": 1}, "1 bowls"),
        ({"bowls": 7}, "7 bowls"),
        ({"stop_chance": 1.0}, "no chance"),
        ({"stop_loss": -1.0}, "worth"),
        ({"stop_loss": float("nan")}, "worth"),
        ({"taster": "nobody"}, "'nobody'"),
    ],
)
def test_what_cannot_be_planned_is_refused(options: dict[str, object], why: str) -> None:
    with pytest.raises(BadInput, match=why):
        next_row(evidence_of(heard(4, 3)), rng=np.random.default_rng(1), **options)  # type: ignore[arg-type]


def test_one_lot_is_nothing_to_compare() -> None:
    with pytest.raises(BadInput, match="only one lot"):
        next_row(evidence_of([], lots=["a"]), rng=np.random.default_rng(1))


def test_a_suggestion_at_twenty_lots_takes_little_time() -> None:
    """The aim is 50 ms (measured: docs/reference/methods-rankings.md); here is room for a busy machine."""
    evidence = evidence_of(heard(100, 20), lots=NAMES)
    spent = []

    for _ in range(5):
        start = time.process_time()
        next_row(evidence, rng=np.random.default_rng(1), bowls=4)
        spent.append(time.process_time() - start)

    assert min(spent) < 0.1


def test_what_it_names_finds_the_best_in_half_of_rotations_cups() -> None:
    """Eight lots, the best well ahead: pairs until it is named with 90 %. The table is in docs/reference."""
    strengths = np.array([2.3, 0.8, 0.4, 0.05, -0.25, -0.6, -1.0, -1.65])

    def felt(row: list[int], rng: np.random.Generator) -> RowAnswer:
        order = np.argsort(-(strengths[row] + rng.gumbel(size=2)))
        return RowAnswer(tuple((NAMES[row[i]],) for i in order))

    def adaptive(seed: int) -> int:
        rng, answers = np.random.default_rng(seed), []
        while True:
            evidence = evidence_of(answers, lots=NAMES[:8], assumed=Assumed(recognised=0))
            found = next_row(evidence, rng=rng, bowls=2, stop_loss=0)
            if found.stop:
                assert found.leader == NAMES[0]
                return len(answers)
            assert found.pair is not None
            answers.append(felt([NAMES.index(lot) for lot in found.pair.lots], rng))

    def in_turn(seed: int) -> int:
        rng, answers = np.random.default_rng(seed), []
        pairs = rng.permutation([(a, b) for a in range(8) for b in range(a)])
        while True:
            answers += [felt(list(pairs[(len(answers) + i) % 28]), rng) for i in range(4)]
            draws = evidence_of(answers, lots=NAMES[:8], assumed=Assumed(recognised=0)).draw(1000, rng)
            if draws.weights @ (draws.strengths.argmax(axis=1) == 0) >= 0.9:
                return len(answers)

    ours = [adaptive(seed) for seed in range(3)]
    rotation = [in_turn(seed) for seed in range(3)]

    assert sum(ours) <= sum(rotation) / 2
