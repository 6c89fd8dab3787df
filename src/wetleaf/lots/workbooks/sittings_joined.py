"""The sittings that score sheets and a list of sittings tell of, each once."""

from dataclasses import replace

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.house_reading import (
    date_in,
    sitting_of,
)
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import (
    Score,
    Sitting,
)
from wetleaf.lots.workbooks.score_values import Scale


def sittings_of(one: Recognised, scale: Scale, scores: list[Score], context: Context) -> list[Sitting]:
    """The sittings that a score sheet names in a column, else the sheet itself as one."""
    whole = sitting_of(one.table, scale, context)
    named = dict.fromkeys(score.sitting for score in scores)
    return [
        replace(whole, name=name, held_on=date_in((name,), context) or whole.held_on) for name in named
    ] or [whole]


def merged_sittings(sittings: list[Sitting]) -> list[Sitting]:
    found: dict[str, Sitting] = {}
    for sitting in sittings:
        found.setdefault(sitting.name, sitting)
    return list(found.values())


def joined_sittings(listed: list[Sitting], told: list[Sitting]) -> list[Sitting]:
    """A list of sittings completes what the score sheets tell of themselves."""
    by_name = {fold(sitting.name): sitting for sitting in listed}
    joined = []
    for sitting in told:
        more = by_name.pop(fold(sitting.name), None)
        joined.append(_completed(sitting, more) if more else sitting)
    return [*joined, *by_name.values()]


def _completed(sitting: Sitting, more: Sitting) -> Sitting:
    return replace(
        sitting,
        held_on=more.held_on or sitting.held_on,
        blind=more.blind if more.blind is not None else sitting.blind,
        brewed=more.brewed or sitting.brewed,
        purpose=more.purpose,
    )
