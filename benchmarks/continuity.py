"""Does "about N more brews would tell" hold, and is a lot that divides the tasters called changed?

    python benchmarks/continuity.py [tastings per setting] [promises]

Tables go through `fit_profiles` and `continuity` as in the book: pots shared by all tasters of the row, each
with its own error; each taster with a lasting taste of their own for each lot. The table of the docs,
docs/reference/methods.md, is the output.
"""

import sys
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.continuity import Change, Continuity, continuity
from wetleaf.numerics.profiles import Scores, fit_profiles

SEED = 20261125
MOST_POURED = 15  # promises of more brews than that are counted, not carried out: large tables take long
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Room:
    """Standard deviations of a cup, a pot, a taster's own taste for a lot (`divided`: for the first one)."""

    tasters: int
    attributes: int
    pots: int
    tolerance: float
    lots: int = 4
    cup: float = 0.7
    pot: float = 0.4
    taste: float = 0.5
    divided: float | None = None
    moved: float = 0.0

    def label(self) -> str:
        """Return the setting in words."""
        divided = f", the first lot {self.divided:g}" if self.divided is not None else ""
        moved = f", moved by {self.moved:g}" if self.moved else ""
        return (
            f"{self.tasters} tasters x {self.lots} lots x {self.pots} pots, attributes {self.attributes}, "
            f"tolerance {self.tolerance:g}, cup {self.cup:g}, pot {self.pot:g}, "
            f"taste {self.taste:g}{divided}{moved}"
        )


class Tasting:
    """One season's table; further brews are added to the cups already drunk."""

    def __init__(self, room: Room, rng: np.random.Generator) -> None:
        self.room, self.rng = room, rng
        taste = np.full(room.lots, room.taste)
        if room.divided is not None:
            taste[0] = room.divided
        shape = (room.tasters, room.lots, room.attributes)
        self.own = rng.normal(size=shape) * taste[None, :, None]
        self.own[:, 0] += room.moved
        self.own += rng.normal(size=(room.tasters, 1, room.attributes))
        self.cups = self._poured(room.pots)

    def _poured(self, pots: int) -> Floats:
        room = self.room
        shape = (room.tasters, room.lots, pots, room.attributes)
        pot = self.rng.normal(0, room.pot, size=shape[1:])
        return np.asarray(self.own[:, :, None] + pot + self.rng.normal(0, room.cup, size=shape))

    def brew(self, more: int) -> None:
        """Pour every lot `more` times again."""
        self.cups = np.concatenate([self.cups, self._poured(more)], axis=2)

    def read(self) -> Continuity:
        """Is the first lot still the second?"""
        return self.judge(self.changes())

    def judge(self, changes: list[Change], *, by_taster: bool = True) -> Continuity:
        """Judge the changes with or without the tasters' own differences."""
        held = changes if by_taster else [replace(change, by_taster=()) for change in changes]
        return continuity(held, brews_each=self.cups.shape[2], tasters=self.room.tasters, tied=True)

    def changes(self) -> list[Change]:
        """The first lot less the second on every attribute, as the profile has it."""
        attributes = self.cups.shape[3]
        taster, lot, pot = (axis.ravel() for axis in np.indices(self.cups.shape[:3]))
        table = Scores(
            lots=[f"L{one}" for one in lot],
            tasters=[f"T{one}" for one in taster],
            values=self.cups.reshape(-1, attributes),
            attributes=[str(number) for number in range(attributes)],
            brews=[f"B{one}" for one in pot],
        )
        apart = self.cups[:, 0].mean(axis=1) - self.cups[:, 1].mean(axis=1)
        changes = []
        for number, one in enumerate(fit_profiles(table).attributes):
            pair = next(pair for pair in one.decision.pairs if (pair.a, pair.b) == ("L0", "L1"))
            known = pair.difference is not None and pair.se is not None and pair.df is not None
            assert known, one.decision.rule
            changes.append(
                Change(
                    one.name,
                    float(pair.difference or 0.0),
                    float(pair.se or np.nan),
                    float(pair.df or np.nan),
                    self.room.tolerance,
                    parts=one.decision.parts,
                    by_taster=tuple(apart[:, number].tolist()),
                )
            )
        return changes


def promises(room: Room, n: int, rng: np.random.Generator) -> str:
    """Pour the brews that are asked for and see how often the answer is then yes (promised: 80 %)."""
    kept, asked, never, open_ = 0, [], 0, 0  # asked: of those carried out
    for _ in range(n):
        tasting = Tasting(room, rng)
        found = tasting.read()
        open_ += found.answer == "can't tell"
        never += found.answer == "can't tell" and found.more_brews is None
        if found.more_brews is not None and found.more_brews <= MOST_POURED:
            asked.append(found.more_brews)
            tasting.brew(found.more_brews)
            kept += tasting.read().answer == "yes"
    share = f"{100 * kept / len(asked):.0f} % of {len(asked)}" if asked else "never promised"
    middle = f"{np.median(asked):.0f}" if asked else ""
    return f"| {room.label()} | {open_} | {never} | {middle} | {share} |"


def noes(room: Room, n: int, rng: np.random.Generator) -> str:
    """How often "no" (and "yes") is said, without and with the tasters' own differences looked at."""
    seen = []
    for _ in range(n):
        tasting = Tasting(room, rng)
        changes = tasting.changes()
        seen.append([tasting.judge(changes, by_taster=own).answer for own in (False, True)])
    rates = [100 * np.mean([answers[at] == "no" for answers in seen]) for at in (0, 1)]
    return f"| {room.label()} | {rates[0]:.1f} | {rates[1]:.1f} |"


def promise_rooms() -> list[Room]:
    """Return the settings whose promises are tried."""
    sizes = ((2, 1, 1.5), (3, 1, 1.5), (3, 8, 2.0), (4, 8, 2.0))
    return [
        Room(tasters, attributes, 2, tolerance, taste=taste)
        for tasters, attributes, tolerance in sizes
        for taste in (0.0, 0.3, 0.5)
    ]


def divided_rooms() -> list[Room]:
    """Return the settings with a lot that divides the tasters, and with one that moved."""
    usual = Room(3, 8, 3, 1.25, lots=6, cup=0.6, pot=0.3, taste=0.2)
    divided = [replace(usual, tasters=t, lots=lots, divided=sd) for t, lots, sd in
               ((2, 6, 1.0), (3, 6, 1.0), (4, 6, 1.0), (4, 4, 1.0), (4, 6, 0.6))]  # fmt: skip
    same = [replace(usual, tasters=t) for t in (2, 3, 4)]
    moved = [replace(usual, tasters=t, moved=size, attributes=1) for t in (3, 4) for size in (1.0, 1.5, 2.0)]
    return [*divided, *same, *moved]


def main() -> None:
    """Print both tables as Markdown."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    rng = np.random.default_rng(SEED)
    if sys.argv[2:] != ["promises"]:
        _print_noes(n, rng)
    print("\n| setting | open | no number | median asked | then yes |\n|---|---|---|---|---|")
    for room in promise_rooms():
        print(promises(room, n, rng), flush=True)


def _print_noes(n: int, rng: np.random.Generator) -> None:
    print("| setting | no before | no with tasters' own |\n|---|---|---|")
    for room in divided_rooms():
        print(noes(room, n, rng), flush=True)


if __name__ == "__main__":
    main()
