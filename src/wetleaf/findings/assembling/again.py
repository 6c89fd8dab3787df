"""What was said of a lot each time: verdicts and likings as given, and tastings some days after its roast.

Shown where there is more than one; the workbook does not say whether a price was seen, so neither does this.
"""

import datetime as dt
from collections import defaultdict

from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.sentences import counted, said_day
from wetleaf.findings.book import TastedAgain
from wetleaf.findings.drawings.spoken import said_tick
from wetleaf.findings.readings.liking import FIRST_PASS
from wetleaf.findings.records import RetasteRow, VerdictRow

_READY = {"not_ready": "not ready", "nearly": "nearly ready", "ready": "ready"}


def tasted_again(case: LotCase) -> tuple[TastedAgain, ...]:
    """Return every tasting of a lot that was judged more than once, in the order in which it was judged."""
    return (*_judged(case), *_after_the_roast(case))


def _judged(case: LotCase) -> list[TastedAgain]:
    records = case.season.records
    replaced = {row.pk for row in records.earlier_verdicts}
    mine = [
        row
        for row in (*records.earlier_verdicts, *records.verdicts)
        if records.sample_of[row.sample].lot == case.lot.pk and (row.word or row.liking is not None)
    ]
    if len(mine) < 2:
        return []
    ordered = sorted(mine, key=lambda row: (row.given_on or dt.date.min, row.pk))
    times: dict[str, int] = defaultdict(int)
    told = []
    for row in ordered:
        times[row.taster] += 1
        told.append(
            TastedAgain(
                _when(case, row, times[row.taster]), row.taster, _said(row), replaced=row.pk in replaced
            )
        )
    return told


def _when(case: LotCase, row: VerdictRow, time: int) -> str:
    flight = case.season.records.flight_of.get(row.flight) if row.flight is not None else None
    where = flight.told if flight else FIRST_PASS if time == 1 else "again"
    return f"{where}, {said_day(row.given_on, seen_from=case.made_on)}" if row.given_on else where


def _said(row: VerdictRow) -> str:
    liking = "" if row.liking is None else f"{said_tick(row.liking)} of {said_tick(row.scale[1])}"
    return ", ".join(part for part in (row.word, liking) if part)


def _after_the_roast(case: LotCase) -> list[TastedAgain]:
    rows = [row for row in case.season.records.retastes if row.lot == case.lot.pk]
    return [
        TastedAgain(_since_roast(case, row), "", _ready(row), _more(row))
        for row in sorted(rows, key=lambda row: row.tasted_on or dt.date.min)
    ]


def _since_roast(case: LotCase, row: RetasteRow) -> str:
    day = said_day(row.tasted_on, seen_from=case.made_on) if row.tasted_on else "day not said"
    if row.tasted_on is None or row.roasted_on is None:
        return f"{day}, after its roast"
    days = (row.tasted_on - row.roasted_on).days
    return f"{day}, {'on the day of' if days == 0 else counted(days, 'day') + ' after'} its roast"


def _ready(row: RetasteRow) -> str:
    doubtful = " (doubtful)" if row.doubtful else ""
    return f"{_READY.get(row.ready, row.ready or 'readiness not said')}{doubtful}"


def _more(row: RetasteRow) -> str:
    aroma = "" if row.roast_aroma is None else f"roast in the aroma {said_tick(row.roast_aroma)}"
    remark = f"“{row.remark.strip()}”" if row.remark.strip() else ""
    return ", ".join(part for part in (aroma, remark) if part)
