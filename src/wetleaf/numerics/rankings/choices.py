"""Rankings as a chain of choices: Bradley-Terry for pairs, Plackett-Luce for rows, Davidson's ties in both.

From the bowls still there a set S is put next with chance proportional to

    delta_|S| * product of exp(strength) over S, to the power 1 / |S|,         delta_1 = 1,

S ranging over single lots and sets of equals up to the largest ever answered (Turner, van Etten, Firth and
Kosmidis 2020). For a pair it is Davidson's (1970) model, without equals Bradley and Terry's (1952), for a row
Plackett's (1975). The first bowl's strength is raised by the order effect; a taster's strengths are
multiplied by that taster's steadiness. Every utility is linear in strengths, order and log delta, so that
at given steadiness the log likelihood is concave.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.rankings.answers import RowAnswer

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Choices:
    """Every choice that was made, the chosen set taken off all others.

    Arrays over (choices, other sets, ...): `lots` shares of lots, `extras` order and ties; `barred` is -inf
    where a set was not on offer. `steady`: whether each taster has a steadiness, else all have 1.
    Parameters stand in the order lots, extras, steadiness: contrasts of log steadiness, whose mean is zero.
    """

    lots: Floats
    extras: Floats
    barred: Floats
    taster: NDArray[np.intp]
    weight: Floats
    tasters: int
    steady: bool

    @property
    def size(self) -> int:
        """How many parameters there are."""
        return int(self.lots.shape[2] + self.extras.shape[2]) + (self.tasters - 1 if self.steady else 0)

    @property
    def work(self) -> int:
        """How many utilities a point takes."""
        return int(self.barred.size)

    def log_likelihood(self, points: Floats) -> Floats:
        """Return the weighted log likelihood at points (..., parameters)."""
        highest, total, _ = self._sums(self._utilities(points)[0])
        return np.asarray(-((np.log(total) + highest) @ self.weight))

    def score_and_information(self, points: Floats) -> tuple[Floats, Floats, Floats]:
        """Return its gradient (..., parameters), Fisher's information and what to add for the observed
        one."""
        utilities, of_lots, steadiness = self._utilities(points)
        _, total, parts = self._sums(utilities)
        chance = parts / total[..., None]
        slopes = self._slopes(of_lots, steadiness)
        mean = (chance[..., None] * slopes).sum(axis=-2)
        score = -(self.weight[:, None] * mean).sum(axis=-2)
        spread = np.sqrt(self.weight[:, None] * chance)[..., None] * slopes
        spread = spread.reshape(*spread.shape[:-3], -1, spread.shape[-1])
        mean = np.sqrt(self.weight)[:, None] * mean
        information = spread.swapaxes(-1, -2) @ spread - mean.swapaxes(-1, -2) @ mean
        return score, information, self._bend(chance, of_lots, steadiness)

    def _bend(self, chance: Floats, of_lots: Floats, steadiness: Floats) -> Floats:
        """The expected second derivatives of the utilities: only steadiness bends them."""
        found = np.zeros((*chance.shape[:-2], self.size, self.size))
        if not self.steady:
            return found
        contrasts = steadiness_contrasts(self.tasters)[self.taster]
        expected = self.weight[:, None] * chance * steadiness
        lots, own = self.lots.shape[2], self.size - self.tasters + 1
        across = contrasts.T @ (expected[..., None] * self.lots).sum(axis=-2)
        found[..., own:, :lots] = across
        found[..., :lots, own:] = across.swapaxes(-1, -2)
        alone = (expected * of_lots).sum(axis=-1)[..., None] * contrasts
        found[..., own:, own:] = contrasts.T @ alone
        return found

    def _utilities(self, points: Floats) -> tuple[Floats, Floats, Floats]:
        choices, others, lots = self.lots.shape
        extras = self.extras.shape[2]
        shape = (*points.shape[:-1], choices, others)
        of_lots = (points[..., :lots] @ self.lots.reshape(-1, lots).T).reshape(shape)
        steadiness = np.ones(1)
        utilities = of_lots
        if self.steady:
            log_steadiness = points[..., lots + extras :] @ steadiness_contrasts(self.tasters)[self.taster].T
            steadiness = np.exp(log_steadiness)[..., None]
            utilities = of_lots * steadiness
        if extras:
            flat = self.extras.reshape(-1, extras).T
            utilities = utilities + (points[..., lots : lots + extras] @ flat).reshape(shape)
        return utilities + self.barred, of_lots, steadiness

    @staticmethod
    def _sums(utilities: Floats) -> tuple[Floats, Floats, Floats]:
        """The highest utility, the sum of exponentials less it (the chosen set's own is zero), its parts."""
        highest = np.maximum(utilities.max(axis=-1), 0)
        parts = np.exp(utilities - highest[..., None])
        return highest, np.exp(-highest) + parts.sum(axis=-1), parts

    def _slopes(self, of_lots: Floats, steadiness: Floats) -> Floats:
        shape = of_lots.shape
        lots = self.lots * steadiness[..., None] if self.steady else self.lots
        pieces = [np.broadcast_to(lots, (*shape, lots.shape[-1]))]
        pieces.append(np.broadcast_to(self.extras, (*shape, self.extras.shape[-1])))
        if self.steady:
            contrasts = steadiness_contrasts(self.tasters)[self.taster]
            pieces.append((of_lots * steadiness)[..., None] * contrasts[:, None, :])
        return np.concatenate(pieces, axis=-1)


def steadiness_contrasts(tasters: int) -> Floats:
    """Return orthonormal contrasts (tasters, tasters - 1): log steadiness is contrasts @ parameters, mean
    zero.

    The mean is not told apart from the spread of the lots, so the tasters' geometric mean is the unit.
    """
    found = np.zeros((tasters, tasters - 1))
    for column in range(tasters - 1):
        found[: column + 1, column] = 1 / np.sqrt((column + 1) * (column + 2))
        found[column + 1, column] = -(column + 1) / np.sqrt((column + 1) * (column + 2))
    return found


def choices_of(
    answers: Sequence[RowAnswer],
    weights: Floats,
    *,
    lots: Sequence[str],
    tasters: Sequence[str],
    order: bool,
    steady: bool,
) -> Choices:
    """Return the answers as choices. `order`: whether a first bowl has an advantage; `steady`: see
    `Choices`."""
    largest = max((len(place) for answer in answers for place in answer.places), default=1)
    found = [
        (number, sets)
        for number, answer in enumerate(answers)
        for sets in _chosen_then_others(answer, largest)
        if len(sets) > 1
    ]
    most = max((len(sets) - 1 for _, sets in found), default=1)
    extras = int(order) + largest - 1
    of_lots = np.zeros((len(found), most, len(lots)))
    of_extras = np.zeros((len(found), most, extras))
    barred = np.full((len(found), most), -np.inf)
    place = {lot: i for i, lot in enumerate(lots)}
    for row, (number, sets) in enumerate(found):
        first = answers[number].first if order else None
        described = np.array([_described(one, place, first, extras, largest) for one in sets])
        less = described[1:] - described[0]
        barred[row, : len(less)] = 0
        of_lots[row, : len(less)] = less[:, : len(lots)]
        of_extras[row, : len(less)] = less[:, len(lots) :]
    who = {taster: i for i, taster in enumerate(tasters)}
    return Choices(
        of_lots,
        of_extras,
        barred,
        np.array([who[answers[number].taster] for number, _ in found], dtype=np.intp),
        np.array([weights[number] for number, _ in found]),
        len(tasters),
        steady,
    )


def _chosen_then_others(answer: RowAnswer, largest: int) -> Iterator[list[tuple[str, ...]]]:
    """Every choice of a row: the chosen set, then all others that could have been."""
    there = list(answer.lots)
    for chosen in answer.places:
        on_offer = [one for size in range(1, largest + 1) for one in combinations(there, size)]
        same = set(chosen)
        yield [chosen, *(one for one in on_offer if set(one) != same)]
        there = [lot for lot in there if lot not in same]


def _described(
    chosen: tuple[str, ...], place: dict[str, int], first: str | None, extras: int, largest: int
) -> Floats:
    found = np.zeros(len(place) + extras)
    found[[place[lot] for lot in chosen]] = 1 / len(chosen)
    if extras >= largest and first in chosen:
        found[len(place)] = 1 / len(chosen)
    if len(chosen) > 1:
        found[len(found) - largest + len(chosen) - 1] = 1.0
    return found
