"""The decision book as values: what the pages show, already worded, and nothing of how it is drawn.

`assembling.py` makes a `SeasonBook` from the database; `drawings/` and the templates show it, in the single
file of `wetleaf book` and on the served site alike. Every estimate carries a `Ground`: what it rests on.
"""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

AnswerWord = Literal["yes", "no", "can't tell yet"]


@dataclass(frozen=True)
class Ground:
    """What a number rests on: the chain from answer to leaf, and the trace of its computation."""

    key: str  # a short anchor, "g12"
    question: str
    method: str
    method_version: str
    input_digest: str
    rests_on: tuple[tuple[str, str], ...] = ()  # (what, how) from the finding down to the sample


@dataclass(frozen=True)
class Estimate:
    """A number with its doubt, on its scale."""

    value: float
    low: float
    high: float
    scale_low: float
    scale_high: float
    confidence: float = 0.95
    ground: Ground | None = None
    note: str = ""  # "one cup, one taster"


@dataclass(frozen=True)
class Answer:
    """A question with one of the three answers, or a word for why it was not asked ("no last year")."""

    question: str
    answer: AnswerWord | None
    says: str = ""  # "roast and flower moved, the rest did not"
    not_asked: str = ""  # shown when answer is None: "no last year", "not tasted"
    ground: Ground | None = None
    beside: tuple[str, ...] = ()  # what a reader has to know with it: the age of a kept sample, whose scale


@dataclass(frozen=True)
class FactRow:
    """A fact as stated, who says so, and the doubt about it, if any. `private` facts hide by default."""

    what: str
    stated: str
    who_says: str
    doubt: str = ""
    private: bool = False


@dataclass(frozen=True)
class Word:
    """A word said at a stage: how strongly (1 to 5), by how many, or that it was looked for and not found."""

    text: str
    strength: int = 2
    said_by: int = 1
    absent: bool = False


@dataclass(frozen=True)
class Bar:
    """An intensity at a stage, for the left and the right tea, and whether they differ."""

    attribute: str
    left: Estimate | None
    right: Estimate | None
    differ: AnswerWord | None = None


@dataclass(frozen=True)
class Rung:
    """One stage of a ladder."""

    stage: str  # key of trade.stages
    name: str
    when: str = ""
    left: tuple[Word, ...] = ()
    shared: tuple[Word, ...] = ()
    right: tuple[Word, ...] = ()
    bars: tuple[Bar, ...] = ()


@dataclass(frozen=True)
class Ladder:
    """Two teas stage by stage (`kind` two), last year's and this year's (years), or one tea (one)."""

    kind: Literal["one", "two", "years"]
    say: str
    left_title: str
    left_sub: str
    right_title: str
    right_sub: str
    rungs: tuple[Rung, ...]


@dataclass(frozen=True)
class Dot:
    """One lot's dot in a row of the profile."""

    label: str
    estimate: Estimate | None
    is_this: bool = False


@dataclass(frozen=True)
class ProfileRow:
    """An attribute: a dot a lot, the house's tolerance as a band, and the answer."""

    attribute: str
    dots: tuple[Dot, ...]
    band_low: float | None
    band_high: float | None
    answer: Answer
    excluded: str = ""  # the smallest change that could be excluded: "1.1"


@dataclass(frozen=True)
class Profile:
    """Dots with intervals; rows sorted by how much they separate the lots."""

    title: str
    say: str
    model: str
    scale_low: float
    scale_high: float
    labels: tuple[str, ...]
    rows: tuple[ProfileRow, ...]
    ground: Ground | None = None
    warnings: tuple[str, ...] = ()
    about: str = ""  # who tasted how many pots of what, and how far a claim reaches
    decides: str = ""  # what the line beside the band is, where it is not a plain 95 % interval


@dataclass(frozen=True)
class Spot:
    """A lot on the range map. `kind`: "kept" in an earlier year, for a "line" of the shop, or "other".

    `half_long`, `half_short` and `turn` (radians) draw its ellipse; nan where there is none.
    """

    label: str
    name: str
    kind: Literal["kept", "line", "other"]
    x: float
    y: float
    half_long: float
    half_short: float
    turn: float
    nearest: str  # "RK-08 (0.6 points an attribute, 0.0 to 1.0)"


@dataclass(frozen=True)
class EmptiestRegion:
    """Where in the range is nobody: a circle on the map, hatched, and what it says inside."""

    x: float
    y: float
    radius: float
    says: str


@dataclass(frozen=True)
class RangeMap:
    """Where the lots stand by how strong is what; the ends of its axes in words."""

    title: str
    say: str
    spots: tuple[Spot, ...]
    gap: EmptiestRegion | None
    left: str
    right: str
    down: str
    up: str
    about: str
    tells: tuple[str, ...]  # what stands nearest to what was kept in earlier years
    ground: Ground


@dataclass(frozen=True)
class RemarkAsWritten:
    """A taster's words as written, with where and how they were given."""

    text: str
    taster: str
    how: str  # "wet leaf, 12 May, blind"


@dataclass(frozen=True)
class TastedAgain:
    """What was said of a lot at one of several tastings, in their order; `replaced` by a later word of it."""

    when: str
    who: str  # "" where the sheet names nobody
    said: str
    more: str = ""  # what was said beside the judgement
    replaced: bool = False


@dataclass(frozen=True)
class NotedDecision:
    """What the buyer noted of a lot by hand: "keep", why, and what the book said then."""

    when: str
    said: str
    why: str
    kilos: str
    price: str  # private
    rested_on: tuple[str, ...]  # "Is it last year's tea? yes"
    replaced: bool = False


@dataclass(frozen=True)
class Settling:
    """An open question and the cheapest way to know."""

    question: str
    way: str
    brews: int | None = None
    cups: int | None = None
    grams: Decimal | None = None
    when: str = ""


@dataclass(frozen=True)
class NextStep:
    """One of the suggested next steps of trade.stages, with its particulars and the reason. Never "buy"."""

    key: str
    text: str
    why: str


@dataclass(frozen=True)
class LotPage:
    """Everything the book knows of one lot: the line on the first screen and its page."""

    code: str
    name: str
    anchor: str
    tea_class: str
    line: str
    producer: str  # private
    verdict: Literal["keep", "maybe", "no", ""]
    tasted: bool
    origin: str
    harvest: str
    harvest_from: dt.date | None
    price_per_kg: Decimal | None  # private
    currency: str
    price_written: str  # private
    overall: Estimate | None
    chance_best: float | None
    on_shortlist: bool
    last_year: Answer
    target: Answer
    gaps: tuple[str, ...]
    doubts: tuple[str, ...]
    brews_left: int | None
    grams_left: Decimal | None
    leaf_warning: str
    offer_until: dt.date | None
    step: NextStep
    say: str
    answers: tuple[Answer, ...]
    facts: tuple[FactRow, ...]
    letters: tuple[tuple[str, str], ...]  # (language, text), empty when nothing is to be asked
    ladder: Ladder | None
    profile: Profile | None
    remarks: tuple[RemarkAsWritten, ...]
    last_year_words: tuple[Word, ...]
    this_year_words: tuple[Word, ...]
    settle: tuple[Settling, ...]
    grounds: tuple[Ground, ...]
    again: tuple[TastedAgain, ...] = ()  # empty where it was judged once
    noted: tuple[NotedDecision, ...] = ()  # by hand, the last first
    nearest: str = ""  # "Nearest to it here: RK-08 (0.6 points an attribute, 0.0 to 1.0)."
    price_lacks_weight: bool = False  # a price was written, and not for which weight
    offer_written: str = ""  # until when it is on offer, as written: shown where no day is understood
    placed_at: Estimate | None = None  # the liking that ranks it, where its blind one does not


@dataclass(frozen=True)
class Group:
    """Lots that could fill one line, or of one class where no line is named; best first."""

    name: str
    tea_class: str
    wanted_kg: Decimal | None
    say: str
    lots: tuple[LotPage, ...]


@dataclass(frozen=True)
class TasterRow:
    """How one person tasted in a flight: a help to the table, never a mark for a person."""

    name: str
    cups: int
    cups_possible: int
    level: Estimate | None  # lower or higher than the table
    spread: str
    same_cup: str  # "the same cup twice: 0.4 apart"
    steady: Answer
    says: str
    agrees: str = ""  # "0.83 (−0.30 to 0.99)"
    gains: str = ""  # "+0.12"


@dataclass(frozen=True)
class AloneRow:
    """How steadily one person liked the same tea twice, over the whole season."""

    name: str
    how: str  # "blind, on 0 to 7"
    pairs: int
    strays: str  # "0.5 (0.4 to 0.8)"
    alike: Estimate | None
    steady: Answer
    says: str


@dataclass(frozen=True)
class RankedRow:
    """A lot by the pairs it was served in: strength against the mean of all, and the chance it is best."""

    label: str
    strength: Estimate
    chance_best: float
    record: str  # "6 won, 2 lost, one level"


@dataclass(frozen=True)
class RankedLots:
    """Lots that pairs join, the strongest first."""

    name: str
    answer: Answer
    rows: tuple[RankedRow, ...]
    about: str
    settle: str


@dataclass(frozen=True)
class TrialPair:
    """Two lots served in trials of difference: can these tasters tell them apart, and by how much?

    `size` is the d-prime with its interval, None where no trial could be used.
    """

    pair: tuple[str, str]
    answer: Answer
    counted: str  # "9 of 12 triangles right, 4.0 by guessing"
    size: Estimate | None
    size_said: str
    tells: tuple[str, ...]  # who by name, what so many trials would have found, what could not be used
    settle: str


@dataclass(frozen=True)
class Dropped:
    """A cell that was left out or inferred at import, and why."""

    sheet: str
    cell: str
    says: str
    why: str
    severity: str  # "error" left out, "warn" to be looked at, "info" kept and only tidied
    cells: int = 1  # tidied cells of one reason are told together


@dataclass(frozen=True)
class FlightPage:
    """A flight: who tasted, how they agreed, what it found."""

    name: str
    anchor: str
    held_on: dt.date | None
    how: str  # "blind, 3 g / 150 ml / 5 min, two brews a lot"
    say: str
    lots: tuple[str, ...]
    tasters: tuple[TasterRow, ...]
    profile: Profile | None
    trials: tuple[TrialPair, ...]
    preferences: tuple[str, ...]  # sentences
    grounds: tuple[Ground, ...]
    range_map: RangeMap | None = None
    panel_notes: tuple[str, ...] = ()  # what the table as a whole is worth, and that nobody was weighed
    trials_key: str = ""  # what a d-prime means
    ranked: tuple[RankedLots, ...] = ()
    alone: tuple[AloneRow, ...] = ()


@dataclass(frozen=True)
class SeasonBook:
    """The whole book of a season. `shown_private` says whether makers and prices may be shown."""

    season: str
    before: str
    is_invented: bool
    made_on: dt.date
    shown_private: bool
    say: str
    groups: tuple[Group, ...]
    flights: tuple[FlightPage, ...]
    dropped: tuple[Dropped, ...]
    twins: tuple[str, ...]  # sentences about near-identical facts under two names
    grounds: tuple[Ground, ...]
    version: str

    @property
    def lots(self) -> tuple[LotPage, ...]:
        """Every lot, in the order of the groups."""
        return tuple(lot for group in self.groups for lot in group.lots)
