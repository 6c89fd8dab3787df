"""What the buyer noted of a lot by hand, worded: the last holds, the ones before stay readable."""

from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.sentences import said_day
from wetleaf.findings.book import NotedDecision
from wetleaf.findings.records import DecisionRow
from wetleaf.trade.stages import NextStep


def noted_of(case: LotCase) -> tuple[NotedDecision, ...]:
    """Return what was decided of a lot, the last first."""
    mine = [row for row in case.season.records.decisions if row.lot == case.lot.pk]
    return tuple(_noted(case, row) for row in reversed(mine))


def _noted(case: LotCase, row: DecisionRow) -> NotedDecision:
    return NotedDecision(
        when=said_day(row.noted_on, seen_from=case.made_on) if row.noted_on else "",
        said=f"{row.word} ({NextStep[row.step.upper()].value})" if row.step else row.word,
        why=row.why,
        kilos=f"{row.kilos.normalize():f} kg" if row.kilos is not None else "",
        price=row.price,
        rested_on=tuple(f"{question} {answer}" for question, answer, _ in row.rests_on),
        replaced=row.replaced,
    )
