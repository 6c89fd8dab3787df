"""How far apart lots are, who is nearest, and where nobody is."""

import numpy as np
import pytest
from tests.numerics.maps.room_of_lots import flight_of

from wetleaf.numerics.maps import (
    distance_of,
    distances_between,
    emptiest_region,
    map_of_lots,
    nearest_lots,
    principal_components,
)
from wetleaf.numerics.profiles.scores import Scores
from wetleaf.trade.errors import BadInput


@pytest.mark.parametrize(("tasters", "spread"), [(2, 0.0), (2, 1.0), (4, 0.5), (10, 0.5), (10, 1.5)])
def test_intervals_of_distances_hold_the_true_one(tasters: int, spread: float) -> None:
    held = total = 0
    for seed in range(40):
        rng = np.random.default_rng(seed)
        truth = rng.normal(0, spread, (5, 6))
        found = distances_between(
            map_of_lots(flight_of(truth, tasters=tasters, cups=1, rng=rng).scores, rng=rng)
        )
        for one in found:
            gap = truth[int(one.a[1:])] - truth[int(one.b[1:])]
            held += one.low - 1e-9 <= np.sqrt((gap**2).mean()) <= one.high
            total += 1

    assert held / total >= 0.92  # measured 0.95 to 0.99, see methods


@pytest.mark.parametrize("tasters", [1, 4, 10])
def test_pots_that_differ_widen_the_intervals(tasters: int) -> None:
    """All tasters of a pot share its error: with two pots a lot the intervals must know it."""
    held = total = 0
    for seed in range(30):
        rng = np.random.default_rng(seed)
        truth = rng.normal(0, 0.5, (6, 6))
        scores = flight_of(truth, tasters=tasters, cups=2, rng=rng, pot=0.7).scores
        found = distances_between(map_of_lots(scores, rng=rng))
        for one in found:
            gap = truth[int(one.a[1:])] - truth[int(one.b[1:])]
            held += one.low - 1e-9 <= np.sqrt((gap**2).mean()) <= one.high
            total += 1

    assert held / total >= (0.92 if tasters > 1 else 0.85)  # one taster's own taste is not in the truth here


def test_noise_is_taken_off_a_distance() -> None:
    """Lots that are all the same are seen apart by noise alone."""
    rng = np.random.default_rng(2)
    found = distances_between(
        map_of_lots(flight_of(np.zeros((8, 6)), tasters=4, cups=1, rng=rng).scores, rng=rng)
    )

    assert np.mean([one.seen for one in found]) > 0.3
    assert np.median([one.corrected for one in found]) < 0.25
    assert np.mean([one.low for one in found]) < 0.05


def test_a_pair_is_found_in_either_order_and_a_stranger_is_refused() -> None:
    rng = np.random.default_rng(2)
    found = distances_between(
        map_of_lots(flight_of(rng.normal(0, 2, (4, 3)), tasters=2, cups=1, rng=rng).scores, rng=rng)
    )

    assert distance_of(found, "L03", "L01") is distance_of(found, "L01", "L03")
    with pytest.raises(BadInput, match="L01 and L09"):
        distance_of(found, "L01", "L09")


def test_twins_are_each_others_nearest() -> None:
    rng = np.random.default_rng(6)
    truth = rng.normal(0, 3, (5, 4))
    truth[4] = truth[1] + 0.1

    found = nearest_lots(map_of_lots(flight_of(truth, tasters=3, cups=2, rng=rng, noise=0.3).scores, rng=rng))

    assert {one.lot: one.nearest for one in found}["L04"] == "L01"
    assert {one.lot: one.chance for one in found}["L04"] > 0.95


def test_the_emptiest_region_is_the_middle_of_a_ring() -> None:
    angles = np.linspace(0, 2 * np.pi, 8, endpoint=False)
    ring = 3 + 2 * np.column_stack([np.cos(angles), np.sin(angles)])

    found = emptiest_region(
        principal_components(ring, rows=list("abcdefgh"), columns=["body", "roast"], scaled=False)
    )

    assert found is not None
    assert found.place == pytest.approx((0, 0), abs=1e-9)
    assert found.radius == pytest.approx(2)
    assert found.scores == pytest.approx({"body": 3, "roast": 3})


def test_a_gap_at_the_rim_is_not_praised() -> None:
    """Everything beyond the outermost lots is empty; that is the edge of the range and no gap in it."""
    square = np.array([[0.0, 0.0], [0.0, 1.0], [1.0, 0.0], [1.0, 1.0], [9.0, 0.4]])

    found = emptiest_region(principal_components(square, rows="abcde", columns=["x", "y"], scaled=False))

    assert found is not None
    assert found.scores["x"] < 9
    assert "e" in found.around


def test_lots_on_a_line_have_no_region() -> None:
    line = np.array([[0.0, 0.0], [1.0, 2.0], [2.0, 4.0], [3.0, 6.0]])

    assert emptiest_region(principal_components(line, rows="abcd", columns=["x", "y"])) is None


def test_lots_that_everybody_scored_alike_are_apart_by_what_was_seen() -> None:
    """No noise at all, or no more than rounding, is no reason to search for ever."""
    lots = ["A", "B", "C", "D"] * 2
    alike = np.array([[1.0, 2.0], [3.0, 5.0], [6.0, 1.0], [7.1, 8.3]] * 2)
    rounding = alike + np.random.default_rng(1).normal(0, 1e-13, alike.shape)

    for values in (alike, rounding):
        scores = Scores(lots, ["me"] * 4 + ["you"] * 4, values, ["roast", "body"])
        found = distances_between(map_of_lots(scores, rng=np.random.default_rng(1)))
        for one in found:
            assert (one.low, one.high) == pytest.approx((one.seen, one.seen), abs=1e-6)


def test_lots_on_one_line_are_mapped_on_one_axis() -> None:
    """Two attributes that rise together leave one axis, while their resamples have two."""
    rng = np.random.default_rng(2)
    lots, line = ["A", "B", "C", "D"] * 2, np.array([1.0, 2.0, 4.0, 7.0])
    noise = rng.normal(0, 0.3, (4, 2))
    values = np.concatenate([np.stack([line, line], axis=1) + sign * noise for sign in (1, -1)])
    scores = Scores(lots, ["me"] * 4 + ["you"] * 4, values, ["roast", "body"])

    found = map_of_lots(scores, rng=rng)

    assert len(found.components.share) == 1
    assert all(np.isfinite(one.half_long) for one in found.ellipses)
    assert emptiest_region(found.components) is None
