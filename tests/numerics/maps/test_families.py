"""Families of lots are claimed only when they come out again and even scatter would not look so."""

import numpy as np
from tests.numerics.maps.room_of_lots import flight_of

from wetleaf.numerics.maps import families_of_lots, map_of_lots


def test_three_families_far_apart_are_found() -> None:
    rng = np.random.default_rng(5)
    centres = rng.normal(0, 2.5, (3, 6))
    truth = np.repeat(centres, 5, axis=0) + rng.normal(0, 0.15, (15, 6))

    found = families_of_lots(
        map_of_lots(flight_of(truth, tasters=4, cups=1, rng=rng, noise=0.4).scores, rng=rng), rng=rng
    )

    assert found.answer == "yes"
    expected = {frozenset(f"L{k:02d}" for k in range(start, start + 5)) for start in (0, 5, 10)}
    assert {frozenset(family.lots) for family in found.families} == expected
    assert min(family.stability for family in found.families) > 0.9


def test_lots_scattered_evenly_are_no_families() -> None:
    answers = []
    for seed in range(12):
        rng = np.random.default_rng(seed)
        flight = flight_of(rng.normal(0, 1.5, (12, 6)), tasters=4, cups=1, rng=rng)
        answers.append(families_of_lots(map_of_lots(flight.scores, rng=rng, resamples=100), rng=rng).answer)

    assert answers.count("yes") <= 1


def test_four_lots_are_too_few_to_speak_of_families() -> None:
    rng = np.random.default_rng(1)
    flight = flight_of(rng.normal(0, 3, (4, 3)), tasters=3, cups=1, rng=rng)

    found = families_of_lots(map_of_lots(flight.scores, rng=rng), rng=rng)

    assert found.answer == "can't tell"
    assert found.families[0].lots == ("L00", "L01", "L02", "L03")
