"""Cups to the best lot, and whether the chances said are true: the tables in
docs/reference/methods-rankings.md.

    python benchmarks/rankings.py            quick: a look at each table, about two minutes
    python benchmarks/rankings.py full       all settings and runs; more than an hour of one core
    python benchmarks/rankings.py [full] write    put the tables into the document

Lots' strengths lie on normal quantiles (spread 1), the best lifted above the second by the gap; a cup is
its lot's strength, times the taster's steadiness, plus a fresh Gumbel error, so that pairs follow
Bradley-Terry and rows Plackett-Luce exactly. All ways of choosing use the same posterior and the same
stopping rule: a chance of 90 %.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path

import numpy as np
from optimal_proportions import Proportions, optimal_proportions
from scipy.special import ndtri

from wetleaf.numerics.rankings import Assumed, Evidence, RowAnswer, evidence_of, next_row, rank_lots

SEED = 20261125
STOP = 0.9
FEWEST = 0.8 * np.log(
    0.9 / 0.1
)  # kl(error, 1 - error): over the rate, pairs that any way without a prior needs
MOST_CUPS = 300
LONG = 900
LONG_SETTINGS = ((8, "hard"), (20, "easy"), (20, "middling"))
GAPS = {"easy": 1.5, "middling": 0.8, "hard": 0.4}
LOTS = (4, 8, 12, 20)
RUNS = {4: 30, 8: 16, 12: 10, 20: 10}
LOOKS = (12, 16, 24, 32)
DRAWS = 1000
PAGE = Path(__file__).parents[1] / "docs/reference/methods-rankings.md"


@dataclass(frozen=True)
class Room:
    """Who tastes: the steadiness of each, the first bowl's advantage, how often a known row is known."""

    name: str = "one taster"
    steadiness: tuple[float, ...] = (1.0,)
    order: float = 0.0
    recognised: float = 0.0


PLAIN = Room()
CARELESS = Room("two tasters, one careless (steadiness 1 and 0.4), first cup + 0.5", (1.0, 0.4), 0.5)
RECOGNISING = Room("one taster who knows every second known pair", recognised=0.5)


@dataclass
class Tasting:
    """One search as it goes: what is true, what was answered, cups so far."""

    strengths: np.ndarray
    room: Room
    rng: np.random.Generator
    answers: list[RowAnswer] = field(default_factory=list)
    cups: int = 0

    @property
    def names(self) -> list[str]:
        return [f"{i:02d}" for i in range(len(self.strengths))]

    def taste(self, row: Sequence[int]) -> None:
        """Serve a row; the next taster in turn orders it."""
        who = len(self.answers) % len(self.room.steadiness)
        names = [self.names[lot] for lot in row]
        known = [a for a in self.answers if a.taster == str(who) and set(a.lots) == set(names)]
        if known and self.rng.random() < self.room.recognised:
            places = known[-1].places
        else:
            felt = self.room.steadiness[who] * self.strengths[list(row)] + self.rng.gumbel(size=len(row))
            felt[0] += self.room.order
            places = tuple((names[i],) for i in np.argsort(-felt))
        self.answers.append(RowAnswer(places, taster=str(who), first=names[0] if self.room.order else None))
        self.cups += len(row)

    def evidence(self) -> Evidence:
        return evidence_of(self.answers, lots=self.names, assumed=Assumed(recognised=self.room.recognised))


@dataclass(frozen=True)
class Look:
    """The answer so far: who leads, with what chance, and the row that is wanted next if it was asked."""

    leader: int
    chance: float
    wanted: tuple[int, ...] | None = None


Way = Callable[[Tasting], "Callable[[], tuple[int, ...]] | int"]


def look(tasting: Tasting) -> Look:
    draws = tasting.evidence().draw(DRAWS, tasting.rng)
    chances = np.bincount(draws.strengths.argmax(axis=1), draws.weights, minlength=len(tasting.strengths))
    return Look(int((draws.weights @ draws.strengths).argmax()), float(chances.max()))


class Rotation:
    """All pairs (or rows of new bowls) in turn, in a new order each round."""

    def __init__(self, tasting: Tasting, bowls: int = 2) -> None:
        self.tasting, self.bowls = tasting, bowls
        self.every = 2 if len(tasting.strengths) < 12 else 4  # answers between looks, to save time
        self.waiting: list[tuple[int, ...]] = []

    def row(self) -> tuple[int, ...]:
        if not self.waiting:
            self.waiting = self._round()
        return self.waiting.pop()

    def _round(self) -> list[tuple[int, ...]]:
        rng, count = self.tasting.rng, len(self.tasting.strengths)
        if self.bowls == 2:
            pairs = [tuple(rng.permutation(pair)) for pair in combinations(range(count), 2)]
            return [pairs[i] for i in rng.permutation(len(pairs))]
        order = [int(lot) for lot in rng.permutation(count)]
        short = -len(order) % self.bowls
        order += [int(lot) for lot in rng.permutation(order[: -(self.bowls - short) or None])[:short]]
        return [tuple(order[i : i + self.bowls]) for i in range(0, len(order), self.bowls)]


class RandomPairs(Rotation):
    """Any pair, drawn anew each time."""

    def row(self) -> tuple[int, ...]:
        return tuple(int(i) for i in self.tasting.rng.choice(len(self.tasting.strengths), 2, replace=False))


class KnownProportions(Rotation):
    """The optimal proportions of one who knows the strengths, the pair furthest behind its share next."""

    def __init__(self, tasting: Tasting, known: Proportions) -> None:
        super().__init__(tasting)
        self.every = 1
        self.known, self.served = known, np.zeros(len(known.shares))

    def row(self) -> tuple[int, ...]:
        behind = (self.served.sum() + 1) * self.known.shares - self.served
        chosen = int(behind.argmax())
        self.served[chosen] += 1
        pair = self.known.pairs[chosen]
        return tuple(int(i) for i in self.tasting.rng.permutation(pair))


class Next(Rotation):
    """What `next_row` names: a pair, or a row of so many bowls."""

    def __init__(self, tasting: Tasting, bowls: int = 2) -> None:
        super().__init__(tasting, bowls)
        self.every = 1

    def row(self) -> tuple[int, ...]:
        tasting = self.tasting
        who = str(len(tasting.answers) % len(tasting.room.steadiness))
        evidence = tasting.evidence()
        taster = who if who in evidence.tasters else None
        found = next_row(evidence, rng=tasting.rng, bowls=min(self.bowls, len(evidence.lots)), taster=taster)
        row = found.pair if self.bowls == 2 or found.row is None else found.row
        return tuple(int(lot) for lot in row.lots)


WAYS = ("rotation", "random pairs", "next pair", "rows of 4 in rotation", "next row of 4")
KNOWN = "known proportions"


def way_of(name: str, tasting: Tasting, known: Proportions | None = None) -> Rotation:
    if name == KNOWN:
        return KnownProportions(tasting, known)
    made = {
        "rotation": lambda: Rotation(tasting),
        "random pairs": lambda: RandomPairs(tasting),
        "next pair": lambda: Next(tasting),
        "rows of 4 in rotation": lambda: Rotation(tasting, 4),
        "next row of 4": lambda: Next(tasting, 4),
    }
    return made[name]()


def gapped(count: int, gap: float) -> np.ndarray:
    """Strengths on normal quantiles, best first, the best lifted above the second by the gap."""
    strengths = ndtri((np.arange(count) + 0.5) / count)[::-1].copy()
    strengths[0] = strengths[1] + gap
    return strengths - strengths.mean()


def cups_to_decide(
    name: str,
    strengths: np.ndarray,
    room: Room,
    known: Proportions | None,
    seed: list[int],
    most: int = MOST_CUPS,
) -> tuple[int, bool, bool]:
    """Return cups until a chance of 90 % is said, whether the lot was right, whether it was decided at
    all."""
    tasting = Tasting(strengths, room, np.random.default_rng(seed))
    way = way_of(name, tasting, known)
    while True:
        for _ in range(way.every):
            tasting.taste(way.row())
        found = look(tasting)
        if found.chance >= STOP or tasting.cups >= most:
            return tasting.cups, found.leader == int(strengths.argmax()), found.chance >= STOP


def cups_table(runs: dict[int, int], settings: Sequence[tuple[Room, int, str]]) -> list[str]:
    """Cups to decide: mean ± standard error; share right; share never decided within the cap."""
    names = [*WAYS, KNOWN]
    lines = [
        f"| tasters | lots | gap | {' | '.join(names)} | no prior, at least | next pair / rotation "
        "| / known proportions |",
        "|---" * (len(names) + 6) + "|",
    ]
    for room, count, gap in settings:
        turns = runs[count]
        known = optimal_proportions(gapped(count, GAPS[gap]))
        cells, means = [], {}
        for name in names:
            found = np.array(
                [
                    cups_to_decide(
                        name, gapped(count, GAPS[gap]), room, known, [SEED, count, int(10 * GAPS[gap]), run]
                    )
                    for run in range(turns)
                ],
                dtype=float,
            )
            means[name] = found[:, 0].mean()
            more = "≥ " if found[:, 2].mean() < 1 else ""
            cells.append(
                f"{more}{means[name]:.0f} ± {found[:, 0].std() / np.sqrt(turns):.0f}; "
                f"{found[:, 1].mean():.0%}; {1 - found[:, 2].mean():.0%}"
            )
        ours = means["next pair"]
        lines.append(
            f"| {room.name} | {count} | {gap} | {' | '.join(cells)} | {2 * FEWEST / known.rate:.0f} | "
            f"{ours / means['rotation']:.2f} | {ours / means[KNOWN]:.2f} |"
        )
        print(lines[-1], flush=True)
    return lines


def long_table(runs: int, settings: Sequence[tuple[int, str]]) -> list[str]:
    """Where rotation was cut off above: the same with three times the cups."""
    lines = ["| lots | gap | rotation | next pair | next pair / rotation |", "|---|---|---|---|---|"]
    for count, gap in settings:
        cells, means = [], []
        for name in ("rotation", "next pair"):
            seeds = [[SEED, count, int(10 * GAPS[gap]), run] for run in range(runs)]
            found = np.array(
                [cups_to_decide(name, gapped(count, GAPS[gap]), PLAIN, None, seed, LONG) for seed in seeds],
                dtype=float,
            )
            means.append(found[:, 0].mean())
            more = "≥ " if found[:, 2].mean() < 1 else ""
            cells.append(
                f"{more}{means[-1]:.0f} ± {found[:, 0].std() / np.sqrt(runs):.0f}; "
                f"{found[:, 1].mean():.0%}; {1 - found[:, 2].mean():.0%}"
            )
        lines.append(f"| {count} | {gap} | {' | '.join(cells)} | {means[1] / means[0]:.2f} |")
        print(lines[-1], flush=True)
    return lines


def loss_table(runs: int, settings: Sequence[tuple[Room, int]]) -> list[str]:
    """Strength given up by choosing the leader after so many cups; strengths drawn with spread 1."""
    lines = [f"| tasters | lots | way | {' | '.join(f'{cups} cups' for cups in LOOKS)} | best at 32 |"]
    lines.append("|---" * (len(LOOKS) + 4) + "|")
    for room, count in settings:
        for name in WAYS:
            losses = np.array([_losses(name, room, count, [SEED, 7, count, run]) for run in range(runs)])
            cells = [
                f"{mean:.2f} ± {se:.2f}"
                for mean, se in zip(losses.mean(axis=0), losses.std(axis=0) / np.sqrt(runs), strict=True)
            ]
            right = (losses[:, -1] == 0).mean()
            lines.append(f"| {room.name} | {count} | {name} | {' | '.join(cells)} | {right:.0%} |")
            print(lines[-1], flush=True)
    return lines


def _losses(name: str, room: Room, count: int, seed: list[int]) -> list[float]:
    rng = np.random.default_rng(seed)
    tasting = Tasting(rng.normal(size=count), room, rng)
    way = way_of(name, tasting)
    found = []
    while len(found) < len(LOOKS):
        tasting.taste(way.row())
        if tasting.cups >= LOOKS[len(found)]:
            found.append(float(tasting.strengths.max() - tasting.strengths[look(tasting).leader]))
    return found


def calibration_table(runs: int) -> list[str]:
    """Whether intervals, chances and shortlists hold what they say, for random rows of any size."""
    lines = [
        "| truths | answers | 95 % interval holds | shortlist holds the best | its share of lots "
        "| chance said of the leader | leader is best | said 90 % or more: share, right "
        "| winner overstated by (raw) |",
        "|---" * 9 + "|",
    ]
    for truths in ("half", "once", "twice", "equal but one at + 1"):
        for answers in (4, 12, 40):
            seeds = np.random.default_rng([SEED, answers, len(truths)]).spawn(runs)
            found = np.array([_one_calibration(truths, answers, rng) for rng in seeds])
            mean = found.mean(axis=0)
            sure = found[:, 3] >= STOP
            right = f"{found[sure, 4].mean():.0%}" if sure.any() else "-"
            lines.append(
                f"| {truths} | {answers} | {mean[0]:.1%} | {mean[1]:.1%} | {mean[2]:.0%} | {mean[3]:.1%} | "
                f"{mean[4]:.1%} | {sure.mean():.0%}, {right} | {mean[5]:+.2f} ({mean[6]:+.2f}) |"
            )
            print(lines[-1], flush=True)
    return lines


def _one_calibration(truths: str, answers: int, rng: np.random.Generator) -> tuple[float, ...]:
    """One season of 3 to 10 lots: is the interval true, the list, the leader; what was said; the winner's
    excess."""
    count = int(rng.integers(3, 11))
    spreads = {"half": 0.5, "once": 1.0, "twice": 2.0}
    strengths = rng.normal(0, spreads[truths], count) if truths in spreads else np.eye(count)[0]
    tasters = int(rng.integers(1, 4))
    room = Room("", tuple(np.exp(_centred(rng.normal(0, 0.5, tasters)))), float(rng.normal(0, 0.5)))
    tasting = Tasting(strengths, room, rng)
    for _ in range(answers):
        tasting.taste([int(i) for i in rng.permutation(count)[: int(rng.integers(2, min(count, 5) + 1))]])
    found = rank_lots(tasting.evidence(), rng=rng, draws=2000)
    centred = strengths - strengths.mean()
    held = [lot.low <= centred[int(lot.lot)] <= lot.high for lot in found.lots]
    best = f"{int(strengths.argmax()):02d}"
    winner = found.lots[0]
    raw = _raw_winner_excess(tasting, centred)
    return (
        float(np.mean(held)),
        best in found.shortlist,
        len(found.shortlist) / count,
        max(lot.chance_best for lot in found.lots),
        max(found.lots, key=lambda lot: lot.chance_best).lot == best,
        winner.strength - centred[int(winner.lot)],
        raw,
    )


def _centred(values: np.ndarray) -> np.ndarray:
    return values - values.mean()


def _raw_winner_excess(tasting: Tasting, centred: np.ndarray) -> float:
    """The same of an estimate that is hardly drawn in: a prior spread of 10."""
    wide = evidence_of(tasting.answers, lots=tasting.names, assumed=Assumed(spread=10.0, recognised=0))
    draws = wide.draw(200, tasting.rng)
    middle = draws.by_spread[1] @ (draws.strengths - draws.strengths.mean(axis=1, keepdims=True))
    return float(middle.max() - centred[int(middle.argmax())])


def speed_table(repeats: int = 15) -> list[str]:
    """Processor time of one suggestion: 20 lots, answers so far, bowls asked."""
    lines = ["| lots | pairs answered | pair | row of 4 | row of 6 |", "|---|---|---|---|---|"]
    for pairs in (20, 100, 200):
        tasting = Tasting(gapped(20, 0.8), PLAIN, np.random.default_rng(SEED))
        way = Rotation(tasting)
        for _ in range(pairs):
            tasting.taste(way.row())
        cells = []
        for bowls in (2, 4, 6):
            spent = []
            for _ in range(repeats):
                start = time.process_time()
                next_row(tasting.evidence(), rng=tasting.rng, bowls=bowls)
                spent.append(1000 * (time.process_time() - start))
            cells.append(f"{np.median(spent):.0f} ms (most {max(spent):.0f})")
        lines.append(f"| 20 | {pairs} | {' | '.join(cells)} |")
        print(lines[-1], flush=True)
    return lines


def write(tables: dict[str, list[str]]) -> None:
    """Put each table between its two marks in the document."""
    text = PAGE.read_text("utf-8")
    for name, lines in tables.items():
        start, end = f"<!-- {name} -->", f"<!-- end of {name} -->"
        before, rest = text.split(start)
        text = before + start + "\n" + "\n".join(lines) + "\n" + end + rest.split(end)[1]
    PAGE.write_text(text, "utf-8")


def main() -> None:
    full = "full" in sys.argv
    asked = [name for name in ("cups", "long", "loss", "calibration", "speed") if name in sys.argv]
    settings = [(PLAIN, count, gap) for count in LOTS for gap in GAPS]
    settings += [(CARELESS, 8, gap) for gap in ("easy", "middling")] + [(RECOGNISING, 8, "middling")]
    rooms = [(PLAIN, count) for count in LOTS] + [(CARELESS, 8)]
    tables = {
        "cups": lambda: cups_table(
            RUNS if full else dict.fromkeys(LOTS, 4), settings if full else [settings[4]]
        ),
        "long": lambda: long_table(6 if full else 2, LONG_SETTINGS if full else LONG_SETTINGS[1:2]),
        "loss": lambda: loss_table(150 if full else 20, rooms if full else rooms[1:2]),
        "calibration": lambda: calibration_table(300 if full else 20),
        "speed": speed_table,
    }
    made = {name: make() for name, make in tables.items() if not asked or name in asked}
    if "write" in sys.argv:
        write(made)


if __name__ == "__main__":
    main()
