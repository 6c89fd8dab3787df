"""Likings at fixed spreads: R's lme4 on the same cups, and a dense normal likelihood by scipy."""

import csv
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import null_space
from scipy.optimize import minimize_scalar
from scipy.stats import multivariate_normal

from wetleaf.numerics.liking_model import LikingTable, Spreads, draw_lots, log_likelihood, lots_given
from wetleaf.numerics.likings import Rating, table_of

PUBLISHED = Path(__file__).parents[1] / "published"
REFERENCE = json.loads((PUBLISHED / "likings" / "likings.json").read_text())
ATTRIBUTES = ["a1", "a2", "a3"]


def cups_of(attribute: str) -> list[Rating]:
    with (PUBLISHED / "mixed" / "brews_missing.csv").open(newline="") as file:
        return [
            Rating(row["lot"], row["taster"], float(row[attribute]), brew=row["brew"])
            for row in csv.DictReader(file)
        ]


def spreads_of(lot: float, taste: float, pot: float, residual: float) -> Spreads:
    """From the form with independent tastes: a lot's mean over four has a quarter of their variance."""
    noise = residual * np.array([list(REFERENCE["noise"].values())])
    tau = np.sqrt(lot**2 + taste**2 / 4)
    return Spreads(np.array([tau]), np.array([pot]), np.array([taste]), noise)


def criterion(table: LikingTable, spreads: Spreads) -> float:
    """Minus twice the log likelihood with the cups of one pot, but for a constant."""
    sigma = spreads.sigma[0]
    one_pot = (table.repeats * np.log(sigma**2) + table.within / sigma**2).sum()
    return float(one_pot - 2 * log_likelihood(table, spreads)[0])


@pytest.mark.parametrize("attribute", ATTRIBUTES)
def test_lots_at_fixed_spreads_are_those_of_lme4(attribute: str) -> None:
    """R 4.2.2, lme4 1.1-31: `ranef` in tests/published/likings/reference.R."""
    fit: dict[str, Any] = REFERENCE["fits"][attribute]
    table = table_of(cups_of(attribute), list(fit["lots"]))
    sd = fit["sd"]

    found = lots_given(table, spreads_of(sd["lot"], sd["lot:taster"], sd["lot:brew"], sd["Residual"]))

    assert found[0] == pytest.approx(list(fit["lots"].values()), abs=1e-9)


@pytest.mark.parametrize("attribute", ATTRIBUTES)
def test_the_likelihood_moves_between_spreads_as_that_of_lme4(attribute: str) -> None:
    """The REML criterion of lme4 at five sets of ratios, residual profiled out; ours but for a constant."""
    fit: dict[str, Any] = REFERENCE["fits"][attribute]
    table = table_of(cups_of(attribute), list(fit["lots"]))
    found = []

    for taste, pot, lot in fit["thetas"]:

        def at(log_residual: float, taste: float = taste, pot: float = pot, lot: float = lot) -> float:
            residual = np.exp(log_residual)
            return criterion(table, spreads_of(lot * residual, taste * residual, pot * residual, residual))

        found.append(minimize_scalar(at, bounds=(-3, 3), method="bounded", options={"xatol": 1e-9}).fun)

    assert fit["order"] == ["lot:taster", "lot:brew", "lot"]
    assert np.diff(found) == pytest.approx(np.diff(fit["criteria"]), abs=1e-6)


def dense(cups: list[Rating], lots: int, spreads: Spreads) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Covariance of single cups, their levels, and their covariance with the lots."""
    tasters = sorted({cup.taster for cup in cups})
    place = [(int(cup.lot), tasters.index(cup.taster), cup.brew, cup.sitting) for cup in cups]
    levels = sorted({(cup.taster, cup.sitting) for cup in cups}, key=str)
    shown = np.array([[(cup.taster, cup.sitting) == level for level in levels] for cup in cups], dtype=float)
    covariance = np.zeros((len(cups), len(cups)))
    for i, (lot, taster, brew, sitting) in enumerate(place):
        for k, (lot2, taster2, brew2, sitting2) in enumerate(place):
            if lot == lot2:
                unlike = (taster == taster2) - 1 / len(tasters)
                same_pot = (brew, sitting) == (brew2, sitting2)
                covariance[i, k] = (
                    spreads.tau[0] ** 2 + spreads.taste[0] ** 2 * unlike + spreads.pot[0] ** 2 * same_pot
                )
        covariance[i, i] += spreads.sigma[0, taster] ** 2
    with_lots = spreads.tau[0] ** 2 * (np.array([lot for lot, *_ in place])[:, None] == np.arange(lots))
    return covariance, shown, with_lots


def scattered_cups(rng: np.random.Generator) -> list[Rating]:
    """Five lots, three tasters, two sittings, pots not met by all: nothing balanced, each lot met."""
    cups = [
        Rating(str(lot), f"t{taster}", float(rng.normal(5, 1)), brew=str(pot), sitting=f"s{sitting}")
        for lot in range(5)
        for taster in range(3)
        for pot in range(2)
        for sitting in range(2)
        for _ in range(rng.integers(0, 3) if taster or pot else 1)
    ]
    return [cups[i] for i in rng.permutation(len(cups))]


@given(seed=st.integers(0, 10_000))
def test_the_likelihood_is_that_of_contrasts_free_of_levels(seed: int) -> None:
    """scipy's multivariate normal density of the cups in the null space of the levels, between two points."""
    rng = np.random.default_rng(seed)
    cups = scattered_cups(rng)
    table = table_of(cups, list("01234"))
    likings = np.array([cup.liking for cup in cups])
    ours, theirs = [], []

    for _ in range(2):
        tau, pot, taste = np.exp(rng.normal(0, 0.7, (3, 1)))
        spreads = Spreads(tau, pot, taste, np.exp(rng.normal(0, 0.5, (1, 3))))
        covariance, shown, _ = dense(cups, 5, spreads)
        free = null_space(shown.T)
        theirs.append(multivariate_normal(cov=free.T @ covariance @ free).logpdf(free.T @ likings))
        ours.append(-criterion(table, spreads) / 2)

    assert ours[1] - ours[0] == pytest.approx(theirs[1] - theirs[0], abs=1e-7)


def test_draws_have_the_mean_and_covariance_of_the_conditional_normal() -> None:
    """Against generalised least squares written out in full; 40,000 draws."""
    rng = np.random.default_rng(5)
    cups = scattered_cups(rng)
    spreads = Spreads(*(np.array([sd]) for sd in (0.8, 0.6, 0.4)), np.array([[0.5, 1.0, 0.7]]))
    covariance, shown, with_lots = dense(cups, 5, spreads)
    inverse = np.linalg.inv(covariance)
    of_levels = np.linalg.inv(shown.T @ inverse @ shown)
    likings = np.array([cup.liking for cup in cups])
    levels = of_levels @ shown.T @ inverse @ likings
    gain = with_lots.T @ inverse
    # on the tasters' scale: a lot and the mean of the levels
    carry = np.full((5, shown.shape[1]), 1 / shown.shape[1]) - gain @ shown
    mean = gain @ likings + carry @ levels
    spread = 0.8**2 * np.eye(5) - gain @ with_lots + carry @ of_levels @ carry.T

    drawn = draw_lots(table_of(cups, list("01234")), spreads, np.zeros(40_000, dtype=np.intp), rng)

    assert drawn.mean(axis=0) == pytest.approx(mean, abs=5 * np.sqrt(spread.max() / 40_000))
    assert np.cov(drawn, rowvar=False) == pytest.approx(spread, abs=0.02)


def test_lots_served_alike_give_what_they_give_each_by_itself() -> None:
    """Lots of one pattern share a covariance: another pot's name breaks no pattern, a cup less does."""
    cups = [
        Rating(str(lot), f"t{j}", float(lot + j), brew=f"{lot}/{p}")
        for lot in range(4)
        for j in range(2)
        for p in "ab"
    ]
    table = table_of(cups, list("0123"))
    fewer = table_of(cups[1:], list("0123"))

    assert (len(table.servings), len(fewer.servings)) == (1, 2)
