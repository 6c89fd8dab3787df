"""The records a profile is told in. Numbers that do not exist are None, never nan."""

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.further_brews import Parts

Answer = Literal["yes", "no", "can't tell"]


def number(value: float) -> float | None:
    """Return the number, or None where there is none.

    >>> number(2.0), number(float("nan"))
    (2.0, None)
    """
    return float(value) if np.isfinite(value) else None


def numbers_in(values: NDArray[np.float64]) -> list[float | None]:
    """Return an array's numbers as one list, row after row, None where there is none."""
    there = np.isfinite(values)
    flat: list[float | None] = list(values.ravel().tolist())
    for place in np.flatnonzero(~there).tolist():
        flat[place] = None
    return flat


Record = TypeVar("Record", "LotMean", "Difference", "Verdict")


def many(kind: type[Record], size: int, *columns: Iterable[object]) -> list[Record]:
    """Return `size` records of a kind, a column a field: what `kind(*row)` gives, in an eighth of the time.

    Forty attributes of twelve lots are five thousand records, and the frozen records' own way sets field by
    field through the guard that keeps them frozen.

    >>> many(Difference, 1, ["A"], ["B"], [1.0], [0.2], [9.0], [0.5], [1.5], [0.01])[0].difference
    1.0
    """
    records = [object.__new__(kind) for _ in range(size)]
    for one, column in zip(fields(kind), columns, strict=True):
        deque(map(getattr(kind, one.name).__set__, records, column), maxlen=0)
    return records


def parted(records: list[Record], size: int) -> list[tuple[Record, ...]]:
    """Return the records of an array (attributes, `size`) attribute by attribute."""
    return [tuple(records[at : at + size]) for at in range(0, len(records), size)] if size else []


@dataclass(frozen=True, slots=True)
class LotMean:
    """The mean of one lot on one attribute, in the table's own scale, over `n` scores."""

    lot: str
    mean: float | None
    se: float | None
    df: float | None
    low: float | None
    high: float | None
    n: int


@dataclass(frozen=True, slots=True)
class Difference:
    """One lot less another: a - b, with its interval and its p adjusted for the family it belongs to."""

    a: str
    b: str
    difference: float | None
    se: float | None
    df: float | None
    low: float | None
    high: float | None
    p: float | None


@dataclass(frozen=True, slots=True)
class Verdict:
    """What may be said of a - b, measured against how differently the tasters place the lots.

    `low`, `high` is the interval adjusted for the family; `low_90`, `high_90` the plain 90 % interval that
    is held against the tolerance (two one-sided tests at 5 %). `p` is adjusted for the family.
    """

    a: str
    b: str
    difference: float | None
    se: float | None
    df: float | None
    low: float | None
    high: float | None
    low_90: float | None
    high_90: float | None
    p: float | None
    answer: Answer


@dataclass(frozen=True)
class Decision:
    """The answer to "do the lots differ?", from a test that keeps the taster x lot stratum.

    `claim` says about whom it is: "lots", "lots, as this taster finds them", "these pots", "none". Where each
    lot was brewed once the answer about lots is "can't tell", and `pots_answer` is the one about the pots.
    `pairs` holds a verdict on every pair of lots, `against` on every lot less the baseline; `means` the
    lots' means with plain intervals on the same stratum. `false_discovery` is p adjusted over the
    attributes of the table. `parts`: what the square of a difference's standard error is made of, where told.
    """

    answer: Answer
    rule: str
    claim: str
    p: float | None = None
    f: float | None = None
    df1: float | None = None
    df2: float | None = None
    tolerance: float | None = None
    next_step: str = ""
    false_discovery: float | None = None
    pots_answer: Answer | None = None
    means: tuple[LotMean, ...] = ()
    pairs: tuple[Verdict, ...] = ()
    against: tuple[Verdict, ...] = ()
    parts: Parts | None = None


@dataclass(frozen=True)
class AttributeProfile:
    """One attribute: the restricted maximum likelihood fit, the lots' means and differences, and the
    decision.

    `variance` maps "taster", "taster:lot", "residual" (and "lot:brew", "sitting" where told apart) to a
    variance, or to None when the table does not hold it. `model` and `warnings` are sentences.
    """

    name: str
    f: float | None
    df1: float | None
    df2: float | None
    p: float | None
    variance: Mapping[str, float | None]
    means: tuple[LotMean, ...]
    pairs: tuple[Difference, ...]
    against: tuple[Difference, ...]
    decision: Decision
    model: str
    warnings: tuple[str, ...]
    converged: bool
    criterion: float | None = None
    n: int = 0


@dataclass(frozen=True)
class Profiles:
    """The profiles of all attributes of one table.

    >>> import numpy as np
    >>> from wetleaf.numerics.profiles import Scores, fit_profiles
    >>> lots = ["A", "B", "C"] * 4
    >>> tasters = [name for name in ("Ada", "Bo", "Cy", "Di") for _ in range(3)]
    >>> sweet = [2.0, 4.0, 7.0, 1.0, 4.0, 6.0, 3.0, 4.0, 8.0, 2.0, 5.0, 7.0]
    >>> table = Scores(lots, tasters, np.array(sweet)[:, None], ["sweet"])
    >>> profile = fit_profiles(table, baseline="A")["sweet"]
    >>> [(mean.lot, mean.mean) for mean in profile.means]
    [('A', 2.0), ('B', 4.25), ('C', 7.0)]
    >>> profile.decision.answer
    'yes'
    """

    attributes: tuple[AttributeProfile, ...]
    lots: tuple[str, ...]
    tasters: tuple[str, ...]
    baseline: str | None
    tolerance: float | None
    confidence: float
    note: str = ""
    warnings: tuple[str, ...] = field(default=())

    def __getitem__(self, name: str) -> AttributeProfile:
        for profile in self.attributes:
            if profile.name == name:
                return profile
        raise KeyError(name)
