"""What a design is: sittings, brews, cups, and what they cost. Frozen; written out by `writing`."""

from dataclasses import dataclass, field
from decimal import Decimal

from wetleaf.numerics.designs.asked import Asked
from wetleaf.numerics.designs.efficiency import Efficiency
from wetleaf.numerics.designs.timing import Part


@dataclass(frozen=True, slots=True)
class Brew:
    """One making of a tea: its vessel and sitting, which steep is served, when water and liquor are poured.

    A replicate is a new brew. `place` is the bowl's place in the row (None for private cups); `code` is None
    where each cup has its own.
    """

    name: str
    sitting: int
    vessel: int
    sample: str
    replicate: int
    bridge: bool
    infusion: int
    grams: Decimal
    water_minute: float
    poured_minute: float
    place: int | None
    code: str | None


@dataclass(frozen=True, slots=True)
class Cup:
    """What one taster tastes at one position: poured from the brew named, under a code, at a minute."""

    sitting: int
    taster: str
    position: int
    minute: float
    code: str
    brew: str
    sample: str
    replicate: int
    bridge: bool


@dataclass(frozen=True, slots=True)
class Walk:
    """Where a taster begins along the row, and which way: +1 with the places, -1 against them."""

    sitting: int
    taster: str
    start: int
    direction: int


@dataclass(frozen=True, slots=True)
class Sitting:
    """One sitting: its teas in the order of the vessels, its minutes from first water on, and their parts."""

    number: int
    samples: tuple[str, ...]
    bridges: tuple[str, ...]
    cups_each: int
    minutes: float
    parts: tuple[Part, ...]
    walks: tuple[Walk, ...]


@dataclass(frozen=True, slots=True)
class Balance:
    """How even positions and previous cups are, each beside the least that whole cups allow.

    `unevenness` is the measure made small: position variance plus previous-cup variance; `bound` is the least
    it could be, and may be out of reach. `same_tea_again`: cups right after a cup of the same tea.
    `same_bowl_at_once`: how often a taster finds the bowl taken by another (one row only).
    """

    way: str
    position_variance: float
    position_bound: float
    previous_variance: float
    previous_bound: float
    unevenness: float
    bound: float
    same_tea_again: int
    same_bowl_at_once: int


@dataclass(frozen=True, slots=True)
class Leaf:
    """Grams of one tea the plan spends; `short_grams` is what the grams left, if given, fall short."""

    sample: str
    brews: int
    grams: Decimal
    grams_left: Decimal | None
    short_grams: Decimal


@dataclass(frozen=True, slots=True)
class Cost:
    """What the plan takes; `minutes` holds the breaks, `ml_each` is a taster's share of a brew."""

    brews: int
    cups: int
    sittings: int
    grams: Decimal
    leaf: tuple[Leaf, ...]
    litres: float
    minutes: float
    ml_each: float


@dataclass(frozen=True)
class Design:
    """A flight laid out, with the question it answers.

    `beside` is the balance of the other way of serving,
    None where only private cups are possible."""

    asked: Asked = field(repr=False)
    teas: tuple[str, ...]
    sittings: tuple[Sitting, ...]
    brews: tuple[Brew, ...]
    cups: tuple[Cup, ...]
    balance: Balance
    beside: Balance | None
    efficiency: Efficiency
    cost: Cost
    notes: tuple[str, ...]
