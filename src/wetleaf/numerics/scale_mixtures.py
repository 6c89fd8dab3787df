"""Tails of a standardised maximum when the spread is itself estimated: one outer quadrature for all of them.

The largest of several correlated normal differences has a tail H(w) = P(largest > w). Divided by an
estimated standard deviation with `df` degrees of freedom its tail is

    P(x) = integral over s of f(s; df) H(x s),    s = chi_df / sqrt(df).

`NormalTail` keeps H as an interpolant, made once for each H; `mix_over_scale` does the integral for thousands
of (x, df) at a time. Used by `wetleaf.numerics.simultaneous`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Panels = NDArray[np.intp] | int

_PANELS: Final = 32
_DEGREE: Final = 9
_HALF_WAY: Final = 4.0  # the w that lies in the middle of the compressed axis y = w / (w + 4)
_FINEST_STEP: Final = 0.25  # of the outer rule; the error falls below 1e-10, see docs/reference/methods.md
_NEGLIGIBLE: Final = 33.0  # parts of the integrand below e^-33 of its peak are left out
_BLOCK: Final = 1 << 15  # values worked on at a time, so that they stay in the processor's cache
_AS_GOOD_AS_KNOWN: Final = 1e10  # more degrees of freedom than this count as infinitely many
_FEWEST_DF: Final = 0.1  # fewer than this say nothing about the spread; the answer is "not known"
_STEPS_TO_SETTLE: Final = 80


@dataclass(frozen=True, slots=True)
class NormalTail:
    """P(largest > w) for a known spread, as piecewise polynomials of log P + rate * w^2.

    `rate` is the Gaussian rate at which the tail falls (1/4 for a range, 1/2 for a largest absolute value),
    `alike` the number of things compared, which sets how steep the fall is, `coefficients` one column a
    panel, highest power first. Several tails of a kind can stand side by side, panels after panels; each
    value is then told the first panel of its own.
    """

    rate: float
    alike: int
    largest_w: float
    coefficients: Floats

    def log_tail(self, w: Floats, first_panel: Panels = 0) -> Floats:
        """Return log P(largest > w) for w >= 0; past the table its last correction is kept."""
        position = np.minimum(w, self.largest_w)
        position /= position + _HALF_WAY
        position *= _PANELS / (self.largest_w / (self.largest_w + _HALF_WAY))
        panel = np.minimum(position.astype(np.intp), _PANELS - 1)
        position -= panel
        panel += first_panel
        total = self.coefficients[0].take(panel)
        for row in self.coefficients[1:]:
            total *= position
            total += row.take(panel)
        total -= self.rate * w * w
        return np.asarray(np.minimum(total, 0.0))


def tabulate_tail(
    tail: Callable[[Floats], Floats], *, rate: float, alike: int, largest_w: float
) -> NormalTail:
    """Return the interpolant of `tail`, a function that gives P(largest > w) for an array of w.

    >>> from scipy.special import ndtr
    >>> one = tabulate_tail(lambda w: 2 * ndtr(-w), rate=0.5, alike=1, largest_w=36.0)
    >>> float(np.exp(one.log_tail(np.array([1.959963985])))[0].round(6))
    0.05
    """
    w = table_nodes(largest_w)
    return tail_through(
        np.log(tail(w.ravel())).reshape(1, *w.shape), rate=rate, alike=alike, largest_w=largest_w
    )


def table_nodes(largest_w: float) -> Floats:
    """Return the w, (nodes, panels), at which a tail is tabulated."""
    y = (np.arange(_PANELS) + _panel_nodes()[:, None]) / _PANELS * (largest_w / (largest_w + _HALF_WAY))
    return np.asarray(_HALF_WAY * y / (1 - y))


def tail_through(log_tails: Floats, *, rate: float, alike: int, largest_w: float) -> NormalTail:
    """Return the tails, side by side, whose logarithms at `table_nodes` are given: (tails, nodes, panels)."""
    w = table_nodes(largest_w)
    smooth = np.moveaxis(log_tails + rate * w * w, 0, 1).reshape(w.shape[0], -1)
    coefficients = np.asarray(np.linalg.solve(np.vander(_panel_nodes()), smooth), dtype=np.float64)
    return NormalTail(rate, alike, largest_w, coefficients)


def first_panels(which: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the first panel of the tails `which` of several side by side."""
    return which * _PANELS


def _panel_nodes() -> Floats:
    return np.asarray((1 - np.cos((np.arange(_DEGREE + 1) + 0.5) * np.pi / (_DEGREE + 1))) / 2)


def mix_over_scale(tail: NormalTail, x: ArrayLike, df: ArrayLike, first_panel: Panels = 0) -> Floats:
    """Return P(largest / s > x) where s is an estimated standard deviation with `df` degrees of freedom.

    `x`, `df` and `first_panel` (of tails side by side) are broadcast; x <= 0 gives 1, df may be infinite. A
    missing x or df (nan) gives nan, and so does a df below 0.1, which tells nothing about the spread. Raises
    ValueError when a df is not above 0.
    Absolute error below 1e-9 for df >= 1, 1e-8 for df >= 0.5 and 1e-6 for df >= 0.1.

    >>> from scipy.special import ndtr
    >>> one = tabulate_tail(lambda w: 2 * ndtr(-w), rate=0.5, alike=1, largest_w=36.0)
    >>> mix_over_scale(one, [2.228139], [10.0]).round(6)  # the 5 % point of Student's t with 10 df
    array([0.05])
    """
    at, degrees, panel = np.broadcast_arrays(
        np.asarray(x, dtype=float), np.asarray(df, dtype=float), np.asarray(first_panel)
    )
    if np.any(degrees <= 0):
        raise ValueError(f"Degrees of freedom must be above 0, not {np.min(degrees):g}.")
    unknown = np.isnan(at) | np.isnan(degrees) | (degrees < _FEWEST_DF)
    result = np.where(unknown, np.nan, np.where(at <= 0, 1.0, 0.0))
    known = (degrees > _AS_GOOD_AS_KNOWN) & (at > 0) & np.isfinite(at)
    result[known] = np.exp(tail.log_tail(at[known], panel[known]))
    open_ = ~unknown & (degrees <= _AS_GOOD_AS_KNOWN) & (at > 0) & np.isfinite(at)
    result[open_] = _integrate(tail, at[open_], degrees[open_], panel[open_])
    return result


def _integrate(tail: NormalTail, x: Floats, df: Floats, panel: NDArray[np.intp]) -> Floats:
    """The trapezoidal rule in t, log s = shift + sigma (t - e^-t); equal needs go together."""
    needed = _n_nodes(tail, df)
    order = np.argsort(-needed, kind="stable")
    sums = np.empty_like(x)
    start = 0
    while start < x.size:
        nodes = int(needed[order[start]])
        rows = order[start : start + max(1, _BLOCK // nodes)]
        sums[rows] = _integrate_block(tail, x[rows], df[rows], panel[rows], nodes)
        start += rows.size
    return np.minimum(sums, 1.0)


def _ends(tail: NormalTail, df: Floats) -> tuple[Floats, Floats]:
    """Where, in t, the integrand has fallen to nothing: the bounds of s^df exp(-df s^2 / 2) alone, the right
    one widened by as much as H may exceed its Gaussian part (about 2 log alike)."""
    left = 8.2 + 46.7 / np.sqrt(df)
    fall = 2 * (_NEGLIGIBLE + 2 * np.log(tail.alike)) / df
    return -np.log(left - np.log(left)), np.log1p(fall + np.sqrt(2 * fall)) / 2 * np.sqrt(2 * df) + 0.5


def _n_nodes(tail: NormalTail, df: Floats) -> NDArray[np.intp]:
    """Small df spread s so widely that the steep fall of H, steeper for many lots, sets the step."""
    step = np.minimum(_FINEST_STEP, 0.55 / np.log(max(tail.alike, 3)) * np.sqrt(df))
    left, right = _ends(tail, df)
    return np.asarray(np.ceil((right - left) / step), dtype=np.intp) + 1


def _integrate_block(tail: NormalTail, x: Floats, df: Floats, panel: NDArray[np.intp], nodes: int) -> Floats:
    left, right = _ends(tail, df)
    sigma = 1 / np.sqrt(2 * df)
    step = (right - left) / (nodes - 1)
    t = left[:, None] + step[:, None] * np.arange(nodes)
    tilt = np.exp(-t)
    log_s = sigma[:, None] * (t - tilt) - np.log1p(2 * tail.rate * (x * x) / df)[:, None] / 2
    log_f = -(df / 2)[:, None] * (np.expm1(2 * log_s) - 2 * log_s)
    log_f += tail.log_tail(np.exp(log_s, out=log_s) * x[:, None], panel[:, None])
    values = np.exp(log_f, out=log_f)
    values *= 1 + tilt
    return np.asarray(values.sum(axis=1) * sigma * step * np.exp(_log_peak(df)))


def _log_peak(df: Floats) -> Floats:
    """log of 2 (df/2)^(df/2) e^(-df/2) / Gamma(df/2), without loss for large df (Stirling's series)."""
    from scipy.special import gammaln

    half = df / 2
    large = np.maximum(half, 10.0)
    series = (1 / 12 - (1 / 360 - (1 / 1260 - 1 / 1680 / large**2) / large**2) / large**2) / large
    stirling = np.log(half / np.pi) / 2 - series + np.log(2) / 2
    small = np.minimum(half, 10.0)
    direct = np.log(2) + small * np.log(small) - small - gammaln(small)
    return np.asarray(np.where(half > 10, stirling, direct))


def solve_tail(log_sf: Callable[[Floats, NDArray[np.intp]], Floats], p: Floats) -> Floats:
    """Return x > 0 with log_sf(x, which) = log p for each p in (0, 1); `which` are the indices still open.

    Chandrupatla's bracketing in log x. Raises ArithmeticError when it does not settle.
    """
    wanted = np.log(p)
    low, high = np.full(p.size, -2.0), np.full(p.size, 2.0)
    f_low, f_high = _widen(log_sf, wanted, low, -2.0), _widen(log_sf, wanted, high, 1.0)
    return np.exp(_chandrupatla(log_sf, wanted, high, low, f_high, f_low))


def _widen(
    log_sf: Callable[[Floats, NDArray[np.intp]], Floats], wanted: Floats, end: Floats, step: float
) -> Floats:
    """Move `end` (in place) until log_sf - wanted has the sign that belongs there; return the values."""
    value = np.empty_like(end)
    open_ = np.arange(end.size)
    for _ in range(_STEPS_TO_SETTLE):
        value[open_] = log_sf(np.exp(end[open_]), open_) - wanted[open_]
        open_ = open_[value[open_] * step > 0]
        if not open_.size:
            return value
        end[open_] += step
    raise ArithmeticError(
        "No bracket was found for the critical value; the tail probability may be too extreme."
    )


def _chandrupatla(
    log_sf: Callable[[Floats, NDArray[np.intp]], Floats],
    wanted: Floats,
    b: Floats,
    a: Floats,
    fb: Floats,
    fa: Floats,
) -> Floats:
    """Chandrupatla (1997), Advances in Engineering Software 28: 145-149, for many equations at a time."""
    c, fc, t = a.copy(), fa.copy(), np.full(a.size, 0.5)
    open_ = np.arange(a.size)
    for _ in range(_STEPS_TO_SETTLE):
        x = a[open_] + t[open_] * (b[open_] - a[open_])
        fx = log_sf(np.exp(x), open_) - wanted[open_]
        same = np.sign(fx) == np.sign(fa[open_])
        c[open_], fc[open_] = np.where(same, a[open_], b[open_]), np.where(same, fa[open_], fb[open_])
        b[open_], fb[open_] = np.where(same, b[open_], a[open_]), np.where(same, fb[open_], fa[open_])
        a[open_], fa[open_] = x, fx
        half = 1e-12 / np.maximum(np.abs(b[open_] - a[open_]), 1e-300)
        open_, half = open_[(half < 0.5) & (fx != 0)], half[(half < 0.5) & (fx != 0)]
        if not open_.size:
            return np.where(np.abs(fa) <= np.abs(fb), a, b)
        t[open_] = np.clip(_next_fraction(a, b, c, fa, fb, fc, open_), half, 1 - half)
    raise ArithmeticError("The critical value did not settle.")


def _next_fraction(
    a: Floats, b: Floats, c: Floats, fa: Floats, fb: Floats, fc: Floats, which: NDArray[np.intp]
) -> Floats:
    a, b, c, fa, fb, fc = (v[which] for v in (a, b, c, fa, fb, fc))
    with np.errstate(divide="ignore", invalid="ignore"):
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        inverse = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        trusted = (phi**2 < xi) & ((1 - phi) ** 2 < 1 - xi) & np.isfinite(inverse)
    return np.where(trusted, inverse, 0.5)
