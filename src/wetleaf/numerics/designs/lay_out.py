"""Laying a flight out: who sits with what, in which order, from which brew, by which code, and when."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wetleaf.numerics.designs.asked import Asked, check
from wetleaf.numerics.designs.codes import codes_for_trays, spent_codes
from wetleaf.numerics.designs.costs import cost_of, notes_on_cost
from wetleaf.numerics.designs.evenness import Evenness, evenness
from wetleaf.numerics.designs.orders import (
    Served,
    measured,
    neighbours_along,
    one_row_each,
    private_orders,
    same_bowl_at_once,
)
from wetleaf.numerics.designs.records import Balance, Brew, Cup, Design, Sitting, Walk
from wetleaf.numerics.designs.sittings import Seating, seat
from wetleaf.numerics.designs.timing import (
    POUR_GAP_MINUTES,
    Preparation,
    cup_minutes,
    first_cup_minute,
    parts_of_sitting,
    preparation,
)
from wetleaf.trade.stages import too_many_cups

ONE_BREW_NOTE = "One brew of each tea: what is found is about these pots, not yet about the lots."


def lay_out(asked: Asked, rng: np.random.Generator) -> Design:
    """Return a flight laid out: sittings, brews, cups with codes and minutes, balance, efficiency and cost.

    The same `asked` and the same state of `rng` give the same design. Raises BadInput for what cannot be laid
    out, and when codes run out.

    >>> design = lay_out(Asked(["A", "B", "C", "D"], ["Wren", "Ottil"]), np.random.default_rng(1))
    >>> design.cost.brews, design.cost.cups, len(design.sittings), design.balance.unevenness
    (4, 8, 1, 0.5)
    """
    check(asked)
    made = preparation(asked.protocol, asked.tea_class, asked.group)
    seating = seat(asked, rng)
    served, other = _both_ways(asked, seating, rng)
    drafts = [_sitting_draft(asked, sitting, rng) for sitting in _by_sitting(served)]
    brews = _brews([draft for one in drafts for draft in one[0]], seating, made)
    cups = _cups([draft for one in drafts for draft in one[1]], brews, made, asked)
    brews, cups = _coded(asked, brews, cups, rng)
    sittings = tuple(_sitting(number, brews, cups, served, made, asked) for number in _numbers(brews))
    minutes = [sitting.minutes for sitting in sittings]
    cost = cost_of(seating.teas, asked.grams_left, brews, [cup.brew for cup in cups], minutes, made)
    return Design(
        asked,
        seating.teas,
        sittings,
        brews,
        cups,
        _balance(asked.way, served, len(seating.teas)),
        _balance("private" if asked.way == "row" else "row", other, len(seating.teas)) if other else None,
        seating.efficiency,
        cost,
        (*seating.notes, *_notes(asked, sittings, made), *notes_on_cost(cost)),
    )


def _both_ways(
    asked: Asked, seating: Seating, rng: np.random.Generator
) -> tuple[list[Served], list[Served] | None]:
    """Return the orders as asked for, and as the other way of serving would have them, to be held beside."""
    n = len(seating.teas)
    if asked.per_taster is not None:
        return private_orders(seating.tables, n, rng), None
    row, private = one_row_each(seating.tables, n, rng), private_orders(seating.tables, n, rng)
    return (row, private) if asked.way == "row" else (private, row)


def _balance(way: str, served: Sequence[Served], n_teas: int) -> Balance:
    return _as_balance(way, measured(served, n_teas), same_bowl_at_once(served))


def _as_balance(way: str, found: Evenness, at_once: int) -> Balance:
    return Balance(
        way,
        found.position_variance,
        found.position_bound,
        found.previous_variance,
        found.previous_bound,
        found.unevenness,
        found.bound,
        found.repeats,
        at_once,
    )


def balance_of(design: Design) -> Balance:
    """Return the balance counted anew from the cups of a design, whatever the design says of itself.

    >>> design = lay_out(Asked(["A", "B", "C"], ["Wren", "Ottil"]), np.random.default_rng(1))
    >>> balance_of(design) == design.balance
    True
    """
    number = {tea: place for place, tea in enumerate(design.teas)}
    cups = sorted(design.cups, key=lambda cup: (cup.sitting, cup.taster, cup.position))
    orders: dict[tuple[int, str], list[int]] = {}
    for cup in cups:
        orders.setdefault((cup.sitting, cup.taster), []).append(number[cup.sample])
    bowls = Counter(brew.sitting for brew in design.brews)
    row = all(brew.place is not None for brew in design.brews)
    most = sum(map(neighbours_along, bowls.values())) if row else None
    found = evenness([np.array(order) for order in orders.values()], len(number), neighbours_at_most=most)
    met = Counter((cup.sitting, cup.minute, cup.brew) for cup in design.cups)
    at_once = sum(count - 1 for count in met.values()) if row else 0
    return _as_balance("row" if row else "private", found, at_once)


# A brew and a cup before names, codes and minutes are known.
_BrewDraft = tuple[int, int, int, int | None]
_CupDraft = tuple[int, int, int, int]


def _by_sitting(served: Sequence[Served]) -> list[list[Served]]:
    numbers = sorted({one.table.sitting for one in served})
    return [[one for one in served if one.table.sitting == number] for number in numbers]


def _sitting_draft(
    asked: Asked, served: Sequence[Served], rng: np.random.Generator
) -> tuple[list[_BrewDraft], list[_CupDraft]]:
    """Return the brews (sitting, vessel, tea, place) and cups (sitting, taster, position, vessel)."""
    number = served[0].table.sitting
    if asked.per_taster is None:
        teas, pots = served[0].table.teas, [np.arange(len(served[0].table.teas))]
    else:
        teas = np.unique(np.concatenate([one.table.teas for one in served]))
        pots = [np.searchsorted(teas, one.table.teas) for one in served]
    row = served[0].row
    vessel = np.argsort(row) + 1 if row is not None else rng.permutation(len(teas)) + 1
    brews = sorted(
        (number, int(vessel[pot]), int(tea), int(vessel[pot]) if row is not None else None)
        for pot, tea in enumerate(teas)
    )
    cups = [
        (number, taster, position, int(vessel[pots[which][place]]))
        for which, one in enumerate(served)
        for taster, order in zip(one.table.tasters, one.orders, strict=True)
        for position, place in enumerate(order, start=1)
    ]
    return brews, cups


def _brews(drafts: Sequence[_BrewDraft], seating: Seating, made: Preparation) -> tuple[Brew, ...]:
    met: Counter[int] = Counter()
    brews = []
    for sitting, vessel, tea, place in drafts:
        met[tea] += 1
        water = (vessel - 1) * POUR_GAP_MINUTES
        brews.append(
            Brew(
                name=f"{sitting}.{vessel}",
                sitting=sitting,
                vessel=vessel,
                sample=seating.teas[tea],
                replicate=met[tea],
                bridge=tea in seating.bridges,
                infusion=made.infusion,
                grams=made.grams,
                water_minute=water,
                poured_minute=water + made.steep_minutes,
                place=place,
                code=None,
            )
        )
    return tuple(brews)


def _cups(
    drafts: Sequence[_CupDraft], brews: Sequence[Brew], made: Preparation, asked: Asked
) -> tuple[Cup, ...]:
    by_vessel = {(brew.sitting, brew.vessel): brew for brew in brews}
    vessels = Counter(brew.sitting for brew in brews)
    step = cup_minutes(asked.purpose)
    cups = []
    for sitting, taster, position, vessel in drafts:
        brew = by_vessel[sitting, vessel]
        minute = first_cup_minute(vessels[sitting], made) + (position - 1) * step
        cups.append(
            Cup(
                sitting,
                asked.tasters[taster],
                position,
                minute,
                "",
                brew.name,
                brew.sample,
                brew.replicate,
                brew.bridge,
            )
        )
    return tuple(cups)


def _coded(
    asked: Asked, brews: tuple[Brew, ...], cups: tuple[Cup, ...], rng: np.random.Generator
) -> tuple[tuple[Brew, ...], tuple[Cup, ...]]:
    """Give codes to brews or to cups; a tray is what one taster has in front in one sitting."""
    number = {brew.name: place for place, brew in enumerate(brews)}
    trays: dict[tuple[int, str], list[int]] = {}
    for place, cup in enumerate(cups):
        what = number[cup.brew] if asked.coded == "brew" else place
        trays.setdefault((cup.sitting, cup.taster), []).append(what)
    wanted = len(brews) if asked.coded == "brew" else len(cups)
    codes = codes_for_trays(list(trays.values()), wanted, spent_codes(asked.spent), rng)
    if asked.coded == "cup":
        return brews, tuple(replace(cup, code=code) for cup, code in zip(cups, codes, strict=True))
    named = tuple(replace(brew, code=code) for brew, code in zip(brews, codes, strict=True))
    return named, tuple(replace(cup, code=codes[number[cup.brew]]) for cup in cups)


def _numbers(brews: Sequence[Brew]) -> list[int]:
    return sorted({brew.sitting for brew in brews})


def _sitting(
    number: int,
    brews: Sequence[Brew],
    cups: Sequence[Cup],
    served: Sequence[Served],
    made: Preparation,
    asked: Asked,
) -> Sitting:
    mine = [brew for brew in brews if brew.sitting == number]
    longest = max(cup.position for cup in cups if cup.sitting == number)
    parts = parts_of_sitting(len(mine), longest, asked.purpose, made)
    return Sitting(
        number,
        tuple(brew.sample for brew in mine),
        tuple(brew.sample for brew in mine if brew.bridge),
        longest,
        sum(part.minutes for part in parts),
        parts,
        tuple(walk for one in served if one.table.sitting == number for walk in _walks(one, asked.tasters)),
    )


def _walks(one: Served, tasters: Sequence[str]) -> list[Walk]:
    if one.starts is None or one.directions is None:
        return []
    ways: list[tuple[int, int, int]] = list(
        zip(one.table.tasters, one.starts.tolist(), one.directions.tolist(), strict=True)
    )
    return [Walk(one.table.sitting, tasters[taster], start + 1, way) for taster, start, way in ways]


def _notes(asked: Asked, sittings: Sequence[Sitting], made: Preparation) -> list[str]:
    notes = [made.assumed[0].upper() + made.assumed[1:] + "."] if made.assumed else []
    tiring = too_many_cups(asked.purpose, max(sitting.cups_each for sitting in sittings))
    if tiring:
        notes.append(tiring)
    if asked.replicates == 1:
        notes.append(ONE_BREW_NOTE)
    return notes
