"""Restricted maximum likelihood for many attributes at once.

The model of one attribute is y = X b + sum_k Z_k u_k + e with Var(u_k) = gamma_k s I and Var(e) = s I. The
residual variance s is profiled out, so the criterion

    D(gamma) = log|V| + log|X'V^-1 X| + (n - p) log(y'Py),    V = I + sum_k gamma_k Z_k Z_k'

has one ratio a random term. The taster x lot term is absorbed cell by cell; what is left is one small
dense matrix an attribute, [X Z]'W[X Z], from which value, gradient and Hessian follow exactly:

    dD/dgamma_k          = tr(Z_k'P Z_k) - |Z_k'P y|^2 / s
    d2D/dgamma_k dgamma_l = -|Z_k'P Z_l|_F^2 + 2 y'P Z_k Z_k'P Z_l Z_l'P y / s
                            - (|Z_k'Py| |Z_l'Py|)^2 / ((n - p) s^2)

References
----------
Bates, Maechler, Bolker, Walker (2015) Fitting linear mixed-effects models using lme4, J Stat Softw 67(1).
Searle, Casella, McCulloch (1992) Variance components, ch. 6 (derivatives of the restricted likelihood).
"""

from dataclasses import dataclass

import numpy as np

from wetleaf.numerics.profiles.cells import Accumulator, Batch
from wetleaf.numerics.profiles.layout import Floats


@dataclass(frozen=True)
class Point:
    """The criterion and its derivatives at one set of ratios, attribute by attribute.

    H = [X Z] are the columns, E = Z_q'WH the taster x lot rows, K the inverse of the scaled H'WH.
    """

    gamma: Floats  # (attributes, terms)
    deviance: Floats  # (attributes,)
    gradient: Floats  # (attributes, terms)
    hessian: Floats  # (attributes, terms, terms)
    expected: Floats  # (attributes, terms, terms): |Z_k'P Z_l|_F^2
    traces: Floats  # (attributes, terms): tr(Z_k'P Z_k)
    squares: Floats  # (attributes, terms): |Z_k'Py|^2
    freedom: Floats  # (attributes,): n - p
    residual: Floats  # (attributes,): y'Py / (n - p)
    inverse: Floats  # (attributes, columns, columns): K, scaled on both sides
    half_inverse: Floats  # (attributes, columns, columns): K, scaled on the left only
    estimates: Floats  # (attributes, columns): b and u
    group_cross: Floats  # (attributes, columns, columns): E'E


def evaluate(batch: Batch, sums: Accumulator, gamma: Floats) -> Point:
    """Return the criterion, its gradient and its Hessian at the ratios `gamma` (attributes, terms)."""
    absorbed = _Absorbed(batch, sums, gamma[:, 0])
    scale = _column_scale(batch, gamma)
    cross, group_cross, weighted_cross = absorbed.cross, absorbed.group_cross, absorbed.weighted_group_cross
    half, inverse, log_det = _invert(batch, cross, scale)
    estimates = np.einsum("aij,aj->ai", inverse, absorbed.right)
    quadratic = absorbed.total - np.einsum("ai,ai->a", absorbed.right, estimates)
    quadratic = np.maximum(quadratic, 1e-14)  # of 1 a score: an exactly additive table leaves only rounding
    residual = quadratic / batch.freedom
    traces, squares, expected, crossed = _moments(sums, absorbed, inverse, estimates, weighted_cross)
    gradient = traces - squares / residual[:, None]
    outer = squares[:, :, None] * squares[:, None, :] / batch.freedom[:, None, None]
    s = residual[:, None, None]
    return Point(
        gamma=gamma,
        deviance=log_det + absorbed.log_det + batch.freedom * np.log(quadratic),
        gradient=gradient,
        hessian=-expected + 2.0 * crossed / s - outer / s**2,
        expected=expected,
        traces=traces,
        squares=squares,
        freedom=batch.freedom,
        residual=residual,
        inverse=inverse,
        half_inverse=half,
        estimates=estimates,
        group_cross=group_cross,
    )


class _Absorbed:
    """The cells after the taster x lot effect of ratio `ratio` (attributes,) is solved for."""

    def __init__(self, batch: Batch, sums: Accumulator, ratio: Floats) -> None:
        counts, g = batch.counts, ratio[:, None]
        group_counts = sums.groups(counts)
        damp = 1.0 + g * group_counts
        self.omega = group_counts / damp
        self.cell_damp = sums.of_group(damp)
        self.scores = counts / self.cell_damp
        group_means = sums.groups(counts * batch.means) / np.maximum(group_counts, 1.0)
        self.group_right = self.omega * group_means
        gap = batch.means - sums.of_group(group_means)
        lifted = gap + sums.of_group(group_means / damp)
        self.right = sums.columns(counts * lifted)
        self.total = batch.within + (counts * gap**2).sum(axis=1) + (self.omega * group_means**2).sum(axis=1)
        self.log_det = np.log(damp).sum(axis=1)
        self._add_up(batch, sums, g, group_counts)

    def _add_up(self, batch: Batch, sums: Accumulator, g: Floats, group_counts: Floats) -> None:
        left, right, counts = sums.left, sums.right, batch.counts
        products = self.scores[:, left] * self.scores[:, right]
        rest = np.where(
            sums.same, 1.0 + g * (group_counts[:, sums.pair_group] - counts[:, left]), -g * counts[:, left]
        )
        self.cross = sums.matrices(rest * self.scores[:, right])
        self.group_cross = sums.matrices(products)
        self.weighted_group_cross = sums.matrices(products * self.omega[:, sums.pair_group])


def _column_scale(batch: Batch, gamma: Floats) -> Floats:
    """Return 1 for a fixed column, 0 for a dropped one, sqrt(gamma) for a random one."""
    terms = batch.design.column_terms
    scale = np.where(terms >= 0, np.sqrt(gamma[:, np.maximum(terms, 0)]), 1.0)
    return np.where(batch.dropped, 0.0, scale)


def _invert(batch: Batch, cross: Floats, scale: Floats) -> tuple[Floats, Floats, Floats]:
    """Return K scaled on the left, K scaled on both sides, and log|M| of M = S H'WH S + J."""
    identity = ((batch.design.column_terms >= 0) | batch.dropped).astype(float)
    matrix = scale[:, :, None] * cross * scale[:, None, :]
    diagonal = np.arange(matrix.shape[1])
    matrix[:, diagonal, diagonal] += identity
    lower = np.linalg.cholesky(matrix)
    log_det = 2.0 * np.log(lower[:, diagonal, diagonal]).sum(axis=1)
    half = scale[:, :, None] * np.linalg.inv(matrix)
    return half, half * scale[:, None, :], log_det


def _moments(
    sums: Accumulator, absorbed: _Absorbed, inverse: Floats, estimates: Floats, weighted_cross: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return tr(Z_k'PZ_k), |Z_k'Py|^2, |Z_k'PZ_l|^2 and y'PZ_kZ_k'PZ_lZ_l'Py for all terms."""
    hot = sums.term_hot
    kept = np.eye(sums.n_columns) - inverse @ absorbed.cross
    projected = absorbed.cross @ kept
    score = absorbed.right - np.einsum("aij,aj->ai", absorbed.cross, estimates)
    traces = np.einsum("aii->ai", projected) @ hot
    squares = score**2 @ hot
    expected = hot.T @ projected**2 @ hot
    scored = score[:, :, None] * hot
    crossed = np.swapaxes(scored, 1, 2) @ (projected @ scored)

    group_score = absorbed.group_right - sums.groups(absorbed.scores * sums.cells(estimates))
    pulled = sums.columns(absorbed.scores * sums.of_group(group_score))
    shrunk = inverse @ absorbed.group_cross
    traces[:, 0] = absorbed.omega.sum(axis=1) - np.einsum("aii->a", shrunk)
    squares[:, 0] = (group_score**2).sum(axis=1)
    own = (absorbed.omega**2).sum(axis=1) - 2.0 * (inverse * weighted_cross).sum(axis=(1, 2))
    expected[:, 0, 0] = own + (shrunk * np.swapaxes(shrunk, 1, 2)).sum(axis=(1, 2))
    shared = (kept * (absorbed.group_cross @ kept)).sum(axis=1) @ hot
    crossed_own = (absorbed.omega * group_score**2).sum(axis=1) - np.einsum(
        "ai,aij,aj->a", pulled, inverse, pulled
    )
    crossed[:, 0, 0] = crossed_own
    mixed = (np.einsum("ai,aij->aj", pulled, kept) * score) @ hot
    for term in range(1, hot.shape[1]):
        expected[:, 0, term] = expected[:, term, 0] = shared[:, term]
        crossed[:, 0, term] = crossed[:, term, 0] = mixed[:, term]
    return traces, squares, expected, crossed
