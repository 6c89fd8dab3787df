"""From arrays over attributes to the record of each: numbers in the table's own units, sentences beside
them."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import cycle

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles import words
from wetleaf.numerics.profiles.contrasts import Estimates, Family, against_one, all_pairs, f_tail, half_width
from wetleaf.numerics.profiles.decisions import Question, correlation_of
from wetleaf.numerics.profiles.design import TERMS
from wetleaf.numerics.profiles.estimation import Fit
from wetleaf.numerics.profiles.results import (
    AttributeProfile,
    Decision,
    Difference,
    LotMean,
    many,
    number,
    numbers_in,
    parted,
)
from wetleaf.numerics.profiles.satterthwaite import MeansUncertainty, joint_test, lot_contrasts
from wetleaf.numerics.profiles.table import Table


class Writer:
    """Turns arrays over attributes into the records of each.

    `comparable` (attributes, lots, lots): the lots that shared tasters and sittings join. Between others a
    difference is told from nothing but how much tasters differ in general, and is not given.
    """

    def __init__(self, question: Question, table: Table, fit: Fit, comparable: NDArray[np.bool_]) -> None:
        self.question, self.table, self.fit, self.comparable = question, table, fit, comparable
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
        self.means = self._lot_means(Estimates(np.where(present, known.means * unit, np.nan), se, df))
        lots = np.triu_indices(len(self.question.lots), 1)
        pairs = all_pairs(
            self._differences(known, *lots), table.n_lots[rows].astype(np.intp), self.question.confidence
        )
        self.pairs = self._family(pairs, *lots)
        self.against = self._against(known)

    def _differences(
        self, known: MeansUncertainty, first: NDArray[np.intp], second: NDArray[np.intp]
    ) -> Estimates:
        unit = self.fit.scale[:, None]
        together = self.comparable[self.fit.rows][:, first, second]
        variance, df = known.of_pairs(first, second)
        value = (known.means[:, first] - known.means[:, second]) * unit
        se = np.sqrt(np.maximum(variance, 0.0)) * unit
        return Estimates(*(np.where(together, one, np.nan) for one in (value, se, df)))

    def _against(self, known: MeansUncertainty) -> list[tuple[Difference, ...]]:
        base, n_lots = self.question.baseline, len(self.question.lots)
        if base is None or n_lots < 2:
            return [()] * self.fit.rows.size
        first = np.array([lot for lot in range(n_lots) if lot != base], dtype=np.intp)
        second = np.full_like(first, base)
        estimates = self._differences(known, first, second)
        rows = np.eye(n_lots)[first] - np.eye(n_lots)[second]
        correlation = correlation_of(rows @ known.covariance @ rows.T)
        settled = np.isfinite(estimates.value)
        family = against_one(estimates, correlation, self.question.confidence, settled=settled)
        return self._family(family, first, second)

    def profiles(self, decisions: list[Decision]) -> tuple[AttributeProfile, ...]:
        """Return the profile of every attribute in the table's order."""
        return tuple(self._profile(row, decision) for row, decision in enumerate(decisions))

    def _profile(self, row: int, decision: Decision) -> AttributeProfile:
        i = self.place.get(row)
        if i is None or self.fit.optimum is None or not self.fit.optimum.converged[i]:
            return self._bare(row, decision, tried=i is not None)
        tested = self.table.n_lots[row] > 1 and self._joined(row)
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
            means=self.means[i],
            pairs=self.pairs[i],
            against=self.against[i],
            decision=decision,
            model=self._model(i, row),
            warnings=self._warnings(i, row, variance),
            converged=True,
            criterion=self._criterion(i),
            n=int(self.table.n[row]),
        )

    def _joined(self, row: int) -> bool:
        """Whether every pair of an attribute's lots can be compared."""
        present = self.table.lot_counts[row] > 0
        return bool(self.comparable[row][np.ix_(present, present)].all())

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

    def _lot_means(self, e: Estimates) -> list[tuple[LotMean, ...]]:
        names, margin = self.question.lots, half_width(e.se, e.df, self.question.confidence)
        counts = self.table.lot_counts[self.fit.rows].astype(int)
        columns = (e.value, e.se, e.df, e.value - margin, e.value + margin)
        records = many(
            LotMean, e.value.size, cycle(names), *map(numbers_in, columns), counts.ravel().tolist()
        )
        return parted(records, len(names))

    def _family(
        self, family: Family, first: NDArray[np.intp], second: NDArray[np.intp]
    ) -> list[tuple[Difference, ...]]:
        e, margin, names = family.estimates, family.margin, self.question.lots
        if not first.size:
            return [()] * self.fit.rows.size
        columns = (e.value, e.se, e.df, e.value - margin, e.value + margin, family.p)
        sides = (cycle([names[lot] for lot in side.tolist()]) for side in (first, second))
        records = many(Difference, e.value.size, *sides, *map(numbers_in, columns))
        return parted(records, first.size)

    def _bare(self, row: int, decision: Decision, *, tried: bool) -> AttributeProfile:
        """Return the profile of an attribute without a fit: plain means where there are scores, no doubt
        told.
        """
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
        if self.fit.once[i]:
            said.append(words.IDENTICAL_REPEATS)
        elif table.n_tasters[row] > 1 and not self.fit.terms[i, 0]:
            said.append(words.no_replicate(bool((table.counts[row] <= 1).all())))
        for term in range(1, len(TERMS)):
            lost = table.design.possible[term] and not self.fit.terms[i, term]
            if lost and not (TERMS[term] == "taster" and table.n_tasters[row] == 1):
                said.append(words.left_out(TERMS[term]))
        return said

    def _warnings(self, i: int, row: int, variance: Mapping[str, float | None]) -> tuple[str, ...]:
        said = self._reduced(i, row)
        said += [words.at_zero(term) for term in TERMS if variance.get(term) == 0.0]
        if self.fit.optimum is not None and self.fit.optimum.no_residual[i]:
            said.append(words.RESIDUAL_AT_ZERO)
        if self.table.n_lots[row] > 1 and not self._joined(row):
            said.append(words.DISJOINED_TASTERS if self.table.joined(row) else words.DISJOINED)
        if self.table.pots(row) == "one each":
            said.append("Each lot was brewed once: the numbers are about these pots, not about the lots.")
        return tuple(said)
