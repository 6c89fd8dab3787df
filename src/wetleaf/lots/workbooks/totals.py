"""Rows that sum up others are no records: they are taken out of a table, and the reason kept."""

import re

from wetleaf.lots.workbooks.grid import as_text, is_blank
from wetleaf.lots.workbooks.keys import is_written_key
from wetleaf.lots.workbooks.recognised import Known, Recognised
from wetleaf.lots.workbooks.tables import Table, is_totals_label


def _only_sums(table: Table, row: int) -> bool:
    cells = [cell for head in table.heads if not is_blank(cell := table.grid.at(row, head.column))]
    return bool(cells) and all(
        re.match(r"=\s*(?:SUM|AVERAGE|SUBTOTAL|COUNT|MEDIAN|MIN|MAX)\w*\(", cell.formula) for cell in cells
    )


def drop_written_keys(recognised: Recognised, known: Known) -> None:
    """Take out rows that hold nothing but a key written in a line: it is read as a key elsewhere."""
    table = recognised.table
    keys = [row for row in table.rows if _only_a_key(table, row, known)]
    table.rows[:] = [row for row in table.rows if row not in keys]
    table.ignored += [(row, "the key of blind codes, not a record") for row in keys]


def _only_a_key(table: Table, row: int, known: Known) -> bool:
    values = [cell.value for head in table.heads if not is_blank(cell := table.grid.at(row, head.column))]
    return bool(values) and all(isinstance(value, str) and is_written_key(value, known) for value in values)


def drop_totals(recognised: Recognised) -> None:
    """Take totals and other rows that are no records out of a table, and keep the reason."""
    table = recognised.table
    labels = [
        head.column
        for name, head in recognised.by_field.items()
        if name in ("code", "name", "sample", "taster", "lot", "attribute", "producer")
    ] or [head.column for head in table.heads[:2]]
    kept: list[int] = []
    for row in table.rows:
        texts = [as_text(table.grid.at(row, c).value).strip() for c in labels]
        filled = [text for text in texts if text]
        if not filled and _only_sums(table, row):
            table.ignored.append((row, "sums of the rows above, not a record"))
        elif any(is_totals_label(text) for text in filled) and (
            len(filled) == 1 or recognised.role.startswith("scores")
        ):
            table.ignored.append((row, "totals row, not a record"))
        else:
            kept.append(row)
    table.rows[:] = kept
