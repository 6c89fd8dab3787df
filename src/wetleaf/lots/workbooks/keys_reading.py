"""The keys of a book's blind tastings, gathered and checked: every code, and the lot it stood for."""

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.grid import Grid
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.keys import BlindKey, KeyLine, key_lines, written_keys
from wetleaf.lots.workbooks.naming import SampleCodes
from wetleaf.lots.workbooks.recognised import Known, Recognised, code_key


def read_keys(tables: list[Recognised], shown: list[Grid], known: Known) -> BlindKey:
    """Gather the keys of a book: its tables, columns beside lots, and lines of text."""
    lines = [line for one in tables if one.role in ("key", "lots") for line in key_lines(one)]
    return BlindKey([*lines, *written_keys(shown, known)])


def check_keys(key: BlindKey, samples: SampleCodes, context: Context) -> None:
    """Name the lots of a key that are none, and codes that one sitting gives to two lots."""
    given: dict[tuple[str, str, str], KeyLine] = {}
    for line in key.lines:
        grid, row, column = line.place
        reading = samples.of(line.lot)
        if reading.kind == "unknown_sample" and samples.from_lots:
            why = f"the key gives {line.code} to {line.lot}: {reading.why}"
            context.problems.add(grid, row, column, reading.kind, why=why, says=line.lot)
        first = given.setdefault((line.sheet, fold(line.sitting), code_key(line.code)), line)
        if first.lot != line.lot:
            who = f"to {first.lot} ({first.cell.cell}) and to {line.lot} ({line.cell.cell})"
            why = f"the key gives {line.code} {who}"
            context.problems.add(grid, row, column, "blind_code_twice", why=why)
