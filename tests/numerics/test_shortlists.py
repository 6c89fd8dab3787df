"""Shortlists: calibrated under their own model, closed forms where there are any, sensible at the edges."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ndtr

from wetleaf.numerics.likings import (
    Rating,
    Steadiness,
    draw_likings,
    ratings_from_verdicts,
)
from wetleaf.numerics.shortlists import shortlist
from wetleaf.trade.errors import BadInput

SCALE = (1.0, 9.0)
VERY_SURE = 1e5


def rng() -> np.random.Generator:
    return np.random.default_rng(20261124)


def one_cup_each(likings: dict[str, float | None], taster: str = "A") -> list[Rating]:
    return [Rating(lot, taster, liking) for lot, liking in likings.items()]


def simulated(
    lots: int, tasters: int, cups: int, tau: float, repeats: int, chance: np.random.Generator
) -> tuple[list[Rating], dict[str, Steadiness], np.ndarray]:
    """A class from the model: tasters' sd about 1, known from `repeats` degrees of freedom."""
    true, levels = chance.normal(0, tau, lots), 5 + chance.normal(0, 1, tasters)
    sd = np.exp(chance.normal(0, 0.3, tasters))
    ratings = [
        Rating(f"lot {i:02d}", f"taster {j}", float(levels[j] + true[i] + chance.normal(0, sd[j])))
        for i in range(lots)
        for j in range(tasters)
        for _ in range(cups)
    ]
    seen = sd * np.sqrt(chance.chisquare(repeats, tasters) / repeats)
    steadiness = {f"taster {j}": Steadiness(float(seen[j]), repeats) for j in range(tasters)}
    return ratings, steadiness, true + levels.mean()


@pytest.mark.parametrize(
    ("lots", "tasters", "cups", "tau"), [(5, 1, 1, 1.0), (10, 2, 1, 0.6), (6, 4, 2, 0.6)]
)
def test_intervals_and_shortlists_hold_the_truth_as_often_as_they_say(
    lots: int, tasters: int, cups: int, tau: float
) -> None:
    """50 seasons; nominal 95 % and 90 %. With truths fixed the intervals hold 91 to 99 % (methods.md)."""
    chance = np.random.default_rng([lots, tasters, cups])
    held, inside = [], []

    for _ in range(50):
        ratings, steadiness, true = simulated(lots, tasters, cups, tau, 6, chance)
        names = [f"lot {i:02d}" for i in range(lots)]
        draws = draw_likings(ratings, steadiness, lots=names, prior_sd=1.0, rng=chance).lots
        low, high = np.quantile(draws, [0.025, 0.975], axis=0)
        inside.append(((low <= true) & (true <= high)).mean())
        chances = np.sort(np.bincount(draws.argmax(axis=1), minlength=lots))[::-1].cumsum() / len(draws)
        size = int(np.searchsorted(chances, 0.9)) + 1
        order = np.argsort(-np.bincount(draws.argmax(axis=1), minlength=lots))
        held.append(true.argmax() in order[:size])

    assert np.mean(inside) > 0.9
    assert np.mean(held) > 0.8


def test_two_lots_and_a_sure_taster_give_the_normal_chance_or_less() -> None:
    """With sigma known: the normal chance for lots that differ by any amount and pots that do not."""
    ratings = one_cup_each({"one": 7.0, "two": 5.0})
    steadiness = {"A": Steadiness(1.0, VERY_SURE)}

    found = shortlist(ratings, scale=SCALE, steadiness=steadiness, rng=rng())

    unshrunk = float(ndtr(2.0 / np.sqrt(2)))
    assert 0.6 < found.lots[0].chance_best < unshrunk


def test_a_steady_taster_counts_for_more_than_an_unsteady_one() -> None:
    ratings = [*one_cup_each({"one": 8, "two": 4, "three": 5}, "sure")]
    ratings += one_cup_each({"one": 4, "two": 8, "three": 5}, "unsure")
    steadiness = {"sure": Steadiness(0.4, 30), "unsure": Steadiness(2.0, 30)}

    found = shortlist(ratings, scale=SCALE, steadiness=steadiness, rng=rng())

    assert found.leader == "one"
    assert found.steadiness == "repeated cups"


def test_one_pot_a_lot_never_names_a_winner_nor_looks_like_proof() -> None:
    ratings = one_cup_each({"one": 9, "two": 2, "three": 2, "four": 1})

    found = shortlist(ratings, scale=SCALE, steadiness={"A": Steadiness(0.1, 50)}, rng=rng())

    assert (found.answer, found.leader, found.best, found.pots) == ("can't tell", "one", None, "assumed")
    assert 0.5 < found.lots[0].chance_best < 0.95
    assert "one pot cannot tell" in found.words
    assert found.settling is not None
    assert (found.settling.more_cups, found.settling.first_step) == (1, True)
    assert found.would_settle.startswith("First a second pot of each of one, ")


def test_a_lot_met_in_one_pot_is_not_named_though_the_others_had_more() -> None:
    ratings = one_cup_each({"one": 9, "two": 2, "three": 2, "four": 1, "five": 2})
    ratings += one_cup_each({"two": 2, "three": 2, "four": 1, "five": 2})

    found = shortlist(ratings, scale=SCALE, steadiness={"A": Steadiness(0.3, 50)}, rng=rng())

    assert (found.shortlist, found.best, found.pots) == (("one",), None, "second pots")
    assert "more than one brew is needed" in found.words


def test_shared_pots_that_stray_keep_a_leader_from_being_named() -> None:
    """Four tasters who agree on every pot, and pots of one lot that do not: the pots are what differs."""
    of_pots = {"one": (8.5, 6.5), "two": (5.5, 7.5), "three": (4.5, 6.5), "four": (7.0, 5.0)}
    ratings = [
        Rating(lot, taster, liking + shift, brew=f"{pot}")
        for lot, likings in of_pots.items()
        for pot, liking in enumerate(likings)
        for taster, shift in zip("ABCD", (-0.2, 0.1, 0.0, 0.2), strict=True)
    ]

    named = [replace(cup, brew=f"{cup.taster}/{cup.brew}") for cup in ratings]
    shared, own = (shortlist(cups, scale=SCALE, rng=rng()) for cups in (ratings, named))

    assert shared.best is None
    assert len(shared.shortlist) > 1
    assert shared.lots[0].brews == 2
    assert own.lots[0].brews == 8
    assert own.lots[0].chance_best > shared.lots[0].chance_best


def test_too_few_effective_points_are_said_and_nothing_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wetleaf.numerics.shortlists.FEWEST_POINTS", 1e9)
    ratings = one_cup_each({"one": 9, "two": 2, "three": 2}) + one_cup_each({"one": 9, "two": 3, "three": 2})

    found = shortlist(ratings, scale=SCALE, steadiness={"A": Steadiness(0.3, 50)}, rng=rng())

    assert found.best is None
    assert any("effective points" in warning for warning in found.warnings)


def test_two_tasters_of_one_pot_are_still_one_brew() -> None:
    ratings = one_cup_each({"one": 9, "two": 2, "three": 2}, "A")
    ratings += one_cup_each({"one": 9, "two": 2, "three": 1}, "B")
    steadiness = {"A": Steadiness(0.2, 50), "B": Steadiness(0.2, 50)}

    found = shortlist(ratings, scale=SCALE, steadiness=steadiness, rng=rng())

    assert found.lots[0].brews == 1
    assert found.best is None


def test_two_brews_that_agree_name_the_best() -> None:
    ratings = one_cup_each({"one": 9, "two": 2, "three": 2}) + one_cup_each({"one": 9, "two": 3, "three": 2})

    found = shortlist(ratings, scale=SCALE, steadiness={"A": Steadiness(0.3, 50)}, rng=rng())

    assert found.answer == "yes"
    assert found.best == "one"
    assert found.settling is None
    assert found.words.startswith("one is the best of 3 for this taster")


def test_an_assumed_unsteadiness_is_shown_at_half_and_twice() -> None:
    found = shortlist(one_cup_each({"one": 8, "two": 6, "three": 3}), scale=SCALE, rng=rng())

    assert found.steadiness == "assumed"
    assert found.at_half is not None
    assert found.at_twice is not None
    assert len(found.at_half) <= len(found.at_twice)


def test_close_lots_need_more_cups_than_distant_ones() -> None:
    steadiness = {"A": Steadiness(1.0, 40)}
    far = shortlist(one_cup_each({"a": 8, "b": 5, "c": 2}), scale=SCALE, steadiness=steadiness, rng=rng())
    near = shortlist(
        one_cup_each({"a": 6, "b": 5.8, "c": 5.6}), scale=SCALE, steadiness=steadiness, rng=rng()
    )

    assert far.settling is not None
    assert near.settling is not None
    assert near.settling.chance < far.settling.chance or far.settling.more_cups is not None
    assert len(near.shortlist) >= len(far.shortlist)


@pytest.mark.parametrize(("tasters", "met", "fewest"), [("A", 1, 30), ("AB", 3, 5)])
def test_the_pots_said_to_settle_it_do_settle_it_as_often_as_said(
    tasters: str, met: int, fewest: int
) -> None:
    """Carry the plan out: 40 truths drawn from the model, the advised pots added, all run again."""
    chance = np.random.default_rng([11, len(tasters), met])
    right, promised = [], []
    steadiness = {taster: Steadiness(0.5, 40) for taster in tasters}

    def pots(lot: str, level: float, count: int, sitting: str) -> list[Rating]:
        return [
            Rating(
                lot, taster, float(np.clip(level + stray + chance.normal(0, 0.5), 1, 9)), f"{pot}", sitting
            )
            for pot, stray in enumerate(chance.normal(0, 0.4, count))
            for taster in tasters
        ]

    for _ in range(40):
        true = dict(zip("abcde", chance.normal(5, 1.2, 5), strict=True))
        first = [cup for lot, level in true.items() for cup in pots(lot, level, met, "first")]
        found = shortlist(first, scale=SCALE, steadiness=steadiness, rng=chance)
        if found.settling is None or found.settling.more_cups is None:
            continue
        plan = found.settling
        again = [cup for lot in plan.lots for cup in pots(lot, true[lot], plan.more_cups or 0, "later")]
        leader = shortlist(first + again, scale=SCALE, steadiness=steadiness, rng=chance).leader
        right.append(leader == max(true, key=lambda lot: true[lot]))
        promised.append(plan.chance)

    assert len(right) >= fewest
    assert np.mean(right) == pytest.approx(np.mean(promised), abs=0.08 + 3 * 0.4 / np.sqrt(len(right)))


def test_missing_likings_are_left_out_and_said() -> None:
    found = shortlist(
        one_cup_each({"one": 8, "two": None, "three": float("nan"), "four": 4}), scale=SCALE, rng=rng()
    )

    assert {lot.lot for lot in found.lots} == {"one", "four"}
    assert "2 of 4 cups have no liking and were left out." in found.warnings


def test_equal_likings_leave_every_lot_open() -> None:
    found = shortlist(one_cup_each(dict.fromkeys("abcd", 6.0)), scale=SCALE, rng=rng())

    assert set(found.shortlist) == set("abcd")
    assert found.words == (
        "Any of the 4 lots may be the best for this taster, with the pots' own error assumed."
    )
    assert "Every cup got the same liking." in found.warnings


@pytest.mark.parametrize(
    ("likings", "words"), [({}, "No lot"), ({"one": 6.0}, "Only one"), ({"one": None}, "No lot")]
)
def test_nothing_to_compare_is_said_in_words(likings: dict[str, float | None], words: str) -> None:
    found = shortlist(one_cup_each(likings), scale=SCALE, rng=rng())

    assert found.answer == "can't tell"
    assert found.best is None
    assert found.words.startswith(words)


def test_lots_that_share_no_taster_are_said_to_be_guessed() -> None:
    ratings = one_cup_each({"one": 8, "two": 6}, "A") + one_cup_each({"three": 8, "four": 6}, "B")

    found = shortlist(ratings, scale=SCALE, rng=rng())

    assert any("share no taster" in warning for warning in found.warnings)


def test_a_later_sitting_may_have_another_level() -> None:
    before = one_cup_each({"one": 3, "two": 2, "three": 1})
    later = [Rating("four", "A", 8.0, sitting="June"), Rating("one", "A", 9.0, sitting="June")]

    found = shortlist(before + later, scale=SCALE, steadiness={"A": Steadiness(0.3, 40)}, rng=rng())

    assert found.leader == "one"


@pytest.mark.parametrize("seed", range(4))
def test_the_same_seed_gives_the_same_answer(seed: int) -> None:
    ratings = one_cup_each({"one": 8, "two": 6, "three": 3})

    first, second = (shortlist(ratings, scale=SCALE, rng=np.random.default_rng(seed)) for _ in range(2))

    assert first == second


def test_verdicts_count_by_the_stated_map() -> None:
    ratings = ratings_from_verdicts(
        [("one", "A", "keep"), ("two", "A", "maybe"), ("three", "A", "no")], scale=SCALE
    )

    assert [rating.liking for rating in ratings] == [7.0, 5.0, 3.0]
    with pytest.raises(BadInput, match="'perhaps' is not known"):
        ratings_from_verdicts([("one", "A", "perhaps")], scale=SCALE)


def test_a_liking_off_the_scale_is_refused_by_name() -> None:
    with pytest.raises(BadInput, match="two: A's liking 11 is outside 1 to 9"):
        shortlist(one_cup_each({"one": 5, "two": 11}), scale=SCALE, rng=rng())
    with pytest.raises(BadInput, match="scale from 9 to 1"):
        shortlist([], scale=(9, 1), rng=rng())
