"""Each row of a score sheet with who tasted what, and in which repeat, stage and sitting."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.grid import Grid, as_text, is_blank
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.naming import NameReading, SampleCodes
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.score_names import DITTO, Names, name_problem
from wetleaf.trade.numbers import is_missing_mark

_REPEAT = re.compile(
    r"^(?P<code>.*?)[\s,]*(?:[(\[#]|\bpot\b|\brep\b|\bbrew\b)\s*(?:pot|rep|brew|no|#)?\.?\s*(?P<number>[1-9])[)\]]?$",
    re.IGNORECASE,
)
_VESSEL = re.compile(r"\b(?:pot|bowl|vessel|brew|kanne)\b", re.IGNORECASE)


@dataclass
class ScoreRow:
    row: int
    taster_raw: str
    taster: NameReading
    sample_raw: str
    sample: NameReading
    replicate: str
    stage: str
    sitting: str
    brew: str
    neighbour: str | None = None


def score_columns(recognised: Recognised) -> tuple[Head, ...]:
    if recognised.role == "scores_long":
        head = recognised.by_field.get("score")
        return (head,) if head else ()
    return recognised.score_heads


def score_rows(
    recognised: Recognised, names: Names, context: Context, told_taster: str
) -> Iterator[ScoreRow]:
    """Give each row that is a record, with its taster and sample under the names they go by."""
    grid, column_of = recognised.table.grid, recognised.column_of
    above: dict[str, str] = {}
    sparse = {name: is_sparse(recognised, name) for name in ("taster", "sample", "attribute")}
    counted: Counter[tuple[str, str]] = Counter()
    repeats = _repeat_columns(recognised)
    counts_pots = _counts_pots(recognised)
    for row in _record_rows(recognised, sparse):
        taster_raw = (
            name_in(recognised, row, "taster", above, sparse["taster"], context)
            if column_of("taster")
            else told_taster
        )
        sample_raw = name_in(recognised, row, "sample", above, sparse["sample"], context)
        code, repeat = split_repeat(sample_raw, names.samples)
        sitting = plain_text(grid, row, column_of("sitting"))
        sample = names.samples.of(code, sitting) if code.strip() else NameReading(None, "missing_sample")
        taster = names.tasters.of(taster_raw) if taster_raw.strip() else NameReading(None, "missing_taster")
        name_problems(recognised, row, taster, sample, context)
        replicate = _pot(plain_text(grid, row, column_of("replicate"))) or repeat
        if repeats and not replicate:
            counted[taster_raw, code] += 1
            replicate = str(counted[taster_raw, code])
        yield ScoreRow(
            row,
            taster_raw,
            taster,
            sample_raw,
            sample,
            replicate,
            plain_text(grid, row, column_of("stage")),
            sitting,
            plain_text(grid, row, column_of("brew")) or (replicate if counts_pots else ""),
        )


def _record_rows(recognised: Recognised, sparse: dict[str, bool]) -> Iterator[int]:
    """The rows with a score or a sample; numbers that are nobody's are noted as ignored."""
    table = recognised.table
    for row in table.rows:
        scored = any(not is_blank(table.grid.at(row, head.column)) for head in score_columns(recognised))
        if not scored and not _has_names(recognised, row):
            continue
        if _is_nobodys(recognised, row, sparse):
            table.ignored.append((row, "numbers without taster and sample, not a record"))
        else:
            yield row


def _counts_pots(recognised: Recognised) -> bool:
    """Whether what is numbered as repeated is named as pots: then every repeat is a brew of its own."""
    head = recognised.by_field.get("replicate")
    return head is not None and bool(_VESSEL.search(head.text))


def _pot(text: str) -> str:
    """The number in `pot 2` or `#2`.

    >>> _pot("rep 2"), _pot("b")
    ('2', 'b')
    """
    found = re.fullmatch(r"\D{0,12}?(\d{1,2})\D{0,3}", text)
    return found[1] if found else text


def _is_nobodys(recognised: Recognised, row: int, sparse: dict[str, bool]) -> bool:
    """Numbers in a row where neither taster nor sample stands are means or notes to oneself."""
    names = ("taster", "sample", "attribute")
    columns = [c for name in names if not sparse[name] and (c := recognised.column_of(name)) is not None]
    return len(columns) >= 2 and all(is_blank(recognised.table.grid.shown(row, c)[2]) for c in columns)


def _has_names(recognised: Recognised, row: int) -> bool:
    column = recognised.column_of("sample")
    return column is not None and not is_blank(recognised.table.grid.shown(row, column)[2])


def _repeat_columns(recognised: Recognised) -> bool:
    """A sheet on its side heads its columns with the same code twice when a sample was poured twice."""
    column = recognised.column_of("sample")
    if not recognised.table.grid.turned or column is None or recognised.column_of("replicate") is not None:
        return False
    codes = Counter(
        as_text(recognised.table.grid.shown(row, column)[2].value).strip() for row in recognised.table.rows
    )
    return any(number > 1 for code, number in codes.items() if code)


def split_repeat(raw: str, samples: SampleCodes) -> tuple[str, str]:
    """Cut `FH-01 (2)` or `FH-01 pot 2` into code and replicate, if the code alone is known."""
    if raw.strip() in samples.exact:
        return raw, ""
    found = _REPEAT.match(raw.strip())
    if found and found["code"] and samples.of(found["code"]).name is not None:
        return found["code"], found["number"]
    return raw, ""


def plain_text(grid: Grid, row: int, column: int | None) -> str:
    if column is None:
        return ""
    return as_text(grid.shown(row, column)[2].value).strip()


def is_sparse(recognised: Recognised, name: str) -> bool:
    """Say whether a column names only the first row of each group and leaves the rest empty. Where a name is
    written in two rows running, an empty cell is nobody's.
    """
    column = recognised.column_of(name)
    if column is None or not recognised.table.rows:
        return False
    grid = recognised.table.grid
    cells = [grid.at(row, column) for row in recognised.table.rows]
    blank = [is_blank(grid.shown(row, column)[2]) for row in recognised.table.rows]
    repeats = any(not is_blank(one) and one.value == after.value for one, after in pairwise(cells))
    return not blank[0] and not repeats and sum(blank) >= max(2, 0.3 * len(blank))


def name_in(
    recognised: Recognised, row: int, name: str, above: dict[str, str], sparse: bool, context: Context
) -> str:
    column = recognised.column_of(name)
    if column is None:
        return ""
    grid = recognised.table.grid
    text = as_text(grid.shown(row, column)[2].value)
    if text.strip().casefold() in DITTO and name in above:
        context.problems.add(grid, row, column, "ditto")
        return above[name]
    if is_missing_mark(text):
        return ""
    if text.strip():
        above[name] = text
        return text
    if sparse and name in above:
        context.problems.add(
            grid,
            max(recognised.table.header_rows),
            column,
            "filled_from_above",
            why="cells of this column are empty; the name above is taken to hold on",
        )
        return above[name]
    return ""


def name_problems(
    recognised: Recognised, row: int, taster: NameReading, sample: NameReading, context: Context
) -> None:
    for name, reading in (("taster", taster), ("sample", sample)):
        column = recognised.column_of(name)
        if column is not None:
            name_problem(recognised.table.grid, row, column, reading, context)


def propose_neighbours(rows: list[ScoreRow]) -> None:
    """Where a code is unknown and the rows before and after agree on a sample, propose it."""
    for number, row in enumerate(rows):
        if row.sample.name is not None:
            continue
        before = next((r for r in reversed(rows[:number]) if r.sample.name), None)
        after = next((r for r in rows[number + 1 : number + 6] if r.sample.name), None)
        if (
            before
            and after
            and before.sample.name == after.sample.name
            and before.taster.name == row.taster.name
        ):
            row.neighbour = before.sample.name
