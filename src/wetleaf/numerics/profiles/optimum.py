"""Finding the ratios that maximise the restricted likelihood, all attributes at once, never below their
bound.

Damped Newton steps on the exact Hessian, on the expected one where the exact one is not positive; an
attribute leaves the round when its predicted gain is nothing. Every attribute is told whether it settled.
"""

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.cells import Accumulator, Batch
from wetleaf.numerics.profiles.design import TERMS
from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.reml import Point, evaluate

MOST_STEPS = 150
SETTLED = 1e-9
"""Predicted fall of the deviance; the Newton step taken from there leaves about its square."""
LARGEST_RATIO = 1e8
NOTHING = 1e-9
"""A ratio this near its bound is at it: no scores tell it from nothing, and the df would hang on it."""
LEAST_SPREAD = 1e-10
"""A residual variance below this share of the spread beside the lots is what rounding leaves of a table."""
LARGEST_GUESS = 100.0
FAR_OUT, FLAT = 1e3, 1e-2
"""A deviance that bends less than this by the log of ratios above this: the residual is going to zero."""
TASTER = TERMS.index("taster")
UNDER_THE_LOTS = [TERMS.index("taster:lot"), TERMS.index("lot:brew")]
"""The strata, beside the residual, that lots are held against."""


@dataclass(frozen=True)
class Optimum:
    """The point reached and, for each attribute, whether the search settled there.

    `no_residual`: the likelihood only grows, ever less, as the residual goes to zero.
    """

    point: Point
    converged: NDArray[np.bool_]
    no_residual: NDArray[np.bool_]
    steps: int


def independent_terms(point: Point, freedom: Floats, available: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which of the available random terms the data can tell apart: shape (attributes, terms).

    A term whose direction is a mixture of the residual and of terms already taken has no likelihood of its
    own. The order of keeping is taster, sitting, lot, lot:brew, taster:lot.
    """
    info = point.expected - point.traces[:, :, None] * point.traces[:, None, :] / freedom[:, None, None]
    size = np.einsum("aii->ai", point.expected)
    kept = np.zeros_like(available)
    for term in (1, 3, 4, 2, 0):
        pivot = info[:, term, term]
        kept[:, term] = available[:, term] & (pivot > 1e-9 * np.maximum(size[:, term], 0.01))
        safe = np.where(kept[:, term], pivot, 1.0)[:, None, None]
        swept = info[:, :, term, None] * info[:, None, term, :] / safe
        info = info - np.where(kept[:, term, None, None], swept, 0.0)
    return kept


def first_guess(point: Point, terms: NDArray[np.bool_]) -> Floats:
    """Return ratios to start from: the quadratic estimates (MINQUE) that one evaluation gives.

    On a complete table these are the analysis of variance estimates, so the search starts where it ends. The
    expectations of the quadratic forms y'P V_k P y, the residual's last, make one linear system an attribute.
    """
    n_attributes, n_terms = terms.shape
    gamma = np.where(terms, point.gamma, 0.0)
    system = np.zeros((n_attributes, n_terms + 1, n_terms + 1))
    system[:, :-1, :-1] = np.where(terms[:, :, None] & terms[:, None, :], point.expected, np.eye(n_terms))
    by_residual = point.traces - np.einsum("akl,al->ak", point.expected, gamma)
    system[:, :-1, -1] = system[:, -1, :-1] = np.where(terms, by_residual, 0.0)
    system[:, -1, -1] = point.freedom - (gamma * point.traces).sum(axis=1) - (gamma * by_residual).sum(axis=1)
    forms = np.zeros((n_attributes, n_terms + 1))
    forms[:, :-1] = np.where(terms, point.squares, 0.0)
    forms[:, -1] = point.residual * point.freedom - (gamma * point.squares).sum(axis=1)
    solvable = (np.abs(np.linalg.det(system)) > 0) & (point.gamma == gamma).all(axis=1)
    system[~solvable] = np.eye(n_terms + 1)
    variances = np.linalg.solve(system, forms[:, :, None])[:, :, 0]
    good = solvable & (variances[:, -1] > 0)
    residual = np.where(good, variances[:, -1], 1.0)[:, None]
    guess = np.clip(variances[:, :-1] / residual, 0.0, LARGEST_GUESS)
    return np.where(terms, np.where(good[:, None], guess, 1.0), 0.0)


def find_optimum(
    batch: Batch, sums: Accumulator, start: Floats, available: NDArray[np.bool_], lower: Floats
) -> Optimum:
    """Search from `start` (attributes, terms); a term that is not available stays where it starts.

    `lower` (attributes, terms) bounds the ratios.
    """
    point = evaluate(batch, sums, start)
    converged = np.zeros(start.shape[0], dtype=bool)
    damping = np.full(start.shape[0], 1e-4)
    active = np.arange(start.shape[0])
    steps = 0
    while active.size and steps < MOST_STEPS:
        steps += 1
        here = _take(point, active)
        step, gain = _newton_step(here, available[active], lower[active], damping[active])
        trial_gamma = np.clip(here.gamma + step, lower[active], LARGEST_RATIO)
        trial_gamma = np.where(trial_gamma < lower[active] + NOTHING, lower[active], trial_gamma)
        trial = evaluate(batch.take(active), sums, trial_gamma)
        last = gain < SETTLED
        better = (trial.deviance <= here.deviance) | last
        _put(point, active[better], trial, better)
        damping[active] = np.where(better, damping[active] * 0.05, np.maximum(damping[active], 1e-4) * 10.0)
        converged[active[last]] = True
        active = active[~last & (damping[active] < 1e12)]
    converged &= point.residual > LEAST_SPREAD  # of standardised scores: their spread beside the lots is 1
    converged &= (point.gamma < LARGEST_RATIO / 10).all(axis=1) & np.isfinite(point.deviance)
    flat = _flat_far_out(point)
    # Without another stratum under the lots' differences their F would be as large as one likes.
    converged &= ~flat | (point.gamma[:, UNDER_THE_LOTS] > 1.0).any(axis=1)
    return Optimum(point=point, converged=converged, no_residual=flat, steps=steps)


def _flat_far_out(point: Point) -> NDArray[np.bool_]:
    """Whether the deviance hardly bends by the logarithm of all ratios together, where one is large."""
    bend = np.einsum("ai,aij,aj->a", point.gamma, point.hessian, point.gamma)
    slope = (point.gamma * point.gradient).sum(axis=1)
    return np.asarray((point.gamma.max(axis=1) > FAR_OUT) & (bend + slope < FLAT))


def try_again(
    batch: Batch, sums: Accumulator, found: Optimum, available: NDArray[np.bool_], which: NDArray[np.bool_]
) -> Optimum:
    """Search `which` attributes once more from the other side of the taster's ratio and keep the better end.

    With few tasters or cups the restricted likelihood can have two peaks: one where the tasters differ, one
    where they do not.
    """
    rows = np.flatnonzero(which & available[:, TASTER])
    if not rows.size:
        return found
    start = found.point.gamma[rows].copy()
    start[:, TASTER] = np.where(start[:, TASTER] > 0.0, 0.0, 1.0)
    other = find_optimum(batch.take(rows), sums, start, available[rows], np.zeros(start.shape))
    better = other.converged & (other.point.deviance < found.point.deviance[rows] - SETTLED)
    _put(found.point, rows[better], other.point, better)
    found.converged[rows[better]] = True
    found.no_residual[rows[better]] = other.no_residual[better]
    return found


def _newton_step(
    here: Point, available: NDArray[np.bool_], lower: Floats, damping: Floats
) -> tuple[Floats, Floats]:
    """Return the step and the fall of the deviance it promises; terms held at their bound stay."""
    free = available & ~((here.gamma <= lower) & (here.gradient > 0))
    gradient = np.where(free, here.gradient, 0.0)
    both = free[:, :, None] & free[:, None, :]
    expected = _masked(here.expected - _trace_product(here), both)
    exact = _masked(here.hessian, both)
    size = np.sqrt(np.maximum(np.einsum("aii->ai", expected), 1e-300))
    scaled = size[:, :, None] * size[:, None, :]
    exact, expected = exact / scaled, expected / scaled
    good = np.linalg.eigvalsh(exact)[:, 0] > 1e-6
    curvature = np.where(good[:, None, None], exact, expected)
    diagonal = np.arange(curvature.shape[1])
    curvature[:, diagonal, diagonal] += damping[:, None] + np.where(good, 0.0, 1e-6)[:, None]
    step = -np.linalg.solve(curvature, (gradient / size)[:, :, None])[:, :, 0]
    gain = -0.5 * np.einsum("ai,ai->a", step, gradient / size)
    return _bounded(here.gamma, step / size, lower), gain


def _trace_product(here: Point) -> Floats:
    freedom = here.freedom[:, None, None]
    return here.traces[:, :, None] * here.traces[:, None, :] / freedom


def _masked(matrix: Floats, both: NDArray[np.bool_]) -> Floats:
    return np.where(both, matrix, np.eye(matrix.shape[1]))


def _bounded(gamma: Floats, step: Floats, lower: Floats) -> Floats:
    """Keep a step within a factor of the ratio: far out the curvature here says little."""
    reach = 4.0 * (gamma - lower) + 1.0
    return np.minimum(step, reach)


def _take(point: Point, which: NDArray[np.intp]) -> Point:
    return replace(point, **{field.name: getattr(point, field.name)[which] for field in fields(point)})


def _put(point: Point, where: NDArray[np.intp], source: Point, which: NDArray[np.bool_]) -> None:
    for field in fields(point):
        getattr(point, field.name)[where] = getattr(source, field.name)[which]
