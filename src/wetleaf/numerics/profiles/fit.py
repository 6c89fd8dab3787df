"""From a table of scores to the profiles of its attributes: the one way in for pages, commands and notebooks."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles import words
from wetleaf.numerics.profiles.cells import Accumulator, Batch
from wetleaf.numerics.profiles.contrasts import Estimates, Family, against_one, all_pairs, f_tail, half_width
from wetleaf.numerics.profiles.decisions import (
    Cups,
    Question,
    correlation_of,
    decide,
    false_discovery,
    number,
)
from wetleaf.numerics.profiles.design import TERMS, Design, columns_dropped, design_for, lot_pieces
from wetleaf.numerics.profiles.layout import Floats, Layout, lay_out
from wetleaf.numerics.profiles.optimum import Optimum, find_optimum, independent_terms
from wetleaf.numerics.profiles.reml import evaluate
from wetleaf.numerics.profiles.results import AttributeProfile, Decision, Difference, LotMean, Profiles
from wetleaf.numerics.profiles.satterthwaite import (
    MeansUncertainty,
    joint_test,
    lot_contrasts,
    means_uncertainty,
)
from wetleaf.numerics.profiles.scores import Scores
from wetleaf.numerics.profiles.strata import kept_strata
from wetleaf.trade.errors import BadInput


def fit_profiles(
    scores: Scores,
    *,
    baseline: str | None = None,
    tolerance: float | None = None,
    confidence: float = 0.95,
) -> Profiles:
    """Fit every attribute of a table and decide whether its lots differ.

    Parameters
    ----------
    scores
        The table, a row a cup.
    baseline
        The lot every other lot is held against (Dunnett); None for no such comparison.
    tolerance
        The largest difference that does not matter, in the table's scale. Without it no answer is "no".
    confidence
        Of the means' intervals and of the simultaneous intervals of differences.

    Raises
    ------
    BadInput
        When there is no score at all, the baseline is not among the lots, or the tolerance is not above 0.

    Examples
    --------
    >>> import numpy as np
    >>> lots = ["A", "B"] * 4
    >>> tasters = ["Ada", "Ada", "Bo", "Bo", "Cy", "Cy", "Di", "Di"]
    >>> scores = Scores(lots, tasters, np.array([[3.0], [3.2], [2.0], [2.3], [4.1], [4.0], [3.3], [3.1]]), ["sweet"])
    >>> fit_profiles(scores, tolerance=1.0)["sweet"].decision.answer
    'no'
    """
    _refuse(scores, baseline, tolerance, confidence)
    layout = lay_out(scores)
    place = layout.lots.index(baseline) if baseline is not None else None
    question = Question(layout.lots, place, tolerance, confidence)
    table = _Table(layout)
    fit = _fit(table)
    decisions = decide(
        question, kept_strata(table.design, table.counts, layout.means, layout.within), table.cups()
    )
    profiles = _Writer(question, table, fit).profiles(decisions)
    return _with_discovery(
        Profiles(
            profiles, layout.lots, layout.tasters, baseline, tolerance, confidence, warnings=table.warnings()
        )
    )


def _refuse(scores: Scores, baseline: str | None, tolerance: float | None, confidence: float) -> None:
    if scores.n_rows == 0 or not scores.attributes or not np.isfinite(scores.values).any():
        raise BadInput(
            "There is no score in this table.", way_out="Give at least one number in an attribute's column."
        )
    lots = sorted({str(lot) for lot in scores.lots})
    if baseline is not None and baseline not in lots:
        raise BadInput(
            f"The baseline lot '{baseline}' is not in the table.", way_out=f"Its lots are: {', '.join(lots)}."
        )
    if tolerance is not None and not (np.isfinite(tolerance) and tolerance > 0):
        raise BadInput(
            f"The tolerance {tolerance:g} is no size of difference.", way_out="Give a number above 0."
        )
    if not 0.5 <= confidence < 1:
        raise BadInput(
            f"The confidence {confidence:g} is out of range.", way_out="Give one from 0.5 to below 1."
        )


class _Table:
    """A layout with its design and with what every attribute lacks."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.design: Design = design_for(layout)
        self.counts: Floats = layout.counts
        self.dropped = columns_dropped(self.design, layout.counts)
        self.n_fixed = ((self.design.column_terms < 0) & ~self.dropped).sum(axis=1)
        self.n = layout.counts.sum(axis=1)
        self.lot_counts = _by_level(layout.counts, layout.cell_lots, len(layout.lots))
        self.taster_counts = _by_level(layout.counts, layout.cell_tasters, len(layout.tasters))
        self.n_lots = (self.lot_counts > 0).sum(axis=1)
        self.n_tasters = (self.taster_counts > 0).sum(axis=1)
        self.pieces = self._pieces()
        self._spreads()

    def _pieces(self) -> NDArray[np.intp]:
        patterns, which = np.unique(self.counts > 0, axis=0, return_inverse=True)
        found = np.stack([lot_pieces(self.layout, pattern)[0] for pattern in patterns])
        return found[which.reshape(-1)]

    def _spreads(self) -> None:
        """Work out each attribute's spread: in all, beside the lots, and inside the cells."""
        layout = self.layout
        totals = _by_level(layout.counts * layout.means, layout.cell_lots, len(layout.lots))
        self.lot_means = totals / np.maximum(self.lot_counts, 1.0)
        gaps = layout.means - self.lot_means[:, layout.cell_lots]
        self.beside_lots = layout.within + (layout.counts * gaps**2).sum(axis=1)
        grand = totals.sum(axis=1) / np.maximum(self.n, 1.0)
        between = (self.lot_counts * (self.lot_means - grand[:, None]) ** 2).sum(axis=1)
        self.in_all = self.beside_lots + between
        self.size = np.abs(layout.means).max(axis=1, initial=0.0)

    def rounding(self) -> Floats:
        """Return the sum of squares that rounding alone can leave."""
        return np.asarray(self.n * (self.size * 1e-13) ** 2)

    def why_not(self, row: int) -> str:
        """Return why an attribute has no fit, or nothing."""
        rounding = self.rounding()[row]
        if self.n[row] == 0:
            return words.NO_SCORES
        if self.in_all[row] <= rounding and self.n[row] > 1:
            return words.CONSTANT
        if self.n[row] <= self.n_fixed[row]:
            return words.NO_FREEDOM
        if self.beside_lots[row] <= max(rounding, 1e-20 * self.in_all[row]):
            return words.NO_SPREAD
        return ""

    def joined(self, row: int) -> bool:
        """Whether all lots of an attribute are joined through the sittings."""
        return bool(np.unique(self.pieces[row][self.lot_counts[row] > 0]).size <= 1)

    def pots(self, row: int) -> words.Pots:
        """Return whether this attribute's lots were brewed more than once."""
        if not self.layout.brews:
            return "not told"
        present = self.counts[row] > 0
        pots = np.unique(np.stack([self.layout.cell_lots[present], self.layout.cell_brews[present]]), axis=1)
        per_lot = np.bincount(pots[0], minlength=len(self.layout.lots))[self.lot_counts[row] > 0]
        if (per_lot <= 1).all():
            return "one each"
        return "several" if (per_lot > 1).all() else "some"

    def cups(self) -> list[Cups]:
        """Return what stands behind every attribute's decision."""
        return [self._cups(row) for row in range(self.n.size)]

    def _cups(self, row: int) -> Cups:
        why, step = self.why_not(row), ""
        if self.n_lots[row] > 1 and not self.joined(row):
            why, step = (
                words.DISJOINED,
                "Serve one tea again in both sittings: a kept sample ties them together.",
            )
        if why == words.NO_FREEDOM and self.n_tasters[row] == 1:
            why = f"One taster, one cup a lot: nothing tells a lot from a cup. {why}"
            step = "Let this taster have every lot again, unseen, or add a taster."
        per_lot = tuple(int(count) for count in self.lot_counts[row])
        return Cups(int(self.n_tasters[row]), per_lot, self.pots(row), why_not=why, next_step=step)

    def warnings(self) -> tuple[str, ...]:
        """Return what is to be said of the table as a whole."""
        if self.layout.brews:
            return ()
        return (
            "Brews are not told apart: a difference of lots may be one of the pots they were poured from.",
        )


def _by_level(values: Floats, codes: NDArray[np.intp], size: int) -> Floats:
    return values @ (codes[:, None] == np.arange(size)[None, :]).astype(float)


@dataclass(frozen=True)
class _Fit:
    """The fits of the attributes that have one: `rows` says which those are."""

    rows: NDArray[np.intp]
    optimum: Optimum | None
    terms: NDArray[np.bool_]
    known: MeansUncertainty | None
    scale: Floats
    once: NDArray[np.bool_]


def _fit(table: _Table) -> _Fit:
    rows = np.array([row for row in range(table.n.size) if not table.why_not(row)], dtype=np.intp)
    nothing = np.zeros((0, len(TERMS)), dtype=bool)
    if not rows.size:
        return _Fit(rows, None, nothing, None, np.zeros(0), np.zeros(0, dtype=bool))
    batch, scale, once = _standardised(table, rows)
    sums = Accumulator(table.design)
    available = np.tile(table.design.possible, (rows.size, 1))
    available[:, TERMS.index("taster")] &= table.n_tasters[rows] > 1
    available[:, 0] &= (table.n_tasters[rows] > 1) & ~once
    first = evaluate(batch, sums, np.where(available, 1.0, 0.0))
    terms = independent_terms(first, batch.freedom, available)
    optimum = find_optimum(batch, sums, np.where(terms, 1.0, 0.0), terms, np.zeros(terms.shape))
    known = means_uncertainty(batch, optimum.point, _mean_rows(table, rows))
    return _Fit(rows, optimum, terms, known, scale, once)


def _standardised(table: _Table, rows: NDArray[np.intp]) -> tuple[Batch, Floats, NDArray[np.bool_]]:
    """Take every lot's own mean off and divide by the spread left; count identical repeats once."""
    layout = table.layout
    counts, within = table.counts[rows], layout.within[rows]
    repeats = (table.n - (table.counts > 0).sum(axis=1))[rows] > 0
    once = repeats & (within <= table.rounding()[rows])
    counts = np.where(once[:, None], (counts > 0).astype(float), counts)
    n = counts.sum(axis=1)
    freedom = n - table.n_fixed[rows]
    once &= freedom > 0
    gaps = layout.means[rows] - table.lot_means[rows][:, layout.cell_lots]
    scale = np.sqrt(table.beside_lots[rows] / table.n[rows])[:, None]
    means = np.where(counts > 0, gaps / scale, 0.0)
    within = np.where(once, 0.0, within / scale[:, 0] ** 2)
    freedom = np.maximum(freedom, 1.0)
    return Batch(table.design, counts, means, within, table.dropped[rows], freedom), scale[:, 0], once


def _mean_rows(table: _Table, rows: NDArray[np.intp]) -> Floats:
    """Return, for every attribute and lot, the fixed columns that make up its mean, sittings weighted evenly."""
    design = table.design
    fixed = int((design.column_terms < 0).sum())
    found = np.zeros((rows.size, design.n_lots, fixed))
    for i, row in enumerate(rows):
        present = table.counts[row] > 0
        found[i, :, : design.n_lots] = np.diag((table.lot_counts[row] > 0).astype(float))
        if design.n_fixed_sittings:
            lots, sittings = lot_pieces(table.layout, present)
            together = (lots[:, None] == sittings[None, :]) & (lots[:, None] >= 0)
            found[i, :, design.n_lots :] = together / np.maximum(together.sum(axis=1, keepdims=True), 1)
    return found


class _Writer:
    """Turns arrays over attributes into the records of each."""

    def __init__(self, question: Question, table: _Table, fit: _Fit) -> None:
        self.question, self.table, self.fit = question, table, fit
        self.place = {int(row): i for i, row in enumerate(fit.rows)}
        if fit.known is not None:
            self._work_out(fit.known)

    def _work_out(self, known: MeansUncertainty) -> None:
        table, rows = self.table, self.fit.rows
        unit = self.fit.scale[:, None]
        present = table.lot_counts[rows] > 0
        known = replace(known, means=known.means + table.lot_means[rows] / unit)
        self.test = joint_test(
            known, lot_contrasts(table.lot_counts[rows], sequential=table.design.n_fixed_sittings == 0)
        )
        self.p = f_tail(self.test.f, self.test.df1, self.test.df2)
        variance, df = known.of_means()
        se = np.where(present, np.sqrt(variance) * unit, np.nan)
        self.means = Estimates(np.where(present, known.means * unit, np.nan), se, df)
        self.margin = half_width(se, df, self.question.confidence)
        self.pair_lots = np.triu_indices(len(self.question.lots), 1)
        self.pairs = all_pairs(
            self._differences(known, *self.pair_lots),
            table.n_lots[rows].astype(np.intp),
            self.question.confidence,
        )
        self._against(known)

    def _differences(
        self, known: MeansUncertainty, first: NDArray[np.intp], second: NDArray[np.intp]
    ) -> Estimates:
        table, rows, unit = self.table, self.fit.rows, self.fit.scale[:, None]
        pieces = np.where(table.lot_counts[rows] > 0, table.pieces[rows], -1)
        together = (pieces[:, first] == pieces[:, second]) & (pieces[:, first] >= 0)
        variance, df = known.of_pairs(first, second)
        value = (known.means[:, first] - known.means[:, second]) * unit
        se = np.sqrt(np.maximum(variance, 0.0)) * unit
        return Estimates(*(np.where(together, one, np.nan) for one in (value, se, df)))

    def _against(self, known: MeansUncertainty) -> None:
        self.against: Family | None = None
        base, n_lots = self.question.baseline, len(self.question.lots)
        if base is None or n_lots < 2:
            return
        first = np.array([lot for lot in range(n_lots) if lot != base], dtype=np.intp)
        self.against_lots = (first, np.full_like(first, base))
        estimates = self._differences(known, *self.against_lots)
        rows = np.eye(n_lots)[first] - np.eye(n_lots)[self.against_lots[1]]
        correlation = correlation_of(rows @ known.covariance @ rows.T)
        self.against = against_one(
            estimates, correlation, self.question.confidence, settled=np.isfinite(estimates.value)
        )

    def profiles(self, decisions: list[Decision]) -> tuple[AttributeProfile, ...]:
        """Return the profile of every attribute in the table's order."""
        return tuple(self._profile(row, decision) for row, decision in enumerate(decisions))

    def _profile(self, row: int, decision: Decision) -> AttributeProfile:
        i = self.place.get(row)
        if i is None or self.fit.optimum is None or not self.fit.optimum.converged[i]:
            return self._bare(row, decision, tried=i is not None)
        tested = decision.rule != words.DISJOINED and self.table.n_lots[row] > 1
        f, df1, df2, p = (
            number(float(values[i])) if tested else None
            for values in (self.test.f, self.test.df1, self.test.df2, self.p)
        )
        variance = self._variance(i)
        return AttributeProfile(
            name=self.table.layout.attributes[row],
            f=f,
            df1=df1,
            df2=df2,
            p=p,
            variance=variance,
            means=self._lot_means(i, row),
            pairs=self._family(self.pairs, self.pair_lots, i),
            against=self._family(self.against, self.against_lots, i) if self.against else (),
            decision=decision,
            model=self._model(i, row),
            warnings=self._warnings(i, row, variance),
            converged=True,
            criterion=self._criterion(i),
            n=int(self.table.n[row]),
        )

    def _criterion(self, i: int) -> float:
        """Return the restricted deviance, -2 log likelihood, of the scores in the table's own units."""
        assert self.fit.optimum is not None
        point = self.fit.optimum.point
        freedom = point.freedom[i]
        own = point.deviance[i] + freedom * (1.0 + np.log(2.0 * np.pi / freedom))
        return float(own + 2.0 * freedom * np.log(self.fit.scale[i]))

    def _variance(self, i: int) -> dict[str, float | None]:
        assert self.fit.optimum is not None
        point = self.fit.optimum.point
        residual = float(point.residual[i] * self.fit.scale[i] ** 2)
        found: dict[str, float | None] = {"taster": None, "taster:lot": None}
        for term, name in enumerate(TERMS):
            if self.fit.terms[i, term]:
                found[name] = float(point.gamma[i, term] * residual)
        return {**found, "residual": residual}

    def _lot_means(self, i: int, row: int) -> tuple[LotMean, ...]:
        columns = (self.means.value, self.means.se, self.means.df, self.margin)
        values = zip(*(column[i].tolist() for column in columns), strict=True)
        counts = self.table.lot_counts[row]
        return tuple(
            LotMean(
                lot,
                number(mean),
                number(se),
                number(df),
                number(mean - margin),
                number(mean + margin),
                int(n),
            )
            for lot, (mean, se, df, margin), n in zip(self.question.lots, values, counts, strict=True)
        )

    def _family(
        self, family: Family, lots: tuple[NDArray[np.intp], NDArray[np.intp]], i: int
    ) -> tuple[Difference, ...]:
        e, names = family.estimates, self.question.lots
        columns = (e.value, e.se, e.df, family.margin, family.p)
        values = zip(
            lots[0].tolist(), lots[1].tolist(), *(column[i].tolist() for column in columns), strict=True
        )
        return tuple(
            Difference(
                names[a],
                names[b],
                number(d),
                number(se),
                number(df),
                number(d - margin),
                number(d + margin),
                number(p),
            )
            for a, b, d, se, df, margin, p in values
        )

    def _bare(self, row: int, decision: Decision, *, tried: bool) -> AttributeProfile:
        """Return the profile of an attribute without a fit: plain means where there are scores, no doubt told."""
        table = self.table
        why = words.NOT_SETTLED if tried else table.why_not(row)
        means = tuple(
            LotMean(lot, float(table.lot_means[row, i]) if n else None, None, None, None, None, int(n))
            for i, (lot, n) in enumerate(zip(self.question.lots, table.lot_counts[row], strict=True))
        )
        empty: Mapping[str, float | None] = {"taster": None, "taster:lot": None, "residual": None}
        return AttributeProfile(
            name=table.layout.attributes[row],
            f=None,
            df1=None,
            df2=None,
            p=None,
            variance=empty,
            means=means,
            pairs=(),
            against=(),
            decision=decision,
            model=f"No model was fitted. {why}",
            warnings=(why,),
            converged=False,
            n=int(table.n[row]),
        )

    def _model(self, i: int, row: int) -> str:
        table = self.table
        order = ("taster", "taster:lot", "lot:brew", "sitting")
        kept = [name for name in order if self.fit.terms[i, TERMS.index(name)]]
        sittings = np.unique(table.layout.cell_sittings[table.counts[row] > 0]).size
        return words.model_in_words(
            int(table.n_lots[row]),
            int(table.n_tasters[row]),
            int(table.n[row]),
            kept,
            int(sittings) if table.design.n_fixed_sittings else 0,
            self._reduced(i, row),
        )

    def _reduced(self, i: int, row: int) -> list[str]:
        table, said = self.table, []
        if table.n_tasters[row] == 1:
            said.append(words.ONE_TASTER)
        elif self.fit.once[i]:
            said.append(words.IDENTICAL_REPEATS)
        elif not self.fit.terms[i, 0]:
            said.append(words.no_replicate(bool((table.counts[row] <= 1).all())))
        for term in range(1, len(TERMS)):
            lost = table.design.possible[term] and not self.fit.terms[i, term]
            if lost and not (TERMS[term] == "taster" and table.n_tasters[row] == 1):
                said.append(words.left_out(TERMS[term]))
        return said

    def _warnings(self, i: int, row: int, variance: Mapping[str, float | None]) -> tuple[str, ...]:
        said = self._reduced(i, row)
        said += [words.at_zero(term) for term in TERMS if variance.get(term) == 0.0]
        if self.table.n_lots[row] > 1 and not self.table.joined(row):
            said.append(words.DISJOINED)
        if self.table.pots(row) == "one each":
            said.append("Each lot was brewed once: the numbers are about these pots, not about the lots.")
        return tuple(said)


def _with_discovery(profiles: Profiles) -> Profiles:
    p = np.array([np.nan if one.decision.p is None else one.decision.p for one in profiles.attributes])
    adjusted = false_discovery(p)
    attributes = tuple(
        replace(one, decision=replace(one.decision, false_discovery=number(q)))
        for one, q in zip(profiles.attributes, adjusted.tolist(), strict=True)
    )
    there = np.isfinite(p)
    note = words.discovery_note(
        int(there.sum()), int((p[there] < 0.05).sum()), int((adjusted[there] < 0.05).sum())
    )
    return replace(profiles, attributes=attributes, note=note)
