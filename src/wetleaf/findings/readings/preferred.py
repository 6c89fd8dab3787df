"""Lots ranked by pairs: where lots of a group were preferred to each other, on one scale and with doubt."""

from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np

from wetleaf.findings.book import AnswerWord
from wetleaf.findings.grounds import digest_of
from wetleaf.findings.readings.groups import LotGroup
from wetleaf.findings.readings.profiles import ANSWER_WORDS
from wetleaf.findings.records import PreferenceRow, SeasonRecords
from wetleaf.numerics.rankings import RowAnswer, Unsettled, evidence_of, pair_answer, rank_lots
from wetleaf.trade.errors import BadInput

METHOD = "paired preferences on one scale (Bradley-Terry, ties, tasters), prior on the spread"
FEWEST_LOTS = 3  # of two the exact test of the pair says all there is


@dataclass(frozen=True)
class RankedLot:
    """A lot by its pairs: strength against the mean of all with its 95 % interval, the chance it is best."""

    lot: str
    strength: float
    low: float
    high: float
    chance_best: float
    wins: int
    losses: int
    ties: int


@dataclass(frozen=True)
class RankedRead:
    """The lots of a group by their pairs, the strongest first; `words` and `would_settle` say the answer."""

    group: str
    lots: tuple[RankedLot, ...]
    best: str | None
    shortlist: tuple[str, ...]
    holds_best: float
    answer: AnswerWord
    at_half: str  # who leads if lots differ half as much, and twice as much, as is usual
    at_twice: str
    tasters: tuple[str, ...]
    choices: int
    digest: str


def read_ranked(records: SeasonRecords, groups: tuple[LotGroup, ...]) -> tuple[RankedRead, ...]:
    """Rank every group in which pairs join three lots or more; lots that no pair joins are left out."""
    found = []
    for group in groups:
        if group.can_be_ranked:
            found += [_ranked(group.name, rows) for rows in _joined(_answers(records, group))]
    return tuple(one for one in found if one is not None)


def _answers(records: SeasonRecords, group: LotGroup) -> list[RowAnswer]:
    keys = set(group.keys)
    found = [_answer(records, row) for row in records.preferences if row.winner is not None or row.tie]
    return [answer for answer in found if answer is not None and set(answer.lots) <= keys]


def _answer(records: SeasonRecords, row: PreferenceRow) -> RowAnswer | None:
    """A pair as the ranking takes it; two samples of one lot are no pair of lots."""
    first, second = (records.lot_of_sample(sample).key for sample in (row.first, row.second))
    won = None if row.winner is None else records.lot_of_sample(row.winner).key
    if first == second:
        return None
    # A sheet names two teas, not which was tasted first: no order effect can be told from it.
    return replace(pair_answer(first, second, won, taster=row.taster), first=None)


def _joined(answers: list[RowAnswer]) -> list[list[RowAnswer]]:
    """Part the answers into those whose lots pairs join to each other."""
    part_of: dict[str, int] = {}
    for number, answer in enumerate(answers):
        old = {part_of[lot] for lot in answer.lots if lot in part_of}
        part_of.update({lot: number for lot, part in part_of.items() if part in old})
        part_of.update(dict.fromkeys(answer.lots, number))
    parts: dict[int, list[RowAnswer]] = defaultdict(list)
    for answer in answers:
        parts[part_of[answer.lots[0]]].append(answer)
    return [
        part for part in parts.values() if len({lot for answer in part for lot in answer.lots}) >= FEWEST_LOTS
    ]


def _ranked(group: str, answers: list[RowAnswer]) -> RankedRead | None:
    digest = digest_of(((one.places, one.taster, one.first) for one in answers), group=group)
    try:
        found = rank_lots(evidence_of(answers), rng=np.random.default_rng(int(digest[:16], 16)))
    except (BadInput, Unsettled):  # what does not settle gives no numbers
        return None
    return RankedRead(
        group=group,
        lots=tuple(
            RankedLot(
                one.lot, one.strength, one.low, one.high, one.chance_best, one.wins, one.losses, one.ties
            )
            for one in found.lots
        ),
        best=found.best,
        shortlist=found.shortlist,
        holds_best=found.holds_best,
        answer=ANSWER_WORDS[found.answer],
        at_half=found.at_half.leader,
        at_twice=found.at_twice.leader,
        tasters=tuple(sorted({one.taster for one in answers if one.taster})),
        choices=len(answers),
        digest=digest,
    )
