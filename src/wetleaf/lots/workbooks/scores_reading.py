"""Score sheets to records: long or wide, laid on their side, one sheet a taster, with replicates
and stages.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from wetleaf.lots.workbooks.context import Context, column_decimal
from wetleaf.lots.workbooks.grid import as_text, cell_record, is_blank
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.naming import NameReading
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import Note, Score
from wetleaf.lots.workbooks.repeats import number_repeats, part_pots_by_code
from wetleaf.lots.workbooks.score_heads import ScoreHead, attribute_name
from wetleaf.lots.workbooks.score_names import Names
from wetleaf.lots.workbooks.score_rows import (
    ScoreRow,
    is_sparse,
    name_in,
    name_problems,
    plain_text,
    propose_neighbours,
    score_columns,
    score_rows,
    split_repeat,
)
from wetleaf.lots.workbooks.score_values import Scale, read_score, scale_in
from wetleaf.trade.numbers import DecimalMark, is_missing_mark


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
    columns = score_columns(recognised)
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


def read_scores(
    recognised: Recognised, names: Names, context: Context, scale: Scale, told_taster: str
) -> list[Score]:
    """Read every score of a table; empty cells are scores too, of status `missing`."""
    rows = list(score_rows(recognised, names, context, told_taster))
    propose_neighbours(rows)
    part_pots_by_code(recognised, rows, names.samples, context)
    number_repeats(recognised, rows, context)
    if recognised.role == "scores_long":
        return [s for row in rows for s in _long_score(recognised, row, context, scale)]
    return _wide_scores(recognised, rows, names, context, scale)


def _long_score(recognised: Recognised, row: ScoreRow, context: Context, scale: Scale) -> Iterator[Score]:
    grid = recognised.table.grid
    column, attribute_column = recognised.column_of("score"), recognised.column_of("attribute")
    assert column is not None
    assert attribute_column is not None
    attribute = as_text(grid.shown(row.row, attribute_column)[2].value).strip()
    if not attribute:
        if is_blank(grid.at(row.row, column)):
            return
        context.problems.add(grid, row.row, attribute_column, "missing_attribute")
    of = _ScoreColumn(column, attribute, scale, _decimal(recognised, column, context))
    yield _score(recognised, row, of, context)


def _decimal(recognised: Recognised, column: int, context: Context) -> DecimalMark:
    """The decimal mark of a column, looked up once for all its rows."""
    known = recognised.decimals
    if column not in known:
        known[column] = column_decimal(context, recognised.table.grid, recognised.table.rows, column)
    return known[column]


def _wide_scores(
    recognised: Recognised, rows: list[ScoreRow], names: Names, context: Context, scale: Scale
) -> list[Score]:
    columns = [_ScoreColumn.of(head, recognised, names, context, scale) for head in recognised.score_heads]
    return [_score(recognised, column.row(row), column, context) for row in rows for column in columns]


@dataclass(frozen=True)
class _ScoreColumn:
    """A column of scores: what its head says, its scale and its decimal mark."""

    column: int
    attribute: str
    scale: Scale
    decimal: DecimalMark
    says: ScoreHead = field(default_factory=lambda: ScoreHead(""))
    taster: NameReading | None = None

    @classmethod
    def of(
        cls, head: Head, recognised: Recognised, names: Names, context: Context, scale: Scale
    ) -> "_ScoreColumn":
        says = recognised.says.get(head.column) or ScoreHead(attribute_name(head), stage=head.group)
        return cls(
            head.column,
            says.attribute,
            scale_in(head.whole) or scale,
            _decimal(recognised, head.column, context),
            says,
            names.tasters.of(says.taster) if says.taster else None,
        )

    def row(self, row: ScoreRow) -> ScoreRow:
        """The row as this column sees it: with the taster, the pot and the stage that its head names."""
        says = self.says
        told = replace(row, stage=says.stage or row.stage, replicate=says.replicate or row.replicate)
        if self.taster is None:
            return told
        return replace(told, taster=self.taster, taster_raw=says.taster)


def _score(
    recognised: Recognised,
    row: ScoreRow,
    of: "_ScoreColumn",
    context: Context,
) -> Score:
    grid, column = recognised.table.grid, of.column
    cell = grid.shown(row.row, column)[2]
    commas = context.decimal == ","
    reading = read_score(cell, of.scale, decimal=of.decimal, plain_text=grid.is_csv, commas_usual=commas)
    for kind in reading.kinds:
        _score_problem(recognised, row.row, column, kind, of.scale, context)
    return Score(
        cell_record(grid, row.row, column),
        grid.row_in_file(row.row, column),
        row.taster.name,
        row.taster_raw,
        row.sample.name,
        row.sample_raw.strip() if grid.is_csv else row.sample_raw,
        of.attribute,
        reading.value,
        reading.status,
        row.stage,
        row.replicate,
        row.brew,
        row.sitting or recognised.sitting,
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
    """Read the columns of remarks that stand beside scores, each of the taster its head names."""
    notes: list[Note] = []
    for understood in recognised.columns:
        if understood.read_as == "note":
            column = understood.head.column
            said = recognised.says.get(column)
            taster = said.taster if said else told_taster
            notes += notes_in(recognised, column, names, taster, context, quiet=True)
    return notes


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
    sparse = {name: is_sparse(recognised, name) for name in ("taster", "sample")}
    for row in table.rows:
        cell = grid.at(row, column)
        taster_raw = name_in(recognised, row, "taster", above, sparse["taster"], context) or told_taster
        sample_raw = name_in(recognised, row, "sample", above, sparse["sample"], context)
        if is_blank(cell) or (isinstance(cell.value, str) and is_missing_mark(cell.value)):
            continue
        code = split_repeat(sample_raw, names.samples)[0]
        sample = names.samples.of(code) if code.strip() else NameReading(None)
        taster = names.tasters.of(taster_raw) if taster_raw.strip() else NameReading(None)
        if not quiet:
            name_problems(recognised, row, taster, sample, context)
        yield Note(
            cell_record(grid, row, column),
            as_text(cell.value).strip(),
            taster.name,
            taster_raw,
            sample.name,
            sample_raw,
            plain_text(grid, row, recognised.column_of("stage")),
            plain_text(grid, row, recognised.column_of("sitting")) or table.name,
        )
