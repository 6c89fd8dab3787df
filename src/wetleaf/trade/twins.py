"""Near-identical facts under two names: perhaps the same tea from two agents.

The rule: every fact that both lots state is compared. One that differs clears them. Each that agrees adds its
weight: a day of picking, a roast date, a number of metres or grams that is not round says much, a district or
a cultivar little, since whole valleys share them. `LEAST_WEIGHT` with `LEAST_TELLING` telling facts makes
twins. Lots of one producer are siblings, not twins: there only the same name with the same facts counts, as a
lot written down twice. Source of rule and weights: common practice; `tests/trade/test_twins.py` measures how
often it speaks up on ordinary lots.
"""

import datetime as dt
import difflib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations
from typing import Literal

from wetleaf.trade.cultivars import find_cultivars
from wetleaf.trade.facts import Doubt, LotFacts, doubt, said_days, said_metres
from wetleaf.trade.origins import find_place
from wetleaf.trade.spelling import squash

LEAST_WEIGHT = 5.0
LEAST_TELLING = 2
_TELLING = 1.0
_ALIKE_NAMES = 0.85
_DAY_PRECISIONS = ("", "day", "range")


@dataclass(frozen=True)
class Agreement:
    """One fact that both lots state: how much it weighs if they agree; `differs` clears the two."""

    fact: str
    weight: float
    differs: bool
    said: str


@dataclass(frozen=True)
class Twins:
    """Two lots that may be one tea: from two sellers, or one lot written down twice."""

    first: LotFacts
    second: LotFacts
    kind: Literal["two sellers", "written twice"]
    weight: float
    reasons: tuple[str, ...]

    def as_doubt(self) -> Doubt:
        """Return the doubt to show beside the first lot, with the question to send."""
        other = self.second.name or self.second.code
        what = f"may be the same tea as '{other}' ({self.kind})"
        return doubt(what, "name", "; ".join(self.reasons), "common practice", "twin", 63)


def find_twins(lots: Sequence[LotFacts]) -> tuple[Twins, ...]:
    """Return the pairs of lots that may be one tea, the most alike first.

    >>> import datetime as dt
    >>> stated = {"place": "Lugu", "harvest_from": dt.date(2026, 4, 18), "elevation_m_min": 745}
    >>> lots = [LotFacts(name="Crane Step", producer="A", roast_date=dt.date(2026, 5, 8), **stated),
    ...         LotFacts(name="River Cloud", producer="B", roast_date=dt.date(2026, 5, 8), **stated)]
    >>> [(twins.first.name, twins.second.name, twins.kind) for twins in find_twins(lots)]
    [('Crane Step', 'River Cloud', 'two sellers')]
    """
    found = [twins for first, second in combinations(lots, 2) if (twins := compare_lots(first, second))]
    return tuple(sorted(found, key=lambda twins: -twins.weight))


def compare_lots(first: LotFacts, second: LotFacts) -> Twins | None:
    """Return two lots as twins with the reasons, or None if their facts differ or say too little."""
    agreements = tuple(_agreements(first, second))
    if not agreements or any(agreement.differs for agreement in agreements):
        return None
    weight = sum(agreement.weight for agreement in agreements)
    telling = sum(agreement.weight >= _TELLING for agreement in agreements)
    reasons = tuple(agreement.said for agreement in agreements)
    if weight < LEAST_WEIGHT or telling < LEAST_TELLING:
        return None
    if not _same_producer(first, second):
        return Twins(first, second, "two sellers", weight, reasons)
    if _same_name(first, second) and squash(first.pick) == squash(second.pick):
        return Twins(first, second, "written twice", weight, reasons)
    return None


def _same_producer(first: LotFacts, second: LotFacts) -> bool:
    return bool(squash(first.producer)) and squash(first.producer) == squash(second.producer)


def _same_name(first: LotFacts, second: LotFacts) -> bool:
    return bool(squash(first.name)) and squash(first.name) == squash(second.name)


def _agreements(first: LotFacts, second: LotFacts) -> Iterator[Agreement]:
    for compare in _COMPARISONS:
        agreement = compare(first, second)
        if agreement is not None:
            yield agreement


def _place(first: LotFacts, second: LotFacts) -> Agreement | None:
    one, other = (find_place(lot.origin or lot.place) for lot in (first, second))
    if one.origin and other.origin:
        return Agreement("place", 0.5, one.origin != other.origin, f"both from {one.origin.name}")
    if one.country and other.country and one.country != other.country:
        return Agreement("place", 0.5, True, "")
    return None


def _cultivar(first: LotFacts, second: LotFacts) -> Agreement | None:
    one, other = find_cultivars(first.cultivar), find_cultivars(second.cultivar)
    if not one or not other:
        return None
    return Agreement("cultivar", 0.5, set(one) != set(other), f"both {one[0].name}")


def _harvest(first: LotFacts, second: LotFacts) -> Agreement | None:
    one, other = first.harvest_span, second.harvest_span
    if one is None or other is None:
        differs = first.vintage is not None and second.vintage is not None and first.vintage != second.vintage
        return Agreement("harvest", 0.0, True, "") if differs else None
    exact = first.harvest_precision in _DAY_PRECISIONS and second.harvest_precision in _DAY_PRECISIONS
    apart = one[1] < other[0] or other[1] < one[0]
    weight = 2.0 if exact and one == other else 0.5
    return Agreement("harvest", weight, apart, f"both picked {said_days(one)}")


def _elevation(first: LotFacts, second: LotFacts) -> Agreement | None:
    one, other = first.elevation_m, second.elevation_m
    if one is None or other is None:
        return None
    apart = max(one[0] - other[1], other[0] - one[1])
    weight = _weight_of_number(one[0], 50, 100) if one == other else 0.25
    return Agreement("elevation", weight, apart > 30, f"both at {said_metres(one)} m")


def _weight_of_number(number: float, fairly_round: int, round_number: int) -> float:
    """A number that is not round is seldom shared by chance; a round one says little."""
    if number % fairly_round:
        return 2.5
    return 1.5 if number % round_number else 1.0


def _roast_date(first: LotFacts, second: LotFacts) -> Agreement | None:
    return _same_day(first.roast_date, second.roast_date)


def _same_day(one: dt.date | None, other: dt.date | None) -> Agreement | None:
    if one is None or other is None:
        return None
    return Agreement("roast date", 2.0, one != other, f"both roasted {one.isoformat()}")


def _grams(first: LotFacts, second: LotFacts) -> Agreement | None:
    """The amount there is may differ between agents, so a difference clears nothing."""
    one, other = first.available_grams, second.available_grams
    if one is None or one != other:
        return None
    weight = _weight_of_number(float(one), 1000, 5000)
    return Agreement("available", weight, False, f"both {(one / Decimal(1000)).normalize():f} kg")


def _word(fact: str, weight: float) -> Callable[[LotFacts, LotFacts], Agreement | None]:
    def compare(first: LotFacts, second: LotFacts) -> Agreement | None:
        one, other = squash(getattr(first, fact)), squash(getattr(second, fact))
        if not one or not other:
            return None
        return Agreement(fact, weight, one != other, f"both {fact} '{getattr(first, fact).strip()}'")

    return compare


def _name(first: LotFacts, second: LotFacts) -> Agreement | None:
    likeness = difflib.SequenceMatcher(None, squash(first.name), squash(second.name)).ratio()
    if not first.name or likeness < _ALIKE_NAMES:
        return None
    return Agreement("name", 1.0, False, f"names alike: '{first.name}' and '{second.name}'")


def _price(first: LotFacts, second: LotFacts) -> Agreement | None:
    """Agents add their own margin, so another price clears nothing."""
    if not squash(first.price) or squash(first.price) != squash(second.price):
        return None
    return Agreement("price", 0.5, False, f"both priced {first.price.strip()}")


_COMPARISONS = (
    _place,
    _cultivar,
    _harvest,
    _elevation,
    _roast_date,
    _grams,
    _price,
    _word("roast", 0.5),
    _word("oxidation", 0.5),
    _name,
)
