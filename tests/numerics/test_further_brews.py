"""Further brews: what tasters keep differing about lasts, and what is promised is kept through the fit."""

from itertools import pairwise

import numpy as np
import pytest

from wetleaf.numerics.continuity import Change, Continuity, continuity
from wetleaf.numerics.further_brews import EVER, Parts, chance_to_show_sameness
from wetleaf.numerics.profiles import AttributeProfile, Scores, fit_profiles

NOW = {"difference": 0.2, "se": 0.5, "tolerance": 1.25, "brews_each": 2}
OF_POTS = Parts(lasting=0.3, lasting_df=6, cups=0.28, cups_df=24, brews=1.0, brews_df=4)
OF_TASTERS = Parts(lasting=1.0, lasting_df=6, cups=0.1, cups_df=24, brews=0.1, brews_df=4)


def chance(parts: Parts, more: int, **changed: float) -> float:
    return chance_to_show_sameness(parts, **{**NOW, **changed}, more=more)  # type: ignore[arg-type]


@pytest.mark.parametrize("parts", [OF_POTS, OF_TASTERS, Parts(1.0, 6, 0.5, 24)])
def test_more_brews_never_make_it_less_likely_by_more_than_rounding(parts: Parts) -> None:
    chances = [chance(parts, more) for more in (1, 2, 4, 8, 16, 32)]

    assert all(later >= earlier - 0.02 for earlier, later in pairwise(chances))


def test_what_tasters_differ_about_lasts_however_often_the_teas_are_brewed() -> None:
    assert chance(OF_POTS, EVER) > 0.95
    assert chance(OF_TASTERS, EVER, tolerance=0.9) < 0.8


def test_with_one_taster_brews_lessen_the_whole() -> None:
    lots, pots = ["A", "A", "A", "B", "B", "B", "C", "C", "C"], ["1", "2", "3"] * 3
    roast = np.array([4.0, 4.5, 3.7, 4.1, 4.6, 4.0, 6.0, 6.4, 5.8])[:, None]

    (found,) = fit_profiles(Scores(lots, ["Wren"] * 9, roast, ["roast"], brews=pots)).attributes

    assert found.decision.parts is not None
    assert (found.decision.parts.lasting, found.decision.parts.brews) == (0.0, 1.0)
    assert chance(found.decision.parts, EVER, se=0.6) > 0.95


def test_the_parts_add_up_to_the_whole_on_a_complete_table() -> None:
    """Three tasters, four lots, two shared pots, cups least: tasters + pots - cups is the yardstick."""
    chance = np.random.default_rng(3)
    cups = poured(chance, chance.normal(0, 2, (3, 4, 1)), 2)
    taster, lot, pot = (axis.ravel() for axis in np.indices(cups.shape[:3]))
    names = [[f"{one}" for one in codes] for codes in (lot, taster, pot)]

    (found,) = fit_profiles(
        Scores(names[0], names[1], cups.reshape(-1, 1), ["roast"], brews=names[2])
    ).attributes

    parts = found.decision.parts
    assert parts is not None
    assert parts.brews is not None
    assert parts.cups < min(parts.lasting, parts.brews)
    assert parts.lasting + parts.brews - parts.cups == pytest.approx(1)
    assert (parts.lasting_df, parts.brews_df, parts.cups_df) == (6, 4, 8)


def test_a_wider_tolerance_is_likelier_to_be_met() -> None:
    assert chance(OF_TASTERS, 4, tolerance=2.0) > chance(OF_TASTERS, 4, tolerance=1.0)


SEASONS, MOST_POURED = 80, 10


def poured(chance: np.random.Generator, views: np.ndarray, pots: int) -> np.ndarray:
    """Cups of three tasters, four lots and pots that all share; the seasons stand in the last place."""
    pot = chance.normal(0, 0.4, (4, pots, views.shape[2]))
    return np.asarray(views[:, :, None] + pot + chance.normal(0, 0.7, (3, 4, pots, views.shape[2])))


def read(cups: np.ndarray) -> list[Continuity]:
    """Each season on its own: is the first lot still the second?"""
    taster, lot, pot = (axis.ravel() for axis in np.indices(cups.shape[:3]))
    names = [[f"{one}" for one in codes] for codes in (lot, taster, pot)]
    values = cups.reshape(-1, cups.shape[3])
    scores = Scores(names[0], names[1], values, [f"{n}" for n in range(values.shape[1])], brews=names[2])
    return [_judged(one, cups.shape[2]) for one in fit_profiles(scores).attributes]


def _judged(one: AttributeProfile, pots: int) -> Continuity:
    pair = next(pair for pair in one.decision.pairs if (pair.a, pair.b) == ("0", "1"))
    assert pair.difference is not None
    assert pair.se is not None
    assert pair.df is not None
    change = Change("roast", pair.difference, pair.se, pair.df, 1.5, parts=one.decision.parts)
    return continuity([change], brews_each=pots, tasters=3, tied=True)


def test_four_times_in_five_the_brews_asked_for_tell() -> None:
    """Regression: through the fit; 80 % is promised, three standard errors under it allowed."""
    chance = np.random.default_rng(8)
    views = chance.normal(0, 0.4, (3, 4, SEASONS)) + chance.normal(0, 1, (3, 1, SEASONS))
    cups = poured(chance, views, 2)
    asked = np.array([found.more_brews or 0 for found in read(cups)])
    told: list[bool] = []
    for more in sorted({*asked.tolist()} & set(range(1, MOST_POURED + 1))):
        those = asked == more
        drunk = np.concatenate([cups[..., those], poured(chance, views[..., those], more)], axis=2)
        told += [found.answer == "yes" for found in read(drunk)]

    assert len(told) >= 15
    assert np.mean(told) > 0.8 - 3 * np.sqrt(0.16 / len(told))
