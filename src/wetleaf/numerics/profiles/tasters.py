"""How the tasters agreed: each one's level, spread, agreement with the rest, and the same cup twice.

A taster's scores of a lot are set beside the rest's consensus on it (the others' means, each freed of its
own level). All attributes are taken together, each in units of its own spread; doubt comes from leaving out
one lot at a time (the jackknife), because a cup's attributes are not independent of each other and lots
are.

The rule for "steady" is the house's own. Steady: the agreement is at least one half and its 95 % interval
lies above zero. Not steady: that interval lies below one half while the others agree among themselves, so
there was something to agree on; or the same cups twice lie clearly further apart than the others', and are
less alike than one half while the others' are more. One taster alone is judged by the same cups twice.

References
----------
Efron, Stein (1981) The jackknife estimate of variance, Annals of Statistics 9: 586-596.
Shrout, Fleiss (1979) Intraclass correlations, Psychological Bulletin 86: 420-428 (ICC(1), here
`repeat_agreement`).
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.scores import Scores, levels_and_codes

HALF = 0.5
LEAST_TRUST = 0.1
"""The consensus weighs a taster by the square of a first agreement, and by no less than this squared."""
FEWEST_LOTS = 4
"""Fewer lots than this give no interval: the jackknife would rest on two or three numbers."""
Steady = Literal["yes", "no", "can't tell"]


@dataclass(frozen=True)
class Measured:
    """A number with its 95 % interval; None where the cups do not give it."""

    value: float | None
    low: float | None
    high: float | None


NOT_MEASURED = Measured(None, None, None)


@dataclass(frozen=True)
class TasterMark:
    """How one taster scored beside the others of the table.

    `level`: mean difference from the others, in the table's scale. `range_used`: spread of this taster's
    lots over the others' typical spread (1 = alike, 0.5 = half of the scale). `agreement`: correlation
    with the others' consensus. `repeat_sd`: standard deviation of repeated cups, in the table's scale;
    `repeat_ratio`: it over the others', each in units of the spread it gives its lots. `repeat_agreement`:
    how alike two cups of one lot score for this taster, 1 the same, 0 as unlike as cups of different lots.
    """

    taster: str
    cups: int
    lots: int
    level: Measured
    range_used: Measured
    agreement: Measured
    repeat_sd: float | None
    repeat_ratio: Measured
    repeat_agreement: Measured
    steady: Steady
    rule: str


def taster_marks(scores: Scores) -> tuple[TasterMark, ...]:
    """Mark every taster of a table against the others.

    >>> import numpy as np
    >>> lots = ["A", "B", "C", "D", "E"] * 3
    >>> tasters = ["Ada"] * 5 + ["Bo"] * 5 + ["Cy"] * 5
    >>> sweet = [2.0, 3.0, 5.0, 7.0, 8.0, 3.0, 4.0, 6.0, 8.0, 9.0, 4.0, 4.5, 5.5, 6.5, 7.0]
    >>> marks = taster_marks(Scores(lots, tasters, np.array(sweet)[:, None], ["sweet"]))
    >>> [(mark.taster, mark.steady, round(mark.range_used.value, 2)) for mark in marks]
    [('Ada', 'yes', 1.33), ('Bo', 'yes', 1.33), ('Cy', 'yes', 0.5)]
    """
    if scores.n_rows == 0:
        return ()
    measures = _Measures(_table(scores))
    tasters = measures.table.tasters
    cups = _cups(scores, tasters)
    return tuple(_mark(measures, number, name, cups[number]) for number, name in enumerate(tasters))


@dataclass(frozen=True)
class _Table:
    """Taster x lot x attribute: mean scores (nan where none), counts, and sums of squares of repeated
    cups."""

    tasters: tuple[str, ...]
    means: Floats
    counts: Floats
    within: Floats

    @property
    def n_lots(self) -> int:
        return int(self.means.shape[1])

    def without(self, lot: int) -> "_Table":
        keep = np.arange(self.n_lots) != lot
        return _Table(self.tasters, self.means[:, keep], self.counts[:, keep], self.within[:, keep])


def _table(scores: Scores) -> _Table:
    """Gather the scores; sittings and brews are put together, a lot is a lot however often it was poured."""
    lots, lot = levels_and_codes(scores.lots)
    tasters, taster = levels_and_codes(scores.tasters)
    shape = (len(tasters), len(lots), scores.values.shape[1])
    given = np.isfinite(scores.values)
    counts, sums, within = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    np.add.at(counts, (taster, lot), given)
    np.add.at(sums, (taster, lot), np.where(given, scores.values, 0.0))
    means = np.where(counts > 0, sums / np.maximum(counts, 1.0), np.nan)
    gaps = np.where(given, scores.values - np.nan_to_num(means)[taster, lot], 0.0)
    np.add.at(within, (taster, lot), gaps**2)
    return _Table(tasters, means, counts, within)


def _mean(values: Floats, axis: int | tuple[int, ...]) -> Floats:
    """Return the mean over what is there, nan where nothing is; the axes are kept."""
    there = np.isfinite(values)
    total = np.where(there, values, 0.0).sum(axis=axis, keepdims=True)
    count = there.sum(axis=axis, keepdims=True)
    return np.asarray(np.divide(total, count, out=np.full(total.shape, np.nan), where=count > 0))


def _levels(means: Floats) -> Floats:
    """Return each taster's level on each attribute, (tasters, 1, attributes), summing to zero over
    tasters.
    """
    level = np.zeros((means.shape[0], 1, means.shape[2]))
    for _ in range(20):
        before, level = level, _mean(means - _mean(means - level, 0), 1)
        level = np.nan_to_num(level - _mean(level, 0))
        if np.allclose(before, level, rtol=0.0, atol=1e-9):  # at once on a complete table
            break
    return level


def _others_mean(values: Floats, weights: Floats | None = None) -> Floats:
    """Return, for every taster, the mean of all the others; `weights` (tasters,) if they count unlike."""
    there = np.isfinite(values).astype(float)
    if weights is not None:
        there *= weights.reshape(-1, *[1] * (values.ndim - 1))
    filled = np.where(there > 0, np.nan_to_num(values), 0.0) * there
    total = filled.sum(axis=0, keepdims=True) - filled
    count = there.sum(axis=0, keepdims=True) - there
    return np.asarray(np.divide(total, count, out=np.full(values.shape, np.nan), where=count > 0))


def _statistics(table: _Table, unit: Floats) -> dict[str, Floats]:
    """Return every measure of every taster (tasters,); `unit` (attributes,) is the spread of an attribute."""
    level = _levels(table.means)
    freed = (table.means - level) / unit
    first = _correlation(*_centred_pair(freed, _others_mean(freed)))
    trust = np.maximum(np.nan_to_num(first), LEAST_TRUST) ** 2
    own, rest = _centred_pair(freed, _others_mean(freed, trust))
    overall = _mean(np.where(np.isfinite(_mean(table.means, 1)), level, np.nan), 2)[:, 0, 0]
    spread = _root_mean((own**2).sum(axis=(1, 2)), _freedom(own != 0))
    agreement = _correlation(own, rest)
    with np.errstate(divide="ignore", invalid="ignore"):
        return {
            "level": overall - _others_mean(overall),
            "range_used": np.log(spread / _others_mean(spread)),
            "agreement": np.arctanh(np.clip(agreement, -0.999999, 0.999999)),
            **_repeats(table, unit),
        }


def _centred_pair(freed: Floats, consensus: Floats) -> tuple[Floats, Floats]:
    """Return both about their mean over the lots they share; 0 where either is missing."""
    both = np.isfinite(freed) & np.isfinite(consensus)
    pair = [np.where(both, values, np.nan) for values in (freed, consensus)]
    return tuple(np.nan_to_num(values - _mean(values, 1)) for values in pair)  # type: ignore[return-value]


def _correlation(own: Floats, rest: Floats) -> Floats:
    size = np.sqrt((own**2).sum(axis=(1, 2)) * (rest**2).sum(axis=(1, 2)))
    products = (own * rest).sum(axis=(1, 2))
    return np.asarray(np.divide(products, size, out=np.full(size.shape, np.nan), where=size > 0))


def _freedom(there: NDArray[np.bool_]) -> Floats:
    return np.asarray(np.maximum(there.sum(axis=1) - 1, 0).sum(axis=1), dtype=np.float64)


def _root_mean(total: Floats, freedom: Floats) -> Floats:
    return np.asarray(np.sqrt(np.divide(total, freedom, out=np.full(total.shape, np.nan), where=freedom > 0)))


def _repeats(table: _Table, unit: Floats) -> dict[str, Floats]:
    """Return what the repeated cups say: their spread (log, in units) and the likeness of two cups of one
    lot.
    """
    repeated = np.where(table.counts > 1, table.within, 0.0)
    freedom = np.where(table.counts > 1, table.counts - 1.0, 0.0)
    n_cells, df = (table.counts > 1).sum(axis=(1, 2)), freedom.sum(axis=(1, 2))
    own = _root_mean((repeated / unit**2).sum(axis=(1, 2)), df)
    lots = table.means / unit
    gaps = np.where(table.counts > 0, lots - _mean(lots, 1), 0.0)
    size = np.divide(table.counts.sum(axis=(1, 2)), np.maximum((table.counts > 0).sum(axis=(1, 2)), 1))
    between = size * np.divide((gaps**2).sum(axis=(1, 2)), np.maximum(_freedom(table.counts > 0), 1.0))
    inside = own**2
    with np.errstate(divide="ignore", invalid="ignore"):
        likeness = (between - inside) / (between + (size - 1.0) * inside)
        spread = np.sqrt(np.maximum(between / size - inside / size, 0.25 * between / size))
        return {
            "repeat_ratio": np.where(
                n_cells > 0, np.log((own / spread) / _others_mean(own / spread)), np.nan
            ),
            "repeat_agreement": np.where(n_cells > 0, likeness, np.nan),
        }


class _Measures:
    """The measures of a table with jackknife intervals over its lots."""

    def __init__(self, table: _Table) -> None:
        unit = np.sqrt(_mean((table.means - _mean(table.means, (0, 1))) ** 2, (0, 1)).reshape(-1))
        self.unit = np.where(unit > 0, unit, 1.0)
        self.table = table
        self.whole = _statistics(table, self.unit)
        parts = [_statistics(table.without(lot), self.unit) for lot in range(table.n_lots)]
        self.parts = {name: np.stack([part[name] for part in parts]) for name in self.whole}
        self.tasted = np.asarray((table.counts > 0).any(axis=2))

    def of(self, name: str, taster: int, back: Callable[[float], float] = float) -> Measured:
        """Return a measure of one taster, carried back to its own scale by `back`."""
        value = float(self.whole[name][taster])
        if not np.isfinite(value):
            return NOT_MEASURED
        parts = self.parts[name][self.tasted[taster], taster]
        parts = parts[np.isfinite(parts)]
        n = parts.size
        if n < FEWEST_LOTS:
            return Measured(back(value), None, None)
        se = float(np.sqrt((n - 1) / n * ((parts - parts.mean()) ** 2).sum()))
        from scipy.special import stdtrit

        reach = float(stdtrit(n - 1, 0.975)) * se
        return Measured(back(value), back(value - reach), back(value + reach))

    def repeat_sd(self, taster: int) -> float | None:
        """Return the pooled standard deviation of repeated cups in the table's scale."""
        freedom = np.maximum(self.table.counts[taster] - 1.0, 0.0).sum()
        return float(np.sqrt(self.table.within[taster].sum() / freedom)) if freedom > 0 else None


def _mark(measures: _Measures, number: int, name: str, cups: int) -> TasterMark:
    found = {
        "agreement": measures.of("agreement", number, lambda z: float(np.tanh(z))),
        "repeat_agreement": measures.of("repeat_agreement", number),
        "repeat_ratio": measures.of("repeat_ratio", number, lambda x: float(np.exp(x))),
    }
    steady, rule = _judge(measures, number, **found)
    return TasterMark(
        taster=name,
        cups=cups,
        lots=int(measures.tasted[number].sum()),
        level=measures.of("level", number),
        range_used=measures.of("range_used", number, lambda x: float(np.exp(x))),
        repeat_sd=measures.repeat_sd(number),
        steady=steady,
        rule=rule,
        **found,
    )


def _judge(
    measures: _Measures,
    number: int,
    *,
    agreement: Measured,
    repeat_agreement: Measured,
    repeat_ratio: Measured,
) -> tuple[Steady, str]:
    """Return whether a taster is steady, and the rule in words."""
    n_tasters = len(measures.table.tasters)
    if n_tasters == 1:
        return _judge_alone(repeat_agreement)
    if _repeats_worse(measures, number, repeat_agreement, repeat_ratio):
        return "no", (
            f"The same cup twice lies {repeat_ratio.value:.1f} times as far apart as the others' "
            f"(at least {repeat_ratio.low:.1f} times), each in units of their own range."
        )
    if agreement.value is None:
        return (
            "can't tell",
            "This taster's cups are not shared with the others, or show no difference of lots.",
        )
    if agreement.low is None or agreement.high is None:
        return "can't tell", f"Fewer than {FEWEST_LOTS} lots shared with the others."
    said = f"Agreement with the others {agreement.value:.2f} ({agreement.low:.2f} to {agreement.high:.2f})"
    if agreement.value >= HALF and agreement.low > 0:
        return "yes", f"{said}: at least one half, and clearly more than chance."
    if agreement.high >= HALF:
        return "can't tell", f"{said}: neither clearly more than chance nor clearly below one half."
    if n_tasters == 2:
        return "can't tell", f"{said}: below one half, but with two tasters nobody knows whose."
    if not _others_agree(measures, number):
        return "can't tell", f"{said}: below one half, but the others do not agree among themselves either."
    return "no", f"{said}: below one half, while the others agree among themselves."


def _repeats_worse(measures: _Measures, number: int, likeness: Measured, ratio: Measured) -> bool:
    """Whether the same cup twice tells against this taster while it tells for the others."""
    if ratio.low is None or likeness.high is None or ratio.low <= 1.0 or likeness.high >= HALF:
        return False
    others = np.delete(measures.whole["repeat_agreement"], number)
    others = others[np.isfinite(others)]
    return bool(others.size and np.median(others) > HALF)


def _others_agree(measures: _Measures, number: int) -> bool:
    """Whether the others, this taster left out, agree clearly with each other."""
    keep = np.asarray(np.arange(len(measures.table.tasters)) != number)
    table = measures.table
    rest = _Table(
        tuple(name for name, kept in zip(table.tasters, keep, strict=True) if kept),
        table.means[keep],
        table.counts[keep],
        table.within[keep],
    )
    agreement = np.tanh(_statistics(rest, measures.unit)["agreement"])
    agreement = agreement[np.isfinite(agreement)]
    return bool(agreement.size and np.median(agreement) > HALF)


def _judge_alone(likeness: Measured) -> tuple[Steady, str]:
    if likeness.value is None or likeness.low is None:
        return "can't tell", "One taster: only the same cups served twice, over enough lots, could tell."
    said = f"Two cups of one lot are alike by {likeness.value:.2f} (from {likeness.low:.2f})"
    if likeness.value >= HALF and likeness.low > 0:
        return "yes", f"{said}: at least one half, and clearly more than chance. Nothing is said of others."
    return "can't tell", f"{said}: not clearly more than chance, or little; the lots may simply be alike."


def _cups(scores: Scores, tasters: tuple[str, ...]) -> list[int]:
    scored = np.asarray(np.isfinite(scores.values).any(axis=1))
    counted = Counter(str(name) for name, one in zip(scores.tasters, scored, strict=True) if one)
    return [counted[name] for name in tasters]
