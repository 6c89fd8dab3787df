"""Text that is no table, though it holds commas: programs, their data, logs, prose."""

import re
from collections import Counter

from wetleaf.lots.workbooks.grid import Grid
from wetleaf.trade.errors import BadInput

LOOKED_AT = 400  # lines, from the top
FEWEST = 4  # lines: a shorter text is let through, its table is found or not
_BEGINS = re.compile(
    r"\s*(?:(?:async )?def \w+\(|class \w+|import [\w.]+|from [\w.]+ import |return\b|raise |elif |else:|try:"
    r"|except\b|with .*:$|(?:if|for|while)\b.*[:{]$|@\w+|#include|#!|//|/\*|\*/|<[/!?\w]|[}\])]+[;,)]*$"
    r"|(?:var|let|const|function|public|private|static|void|package|use|sub|my)\s|\"\"\"|```|#{1,4} |[-*] "
    r"|\w[\w.-]*\s*[:=]\s*[\"'{\[(]|\"[^\"]{1,60}\"\s*:\s|[.#@\w][\w .#>:()-]*\s?\{|\|?\s*:?-{3,})"
)
_ENDS = re.compile(r"(?:[{(\[]|\)\s*[:;]|[\w)\]\"']\s*;)\s*$")
_JSON = re.compile(r"\s*[\[{]\s*(?:[\"{\[\]}]|-?\d)")


def refuse_other_text(name: str, text: str, separator: str, grid: Grid) -> None:
    """Raise `BadInput` for a text that is surely no table, with what tells so.

    A table may have titles, blank rows and footnotes and leave its last cells out; but most of its rows are
    about as wide as each other, and its lines do not read like a program's.
    """
    why = _why_no_table(text, separator, grid)
    if why:
        raise BadInput(
            f"{name}: this is a text and no table: {why}.",
            way_out="Save the table itself as CSV or XLSX and retry.",
        )


def _why_no_table(text: str, separator: str, grid: Grid) -> str:
    lines = [line for line in text[:60_000].splitlines() if line.strip()][:LOOKED_AT]
    if _JSON.match(text) and text.rstrip()[-1:] in "]}":
        return "it reads like JSON"
    if len(lines) < FEWEST:
        return ""
    if sum(_is_code(line, separator) for line in lines) >= 0.25 * len(lines):
        return "its lines read like a program"
    even = _evenness(grid)
    if even < 0.5:
        return "its lines do not fall into the same columns"
    if even < 0.9 and _long_cells(grid) > 0.4:
        return "its lines read like sentences"
    return ""


def _is_code(line: str, separator: str) -> bool:
    if _BEGINS.match(line):
        return True
    ends_in_separator = separator == ";" and line.rstrip().endswith(";")
    return bool(_ENDS.search(line)) and not ends_in_separator


def _evenness(grid: Grid) -> float:
    """The share of filled rows that are at least half as wide as the usual row of two cells or more."""
    widths = [max(columns) for columns in list(grid.by_row.values())[:LOOKED_AT]]
    wide = [width for width in widths if width > 1]
    if not wide:
        return 0.0
    usual = Counter(wide).most_common(1)[0][0]
    return sum(max(2, 0.5 * usual) <= width <= usual + 3 for width in widths) / len(widths)


def _long_cells(grid: Grid) -> float:
    """The share of cells that hold five words or more."""
    rows = list(grid.by_row.items())[:LOOKED_AT]
    cells = [str(grid.cells[row, column].value) for row, columns in rows for column in columns]
    return sum(len(cell.split()) >= 5 for cell in cells) / len(cells) if cells else 0.0
