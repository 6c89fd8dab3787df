"""Cups that one taster scored twice under one code: pots where the whole sheet does so, else asked."""

from collections import Counter, defaultdict
from collections.abc import Hashable

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.score_rows import ScoreRow, plain_text

USUAL = 0.7  # share of the cups that are repeated alike where a sheet means it


def number_repeats(recognised: Recognised, rows: list[ScoreRow], context: Context) -> None:
    """Give each repeat its number. Where nearly every cup is repeated the same number of times, the rows are
    pots and this is asked once; a cup repeated by itself is asked where it stands, for two samples may
    share its code.
    """
    column = recognised.column_of("sample")
    if column is None or recognised.column_of("replicate") is not None:
        return
    cups: dict[Hashable, list[ScoreRow]] = defaultdict(list)
    for row in rows:
        if row.taster.name and row.sample.name and not row.replicate:
            cups[_cup(recognised, row)].append(row)
    repeated = [group for group in cups.values() if len(group) > 1]
    if not repeated:
        return
    for group in repeated:
        for number, row in enumerate(group, start=1):
            row.replicate = str(number)
    (_, usual), *_ = Counter(len(group) for group in repeated).most_common(1)
    grid, head = recognised.table.grid, max(recognised.table.header_rows)
    if usual >= USUAL * len(cups):
        context.problems.add(grid, head, column, "repeats_counted")
        return
    for first, *others in repeated:
        for row in others:
            before = f"{first.sample_raw.strip()} before, in {grid.name_of(first.row, column)}"
            why = f"the same taster has scored {before}: a second pot, or two samples that share this code"
            context.problems.add(grid, row.row, column, "same_cup_twice", why=why)


def _cup(recognised: Recognised, row: ScoreRow) -> Hashable:
    attribute = plain_text(recognised.table.grid, row.row, recognised.column_of("attribute"))
    return row.taster.name, row.sample.name, row.sitting, row.stage, row.brew, attribute
