"""What likings say with uncertain spreads: calibrated under the prior, and right where much is known."""

import numpy as np
import pytest
from scipy.stats import chi2, invgamma

from wetleaf.numerics.likings import (
    POT_TAILS,
    PRIOR_DF,
    USUAL_LOTS,
    USUAL_POT,
    USUAL_TASTE,
    Rating,
    Steadiness,
    draw_likings,
    pots_of,
    steadiness_from_repeats,
)
from wetleaf.trade.errors import BadInput

VERY_SURE = 1e5


def served(true: np.ndarray, pots: np.ndarray, sigma: np.ndarray, rng: np.random.Generator) -> list[Rating]:
    """A cup of every pot for every taster; `true` is (lots, tasters), `pots` (lots, pots)."""
    return [
        Rating(
            f"lot {lot:02d}", f"t{j}", float(true[lot, j] + pots[lot, p] + rng.normal(0, sigma[j])), f"{p}"
        )
        for lot in range(len(true))
        for p in range(pots.shape[1])
        for j in range(true.shape[1])
    ]


def one_cup_each(likings: list[float], taster: str = "A", brew: str | None = None) -> list[Rating]:
    return [Rating(f"lot {i:02d}", taster, liking, brew) for i, liking in enumerate(likings)]


def names(count: int) -> list[str]:
    return [f"lot {i:02d}" for i in range(count)]


@pytest.mark.parametrize(("tasters", "pots"), [(1, 1), (1, 2), (3, 2)])
def test_truths_drawn_from_the_prior_take_any_rank_among_the_draws(tasters: int, pots: int) -> None:
    """Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari, Gelman 2018): ranks are uniform."""
    rng = np.random.default_rng([tasters, pots])
    seasons, lots, ranks = 72, 4, []

    for _ in range(seasons):
        sigma = np.sqrt(invgamma.rvs(PRIOR_DF / 2, scale=PRIOR_DF / 2, size=tasters, random_state=rng))
        share = rng.uniform(0, 1, 3)
        ratio = share / (1 - share)
        ratio[1] = abs(rng.standard_t(POT_TAILS))
        tau, pot, taste = np.sqrt((sigma**2).mean()) * np.array([USUAL_LOTS, USUAL_POT, USUAL_TASTE]) * ratio
        own = taste * rng.normal(size=(lots, tasters))
        true = tau * rng.normal(size=(lots, 1)) + own - own.mean(axis=1, keepdims=True)
        ratings = served(true, pot * rng.normal(size=(lots, pots)), sigma, rng)
        drawn = draw_likings(ratings, {}, lots=names(lots), prior_sd=1.0, rng=rng)
        apart = drawn.lots[:, 0] - drawn.lots[:, 1]
        lot_mean = true.mean(axis=1)
        ranks.append(
            [
                (apart < lot_mean[0] - lot_mean[1]).mean(),
                (drawn.spreads.tau < tau).mean(),
                (drawn.spreads.pot < pot).mean(),
                (drawn.spreads.sigma[:, 0] < sigma[0]).mean(),
            ]
        )

    for of_one in np.array(ranks).T:
        counts = np.histogram(of_one, bins=6, range=(0, 1))[0]
        distance = float(((counts - seasons / 6) ** 2 / (seasons / 6)).sum())
        assert chi2.sf(distance, 5) > 1e-3, counts


def test_many_lots_of_two_pots_are_drawn_in_by_the_share_that_is_noise() -> None:
    """James and Stein (1961): with a variance of 1.5 between lots and of 1 between pots of a lot, the lots'
    own is 1.5 - 1 / 2 and two thirds of what was seen is theirs."""
    rng = np.random.default_rng(1)
    means, apart = rng.normal(size=(2, 60))
    means = 5 + np.sqrt(1.5) * (means - means.mean()) / means.std()
    apart = apart / np.sqrt((apart**2).mean()) / np.sqrt(2)
    pots = np.column_stack([means + apart, means - apart])
    ratings = served(np.zeros((60, 1)), pots, np.array([0.0]), rng)

    draws = draw_likings(
        ratings,
        {"t0": Steadiness(0.6, VERY_SURE)},
        lots=names(60),
        prior_sd=1.0,
        rng=np.random.default_rng(2),
    )

    slope = np.polyfit(means, draws.lots.mean(axis=0), 1)[0]
    assert slope == pytest.approx(2 / 3, abs=0.08)
    assert np.median(draws.spreads.pot) == pytest.approx(0.8, abs=0.2)


def test_one_pot_a_lot_leaves_open_whether_lots_or_pots_differ() -> None:
    cups = [rating for j in "ABCD" for rating in one_cup_each([9, 2, 2, 1, 2, 3], j, "the pot")]
    steadiness = {j: Steadiness(0.3, 60) for j in "ABCD"}

    draws = draw_likings(cups, steadiness, lots=names(6), prior_sd=1.0, rng=np.random.default_rng(3))

    assert 0.6 < (draws.lots.argmax(axis=1) == 0).mean() < 0.95


def test_second_pots_that_agree_settle_what_one_pot_left_open() -> None:
    steadiness = {"A": Steadiness(0.3, 60)}
    cups = one_cup_each([9, 2, 2, 1, 2, 3], brew="1")
    more = one_cup_each([9, 2, 3, 1, 2, 3], brew="2")

    draws = draw_likings(cups + more, steadiness, lots=names(6), prior_sd=1.0, rng=np.random.default_rng(3))

    assert (draws.lots.argmax(axis=1) == 0).mean() > 0.99


def test_tasters_of_one_pot_settle_less_than_tasters_of_pots_of_their_own() -> None:
    rng = np.random.default_rng(8)
    true, pots = np.linspace(0, 1.5, 6)[:, None] + np.zeros((6, 4)), rng.normal(0, 1, (6, 2))
    shared = served(true, pots, np.full(4, 0.4), rng)
    own = [Rating(cup.lot, cup.taster, cup.liking, f"{cup.taster}/{cup.brew}") for cup in shared]

    wide, narrow = (
        draw_likings(cups, {}, lots=names(6), prior_sd=0.4, rng=np.random.default_rng(4)).lots
        for cups in (shared, own)
    )

    assert (wide[:, 5] - wide[:, 0]).std() > 1.2 * (narrow[:, 5] - narrow[:, 0]).std()


def test_tasters_who_differ_in_taste_are_not_taken_for_unsteady() -> None:
    """Two who disagree on every lot, each the same twice: their average is sure."""
    taste = np.array([[2.0, -2.0], [-2.0, 2.0], [1.5, -1.5], [0.0, 0.0], [-1.0, 1.0], [1.0, -1.0]])
    rng = np.random.default_rng(9)
    true = np.linspace(4, 6, 6)[:, None] + taste
    cups = served(true, np.zeros((6, 3)), np.full(2, 0.2), rng)

    draws = draw_likings(cups, {}, lots=names(6), prior_sd=1.0, rng=rng)

    assert np.median(draws.spreads.sigma) < 0.7
    assert np.median(draws.spreads.taste) > 1
    assert (draws.lots[:, 5] - draws.lots[:, 0]).mean() == pytest.approx(2, abs=0.3)
    assert (draws.lots[:, 5] - draws.lots[:, 0]).std() < 0.4


def test_a_lot_one_taster_did_not_meet_is_less_sure_where_tastes_differ() -> None:
    taste = np.array([[1.5, -1.5], [-1.0, 1.0], [1.5, -1.5], [0.0, 0.0], [-1.0, 1.0], [0.0, 0.0]])
    rng = np.random.default_rng(10)
    cups = served(np.array([[3], [4], [7], [5], [6], [5]]) + taste, np.zeros((6, 3)), np.full(2, 0.2), rng)
    cups = [cup for cup in cups if (cup.lot, cup.taster) != ("lot 05", "t1")]

    draws = draw_likings(cups, {}, lots=names(6), prior_sd=1.0, rng=rng).lots

    assert (draws[:, 5] - draws[:, 3]).std() > 2 * (draws[:, 4] - draws[:, 3]).std()


def test_steadiness_of_new_pots_is_of_cup_and_pot_together() -> None:
    """With one cup a lot the pot adds nothing to an unsteadiness that holds it already."""
    cups = one_cup_each([8, 6, 5, 3, 4])
    both, cup_only = (
        draw_likings(
            cups,
            {"A": Steadiness(1.0, VERY_SURE, of_new_pots=new)},
            lots=names(5),
            prior_sd=1.0,
            rng=np.random.default_rng(3),
        )
        for new in (True, False)
    )

    together = both.spreads.sigma[:, 0] ** 2 + both.spreads.pot**2

    assert np.sqrt(together) == pytest.approx(np.ones(len(together)), abs=0.02)
    assert cup_only.spreads.sigma[:, 0] == pytest.approx(np.ones(len(together)), abs=0.02)


def test_pots_are_told_apart_by_name_sitting_and_cup() -> None:
    cups = [
        Rating("one", "A", 7, "p"),
        Rating("one", "B", 7, "p"),
        Rating("one", "A", 7, "p", "May"),
        Rating("one", "A", 7),
        Rating("one", "A", 7),
        Rating("one", "B", 7),
        Rating("one", "B", 7, sitting="May"),
    ]

    first, second, in_may, *unnamed = pots_of(cups)

    assert first == second != in_may
    assert unnamed == ["cup 1", "cup 2", "cup 1", "May: cup 1"]


def test_sixty_lots_of_four_tasters_rest_on_enough_points() -> None:
    rng = np.random.default_rng(6)
    true = rng.normal(5, 1, (60, 1)) + rng.normal(0, 0.5, (60, 4))
    cups = served(true, rng.normal(0, 0.5, (60, 2)), np.ones(4), rng)
    cups = [cup for cup in cups if rng.random() > 0.2]

    draws = draw_likings(cups, {}, lots=names(60), prior_sd=1.0, rng=rng)

    assert draws.effective > 400


def test_no_ratings_are_refused() -> None:
    with pytest.raises(BadInput, match="no likings"):
        draw_likings([], {}, lots=["one"], prior_sd=1.0, rng=np.random.default_rng(1))


def test_repeated_cups_give_the_pooled_spread() -> None:
    found = steadiness_from_repeats([[6, 7], [4, 4], [5, 7, 6], [3]])

    assert found is not None
    assert found.df == 4
    assert found.sd == pytest.approx(np.sqrt((0.5 + 0 + 2) / 4))
    assert steadiness_from_repeats([[5], [6]]) is None
