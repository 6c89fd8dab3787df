"""Cups of one lot that a taster met more than once: no two scores are ever kept as one.

Two blind codes of a lot are two pots of it. Under one code the rows are pots where the whole sheet repeats
so, else each is asked. What is still the same cup with two scores, in two columns or two tables, is a further
cup, or an error where the sheet itself numbers the cup.
"""

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable
from dataclasses import replace

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.grid import Grid, place_of
from wetleaf.lots.workbooks.naming import SampleCodes
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import Score
from wetleaf.lots.workbooks.score_rows import ScoreRow, plain_text

USUAL = 0.7  # share of the cups that are repeated alike where a sheet means it


def part_pots_by_code(
    recognised: Recognised, rows: list[ScoreRow], samples: SampleCodes, context: Context
) -> None:
    """Two blind codes of one lot are two pots of it: each row keeps its code as its pot."""
    column = recognised.column_of("sample")
    codes: dict[tuple[str | None, str], dict[str, ScoreRow]] = defaultdict(dict)
    for row in rows:
        if row.sample.name and (code := samples.blind_code(_bare(row))):
            codes[row.sample.name, row.sitting].setdefault(code, row)
    for row in rows:
        under = codes.get((row.sample.name, row.sitting), {})
        if len(under) > 1 and not row.brew and not row.replicate:
            row.brew = samples.blind_code(_bare(row))
    for (lot, _), under in codes.items():
        if len(under) > 1 and column is not None:
            _tell_of_two_codes(recognised, column, str(lot), under, context)


def _bare(row: ScoreRow) -> str:
    return row.sample_raw.strip()


def _tell_of_two_codes(
    recognised: Recognised, column: int, lot: str, under: dict[str, ScoreRow], context: Context
) -> None:
    why = (
        f"{' and '.join(under)} are both {lot}: it came more than once, and each is kept as a pot of its own"
    )
    for row in list(under.values())[1:]:
        context.problems.add(recognised.table.grid, row.row, column, "lot_under_two_codes", why=why)


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
        if row.sample.name and not row.replicate:
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
    taster = row.taster.name or row.taster_raw  # "" where the heads name the tasters, or nobody is named
    return taster, row.sample.name, row.sitting, row.stage, row.brew, attribute


def tell_scores_apart(scores: Iterable[Score], grids: dict[str, Grid], context: Context) -> list[Score]:
    """Let no two scores of one cup differ: the later is a further cup, or an error if it is numbered."""
    met: dict[Hashable, Score] = {}
    told: list[Score] = []
    for score in scores:
        first = met.setdefault(_answer_to(score), score)
        if score.sample and _says(score) and _says(first) and _says(score) != _says(first):
            score = _further_cup(score, first, met, grids, context)
        elif _says(score) and not _says(first):
            met[_answer_to(score)] = score
        told.append(score)
    return told


def _answer_to(score: Score) -> Hashable:
    who = score.taster or score.taster_raw
    return who, score.sample, score.attribute, score.stage, score.replicate, score.brew, score.sitting


def _says(score: Score) -> Hashable:
    return None if score.status == "missing" else (score.value, score.status, score.lower, score.upper)


def _further_cup(
    score: Score, first: Score, met: dict[Hashable, Score], grids: dict[str, Grid], context: Context
) -> Score:
    grid = grids[score.cell.sheet]
    row, column = place_of(score.cell.cell)
    row, column = (column, row) if grid.turned else (row, column)
    where = (
        first.cell.cell if first.cell.sheet == score.cell.sheet else f"{first.cell.sheet}!{first.cell.cell}"
    )
    before = f"this cup has another score, {first.cell.says}, in {where}"
    if score.replicate or score.brew:
        context.problems.add(grid, row, column, "scored_twice", why=before)
        return score
    context.problems.add(grid, row, column, "further_cup", why=f"{before}: kept as a further cup")
    number = 2
    while (further := replace(score, replicate=str(number))) and _answer_to(further) in met:
        number += 1
    met[_answer_to(further)] = further
    return further
