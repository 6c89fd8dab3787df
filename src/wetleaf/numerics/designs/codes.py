"""Three-digit codes: never twice in a design, and unlike each other to the eye where they stand together.

The rule. A code has three digits and no leading 0. Left out, as loaded or remembered too easily (common
practice; the choice is ours): three equal digits, round hundreds, straight runs (123, 987), numbers for
emergencies (110, 112, 119, 911) and numbers that are a taunt, a slogan or ill luck somewhere (101, 187, 250,
404, 413, 420, 438, 514, 744, 747, 787). Two codes on one tray never (a) agree in two of three digits at the
same places, (b) hold the same three digits, (c) read as one another upside down. Up to 60 codes that holds
for the whole design.
"""

from collections.abc import Collection, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wetleaf.trade.errors import BadInput

_LOADED = (101, 110, 112, 119, 187, 250, 404, 413, 420, 438, 514, 744, 747, 787, 911)
_RUNS = tuple(100 * d + 10 * (d + 1) + d + 2 for d in range(1, 8))
_RUNS_DOWN = tuple(100 * d + 10 * (d - 1) + d - 2 for d in range(2, 10))
_EQUAL = tuple(range(111, 1000, 111))
_HUNDREDS = tuple(range(100, 1000, 100))
LEFT_OUT = frozenset((*_LOADED, *_RUNS, *_RUNS_DOWN, *_EQUAL, *_HUNDREDS))
STOCK: tuple[int, ...] = tuple(code for code in range(100, 1000) if code not in LEFT_OUT)
_UPSIDE_DOWN = {"0": "0", "1": "1", "6": "9", "8": "8", "9": "6"}
_TRIES = 10
_ALL_APART_UP_TO = 60
"""Up to so many codes the whole design is kept apart, not only each tray."""


def collide_by_eye(one: str, two: str) -> bool:
    """Return whether two codes are too much alike to stand on one tray.

    >>> collide_by_eye("311", "131"), collide_by_eye("472", "479"), collide_by_eye("168", "891")
    (True, True, True)
    >>> collide_by_eye("472", "819")
    False
    """
    same_places = sum(a == b for a, b in zip(one, two, strict=True))
    return same_places >= 2 or sorted(one) == sorted(two) or _turned(one) == two


def _turned(code: str) -> str:
    return "".join(_UPSIDE_DOWN.get(digit, "?") for digit in reversed(code))


@lru_cache(maxsize=1)
def _clashes() -> NDArray[np.bool_]:
    """Return for all codes below 1000 which of them collide, themselves included."""
    code = np.arange(1000)
    first, second, third = (
        digit[:, None] == digit[None, :] for digit in (code // 100, code // 10 % 10, code % 10)
    )
    alike = (first & second) | (first & third) | (second & third)
    ordered = np.array([int("".join(sorted(f"{one:03d}"))) for one in range(1000)])
    alike = np.asarray(alike | (ordered[:, None] == ordered[None, :]), dtype=np.bool_)
    turned = [_turned(f"{code:03d}") for code in range(1000)]
    for one, upside in enumerate(turned):
        if "?" not in upside:
            alike[one, int(upside)] = True
    return alike


def spent_codes(codes: Collection[str]) -> frozenset[int]:
    """Return the codes of last time as numbers. Raises BadInput for what is no code of three digits.

    >>> sorted(spent_codes(["417", "862"]))
    [417, 862]
    """
    odd = [code for code in codes if not (len(code) == 3 and code.isascii() and code.isdigit())]
    if odd:
        raise BadInput(f"{odd[0]!r} is not a code of three digits.", way_out="Write codes as 417,862.")
    return frozenset(map(int, codes))


def codes_for_trays(
    trays: Sequence[Sequence[int]], n_codes: int, spent: frozenset[int], rng: np.random.Generator
) -> tuple[str, ...]:
    """Return `n_codes` different codes so that no two of one tray collide by eye; few codes none at all.

    Each tray lists the numbers (0 .. n_codes-1) of what stands on it; one thing may stand on several trays.
    Codes in `spent` are not used. Raises BadInput when the codes run out.

    >>> codes = codes_for_trays([[0, 1, 2]], 3, frozenset(), np.random.default_rng(1))
    >>> len(set(codes)), any(collide_by_eye(a, b) for a in codes for b in codes if a != b)
    (3, False)
    """
    free = np.array([code for code in STOCK if code not in spent], dtype=np.int64)
    if n_codes > free.size:
        raise _run_out(n_codes, int(free.size), len(spent))
    apart = [[list(range(n_codes))]] if n_codes <= _ALL_APART_UP_TO else []
    for laid in (*apart, trays):
        beside = _beside(laid, n_codes)
        for _ in range(_TRIES):
            found = _dealt(beside, rng.permutation(free))
            if found is not None:
                return tuple(f"{code:03d}" for code in found)
    largest = max(len(tray) for tray in trays)
    raise BadInput(
        f"The three-digit codes run out: {largest} cups stand together, {n_codes} codes are asked for and "
        f"{len(spent)} are held back.",
        way_out="Lay fewer cups together, or let older codes be used again.",
    )


def _run_out(wanted: int, free: int, spent: int) -> BadInput:
    return BadInput(
        f"{wanted} codes are asked for, and {free} of {len(STOCK)} are free ({spent} held back).",
        way_out="Code brews instead of cups, plan fewer sittings at once, or let older codes be used again.",
    )


def _beside(trays: Sequence[Sequence[int]], n_codes: int) -> list[set[int]]:
    beside: list[set[int]] = [set() for _ in range(n_codes)]
    for tray in trays:
        for one in tray:
            beside[one].update(tray)
    return beside


def _dealt(beside: list[set[int]], stock: NDArray[np.int64]) -> list[int] | None:
    """Give out codes in the order of the stock, each thing the first that clashes with nothing beside it."""
    clashes, taken = _clashes(), np.zeros(1000, dtype=bool)
    given: list[int] = []
    for number, others in enumerate(beside):
        blocked = taken.copy()
        for other in others:
            if other < number:
                blocked |= clashes[given[other]]
        open_ = stock[~blocked[stock]]
        if not open_.size:
            return None
        given.append(int(open_[0]))
        taken[open_[0]] = True
    return given
