"""Simulated flights with a known truth, for the tests of maps."""

from dataclasses import dataclass

import numpy as np

from wetleaf.numerics.profiles.scores import Scores


@dataclass(frozen=True)
class Flight:
    """Scores and the true lot means behind them (lots, attributes); lots are named L00, L01, ..."""

    scores: Scores
    truth: np.ndarray


def flight_of(
    truth: np.ndarray,
    *,
    tasters: int,
    cups: int,
    rng: np.random.Generator,
    noise: float = 0.7,
    pot: float = 0.0,
) -> Flight:
    """Every taster has each lot from `cups` pots, at a level of their own and with a lasting taste."""
    lots, width = truth.shape
    level = rng.normal(0, 1, (tasters, width))
    taste = rng.normal(0, noise / 2, (tasters, lots, width))
    names = [(f"L{lot:02d}", f"T{who:02d}") for lot in range(lots) for who in range(tasters)] * cups
    rows = np.array([[int(lot[1:]), int(who[1:])] for lot, who in names])
    values = truth[rows[:, 0]] + level[rows[:, 1]] + taste[rows[:, 1], rows[:, 0]]
    values = values + rng.normal(0, noise, values.shape)
    pots = rng.normal(0, 1, (cups, lots, width)) * pot  # a row of bowls for all, brewed `cups` times
    values = values + np.concatenate([pots[k][rows[: lots * tasters, 0]] for k in range(cups)])
    scores = Scores(
        [lot for lot, _ in names], [who for _, who in names], values, [f"a{k}" for k in range(width)]
    )
    return Flight(scores, truth)
