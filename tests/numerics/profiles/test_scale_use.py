"""The mixed assessor model's slopes: against R, drawn towards 1, left out where lots hardly differ."""

import numpy as np
import pytest
from scipy.stats import linregress

from wetleaf.numerics.profiles import Scores
from wetleaf.numerics.profiles.scale_use import FEW, HARDLY, ScaleUse, scale_use

LOTS = ["A", "B", "C", "D", "E"] * 4
TASTERS = [name for name in "xyzw" for _ in range(5)]
SWEET = [1, 3, 5.2, 6.8, 4, 2, 4.1, 6, 8, 5.5, 4, 4.9, 6, 7.1, 5.2, 1.5, 2, 6.1, 7, 3]


def use_of(lots: list[str], tasters: list[str], sweet: object) -> ScaleUse:
    values = np.asarray(sweet, dtype=float)[:, None]
    (found,) = scale_use(Scores(lots, tasters, values, ["sweet"]))
    return found


def simulated(
    rng: np.random.Generator, slopes: np.ndarray, *, lot_sd: float, n_lots: int = 8
) -> tuple[list[str], list[str], np.ndarray]:
    taster, lot = (axis.ravel() for axis in np.indices((slopes.size, n_lots)))
    true = rng.normal(0, lot_sd, n_lots)
    sweet = slopes[taster] * true[lot] + rng.normal(size=taster.size)
    return [f"L{at}" for at in lot], [f"T{at}" for at in taster], sweet


def test_slopes_and_their_test_are_those_of_r() -> None:
    """R 4.2.2: x the lots' means less their mean; anova(lm(y ~ taster + lot + taster:x)), coef(lm(y ~ x))."""
    found = use_of(LOTS, TASTERS, SWEET)

    measured = [slope.measured for slope in found.slopes.values()]
    assert dict(zip(found.slopes, measured, strict=True)) == pytest.approx(
        {"w": 1.207070547, "x": 1.100885405, "y": 1.105360033, "z": 0.5866840151}
    )
    assert (found.f, found.df1, found.df2) == (pytest.approx(4.16982, abs=1e-5), 3, 9)
    assert found.p == pytest.approx(0.0415485, abs=1e-7)


def test_a_slope_is_the_plain_regression_on_the_panels_lots() -> None:
    found = use_of(LOTS, TASTERS, SWEET)

    panel = np.reshape(SWEET, (4, 5)).mean(axis=0)
    own = linregress(panel, np.reshape(SWEET, (4, 5))[2])
    assert found.slopes["z"].measured == pytest.approx(own.slope)


def test_slopes_are_drawn_towards_one_and_never_past_it() -> None:
    found = use_of(LOTS, TASTERS, SWEET)

    for slope in found.slopes.values():
        assert min(1.0, slope.measured) <= slope.drawn <= max(1.0, slope.measured)
        assert abs(slope.drawn - 1) < abs(slope.measured - 1)


def test_drawn_slopes_lie_nearer_the_truth_than_measured_ones() -> None:
    rng = np.random.default_rng(20261125)
    measured, drawn = [], []

    for _ in range(150):
        true = 1.0 + rng.normal(0, 0.15, 6)
        found = use_of(*simulated(rng, true, lot_sd=1.0))
        for name, slope in found.slopes.items():
            truth = true[int(name[1:])] / true.mean()
            measured.append((slope.measured - truth) ** 2)
            drawn.append((slope.drawn - truth) ** 2)

    assert len(measured) > 300
    assert np.mean(drawn) < 0.8 * np.mean(measured)


def test_a_taster_who_uses_half_of_the_scale_is_seen() -> None:
    rng = np.random.default_rng(4)
    true = np.array([0.5, 1.0, 1.0, 1.0, 1.0])

    found = [use_of(*simulated(rng, true, lot_sd=4.0)) for _ in range(60)]

    measured = np.mean([one.slopes["T0"].measured for one in found])
    assert measured == pytest.approx(0.5 / true.mean(), abs=0.05)
    assert np.mean([one.slopes["T0"].drawn < 0.8 for one in found]) > 0.85
    assert np.mean([(one.p or 1.0) < 0.05 for one in found]) > 0.7


def test_where_lots_hardly_differ_there_are_no_slopes() -> None:
    rng = np.random.default_rng(7)

    said = [use_of(*simulated(rng, np.ones(5), lot_sd=0.0)).why_not for _ in range(40)]

    assert said.count(HARDLY) >= 34  # 5 % of nothing comes out as a difference


def test_of_two_tasters_nobody_knows_whose_scale_is_the_wide_one() -> None:
    found = use_of(LOTS[:10], TASTERS[:10], SWEET[:10])

    assert found.slopes == {}
    assert found.why_not == FEW
