"""Laying difference tests out: trials by taster, cups from brews of their own, codes, minutes, cost."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

import numpy as np

from wetleaf.numerics.designs.asked import MOST_CUPS, MOST_TASTERS, check_grams, check_names, check_number
from wetleaf.numerics.designs.codes import codes_for_trays, spent_codes
from wetleaf.numerics.designs.costs import cost_of, notes_on_cost
from wetleaf.numerics.designs.difference_orders import (
    count_variance,
    dealt_orders,
    in_step,
    least_variance,
    orders_of,
)
from wetleaf.numerics.designs.records import Brew, Cost
from wetleaf.numerics.designs.timing import (
    POUR_GAP_MINUTES,
    Preparation,
    cup_minutes,
    first_cup_minute,
    preparation,
)
from wetleaf.numerics.differences.methods import method_key
from wetleaf.trade.errors import BadInput
from wetleaf.trade.stages import sitting_limit, too_many_cups

MOST_TRIALS = 500
REFERENCE_CODE = "R"


@dataclass(frozen=True)
class AskedTrials:
    """What is to be laid out: `trials` for each taster of two teas by a method.

    `shared_brews`: the tasters of one round drink from the same brews (never two cups of one trial from one);
    otherwise every cup is a brew of its own. `constant_reference`: duo-trio with the first tea as reference.
    """

    method: str
    samples: Sequence[str]
    tasters: Sequence[str]
    trials: int
    shared_brews: bool = False
    constant_reference: bool = False
    limit: int | None = None
    spent: Sequence[str] = ()
    protocol: str = "column_cup"
    tea_class: str | None = None
    group: str | None = None
    grams_left: Mapping[str, Decimal] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class TrialCup:
    """One cup of one trial. `reference`: it is named to the taster, and bears no code of its own."""

    sitting: int
    taster: str
    trial: int
    position: int
    minute: float
    code: str
    brew: str
    sample: str
    reference: bool


@dataclass(frozen=True, slots=True)
class OrderBalance:
    """How equally often the orders are used, over all and by the taster served least evenly, with bounds."""

    counts: Mapping[str, int]
    variance: float
    bound: float
    worst_taster_variance: float
    taster_bound: float


@dataclass(frozen=True)
class TrialDesign:
    """Difference tests laid out. `orders` holds each taster's orders, trial by trial; A is the first tea."""

    asked: AskedTrials = field(repr=False)
    method: str
    orders: Mapping[str, tuple[str, ...]]
    brews: tuple[Brew, ...]
    cups: tuple[TrialCup, ...]
    balance: OrderBalance
    cost: Cost
    notes: tuple[str, ...]


def lay_out_trials(asked: AskedTrials, rng: np.random.Generator) -> TrialDesign:
    """Return difference tests laid out: balanced over all orders, per taster and over all.

    Raises BadInput for what cannot be laid out, and when codes run out.

    >>> asked = AskedTrials("triangle", ["A", "B"], ["Wren"], 6)
    >>> design = lay_out_trials(asked, np.random.default_rng(1))
    >>> design.balance.variance, design.cost.brews, design.cost.sittings, sorted(design.orders["Wren"])[0]
    (0.0, 18, 3, 'AAB')
    """
    orders = _checked(asked)
    made = preparation(asked.protocol, asked.tea_class, asked.group)
    dealt = dealt_orders(orders, len(asked.tasters), asked.trials, rng)
    dealt = in_step(dealt) if asked.shared_brews else dealt
    rounds = _rounds(asked, dealt, rng)
    brews, cups, ends = _at_their_minutes(asked, rounds, made)
    cups = _coded(cups, asked, rng)
    cost = cost_of(asked.samples, asked.grams_left, brews, [cup.brew for cup in cups], ends, made)
    by_taster = dict(zip(asked.tasters, dealt, strict=True))
    notes = (*_notes(asked, made), *notes_on_cost(cost))
    method = method_key(asked.method)
    return TrialDesign(asked, method, by_taster, brews, cups, order_balance(by_taster, orders), cost, notes)


def order_balance(dealt: Mapping[str, Sequence[str]], orders: Sequence[str]) -> OrderBalance:
    """Return how equally often `orders` were used.

    >>> order_balance({"Wren": ["AB", "BA"]}, ["AB", "BA"]).variance
    0.0
    """
    over_all = Counter(order for share in dealt.values() for order in share)
    counts = {order: over_all[order] for order in orders}
    each = [count_variance([list(share).count(order) for order in orders]) for share in dealt.values()]
    trials = [len(share) for share in dealt.values()]
    return OrderBalance(
        counts,
        count_variance(list(counts.values())),
        least_variance(sum(trials), len(orders)),
        max(each),
        max(least_variance(count, len(orders)) for count in trials),
    )


def _checked(asked: AskedTrials) -> tuple[str, ...]:
    check_names("sample", asked.samples, 2)
    if len(asked.samples) != 2:
        raise BadInput(
            f"A difference test takes two teas, and {len(asked.samples)} is named.",
            way_out="Name two; the same tea under another name serves for a trial with nothing to find.",
        )
    check_names("taster", asked.tasters, MOST_TASTERS)
    check_number("trials for each taster", asked.trials, 1, MOST_TRIALS)
    check_grams(asked.grams_left, asked.samples)
    orders = orders_of(asked.method, constant_reference=asked.constant_reference)
    if asked.constant_reference and method_key(asked.method) != "duo-trio":
        raise BadInput(f"{asked.method} has no reference to keep.", way_out="Use it with duo-trio.")
    _check_limit(asked, len(_cups_in(orders[0])))
    if asked.trials * len(asked.tasters) * len(orders[0]) > MOST_CUPS:
        raise BadInput("So many trials cannot be laid out at once.", way_out="Plan in parts.")
    return orders


def _check_limit(asked: AskedTrials, cups: int) -> None:
    if _cups_at_most(asked) < cups + _known_cups(asked):
        raise BadInput(
            f"A trial takes {cups + _known_cups(asked)} cups, and a sitting at most {_cups_at_most(asked)}.",
            way_out="Let a sitting take more cups, or choose a method with fewer.",
        )


def _cups_at_most(asked: AskedTrials) -> int:
    return sitting_limit("difference").cups_most if asked.limit is None else asked.limit


def _known_cups(asked: AskedTrials) -> int:
    """A-not-A begins every sitting with a cup of A that is named."""
    return int(method_key(asked.method) == "a-not-a")


def _cups_in(order: str) -> list[tuple[str, bool]]:
    """Return the teas of an order, and whether each is the reference.

    >>> _cups_in("A:BA")
    [('A', True), ('B', False), ('A', False)]
    """
    reference, colon, rest = order.partition(":")
    return [(reference, True), *((tea, False) for tea in rest)] if colon else [(tea, False) for tea in order]


# One round: the trial number, and for every taster the cups with the pot each is poured from.
_Round = tuple[int, list[tuple[int, list[tuple[str, bool, int]]]]]


def _rounds(
    asked: AskedTrials, dealt: Sequence[Sequence[str]], rng: np.random.Generator
) -> list[list[_Round]]:
    """Return the rounds of each sitting; pots are numbered within a round and hold one tea."""
    a_sitting = (_cups_at_most(asked) - _known_cups(asked)) // len(_cups_in(dealt[0][0]))
    sittings = []
    for first in range(0, asked.trials, a_sitting):
        rounds = [
            _poured(
                trial, [(taster, _cups_in(share[trial])) for taster, share in enumerate(dealt)], asked, rng
            )
            for trial in range(first, min(first + a_sitting, asked.trials))
        ]
        known = [("A", True)] * _known_cups(asked)
        if known:
            everyone = [(taster, known) for taster in range(len(asked.tasters))]
            rounds.insert(0, _poured(-1, everyone, asked, rng))
        sittings.append(rounds)
    return sittings


def _poured(
    trial: int,
    cups: Sequence[tuple[int, Sequence[tuple[str, bool]]]],
    asked: AskedTrials,
    rng: np.random.Generator,
) -> _Round:
    """Give every cup a pot: its own, or with shared brews one that this taster has not in this trial."""
    pots: dict[tuple[int, str, int], int] = {}
    served = []
    for taster, order in cups:
        met: Counter[str] = Counter()
        poured = []
        for tea, reference in order:
            key = (-1 if asked.shared_brews else taster, tea, met[tea])
            met[tea] += 1
            poured.append((tea, reference, pots.setdefault(key, len(pots))))
        served.append((taster, poured))
    vessel = rng.permutation(len(pots)).tolist()
    return trial + 1, [
        (taster, [(tea, ref, vessel[pot]) for tea, ref, pot in order]) for taster, order in served
    ]


def _at_their_minutes(
    asked: AskedTrials, sittings: Sequence[Sequence[_Round]], made: Preparation
) -> tuple[tuple[Brew, ...], tuple[TrialCup, ...], list[float]]:
    """Set water and cups to minutes: each round is brewed while the one before is tasted."""
    brews: list[Brew] = []
    cups: list[TrialCup] = []
    ends = []
    for sitting, rounds in enumerate(sittings, start=1):
        end, vessels = 0.0, 0
        for one in rounds:
            pots = 1 + max(pot for _, order in one[1] for *_, pot in order)
            water = max(0.0, vessels * POUR_GAP_MINUTES, end - first_cup_minute(pots, made))
            begin = water + first_cup_minute(pots, made)
            brews += _round_brews(asked, sitting, one, pots, vessels, water, made)
            cups += _round_cups(asked, sitting, one, vessels, begin)
            end = begin + len(one[1][0][1]) * cup_minutes("difference")
            vessels += pots
        ends.append(end)
    return _numbered(brews), tuple(cups), ends


def _round_brews(
    asked: AskedTrials,
    sitting: int,
    one: _Round,
    pots: int,
    before: int,
    water: float,
    made: Preparation,
) -> list[Brew]:
    teas = {pot: tea for _, order in one[1] for tea, _, pot in order}
    return [
        Brew(
            name=f"{sitting}.{before + pot + 1}",
            sitting=sitting,
            vessel=before + pot + 1,
            sample=asked.samples["AB".index(teas[pot])],
            replicate=0,
            bridge=False,
            infusion=made.infusion,
            grams=made.grams,
            water_minute=water + pot * POUR_GAP_MINUTES,
            poured_minute=water + pot * POUR_GAP_MINUTES + made.steep_minutes,
            place=None,
            code=None,
        )
        for pot in range(pots)
    ]


def _round_cups(asked: AskedTrials, sitting: int, one: _Round, before: int, begin: float) -> list[TrialCup]:
    return [
        TrialCup(
            sitting,
            asked.tasters[taster],
            one[0],
            position,
            begin + (position - 1) * cup_minutes("difference"),
            REFERENCE_CODE if reference else "",
            f"{sitting}.{before + pot + 1}",
            asked.samples["AB".index(tea)],
            reference,
        )
        for taster, order in one[1]
        for position, (tea, reference, pot) in enumerate(order, start=1)
    ]


def _numbered(brews: Sequence[Brew]) -> tuple[Brew, ...]:
    met: Counter[str] = Counter()
    named = []
    for brew in brews:
        met[brew.sample] += 1
        named.append(replace(brew, replicate=met[brew.sample]))
    return tuple(named)


def _coded(cups: Sequence[TrialCup], asked: AskedTrials, rng: np.random.Generator) -> tuple[TrialCup, ...]:
    """Every cup but a reference has its own code; a tray is what one taster tastes in one sitting."""
    blind = [place for place, cup in enumerate(cups) if not cup.reference]
    trays: dict[tuple[int, str], list[int]] = {}
    for number, place in enumerate(blind):
        trays.setdefault((cups[place].sitting, cups[place].taster), []).append(number)
    codes = codes_for_trays(list(trays.values()), len(blind), spent_codes(asked.spent), rng)
    given = dict(zip(blind, codes, strict=True))
    return tuple(replace(cup, code=given.get(place, cup.code)) for place, cup in enumerate(cups))


def _notes(asked: AskedTrials, made: Preparation) -> list[str]:
    notes = [made.assumed[0].upper() + made.assumed[1:] + "."] if made.assumed else []
    if asked.limit is not None:
        tiring = too_many_cups("difference", asked.limit)
        notes += [tiring] if tiring else []
    if asked.shared_brews:
        notes.append("The tasters of a round drink from the same brews: a fault of one pot is shared by all.")
    return notes
