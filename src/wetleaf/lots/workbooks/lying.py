"""Score sheets that lie on their side: samples across, attributes down, one block a taster.

A block begins with a row of sample codes; the labels to the left of the numbers below it are the
attributes, what stands left of those is the stage or the taster. Each block becomes a table of the
sheet turned over, so that it is read like any wide score sheet.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

from wetleaf.lots.workbooks.column_fit import is_score_like
from wetleaf.lots.workbooks.grid import Grid, as_text, is_blank
from wetleaf.lots.workbooks.headings import fold, likenesses
from wetleaf.lots.workbooks.heads import Head, text_of
from wetleaf.lots.workbooks.recognised import Known, code_key
from wetleaf.lots.workbooks.tables import Table, titles_above, turned

_CODE_LIKE = re.compile(r"^[^\W\d_]{0,6}[-_/ .#]?\d{2,5}[^\W\d_]?$")
_LETTERED_CODE = re.compile(r"^[^\W\d_]{1,5}[-_/ ]?\d{1,4}[^\W\d_]?$")


@dataclass(frozen=True)
class _Block:
    """Where a block stands: its row of codes, the columns of codes, the labels' column, its rows."""

    code_row: int
    first: int
    last: int
    labels: int
    rows: tuple[int, ...]


def lying_tables(grid: Grid, known: Known) -> tuple[list[Table], Grid]:
    """Find the blocks of a sheet; return a table for each, and the sheet without them."""
    blocks = _blocks(grid, known)
    if not blocks:
        return [], grid
    flat = turned(grid)
    tables = [
        table
        for number, block in enumerate(blocks)
        for table in _tables(grid, flat, block, known, blocks[:number])
    ]
    return tables, _without(grid, blocks)


def _is_code(known: Known) -> Callable[[str], bool]:
    if known.codes:
        # 10,5 is a score, though the code 105 is the same without its sign
        return lambda text: code_key(text) in known.codes and not re.fullmatch(r"\d+[.,]\d+", text)
    return lambda text: bool(_LETTERED_CODE.match(text))


def _blocks(grid: Grid, known: Known) -> list[_Block]:
    is_code = _is_code(known)
    if not _may_lie(grid, is_code):
        return []
    code_rows = {row: run for row in grid.filled_rows() if (run := _code_run(grid, row, is_code)) is not None}
    blocks: list[_Block] = []
    for row, (first, last) in code_rows.items():
        block = _block(grid, row, first, last, set(code_rows))
        if block is not None and not (blocks and row in blocks[-1].rows):
            blocks.append(block)
    return blocks


def _may_lie(grid: Grid, is_code: Callable[[str], bool]) -> bool:
    """A cheap look: some row holds two codes or more outside the first column."""
    seen: dict[object, bool] = {}
    for row, columns in grid.by_row.items():
        codes = 0
        for column in columns:
            value = grid.cells[row, column].value
            if column == 1 or value is None:
                continue
            if value not in seen:
                text = as_text(value).strip()
                seen[value] = 0 < len(text) <= 16 and is_code(text)
            codes += seen[value]
        if codes >= 2:
            return True
    return False


def _code_run(grid: Grid, row: int, is_code: Callable[[str], bool]) -> tuple[int, int] | None:
    """The columns of a row from its first to its last code, if codes are nearly all that stands there."""
    texts = _shown_across(grid, row)
    codes = [c for c, text in texts.items() if len(text) <= 16 and is_code(text)]
    if len(codes) < 2 or min(codes) == 1:
        return None
    first = min(codes)
    while first > 2 and first - 1 in texts and _CODE_LIKE.match(texts[first - 1]):
        first -= 1  # a code that no lot carries stands before the known ones
    last = first
    while last + 1 in texts and len(texts[last + 1]) <= 16:
        last += 1
    within = [c for c in texts if first <= c <= last]
    before = [c for c in texts if c < first]
    good = sum(c in codes for c in within)
    if all(texts[c].isdigit() for c in within) and _is_under_heads(grid, row, first, last):
        return None
    return (first, last) if good >= 2 and good >= 0.6 * len(within) and len(before) <= 3 else None


def _is_under_heads(grid: Grid, row: int, first: int, last: int) -> bool:
    """Whether a row of bare numbers is data: words stand over most of its columns, with no empty row between.

    Samples called 1, 2, 5 are codes and scores at once; only their place tells which.
    """
    while row > 1 and any(not is_blank(grid.at(row - 1, c)) for c in range(1, last + 1)):
        row -= 1
        words = [isinstance(grid.at(row, c).value, str) for c in range(first, last + 1)]
        if sum(words) >= 0.6 * len(words):
            return True
    return False


def _shown_across(grid: Grid, row: int) -> dict[int, str]:
    """The texts of a row, a merged one over each of its columns: a code over the two pots of its sample."""
    texts: dict[int, str] = {}
    for column in range(1, grid.columns + 1):
        merge = grid.merge_of(row, column)
        if merge and merge[0] != row:
            continue
        cell = grid.shown(row, column)[2] if merge else grid.at(row, column)
        if not is_blank(cell):
            texts[column] = as_text(cell.value).strip()
    return texts


def _block(grid: Grid, code_row: int, first: int, last: int, code_rows: set[int]) -> _Block | None:
    labels = _label_column(grid, code_row, first)
    if labels is None:
        return None
    rows: list[int] = []
    row = code_row + 1
    while row <= grid.rows and row not in code_rows:
        label = grid.shown(row, labels)[2]
        filled = any(not is_blank(grid.at(row, c)) for c in range(first, last + 1))
        if is_blank(label) and not (filled and row == code_row + 1):
            break
        if not is_blank(label) and not isinstance(label.value, str):
            break
        rows.append(row)
        row += 1
    cells = [grid.at(r, c) for r in rows for c in range(first, last + 1) if not is_blank(grid.at(r, c))]
    numbers = sum(is_score_like(cell) for cell in cells)
    if len(rows) < 2 or numbers < 0.5 * len(cells) or numbers < 2:
        return None
    return _Block(code_row, first, last, labels, tuple(rows))


def _label_column(grid: Grid, code_row: int, first: int) -> int | None:
    """The nearest column to the left that is full of words."""
    for column in range(first - 1, max(0, first - 4), -1):
        below = [grid.shown(row, column)[2] for row in range(code_row + 1, min(code_row + 4, grid.rows) + 1)]
        words = [cell for cell in below if isinstance(cell.value, str) and re.search(r"[^\W\d_]", cell.value)]
        if len(words) >= 2:
            return column
    return None


def _tables(grid: Grid, flat: Grid, block: _Block, known: Known, before: list[_Block]) -> list[Table]:
    beside = _beside(grid, block)
    above = max((b.rows[-1] for b in before if b.rows and b.rows[-1] < block.code_row), default=0)
    corner = tuple(
        text
        for c in range(1, block.first)
        if (text := text_of(grid, block.code_row, c)) and not _is_corner(text)
    )
    titles = (*titles_above(grid, block.code_row, above), *corner)
    tasters = [fold(text) for text in beside.values() if text]
    if tasters and sum(t in known.tasters for t in tasters) >= 0.6 * len(tasters):
        return [
            _table(
                flat,
                block,
                [r for r in block.rows if beside[r] == name],
                {},
                grid,
                (*titles, f"Taster: {name}"),
            )
            for name in dict.fromkeys(beside.values())
            if name
        ]
    return [_table(flat, block, list(block.rows), beside, grid, titles)]


def _is_corner(text: str) -> bool:
    return any(like.score >= 0.7 for like in likenesses("scores", text.strip(" →↓:>"))[:1])


def _beside(grid: Grid, block: _Block) -> dict[int, str]:
    """What stands left of the labels, held on downwards: stages, or tasters."""
    beside: dict[int, str] = {}
    current = ""
    for row in block.rows:
        text = as_text(grid.shown(row, block.labels - 1)[2].value).strip() if block.labels > 1 else ""
        current = text or current
        beside[row] = current
    return beside


def _table(
    flat: Grid, block: _Block, rows: list[int], groups: dict[int, str], grid: Grid, titles: tuple[str, ...]
) -> Table:
    heads = [Head(block.code_row, "Sample")]
    for row in rows:
        label = as_text(grid.shown(row, block.labels)[2].value).strip()
        heads.append(Head(row, label or "Replicate", groups.get(row, "")))
    return Table(flat, (block.labels,), tuple(heads), list(range(block.first, block.last + 1)), titles)


def _without(grid: Grid, blocks: list[_Block]) -> Grid:
    """The sheet with the blocks blanked out, for finding the tables that stand upright beside them."""
    taken = {
        (row, column)
        for block in blocks
        for row in (block.code_row, *block.rows)
        for column in range(1, block.last + 1)
    }
    cells = {place: cell for place, cell in grid.cells.items() if place not in taken}
    return Grid(grid.name, cells, grid.merged, grid.hidden, grid.hidden_columns, grid.comments, grid.is_csv)
