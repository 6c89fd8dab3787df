"""Score sheets to records: long or wide, laid on their side, one sheet a taster, with replicates
and stages.
"""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from wetleaf.lots.workbooks.context import Context, column_decimal
from wetleaf.lots.workbooks.grid import Grid, as_text, cell_record, is_blank
from wetleaf.lots.workbooks.naming import NameReading, SampleCodes, TasterNames
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import Note, Score
from wetleaf.lots.workbooks.score_values import Scale, read_score, scale_in
from wetleaf.lots.workbooks.tables import Head
from wetleaf.trade.numbers import DecimalMark, is_missing_mark

_DITTO = frozenset({'"', "''", "〃", "″", "”", "“", "do", "do.", "ditto", "dto", "dto.", "同上", "〻"})
_TITLE_TASTER = re.compile(
    r"(?:taster|tasted by|judge|panellist|by|name|verkoster(?:in)?|dégustat(?:eur|rice)|评茶员|評茶員|評者)\s*[:：=–-]\s*([^\W\d_][^\d:;,(/|]{0,30})",  # noqa: E501
    re.IGNORECASE,
)
_REPEAT = re.compile(
    r"^(?P<code>.*?)[\s,]*(?:[(\[#]|\bpot\b|\brep\b|\bbrew\b)\s*(?:pot|rep|brew|no|#)?\.?\s*(?P<number>[1-9])[)\]]?$",
    re.IGNORECASE,
)

_VESSEL = re.compile(r"\b(?:pot|bowl|vessel|brew|kanne)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Names:
    """Everything a score sheet needs to know who and what is meant."""

    tasters: TasterNames
    samples: SampleCodes


@dataclass
class _Row:
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


def taster_of_sheet(recognised: Recognised, known: TasterNames | None, told: str = "") -> str:
    """Find who scored a sheet without a taster column: the mapping, a title, or the sheet's name."""
    if told:
        return told
    table = recognised.table
    for text in reversed(table.titles):
        found = _TITLE_TASTER.search(text)
        if found:
            return found[1].strip()
    if known is not None:
        for text in (*reversed(table.titles), table.name):
            name = _taster_in(text, known)
            if name:
                return name
    return ""


def _taster_in(text: str, known: TasterNames) -> str:
    """The one taster that a text names, the longest run of words first: `Ruth P. 14 Oct` is not any Ruth."""
    words = text.replace(":", " ").split()
    for length in range(min(3, len(words)), 0, -1):
        runs = (" ".join(words[at : at + length]) for at in range(len(words) - length + 1))
        names = {
            n
            for run in runs
            if (len(run.strip(". ")) > 1 or not run.isascii())
            and (n := known.of(run.strip("'’s") if run.endswith(("'s", "’s")) else run).name)
        }
        if len(names) == 1:
            return names.pop()
    return ""


def spellings(recognised: Recognised) -> Iterator[tuple[str, str]]:
    """Give the spellings in a table: ('taster', text) and ('sample', text), as often as they stand."""
    table = recognised.table
    for name in ("taster", "sample", "lot", "a", "b", "cup1", "cup2", "cup3"):
        column = recognised.column_of(name)
        if column is None:
            continue
        kind = "taster" if name == "taster" else "sample"
        for row in table.rows:
            text = as_text(table.grid.shown(row, column)[2].value)
            if text.strip() and not is_missing_mark(text) and text.strip().casefold() not in _DITTO:
                yield kind, text


def scale_of(recognised: Recognised, context: Context) -> Scale:
    """Find the scale of a sheet: by mapping, title, heads, or by numbers that are plainly of a hundred."""
    if context.mapping.scale:
        return Scale(*context.mapping.scale, "the mapping file says so")
    table = recognised.table
    for text in (*reversed(table.titles), table.name):
        found = scale_in(text)
        if found:
            return found
    return _scale_by_numbers(recognised, context)


def _scale_by_numbers(recognised: Recognised, context: Context) -> Scale:
    table = recognised.table
    columns = _score_columns(recognised)
    heads = {found for head in columns if (found := scale_in(head.whole))}
    if len(heads) == 1 and recognised.role == "scores_long":
        return next(iter(heads))
    values = [
        v
        for head in columns
        for row in table.rows
        if isinstance(v := table.grid.at(row, head.column).value, float)
    ]
    if len(values) >= 5 and sum(10 < v <= 100 for v in values) > 0.5 * len(values) and columns:
        head = columns[0]
        context.problems.add(
            table.grid,
            max(table.header_rows),
            head.column,
            "scale_inferred",
            why="no scale is written; most numbers lie above 10, so 0 to 100 is taken",
        )
        return Scale(0.0, 100.0, "inferred: most numbers lie above 10")
    return Scale()


def _score_columns(recognised: Recognised) -> tuple[Head, ...]:
    if recognised.role == "scores_long":
        head = recognised.by_field.get("score")
        return (head,) if head else ()
    return recognised.score_heads


def read_scores(
    recognised: Recognised, names: Names, context: Context, scale: Scale, told_taster: str
) -> list[Score]:
    """Read every score of a table; empty cells are scores too, of status `missing`."""
    rows = list(_rows(recognised, names, context, told_taster))
    _propose_neighbours(rows)
    if recognised.role == "scores_long":
        return [s for row in rows for s in _long_score(recognised, row, context, scale)]
    return _wide_scores(recognised, rows, context, scale)


def _rows(recognised: Recognised, names: Names, context: Context, told_taster: str) -> Iterator[_Row]:
    table, grid = recognised.table, recognised.table.grid
    column_of = recognised.column_of
    above: dict[str, str] = {}
    sparse = {name: _is_sparse(recognised, name) for name in ("taster", "sample", "attribute")}
    counted: Counter[tuple[str, str]] = Counter()
    repeats = _repeat_columns(recognised)
    counts_pots = _counts_pots(recognised)
    for row in table.rows:
        if not any(
            not is_blank(grid.at(row, head.column)) for head in _score_columns(recognised)
        ) and not _has_names(recognised, row):
            continue
        if _is_nobodys(recognised, row, sparse):
            table.ignored.append((row, "numbers without taster and sample, not a record"))
            continue
        taster_raw = (
            _name(recognised, row, "taster", above, sparse["taster"], context)
            if column_of("taster")
            else told_taster
        )
        sample_raw = _name(recognised, row, "sample", above, sparse["sample"], context)
        code, repeat = _split_repeat(sample_raw, names.samples)
        sample = names.samples.of(code) if code.strip() else NameReading(None, "missing_sample")
        taster = names.tasters.of(taster_raw) if taster_raw.strip() else NameReading(None, "missing_taster")
        _name_problems(recognised, row, taster, sample, context)
        replicate = _pot(_plain(grid, row, column_of("replicate"))) or repeat
        if repeats and not replicate:
            counted[taster_raw, code] += 1
            replicate = str(counted[taster_raw, code])
        yield _Row(
            row,
            taster_raw,
            taster,
            sample_raw,
            sample,
            replicate,
            _plain(grid, row, column_of("stage")),
            _plain(grid, row, column_of("sitting")),
            _plain(grid, row, column_of("brew")) or (replicate if counts_pots else ""),
        )


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


def _split_repeat(raw: str, samples: SampleCodes) -> tuple[str, str]:
    """Cut `FH-01 (2)` or `FH-01 pot 2` into code and replicate, if the code alone is known."""
    if raw.strip() in samples.exact:
        return raw, ""
    found = _REPEAT.match(raw.strip())
    if found and found["code"] and samples.of(found["code"]).name is not None:
        return found["code"], found["number"]
    return raw, ""


def _plain(grid: Grid, row: int, column: int | None) -> str:
    if column is None:
        return ""
    return as_text(grid.shown(row, column)[2].value).strip()


def _is_sparse(recognised: Recognised, name: str) -> bool:
    """Say whether a column names only the first row of each group and leaves the rest empty."""
    column = recognised.column_of(name)
    if column is None or not recognised.table.rows:
        return False
    grid = recognised.table.grid
    blank = [is_blank(grid.shown(row, column)[2]) for row in recognised.table.rows]
    return not blank[0] and sum(blank) >= max(2, 0.3 * len(blank))


def _name(
    recognised: Recognised, row: int, name: str, above: dict[str, str], sparse: bool, context: Context
) -> str:
    column = recognised.column_of(name)
    if column is None:
        return ""
    grid = recognised.table.grid
    text = as_text(grid.shown(row, column)[2].value)
    if text.strip().casefold() in _DITTO and name in above:
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


def _name_problems(
    recognised: Recognised, row: int, taster: NameReading, sample: NameReading, context: Context
) -> None:
    for name, reading in (("taster", taster), ("sample", sample)):
        column = recognised.column_of(name)
        if column is not None:
            name_problem(recognised.table.grid, row, column, reading, context)


def name_problem(grid: Grid, row: int, column: int, reading: NameReading, context: Context) -> None:
    """Name what is odd about a spelling."""
    if reading.kind:
        context.problems.add(grid, row, column, reading.kind, why=reading.why)


def _propose_neighbours(rows: list[_Row]) -> None:
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


def _long_score(recognised: Recognised, row: _Row, context: Context, scale: Scale) -> Iterator[Score]:
    grid = recognised.table.grid
    column, attribute_column = recognised.column_of("score"), recognised.column_of("attribute")
    assert column is not None
    assert attribute_column is not None
    attribute = as_text(grid.shown(row.row, attribute_column)[2].value).strip()
    if not attribute:
        if is_blank(grid.at(row.row, column)):
            return
        context.problems.add(grid, row.row, attribute_column, "missing_attribute")
    yield _score(
        recognised, row, column, attribute, row.stage, scale, context, _decimal(recognised, column, context)
    )


def _decimal(recognised: Recognised, column: int, context: Context) -> DecimalMark:
    """The decimal mark of a column, looked up once for all its rows."""
    known = recognised.decimals
    if column not in known:
        known[column] = column_decimal(context, recognised.table.grid, recognised.table.rows, column)
    return known[column]


def _wide_scores(recognised: Recognised, rows: list[_Row], context: Context, scale: Scale) -> list[Score]:
    scores = []
    scales = {head.column: scale_in(head.whole) or scale for head in recognised.score_heads}
    names = {head.column: attribute_name(head) for head in recognised.score_heads}
    for row in rows:
        for head in recognised.score_heads:
            decimal = _decimal(recognised, head.column, context)
            stage = head.group or row.stage
            scores.append(
                _score(
                    recognised,
                    row,
                    head.column,
                    names[head.column],
                    stage,
                    scales[head.column],
                    context,
                    decimal,
                )
            )
    return scores


def attribute_name(head: Head) -> str:
    """The attribute that a column's head names, without the scale written beside it.

    >>> attribute_name(Head(4, "Roast aroma (0-10)"))
    'Roast aroma'
    """
    text = re.sub(r"\s*[(\[][^)\]]*\d[^)\]]*[)\]]\s*$|\s+/\s*\d+\s*$", "", head.text.strip())
    return text or head.text.strip()


def _score(
    recognised: Recognised,
    row: _Row,
    column: int,
    attribute: str,
    stage: str,
    scale: Scale,
    context: Context,
    decimal: DecimalMark,
) -> Score:
    grid = recognised.table.grid
    cell = grid.at(row.row, column)
    merge = grid.merge_of(row.row, column)
    if merge and (merge[0], merge[1]) != (row.row, column):
        cell = grid.shown(row.row, column)[2]
    reading = read_score(
        cell, scale, decimal=decimal, plain_text=grid.is_csv, commas_usual=context.decimal == ","
    )
    for kind in reading.kinds:
        _score_problem(recognised, row.row, column, kind, scale, context)
    return Score(
        cell_record(grid, row.row, column),
        grid.row_in_file(row.row, column),
        row.taster.name,
        row.taster_raw,
        row.sample.name,
        row.sample_raw.strip() if grid.is_csv else row.sample_raw,
        attribute,
        reading.value,
        reading.status,
        stage,
        row.replicate,
        row.brew,
        row.sitting or recognised.table.name,
        reading.lower,
        reading.upper,
        row.neighbour,
    )


def _score_problem(
    recognised: Recognised,
    row: int,
    column: int,
    kind: str,
    scale: Scale,
    context: Context,
) -> None:
    grid = recognised.table.grid
    why = ""
    if kind == "out_of_range":
        why = f"{as_text(grid.at(row, column).value)} on a scale from {scale.low:g} to {scale.high:g}"
    context.problems.add(grid, row, column, kind, why=why)


def read_wide_notes(recognised: Recognised, names: Names, told_taster: str, context: Context) -> list[Note]:
    """Read the column of remarks that stands beside scores."""
    column = recognised.column_of("note")
    if column is None:
        return []
    return list(notes_in(recognised, column, names, told_taster, context, quiet=True))


def notes_in(
    recognised: Recognised,
    column: int,
    names: Names,
    told_taster: str,
    context: Context,
    *,
    quiet: bool = False,
) -> Iterator[Note]:
    """Read the notes of a column, each with its taster and sample; `quiet` when their names are
    already checked.
    """
    table, grid = recognised.table, recognised.table.grid
    above: dict[str, str] = {}
    sparse = {name: _is_sparse(recognised, name) for name in ("taster", "sample")}
    for row in table.rows:
        cell = grid.at(row, column)
        taster_raw = _name(recognised, row, "taster", above, sparse["taster"], context) or told_taster
        sample_raw = _name(recognised, row, "sample", above, sparse["sample"], context)
        if is_blank(cell) or (isinstance(cell.value, str) and is_missing_mark(cell.value)):
            continue
        code = _split_repeat(sample_raw, names.samples)[0]
        sample = names.samples.of(code) if code.strip() else NameReading(None)
        taster = names.tasters.of(taster_raw) if taster_raw.strip() else NameReading(None)
        if not quiet:
            _name_problems(recognised, row, taster, sample, context)
        yield Note(
            cell_record(grid, row, column),
            as_text(cell.value).strip(),
            taster.name,
            taster_raw,
            sample.name,
            sample_raw,
            _plain(grid, row, recognised.column_of("stage")),
            _plain(grid, row, recognised.column_of("sitting")) or table.name,
        )
