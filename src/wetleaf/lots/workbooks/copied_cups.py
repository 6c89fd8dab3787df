"""Cups that repeat other cups too well to be poured anew: rows pasted twice, one taster under two names.

Such cups would count as further evidence, so a best lot could be named too soon. The rule: take the chance
that honest answers would agree so by luck, and ask only where it is below 1 in 1,000 for the whole table.

The chance that a second answer equals the first, cell by cell: second answers are spread over the values
that the sitting holds for that attribute, near values more often, as if the taster's repeats correlated 0.85
(assumed: steadier than most tasters are, so that the chance is rather too large). Where the sitting holds
other repeats, or other pairs of tasters, that do not agree throughout, their share of equal cells, two
standard errors up, is used if it is larger. A taster who gives every lot the same number tells nothing.

Rows: a cup that equals an earlier cup of the same lot, taster and sitting in every answer, pot and repeat
aside. Chances multiply along a run of such cups, each as far below its earlier cup as the others, and are
multiplied by the number of pairs at which a run can start (for a product of this kind that bounds the chance
of any run, however long: Ville's inequality). A run has at least four cups, or cups of at least three
answers. Beside it stands the chance of so many equal cups among all repeated ones, wherever they stand. Each
of the two may err once in 2,000.

A cup that the sheet itself numbers as an earlier one (the same pot or repeat) is that cup: what it says again
is left out without a question, and this is told.

Tasters: two names of one sitting with every shared answer equal: the product of the chances, times the
number of pairs of tasters. A copy in which one number was changed is not found.
"""

import math
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, groupby
from statistics import fmean, variance
from typing import TypeVar

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.grid import Grid, place_of
from wetleaf.lots.workbooks.records import ReadBook, Score, Verdict

CHANCE = 1 / 1000  # of a question that honest cups would raise, over a whole table
STEADY = 0.85  # assumed correlation of an honest taster's repeats
FEWEST_ANSWERS, FEWEST_CUPS = 3, 4

Answer = tuple[str, str]
"""Attribute and stage."""
Said = tuple[float | None, str, float | None, float | None]
K = TypeVar("K", bound=Hashable)


@dataclass(frozen=True)
class Copies:
    """Scores that repeat others: `scores[i]` says what `like[i]` says; `taster` names whose copies they are
    where a whole taster is repeated, and `of` whom.
    """

    scores: tuple[Score, ...]
    like: tuple[Score, ...]
    cups: int
    taster: str = ""
    of: str = ""
    same_pot: bool = False  # numbered alike, so the same cups without a question

    @property
    def kind(self) -> str:
        """The kind of problem."""
        if self.same_pot:
            return "cups_told_twice"
        return "copied_taster" if self.taster else "copied_cups"

    @property
    def name(self) -> str:
        """How `--accept` names them: by their first cell, "Tasting!C10"."""
        return _name(self.scores[0])

    @property
    def extent(self) -> str:
        """Where the copies stand: "C10 to H15"."""
        return _extent(self.scores)

    @property
    def extent_of_first(self) -> str:
        """Where stands what they repeat."""
        return _extent(self.like)

    @property
    def why(self) -> str:
        """What is asked, with the cells."""
        here, there = self.extent, self.extent_of_first
        if self.same_pot:
            return f"{len(self.scores)} scores ({here}) repeat {there}, of the same pots: they count once"
        if self.taster:
            return (
                f"{self.taster}'s {len(self.scores)} scores ({here}) all equal {self.of}'s ({there}): "
                f"one person under two names, or copied? Unless left out, they count as a further taster's"
            )
        if self.cups == 1:
            cup = f"this cup ({here}) repeats {there}"
            return f"{cup}: pasted twice? Unless left out, it counts as a further cup"
        cups = f"these {self.cups} cups ({here}) repeat {there}"
        return f"{cups}: pasted twice? Unless left out, they count as further cups"

    @property
    def do(self) -> str:
        """What to do about it."""
        if self.same_pot:
            return "Nothing, if it is the same cup; else give each pot a number of its own."
        if self.taster:
            out = "leave them out"
            first = "If it is one person, join the names under [tasters] in a mapping file"
        else:
            out = "leave them out" if self.cups > 1 else "leave it out"
            first = "Delete the rows if they were pasted twice"
        return f'{first}, or {out} with --accept "{self.name}".'


def _name(score: Score) -> str:
    return "!".join(part for part in (score.cell.sheet, score.cell.cell.split(":")[0]) if part)


def _extent(scores: Sequence[Score]) -> str:
    first, last = scores[0].cell, scores[-1].cell
    if first.sheet != last.sheet:
        return f"{_name(scores[0])} to {_name(scores[-1])}"
    return first.cell if len(scores) == 1 else f"{first.cell} to {last.cell}"


def ask_about_copies(book: ReadBook, grids: Mapping[str, Grid], context: Context) -> None:
    """Warn of every block of copies at its first cell; `grids` are the sheets as they lie in the file."""
    for copies in copies_of(book):
        cell = copies.scores[0].cell
        place = place_of(cell.cell.split(":")[0])
        context.problems.add(
            grids[cell.sheet], *place, copies.kind, why=copies.why, do=copies.do, says=cell.says
        )


def copies_of(book: ReadBook) -> list[Copies]:
    """Find the copies among the scores of a book, and among the likings of its verdicts."""
    return copies_among((*book.scores, *_likings(book.verdicts)))


def _likings(verdicts: Iterable[Verdict]) -> Iterator[Score]:
    """Each liking as a score of a cup of its own, apart from the scores of its sitting."""
    met: Counter[Hashable] = Counter()
    for said in verdicts:
        if said.liking is None:
            continue
        when = f"liking, {said.sitting or said.cell.sheet}, {said.on}, of {said.scale_high}"
        met[said.taster, said.sample, when] += 1
        yield Score(
            said.cell, 0, said.taster, "", said.sample, said.sample_raw, "liking", said.liking, "ok",
            replicate=str(met[said.taster, said.sample, when]), sitting=when,
        )  # fmt: skip


def copies_among(scores: Iterable[Score]) -> list[Copies]:
    """Find the blocks of scores that repeat others of their sitting too well (see above)."""
    sittings: dict[str, list[_Cup]] = defaultdict(list)
    again: dict[str, list[tuple[Score, Score]]] = defaultdict(list)
    for cup in _cups(scores, again):
        sittings[cup.sitting].append(cup)
    found = [_told_twice(pairs) for pairs in again.values()]
    for cups in sittings.values():
        chances = _Chances(cups)
        found += _copied_cups(cups, chances)
        found += _copied_tasters(cups, chances)
    return found


# Cups


@dataclass(frozen=True)
class _Cup:
    """Everything a taster said of one cup."""

    sitting: str
    taster: str
    sample: str
    pot: tuple[str, str]
    scores: dict[Answer, Score] = field(default_factory=dict)

    def says(self) -> dict[Answer, Said]:
        return {answer: _said(score) for answer, score in self.scores.items()}


def _said(score: Score) -> Said:
    return score.value, score.status, score.lower, score.upper


def _cups(scores: Iterable[Score], again: Mapping[str, list[tuple[Score, Score]]]) -> Iterable[_Cup]:
    """The cups in the order in which the book tells them; scores of a numbered cup that are told twice go to
    `again`, by sitting, each with the one before.
    """
    cups: dict[Hashable, _Cup] = {}
    for score in scores:
        sample = score.sample or score.sample_raw.strip()  # a code of another season is known only later
        if not sample or score.status == "missing":
            continue
        sitting, taster = score.sitting or score.cell.sheet, score.taster or score.taster_raw
        key = (sitting, taster, sample, (score.replicate, score.brew))
        cup = cups.setdefault(key, _Cup(*key))
        first = cup.scores.setdefault((score.attribute, score.stage), score)
        if first is not score and any(cup.pot) and _said(first) == _said(score):
            again[sitting].append((score, first))
    return cups.values()


def _told_twice(pairs: Sequence[tuple[Score, Score]]) -> Copies:
    cups = {(score.taster, score.sample, score.replicate, score.brew) for score, _ in pairs}
    again, before = zip(*pairs, strict=True)
    return Copies(again, before, len(cups), same_pot=True)


# Chances


class _Chances:
    """How likely an honest answer equals another by luck, from the values of one sitting."""

    def __init__(self, cups: Iterable[_Cup]) -> None:
        self._values: dict[Answer, Counter[float]] = defaultdict(Counter)
        own: dict[Answer, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
        for cup in cups:
            for answer, score in cup.scores.items():
                if score.value is not None:
                    self._values[answer][score.value] += 1
                    own[answer][cup.taster].append(score.value)
        self._spread = {answer: _spreads(told) for answer, told in own.items()}

    def of(self, taster: str, answer: Answer, said: Said) -> float:
        """The chance that a second answer is `said` too; what is no number tells nothing."""
        value, spread = said[0], self._spread.get(answer, {}).get(taster, 0.0)
        if value is None or spread == 0:
            return 1.0
        apart = spread * math.sqrt(2 * (1 - STEADY))
        values = self._values[answer]
        near = sum(number * math.exp(-(((v - value) / apart) ** 2) / 2) for v, number in values.items())
        return values[value] / near

    def of_all(self, taster: str, said: Mapping[Answer, Said], at_least: float) -> float:
        """The chance that all of these are said again."""
        return math.prod(max(at_least, self.of(taster, answer, one)) for answer, one in said.items())


def _spreads(told: Mapping[str, Sequence[float]]) -> dict[str, float]:
    """How far apart each taster's numbers for an attribute lie: halfway between the taster's own variance and
    the panel's, for a few lots tell little; 0 where they are all the same.
    """
    own = {taster: variance(values) if len(values) > 1 else 0.0 for taster, values in told.items()}
    panel = fmean(own.values())
    return {taster: math.sqrt((one + panel) / 2) if one else 0.0 for taster, one in own.items()}


def _measured(pairs: Iterable[tuple[Mapping[K, Said], Mapping[K, Said]]]) -> float:
    """The share of equal cells among honest pairs, two standard errors up; 0 where there are none."""
    equal = [one[key] == other[key] for one, other in pairs for key in one.keys() & other.keys()]
    if not equal:
        return 0.0
    share = (sum(equal) + 2) / (len(equal) + 4)
    return min(1.0, share + 2 * math.sqrt(share * (1 - share) / (len(equal) + 4)))


def _chance_of_so_many(chances: Sequence[float], number: int) -> float:
    """The chance that at least `number` of independent events happen.

    >>> round(_chance_of_so_many([0.5, 0.5], 1), 3)
    0.75
    """
    exactly = [1.0] + [0.0] * len(chances)
    for done, chance in enumerate(chances, start=1):
        for k in range(done, 0, -1):
            exactly[k] = exactly[k] * (1 - chance) + exactly[k - 1] * chance
        exactly[0] *= 1 - chance
    return min(1.0, sum(exactly[number:]))


# Rows pasted twice


@dataclass(frozen=True)
class _Pair:
    """A cup, at its place among the cups of the sitting, and an earlier one of its lot and taster."""

    place: int
    cup: _Cup
    earlier: _Cup
    apart: int
    equal: bool


def _copied_cups(cups: Sequence[_Cup], chances: _Chances) -> Iterator[Copies]:
    pairs = list(_pairs(cups))
    if not any(pair.equal for pair in pairs):
        return
    by_cup: dict[int, list[_Pair]] = defaultdict(list)
    for pair in pairs:
        by_cup[pair.place].append(pair)
    honest = [tries[0] for tries in by_cup.values() if not any(pair.equal for pair in tries)]
    measured = _measured((pair.cup.says(), pair.earlier.says()) for pair in honest)
    by_luck = {place: chances.of_all(*_told(tries[0].cup), measured) for place, tries in by_cup.items()}
    taken: set[int] = set()
    for run in sorted(_sure_runs(pairs, by_luck), key=len, reverse=True):
        yield from _blocks(run, taken)
    if _too_many(by_cup, by_luck):
        for run in _runs([_best(tries) for tries in by_cup.values()]):
            yield from _blocks(run, taken)


def _told(cup: _Cup) -> tuple[str, dict[Answer, Said]]:
    return cup.taster, cup.says()


def _pairs(cups: Iterable[_Cup]) -> Iterator[_Pair]:
    before: dict[tuple[str, str], list[tuple[int, _Cup, dict[Answer, Said]]]] = defaultdict(list)
    for place, cup in enumerate(cups):
        earlier, says = before[cup.taster, cup.sample], cup.says()
        for at, one, said in earlier:
            yield _Pair(place, cup, one, place - at, said == says)
        earlier.append((place, cup, says))


def _sure_runs(pairs: Sequence[_Pair], by_luck: Mapping[int, float]) -> Iterator[list[_Pair]]:
    """The runs of copies, each as far below its cup as the others, that luck does not explain."""
    by_distance: dict[int, list[_Pair]] = defaultdict(list)
    for pair in pairs:
        by_distance[pair.apart].append(pair)
    for at_distance in by_distance.values():
        for run in _runs(at_distance):
            chance = math.prod(by_luck[pair.place] for pair in run) * len(pairs)
            if chance < CHANCE / 2 and _is_long_enough(run):
                yield run


def _runs(pairs: Iterable[_Pair]) -> list[list[_Pair]]:
    """The pairs that are equal, parted where one is not."""
    return [list(run) for equal, run in groupby(pairs, key=lambda pair: pair.equal) if equal]


def _is_long_enough(run: Sequence[_Pair]) -> bool:
    return len(run) >= FEWEST_CUPS or all(len(pair.cup.scores) >= FEWEST_ANSWERS for pair in run)


def _too_many(by_cup: Mapping[int, Sequence[_Pair]], by_luck: Mapping[int, float]) -> bool:
    """Whether more cups equal an earlier one, wherever they stand, than luck explains."""
    equal = sum(any(pair.equal for pair in tries) for tries in by_cup.values())
    chances = [min(1.0, by_luck[place] * len(tries)) for place, tries in by_cup.items()]
    return _chance_of_so_many(chances, equal) < CHANCE / 2


def _best(tries: Sequence[_Pair]) -> _Pair:
    return next((pair for pair in tries if pair.equal), tries[0])


def _blocks(run: Sequence[_Pair], taken: set[int]) -> Iterator[Copies]:
    """The copies of a run that no longer run has named, as one block."""
    new = [pair for pair in run if pair.place not in taken]
    taken.update(pair.place for pair in new)
    told = [(score, pair.earlier.scores[a]) for pair in new for a, score in pair.cup.scores.items()]
    if told:
        yield Copies(tuple(one for one, _ in told), tuple(other for _, other in told), len(new))


# One taster under two names

_Place = tuple[str, tuple[str, str], Answer]


def _copied_tasters(cups: Iterable[_Cup], chances: _Chances) -> Iterator[Copies]:
    told: dict[str, dict[_Place, Score]] = defaultdict(dict)
    for cup in cups:
        told[cup.taster].update(
            {(cup.sample, cup.pot, answer): score for answer, score in cup.scores.items()}
        )
    pairs = [(first, second) for first, second in combinations(told, 2) if told[first].keys() & told[second]]
    alike = [pair for pair in pairs if _agree(*(told[name] for name in pair))]
    if not alike:
        return
    measured = _measured((_says(told[a]), _says(told[b])) for a, b in pairs if (a, b) not in alike)
    named: set[str] = set()
    for first, second in alike:
        shared = [place for place in told[second] if place in told[first]]
        luck = [
            max(
                measured,
                *(chances.of(name, place[2], _said(told[second][place])) for name in (first, second)),
            )
            for place in shared
        ]
        if second not in named and math.prod(luck) * len(pairs) < CHANCE:
            named.add(second)
            yield _taster_block(first, second, told, shared)


def _taster_block(
    first: str, second: str, told: Mapping[str, Mapping[_Place, Score]], shared: Sequence[_Place]
) -> Copies:
    scores, like = (tuple(told[name][place] for place in shared) for name in (second, first))
    return Copies(scores, like, len({place[:2] for place in shared}), second, first)


def _agree(one: Mapping[_Place, Score], other: Mapping[_Place, Score]) -> bool:
    return all(_said(one[place]) == _said(other[place]) for place in one.keys() & other.keys())


def _says(told: Mapping[_Place, Score]) -> dict[_Place, Said]:
    return {place: _said(score) for place, score in told.items()}
