"""What each sheet and each of its columns was taken for, and why."""

from collections.abc import Iterator

from wetleaf.lots.workbooks.grid import as_text, letters
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import (
    Column,
    SheetReport,
)
from wetleaf.lots.workbooks.score_values import Scale


def columns_of(one: Recognised) -> Iterator[Column]:
    for column in one.columns:
        said = one.says.get(column.head.column) if column.read_as in ("score", "note") else None
        said = said or one.judged.get(column.head.column)
        yield Column(
            one.table.name,
            letters(column.head.column),
            column.head.whole,
            column.read_as,
            column.why,
            said.attribute if said and column.read_as == "score" else "",
            said.stage if said else "",
            said.taster if said else "",
        )


def lying_columns(one: Recognised) -> Iterator[Column]:
    """A table on its side has its fields in rows; its columns in the file are labels and records."""
    grid = one.table.grid
    labels = one.table.header_rows[-1]
    yield Column(
        one.table.name, letters(labels), "", "attribute", "its cells label the numbers to the right of them"
    )
    head = one.by_field.get("sample") or one.by_field.get("code")
    for column in one.table.rows:
        text = as_text(grid.shown(column, head.column)[2].value).strip() if head else ""
        read_as = "score" if one.role.startswith("scores") else "lot"
        yield Column(one.table.name, letters(column), text, read_as, f"headed {text!r}, the code of a sample")


def public_role(one: Recognised) -> str:
    if one.role == "scores_wide" and one.table.grid.turned:
        return "scores_per_taster_transposed"
    return one.role


def report_of(one: Recognised, scale: Scale | None) -> SheetReport:
    table = one.table
    kept = {*table.rows, *(row for row, _ in table.ignored)}
    blank = tuple(
        row for row in range(min(table.rows, default=1), max(table.rows, default=0)) if row not in kept
    )
    return SheetReport(
        table.name,
        public_role(one),
        table.header_rows,
        min(table.rows, default=None),
        max(table.rows, default=None),
        tuple(letters(c) for c in sorted(table.grid.hidden_columns)),
        tuple(table.ignored),
        blank if not table.grid.turned else (),
        (scale.low, scale.high) if scale else None,
        scale.source if scale else "",
    )
