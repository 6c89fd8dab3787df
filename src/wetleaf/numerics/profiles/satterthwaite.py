"""How far the lots' means can be trusted: their covariance, its own uncertainty, and the degrees of freedom.

For a contrast l the variance f = l'Cov(b)l is a function of the variance parameters phi = (gamma, s). With g
its gradient and A = 2 (d2D/dphi2)^-1 the covariance of phi-hat, Satterthwaite's degrees of freedom are
2 f^2 / (g'Ag). A ratio estimated at zero has no part in phi: its df are those of the model without the term.

References
----------
Kuznetsova, Brockhoff, Christensen (2017) lmerTest package: tests in linear mixed effects models, J Stat Softw
82(13): the joint test through the eigenvectors of L Cov(b) L' and the pooling of their df.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.cells import Batch
from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.reml import Point

SMALLEST_EIGENVALUE = 1.5e-8  # relative: the square root of the double precision
ALIKE = 1e-8  # relative: df this near each other are one number


@dataclass(frozen=True)
class MeansUncertainty:
    """The lots' means with their covariance and how it moves with the variance parameters.

    `slopes` (attributes, terms + 1, lots, lots): derivative of `covariance` by each ratio and, last, by s.
    `parameter_covariance` (attributes, terms + 1, terms + 1): A; zero for a ratio that is not free.
    All in the standardised units of the batch.
    """

    means: Floats  # (attributes, lots)
    covariance: Floats  # (attributes, lots, lots)
    slopes: Floats
    parameter_covariance: Floats

    def degrees_of_freedom(self, contrasts: Floats) -> tuple[Floats, Floats]:
        """Return variance and df of contrasts (attributes, contrasts, lots)."""
        variance = np.einsum("aci,aij,acj->ac", contrasts, self.covariance, contrasts, optimize=True)
        gradient = np.einsum("aci,akij,acj->ack", contrasts, self.slopes, contrasts, optimize=True)
        return variance, self._pooled(variance, gradient)

    def of_means(self) -> tuple[Floats, Floats]:
        """Return variance and df of every lot's mean: (attributes, lots) each."""
        variance = np.einsum("aii->ai", self.covariance)
        gradient = np.einsum("akii->aik", self.slopes)
        return variance, self._pooled(variance, gradient)

    def of_pairs(self, first: NDArray[np.intp], second: NDArray[np.intp]) -> tuple[Floats, Floats]:
        """Return variance and df of the differences first - second: (attributes, pairs) each."""
        variance = _difference(self.covariance, first, second)
        gradient = np.moveaxis(_difference(self.slopes, first, second), 1, 2)
        return variance, self._pooled(variance, gradient)

    def _pooled(self, variance: Floats, gradient: Floats) -> Floats:
        spread = ((gradient @ self.parameter_covariance) * gradient).sum(axis=-1)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(spread > 0, 2.0 * variance**2 / spread, np.nan)


def _difference(matrices: Floats, first: NDArray[np.intp], second: NDArray[np.intp]) -> Floats:
    """Return m_ii + m_jj - 2 m_ij over the last two axes."""
    diagonal = np.einsum("...ii->...i", matrices)
    return np.asarray(diagonal[..., first] + diagonal[..., second] - 2.0 * matrices[..., first, second])


def means_uncertainty(batch: Batch, point: Point, mean_rows: Floats) -> MeansUncertainty:
    """Return the lots' means `mean_rows` (attributes, lots, fixed columns) @ b and what is known of them."""
    design = batch.design
    fixed = np.flatnonzero(design.column_terms < 0)
    s = point.residual[:, None, None]
    covariance = point.inverse[:, fixed[:, None], fixed]
    slopes = [s * part for part in _slopes_by_ratio(batch, point, fixed)] + [covariance]
    flip = np.swapaxes(mean_rows, 1, 2)
    return MeansUncertainty(
        means=np.einsum("alf,af->al", mean_rows, point.estimates[:, fixed]),
        covariance=mean_rows @ (s * covariance) @ flip,
        slopes=np.stack([mean_rows @ part @ flip for part in slopes], axis=1),
        parameter_covariance=_parameter_covariance(point),
    )


def _slopes_by_ratio(batch: Batch, point: Point, fixed: NDArray[np.intp]) -> list[Floats]:
    """Return C X'V^-1 Z_k Z_k' V^-1 X C for every term; zero where the ratio is zero."""
    terms = batch.design.column_terms
    right = point.half_inverse[:, :, fixed]
    parts = [np.swapaxes(right, 1, 2) @ point.group_cross @ right]
    for term in range(1, point.gamma.shape[1]):
        ratio = point.gamma[:, term, None, None]
        rows = np.divide(
            right[:, terms == term], ratio, out=np.zeros_like(right[:, terms == term]), where=ratio > 0
        )
        parts.append(np.swapaxes(rows, 1, 2) @ rows)
    return parts


def _parameter_covariance(point: Point) -> Floats:
    """Return 2 (d2D/dphi2)^-1 over the ratios that are not zero and s; where D bends down, of its positive
    part.
    """
    n_attributes, n_terms = point.gamma.shape
    s, freedom = point.residual, point.freedom
    free = np.concatenate([point.gamma != 0.0, np.ones((n_attributes, 1), dtype=bool)], axis=1)
    bend = np.zeros((n_attributes, n_terms + 1, n_terms + 1))
    outer = point.squares[:, :, None] * point.squares[:, None, :]
    bend[:, :-1, :-1] = point.hessian + outer / (freedom * s**2)[:, None, None]
    bend[:, :-1, -1] = bend[:, -1, :-1] = point.squares / (s**2)[:, None]
    bend[:, -1, -1] = freedom / s**2
    both = free[:, :, None] & free[:, None, :]
    size = np.sqrt(np.abs(np.einsum("aii->ai", bend)))
    size = np.where(free & (size > 0), size, 1.0)
    scaled = np.where(both, bend, np.eye(n_terms + 1)) / (size[:, :, None] * size[:, None, :])
    values, vectors = np.linalg.eigh(scaled)
    inverse = np.divide(1.0, values, out=np.zeros_like(values), where=values > 1e-10)
    covariance = 2.0 * (vectors * inverse[:, None, :]) @ np.swapaxes(vectors, 1, 2)
    return np.where(both, covariance / (size[:, :, None] * size[:, None, :]), 0.0)


@dataclass(frozen=True)
class JointTest:
    """The F test of a set of contrasts, attribute by attribute; nan where there is nothing to test."""

    f: Floats
    df1: Floats
    df2: Floats


def joint_test(known: MeansUncertainty, contrasts: Floats) -> JointTest:
    """Test that all contrasts (attributes, contrasts, lots) are zero; a row of zeros is no contrast."""
    flip = np.swapaxes(contrasts, 1, 2)
    values, vectors = np.linalg.eigh(contrasts @ known.covariance @ flip)
    real = values > SMALLEST_EIGENVALUE * values[:, -1:]
    real &= values > 0
    turned = np.swapaxes(vectors, 1, 2) @ contrasts
    effect = np.einsum("aci,ai->ac", turned, known.means)
    squares = np.divide(effect**2, values, out=np.zeros_like(values), where=real)
    gradient = np.einsum("aci,akij,acj->ack", turned, known.slopes, turned, optimize=True)
    df = np.where(real, known._pooled(values, gradient), np.nan)
    n_real = real.sum(axis=1).astype(float)
    with np.errstate(divide="ignore", invalid="ignore"):
        f = np.where(n_real > 0, squares.sum(axis=1) / n_real, np.nan)
    return JointTest(f=f, df1=np.where(n_real > 0, n_real, np.nan), df2=_joint_df(df, n_real))


def _joint_df(df: Floats, n_real: Floats) -> Floats:
    """Return the df of an average of squared t's: their own where alike, 2 where one has no variance."""
    there = np.isfinite(df)
    low, high = np.where(there, df, np.inf).min(axis=1), np.where(there, df, -np.inf).max(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        expected = np.nansum(df / (df - 2.0), axis=1)
        several = np.where(low <= 2.0, 2.0, 2.0 * expected / (expected - n_real))
        alike = high - low <= ALIKE * high
    return np.where(n_real == 0, np.nan, np.where(alike, low, several))


def lot_contrasts(counts: Floats, *, sequential: bool) -> Floats:
    """Return the contrasts of the lots (attributes, lots, lots); rows of absent lots and of the first are
    zero.

    `counts` (attributes, lots) are the rows behind each lot. Sequential contrasts set each lot against the
    count-weighted mean of the first and all later ones, as a single factor is tested in R's `anova()`;
    otherwise each lot stands against the first.

    >>> lot_contrasts(np.array([[2.0, 1.0, 2.0]]), sequential=True)[0].tolist()
    [[0.0, 0.0, 0.0], [-0.5, 1.0, -0.5], [-1.0, 0.0, 1.0]]
    """
    n_attributes, n_lots = counts.shape
    present = counts > 0
    first = present.argmax(axis=1)
    weights = np.zeros((n_attributes, n_lots, n_lots))
    if sequential:
        weights += counts[:, None, :] * (np.arange(n_lots)[None, :] > np.arange(n_lots)[:, None])
        weights[np.arange(n_attributes), :, first] = counts[np.arange(n_attributes), first][:, None]
    else:
        weights[np.arange(n_attributes), :, first] = 1.0
    total = np.maximum(weights.sum(axis=2, keepdims=True), 1e-300)
    rows = np.eye(n_lots) - weights / total
    keep = present & (np.arange(n_lots) != first[:, None])
    return np.where(keep[:, :, None], rows, 0.0)
