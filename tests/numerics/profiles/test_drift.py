"""Drift along a sitting: found where planted, with a 95 % interval that holds, and not told from the lots."""

import numpy as np
import pytest

from wetleaf.numerics.profiles import Scores
from wetleaf.numerics.profiles.drift import SAME_ORDER, drifts
from wetleaf.trade.errors import BadInput


def sitting(rng: np.random.Generator, change: float, *, shuffled: bool = True) -> tuple[Scores, list[float]]:
    """Three tasters, six lots twice; the first taster's scores rise by `change` from first cup to last."""
    lots, tasters, places, values = [], [], [], []
    level = rng.normal(size=6)
    for taster in range(3):
        order = rng.permutation(np.repeat(np.arange(6), 2)) if shuffled else np.arange(6)
        for place, lot in enumerate(order):
            lots.append(f"L{lot}")
            tasters.append(f"T{taster}")
            places.append(float(place))
            risen = change * place / (order.size - 1) if taster == 0 else 0.0
            values.append(level[lot] + 0.5 * taster + risen + rng.normal(0, 0.5))
    return Scores(lots, tasters, np.array(values)[:, None], ["a"]), places


def test_the_interval_holds_the_planted_drift_in_95_of_100() -> None:
    rng = np.random.default_rng(5)
    held = []

    for _ in range(400):
        first = drifts(*sitting(rng, 1.5))[0]
        assert first.low is not None
        assert first.high is not None
        held.append(first.low <= 1.5 <= first.high)

    assert 0.92 <= np.mean(held) <= 0.98


def test_one_order_for_all_tells_no_drift_from_the_lots() -> None:
    scores, places = sitting(np.random.default_rng(1), 3.0, shuffled=False)

    found = drifts(scores, places)

    assert {one.change for one in found} == {None}
    assert {one.why_not for one in found} == {SAME_ORDER}


def test_an_exact_drift_is_given_back() -> None:
    lots, places = list("ABCCBA"), [1, 2, 3, 4, 5, 6]
    sweet = [level + 0.2 * place for level, place in zip([2, 4, 6, 6, 4, 2], places, strict=True)]

    (one,) = drifts(Scores(lots, ["x"] * 6, np.array(sweet)[:, None], ["a"]), places)

    assert one.change == pytest.approx(1.0)


def test_places_that_do_not_fit_are_refused() -> None:
    scores, places = sitting(np.random.default_rng(2), 0.0)

    with pytest.raises(BadInput, match="places for"):
        drifts(scores, places[:-1])
    with pytest.raises(BadInput, match="places for"):
        drifts(scores, [float("nan"), *places[1:]])
