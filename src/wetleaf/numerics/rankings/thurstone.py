"""Pairs by Thurstone's Case V: each cup strays normally and alike, and the better-seeming cup is preferred.

    P(first preferred) = Phi(d - t),   P(second) = Phi(-d - t),   P(no preference) = the rest,
    d = steadiness (strength of first - strength of second) + order effect,   t = 0 without ties in the
    answers

(Thurstone 1927; ties by a threshold, Glenn and David 1960). Strengths are in standard deviations of the
difference of two cups. Rows of three or more need integrals over many dimensions and are left to
Plackett-Luce.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr, ndtr

from wetleaf.numerics.rankings.answers import RowAnswer
from wetleaf.numerics.rankings.choices import steadiness_contrasts
from wetleaf.trade.errors import BadInput

Floats = NDArray[np.float64]
_LEAST = 1e-300


@dataclass(frozen=True, slots=True)
class NormalPairs:
    """Every pair: `lots` the preferred less the other (pairs, lots), `extras` order and threshold's place.

    The last of the parameters `extras` is the log threshold if `tied` holds any; parameters stand as in
    `Choices`.
    """

    lots: Floats
    order: Floats
    tied: NDArray[np.bool_]
    taster: NDArray[np.intp]
    weight: Floats
    tasters: int
    steady: bool
    has_order: bool

    @property
    def size(self) -> int:
        """How many parameters there are."""
        extras = int(self.has_order) + int(self.tied.any())
        return int(self.lots.shape[1]) + extras + (self.tasters - 1 if self.steady else 0)

    @property
    def work(self) -> int:
        """How many differences a point takes."""
        return len(self.lots)

    def log_likelihood(self, points: Floats) -> Floats:
        """Return the weighted log likelihood at points (..., parameters)."""
        apart, threshold, _, _ = self._apart(points)
        log_chance = log_ndtr(apart - threshold)
        if self.tied.any():
            between = ndtr(threshold - apart) - ndtr(-threshold - apart)
            log_chance = np.where(self.tied, np.log(np.maximum(between, _LEAST)), log_chance)
        return np.asarray(log_chance @ self.weight)

    def score_and_information(self, points: Floats) -> tuple[Floats, Floats, Floats]:
        """Return its gradient (..., parameters), Fisher's information, and nothing to add: see `Choices`."""
        apart, threshold, of_lots, steadiness = self._apart(points)
        slope_apart = self._slopes(of_lots, steadiness)
        slope_threshold = self._threshold_slopes(threshold, slope_apart)
        won = np.exp(log_ndtr(apart - threshold))
        lost = np.exp(log_ndtr(-apart - threshold))
        up, down = _normal(apart - threshold), _normal(apart + threshold)
        chances = [won, lost]
        slopes = [
            up[..., None] * (slope_apart - slope_threshold),
            down[..., None] * (-slope_apart - slope_threshold),
        ]
        if self.tied.any():
            chances.append(np.maximum(ndtr(threshold - apart) - ndtr(-threshold - apart), _LEAST))
            slopes.append(-slopes[0] - slopes[1])
        score = slopes[0] / np.maximum(won, _LEAST)[..., None]
        if self.tied.any():
            score = np.where(self.tied[:, None], slopes[2] / chances[2][..., None], score)
        score = (self.weight[:, None] * score).sum(axis=-2)
        information = np.zeros((*points.shape, points.shape[-1]))
        for chance, slope in zip(chances, slopes, strict=True):
            root = slope * np.sqrt(self.weight / np.maximum(chance, _LEAST))[..., None]
            information += root.swapaxes(-1, -2) @ root
        return score, information, np.zeros_like(information)

    def _apart(self, points: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        lots = self.lots.shape[1]
        extras = int(self.has_order) + int(self.tied.any())
        of_lots = points[..., :lots] @ self.lots.T
        steadiness = np.ones(1)
        if self.steady:
            contrasts = steadiness_contrasts(self.tasters)[self.taster]
            steadiness = np.exp(points[..., lots + extras :] @ contrasts.T)
        apart = of_lots * steadiness
        if self.has_order:
            apart = apart + points[..., lots, None] * self.order
        threshold = np.zeros((*points.shape[:-1], 1))
        if self.tied.any():
            threshold = np.exp(points[..., lots + extras - 1, None])
        return apart, threshold, of_lots, steadiness

    def _slopes(self, of_lots: Floats, steadiness: Floats) -> Floats:
        shape, lots = of_lots.shape, self.lots.shape[1]
        slopes = np.zeros((*shape, self.size))
        slopes[..., :lots] = self.lots * (steadiness[..., None] if self.steady else 1)
        if self.has_order:
            slopes[..., lots] = self.order
        if self.steady:
            contrasts = steadiness_contrasts(self.tasters)[self.taster]
            slopes[..., self.size - self.tasters + 1 :] = (of_lots * steadiness)[..., None] * contrasts
        return slopes

    def _threshold_slopes(self, threshold: Floats, slopes: Floats) -> Floats:
        found = np.zeros_like(slopes)
        if self.tied.any():
            found[..., self.lots.shape[1] + int(self.has_order)] = threshold
        return found


def _normal(x: Floats) -> Floats:
    return np.asarray(np.exp(-(x**2) / 2) / np.sqrt(2 * np.pi))


def normal_pairs_of(
    answers: Sequence[RowAnswer],
    weights: Floats,
    *,
    lots: Sequence[str],
    tasters: Sequence[str],
    order: bool,
    steady: bool,
) -> NormalPairs:
    """Return the answers as pairs. Raises BadInput for a row of more than two bowls."""
    long = [answer for answer in answers if len(answer.lots) != 2]
    if long:
        raise BadInput(
            f"A row of {len(long[0].lots)} bowls ({', '.join(long[0].lots)}): Thurstone's is for pairs.",
            way_out="Use plackett-luce for rows.",
        )
    place = {lot: i for i, lot in enumerate(lots)}
    who = {taster: i for i, taster in enumerate(tasters)}
    of_lots = np.zeros((len(answers), len(lots)))
    signs = np.zeros(len(answers))
    for row, answer in enumerate(answers):
        better, worse = answer.lots
        of_lots[row, place[better]], of_lots[row, place[worse]] = 1.0, -1.0
        if order and answer.first is not None:
            signs[row] = 1.0 if answer.first == better else -1.0
    return NormalPairs(
        of_lots,
        signs,
        np.array([len(answer.places) == 1 for answer in answers], dtype=bool),
        np.array([who[answer.taster] for answer in answers], dtype=np.intp),
        weights,
        len(tasters),
        steady,
        order,
    )
