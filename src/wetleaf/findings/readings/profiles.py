"""How strongly each lot smells and tastes of a thing: a table of cups fitted, by lot and attribute."""

from dataclasses import dataclass
from functools import cached_property

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.readings.cups import CupTable
from wetleaf.numerics.further_brews import Parts
from wetleaf.numerics.profiles import fit_profiles
from wetleaf.numerics.profiles.results import Answer, AttributeProfile, LotMean, Verdict

METHOD = "mixed model by restricted maximum likelihood; decided on the taster by lot stratum"
ANSWER_WORDS: dict[Answer, AnswerWord] = {"yes": "yes", "no": "no", "can't tell": "can't tell yet"}


@dataclass(frozen=True)
class MeanRead:
    """A lot's mean on an attribute; no interval where one cup by one person allows none."""

    value: float
    se: float | None
    df: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class PairRead:
    """One lot less another on an attribute."""

    a: str
    b: str
    difference: float | None
    se: float | None
    df: float | None
    low: float | None
    high: float | None
    low_90: float | None
    high_90: float | None
    answer: AnswerWord

    def turned(self) -> "PairRead":
        """The same seen from the other side: b less a."""
        return PairRead(
            self.b,
            self.a,
            _minus(self.difference),
            self.se,
            self.df,
            _minus(self.high),
            _minus(self.low),
            _minus(self.high_90),
            _minus(self.low_90),
            self.answer,
        )


@dataclass(frozen=True)
class AttributeRead:
    """One attribute over the lots of a table: the means, whether the lots differ, and in which words."""

    label: str
    stage: str
    means: dict[str, MeanRead]
    pairs: tuple[PairRead, ...]
    answer: AnswerWord
    rule: str
    claim: str
    next_step: str
    p: float | None
    false_discovery: float | None
    model: str
    warnings: tuple[str, ...]
    parts: Parts | None = None

    def pair(self, a: str, b: str) -> PairRead | None:
        """The difference a less b, or None where the table does not tie them."""
        for pair in self.pairs:
            if (pair.a, pair.b) == (a, b):
                return pair
            if (pair.a, pair.b) == (b, a):
                return pair.turned()
        return None

    @property
    def separates(self) -> float:
        """How much it separates the lots: by the test, without one by how far lots lie apart."""
        if self.p is not None:
            return 2.0 - self.p
        values = [mean.value for mean in self.means.values()]
        reach = max(values) - min(values) if values else 0.0
        return reach / (1.0 + reach)


@dataclass(frozen=True)
class ProfileRead:
    """A table of cups with its profile, the attributes that separate most first."""

    table: CupTable
    attributes: tuple[AttributeRead, ...]
    note: str
    warnings: tuple[str, ...]

    @cached_property
    def by_label(self) -> dict[str, AttributeRead]:
        """The attributes by their labels."""
        return {attribute.label: attribute for attribute in self.attributes}


def _minus(value: float | None) -> float | None:
    return None if value is None else -value


def read_profile(table: CupTable, *, tolerance: float | None = None) -> ProfileRead:
    """Fit a table. With a tolerance "no" can be an answer; without one it is yes or can't tell yet."""
    fitted = fit_profiles(table.as_scores(), tolerance=tolerance)
    stages = {column.label: column.stage for column in table.attributes}
    read = [_attribute(profile, stages[profile.name]) for profile in fitted.attributes]
    read.sort(key=lambda attribute: (-attribute.separates, attribute.label))
    return ProfileRead(table, tuple(read), fitted.note, tuple(fitted.warnings))


def _attribute(profile: AttributeProfile, stage: str) -> AttributeRead:
    decision = profile.decision
    return AttributeRead(
        label=profile.name,
        stage=stage,
        means=_means(decision.means) or _means(profile.means),
        pairs=tuple(_pair(pair) for pair in decision.pairs),
        answer=ANSWER_WORDS[decision.answer],
        rule=decision.rule,
        claim=decision.claim,
        next_step=decision.next_step,
        p=decision.p,
        false_discovery=decision.false_discovery,
        model=profile.model,
        warnings=profile.warnings,
        parts=decision.parts,
    )


def _means(means: tuple[LotMean, ...]) -> dict[str, MeanRead]:
    return {
        mean.lot: MeanRead(mean.mean, mean.se, mean.df, mean.low, mean.high)
        for mean in means
        if mean.mean is not None
    }


def _pair(pair: Verdict) -> PairRead:
    return PairRead(
        pair.a,
        pair.b,
        pair.difference,
        pair.se,
        pair.df,
        pair.low,
        pair.high,
        pair.low_90,
        pair.high_90,
        ANSWER_WORDS[pair.answer],
    )
