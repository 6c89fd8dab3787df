"""Which teas sit together: sittings no longer than a palate bears, replicates apart, everything linked."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from wetleaf.numerics.designs.asked import Asked
from wetleaf.numerics.designs.efficiency import Blocks, Efficiency, efficiency_of, incidence_of, is_connected
from wetleaf.numerics.designs.evenness import IntArray
from wetleaf.numerics.designs.incomplete_blocks import incomplete_blocks, resolvable_blocks
from wetleaf.trade.errors import BadInput


@dataclass(frozen=True, slots=True)
class Table:
    """The teas (numbers) that some tasters (numbers) meet in one sitting, bridge teas included."""

    sitting: int
    tasters: tuple[int, ...]
    teas: IntArray


@dataclass(frozen=True)
class Seating:
    """All tables of a design. Teas are numbered: the samples, then bridge teas that are no samples."""

    teas: tuple[str, ...]
    bridges: tuple[int, ...]
    tables: tuple[Table, ...]
    efficiency: Efficiency
    notes: tuple[str, ...]


def seat(asked: Asked, rng: np.random.Generator) -> Seating:
    """Return which teas are tasted in which sitting and by whom.

    Raises BadInput when the sittings asked for cannot hold the cups, or nothing could link the teas.
    """
    seating = _seat(asked, asked.bridges, rng)
    if seating.efficiency.connected or asked.unlinked:
        return _with_warning(seating)
    bridge = asked.samples[0]
    if asked.cups_at_most <= len(asked.bridges) + 1:
        raise BadInput(
            "The sittings are not linked, and none has a place for a bridge cup.",
            way_out="Let a sitting take more cups, or give more replicates.",
        )
    linked = _seat(asked, (*asked.bridges, bridge), rng)
    note = (
        f"Nothing else links the sittings, so {bridge} is served in each as the bridge cup "
        "(--bridge names another, --unlinked leaves it out)."
    )
    return Seating(linked.teas, linked.bridges, linked.tables, linked.efficiency, (note, *linked.notes))


def _with_warning(seating: Seating) -> Seating:
    if seating.efficiency.connected:
        return seating
    note = (
        "The sittings are not linked: teas of different sittings cannot be compared apart from the sittings."
    )
    return Seating(seating.teas, seating.bridges, seating.tables, seating.efficiency, (note, *seating.notes))


def _seat(asked: Asked, bridges: Sequence[str], rng: np.random.Generator) -> Seating:
    teas = (*asked.samples, *(name for name in bridges if name not in asked.samples))
    served = tuple(teas.index(name) for name in bridges)
    free = np.array([tea for tea in range(len(asked.samples)) if tea not in served], dtype=np.int64)
    if asked.per_taster is None:
        blocks, replicates, notes = _shared_blocks(asked, free, len(served), rng)
    else:
        blocks, replicates, notes = _taster_blocks(asked, free, len(served), rng)
    full = [np.concatenate([free[list(block)], np.array(served, dtype=np.int64)]) for block in blocks]
    extra = len(teas) - len(asked.samples)
    efficiency = efficiency_of(incidence_of(full, len(teas)), extra=extra, replicates=replicates)
    return Seating(teas, served, _tables(asked, full), efficiency, notes)


def _tables(asked: Asked, blocks: list[IntArray]) -> tuple[Table, ...]:
    tasters = tuple(range(len(asked.tasters)))
    if asked.per_taster is None:
        return tuple(Table(number, tasters, block) for number, block in enumerate(blocks, start=1))
    return tuple(
        Table(number // len(tasters) + 1, (number % len(tasters),), block)
        for number, block in enumerate(blocks)
    )


_Found = tuple[Blocks, int | None, tuple[str, ...]]


def _shared_blocks(asked: Asked, free: IntArray, n_bridges: int, rng: np.random.Generator) -> _Found:
    """Everybody tastes everything: a block is a sitting."""
    n, room, replicates = len(free), asked.cups_at_most - n_bridges, asked.replicates
    if not n:
        return ((),) * (asked.sittings or replicates), None, ()
    fewest = math.ceil(n * replicates / room)
    sittings = asked.sittings or replicates * math.ceil(n / room)
    if not fewest <= sittings <= n * replicates:
        raise BadInput(
            f"{n * replicates} cups do not go into {sittings} sittings of at most {room}"
            + (" beside the bridge cups." if n_bridges else "."),
            way_out=f"Give {fewest} to {n * replicates} sittings.",
        )
    notes = _fewer_note(asked, fewest, sittings)
    if sittings % replicates == 0:
        sizes = _near_equal(n, sittings // replicates)
        return resolvable_blocks(n, sizes, replicates, rng), replicates, notes
    return _overlapping(n, replicates, sittings, rng), None, notes


def _overlapping(n: int, replicates: int, sittings: int, rng: np.random.Generator) -> Blocks:
    """Sittings that are no whole replicates; with fewer sittings than replicates they hold teas twice."""
    whole = replicates // sittings
    left = replicates - whole * sittings
    if not left:
        return ((*range(n),) * whole,) * sittings
    rest = incomplete_blocks(n, _near_equal(n * left, sittings), rng)
    return tuple((*(tuple(range(n)) * whole), *block) for block in rest)


def _near_equal(total: int, parts: int) -> list[int]:
    each, over = divmod(total, parts)
    return [each + 1] * over + [each] * (parts - over)


def _fewer_note(asked: Asked, fewest: int, sittings: int) -> tuple[str, ...]:
    if asked.sittings is not None or fewest >= sittings:
        return ()
    return (
        f"{fewest} sittings would hold as many cups (--sittings {fewest}), but a replicate would not be in "
        "sittings of its own.",
    )


def _taster_blocks(asked: Asked, free: IntArray, n_bridges: int, rng: np.random.Generator) -> _Found:
    """Each taster tastes a part: a block is a taster's cups in a sitting."""
    n, size = len(free), min(asked.per_taster or 0, len(free))
    n_blocks = len(asked.tasters) * asked.replicates
    enough = math.ceil(n / n_blocks) if n_bridges else math.ceil((n - 1) / n_blocks) + 1
    if size < min(enough, n):
        raise BadInput(
            f"{n_blocks} blocks of {size} cannot {'hold' if n_bridges else 'link'} {n} samples.",
            way_out=f"Give each taster {enough} samples, or more replicates"
            + ("." if n_bridges else ", or a bridge tea."),
        )
    blocks = incomplete_blocks(n, [size] * n_blocks, rng)
    if not is_connected(incidence_of(blocks, n)) and not n_bridges:
        raise BadInput(
            f"No {n_blocks} blocks of {size} were found that link all {n} samples.",
            way_out="Give each taster more samples, more replicates, or a bridge tea.",
        )
    return _dealt_to_tasters(blocks, len(asked.tasters)), None, ()


def _dealt_to_tasters(blocks: Blocks, n_tasters: int) -> Blocks:
    """Give each taster, sitting by sitting, the block that repeats least of what that taster had."""
    left, dealt = list(blocks), []
    had: list[list[int]] = [[] for _ in range(n_tasters)]
    while left:
        for taster in range(n_tasters):
            met = Counter(had[taster])
            block = min(left, key=partial(_met_before, met))
            left.remove(block)
            had[taster] += block
            dealt.append(block)
    return tuple(dealt)


def _met_before(met: Counter[int], block: tuple[int, ...]) -> int:
    return sum(met[tea] for tea in block)
