"""The key of a blind tasting: which lot stood under which code at the table.

A key is a small table (code, lot), one or more columns of codes beside a list of lots, or a line such as
`A = FH-1, B = FH-2`. One code may stand for different lots in different sittings; then the key that
stands with the scores, or that names their sitting, is the one that counts.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from wetleaf.lots.workbooks.column_fit import column_cells, share_of
from wetleaf.lots.workbooks.grid import Grid, as_text, cell_record
from wetleaf.lots.workbooks.headings import fold, likenesses
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.recognised import Known, Recognised, Understood, code_key
from wetleaf.lots.workbooks.records import Cell
from wetleaf.lots.workbooks.tables import Table

MOST_HEADS = 7  # a key is a small table
_WHY_CODES = "its cells are the codes of a blind tasting"
_WHY_LOTS = "its cells are the lots that stood under the codes"
_SIDE_FIELDS = frozenset({"sitting", "order", "note"})


@dataclass(frozen=True)
class KeyLine:
    """One line of a key: the code at the table, the lot as written, and where and when it held."""

    code: str
    lot: str
    sheet: str
    sitting: str
    cell: Cell
    place: tuple[Grid, int, int]


def recognise_key(table: Table, known: Known) -> Recognised:
    """Say whether a table is a key; its strength is 0 where it is none."""
    nothing = Recognised(table, "key", ())
    heads = [head for head in table.heads if column_cells(table, head.column)]
    if not 2 <= len(heads) <= MOST_HEADS or len(table.rows) < 2:
        return nothing
    codes = [head for head in heads if _holds_codes(table, head, known)]
    lots = [head for head in heads if head not in codes and _holds_lots(table, head, known)]
    sides = {head.column: field for head in heads if (field := _side_field(head))}
    rest = [head for head in heads if head not in codes and head not in lots and head.column not in sides]
    if not codes or not lots or rest:
        return nothing
    lot = max(lots, key=lambda head: _share_known(table, head, known))
    read = {head.column: ("blind", _WHY_CODES) for head in codes} | {lot.column: ("lot", _WHY_LOTS)}
    columns = tuple(_understood(head, read, sides) for head in table.heads)
    by_field = {"lot": lot, "blind": codes[0]} | {
        sides[head.column]: head for head in heads if head.column in sides and head.column not in read
    }
    return Recognised(table, "key", columns, 6.0, by_field)


def _understood(head: Head, read: Mapping[int, tuple[str, str]], sides: Mapping[int, str]) -> Understood:
    if head.column in read:
        return Understood(head, *read[head.column])
    side = sides.get(head.column, "")
    return Understood(head, side or "unknown", f"headed {head.text!r}" if side else "says nothing of the key")


def _share_known(table: Table, head: Head, known: Known) -> float:
    return share_of(column_cells(table, head.column), lambda cell: known.is_lot(as_text(cell.value)))


def _holds_lots(table: Table, head: Head, known: Known) -> bool:
    if known.lots or known.names:
        return _share_known(table, head, known) >= 0.5
    return _like(head, "lot") >= 0.7  # without a list of lots the head must say it


def _holds_codes(table: Table, head: Head, known: Known) -> bool:
    texts = [as_text(cell.value).strip() for cell in column_cells(table, head.column)]
    if not all(_is_short(text) for text in texts) or _share_known(table, head, known) > 0.5:
        return False
    if _asked(texts, known) >= 0.5:
        return True
    distinct = len(set(texts)) == len(texts)
    return distinct and _like(head, "blind") >= 0.9 and bool(known.lots or known.names)


def _asked(texts: list[str], known: Known) -> float:
    return sum(code_key(text) in known.asked for text in texts) / len(texts) if texts else 0.0


def _is_short(text: str) -> bool:
    return 1 <= len(text) <= 12 and len(text.split()) <= 2


def _like(head: Head, field: str) -> float:
    return max((like.score for like in likenesses("key", head.text) if like.field == field), default=0.0)


def _side_field(head: Head) -> str:
    best = next(iter(likenesses("key", head.text)), None)
    return best.field if best is not None and best.score >= 0.7 and best.field in _SIDE_FIELDS else ""


def with_blind_columns(one: Recognised, known: Known) -> tuple[Understood, ...]:
    """The columns of a list of lots; those that nothing names and that hold the codes which score sheets
    use are the codes the lots stood under.
    """
    return tuple(
        Understood(column.head, "blind", _WHY_CODES)
        if _holds_asked_codes(one.table, column, known)
        else column
        for column in one.columns
    )


def _holds_asked_codes(table: Table, column: Understood, known: Known) -> bool:
    if column.read_as != "unknown":
        return False
    texts = [as_text(cell.value).strip() for cell in column_cells(table, column.head.column)]
    return bool(texts) and all(_is_short(text) for text in texts) and _asked(texts, known) >= 0.5


def key_lines(one: Recognised) -> Iterator[KeyLine]:
    """The lines of a key, or of a list of lots that holds the codes."""
    grid = one.table.grid
    lot = one.by_field.get("lot") or one.by_field.get("code") or one.by_field.get("name")
    sitting = one.column_of("sitting")
    codes = [column.head for column in one.columns if column.read_as == "blind"]
    if lot is None:
        return
    for row in one.table.rows:
        said = as_text(grid.shown(row, lot.column)[2].value).strip()
        when = as_text(grid.shown(row, sitting)[2].value).strip() if sitting is not None else ""
        for head in codes:
            code = as_text(grid.shown(row, head.column)[2].value).strip()
            if code and said:
                scope = when or (head.text if len(codes) > 1 else "")
                yield KeyLine(
                    code, said, grid.name, scope, cell_record(grid, row, head.column), (grid, row, lot.column)
                )


_IS = r"(?:=|→|->|is\b)"
_NEXT = rf"[,;\n|]|\s{{2,}}|\s*/\s*[^\s=:→,;/]{{1,6}}\s*{_IS}"  # a slash may stand in a code: `B = VR/17`
_PAIR = re.compile(
    rf"(?:^|[,;/\n|]|\s{{2,}})\s*([^\s=:→,;]{{1,6}})\s*{_IS}\s*([^,;\n|=→]{{1,40}}?)\s*(?=$|{_NEXT})"
)


_JOINS = re.compile("=|→|->")
_LIKE_A_LOT = re.compile(r"[^\W\d_]{1,6}[-_/ .#]?\d{1,5}[^\W\d_]?")


def written_keys(grids: Iterable[Grid], known: Known) -> Iterator[KeyLine]:
    """The keys written out as text: `417 = FH-1, 522 = FH-2`, in one cell or a line a cell."""
    for grid in grids:
        for (row, column), cell in grid.cells.items():
            if not isinstance(cell.value, str) or cell.formula or not _JOINS.search(cell.value):
                continue
            for code, lot in _pairs_in(cell.value, known):
                yield KeyLine(code, lot, grid.name, "", cell_record(grid, row, column), (grid, row, column))


def is_written_key(text: str, known: Known) -> bool:
    """Say whether a text is a key written in a line: `A = FH-1, B = FH-2`."""
    return bool(_JOINS.search(text)) and bool(_pairs_in(text, known))


def _pairs_in(text: str, known: Known) -> list[tuple[str, str]]:
    """The codes and lots of a line. Beside one lot that is known, what looks like a lot's code is taken for
    one too, so that a slip in a line is named and not passed over.
    """
    pairs = [(code, lot.strip()) for code, lot in _PAIR.findall(text[:400]) if not known.is_lot(code)]
    said = [(code, _lot_in(lot, known)) for code, lot in pairs]
    if not any(known.is_lot(lot) for _, lot in said):
        return []
    return [(code, lot) for code, lot in said if lot]


def _lot_in(text: str, known: Known) -> str:
    """The lot that a text begins with: `FH-1` in `FH-1 again`; what looks like a code; else ""."""
    words = text.split()
    begins = [" ".join(words[:count]) for count in range(len(words), 0, -1)]
    lot = next((begin for begin in begins if known.is_lot(begin)), "")
    return lot or (text if _LIKE_A_LOT.fullmatch(text) else "")


class BlindKey:
    """All keys of a book; `at` gives the one that counts for a sheet."""

    def __init__(self, lines: Iterable[KeyLine]) -> None:
        self.lines = tuple(lines)

    def at(self, sheet: str, titles: Iterable[str] = ()) -> "SheetKey":
        """Give the key as a sheet uses it: its own one, or the one that its name or a title speaks of."""
        said = fold(" ".join((sheet, *titles)))
        by_code: dict[str, list[KeyLine]] = {}
        for line in self.lines:
            by_code.setdefault(code_key(line.code), []).append(line)
        return SheetKey({code: _nearest(lines, sheet, said) for code, lines in by_code.items()})


def _nearest(lines: list[KeyLine], sheet: str, said: str) -> tuple[KeyLine, ...]:
    own = tuple(line for line in lines if line.sheet == sheet)
    named = tuple(line for line in lines if line.sitting and fold(line.sitting) in said)
    return own or named or tuple(lines)


class SheetKey:
    """The lines of a key that count for one sheet, by code."""

    def __init__(self, lines: Mapping[str, tuple[KeyLine, ...]] | None = None) -> None:
        self._lines = lines or {}

    def __bool__(self) -> bool:
        return bool(self._lines)

    def holds(self, code: str) -> bool:
        """Say whether the key lists a code."""
        return code_key(code) in self._lines

    def writes(self, code: str) -> str:
        """Give a code as the key writes it; "" where it is not there."""
        written = [line.code for line in self._lines.get(code_key(code), ())]
        return code if code in written else next(iter(written), "")

    def lots_of(self, code: str, sitting: str = "") -> frozenset[str]:
        """Give the lots, as written, that stood under a code; more than one where nothing tells which."""
        lines = self._lines.get(code_key(code), ())
        then = [line for line in lines if sitting and fold(line.sitting) == fold(sitting)]
        return frozenset(line.lot for line in then or lines)

    def contradicts(self, code: str) -> bool:
        """Say whether one key gives a code to two lots, which is named at the key itself."""
        lines = self._lines.get(code_key(code), ())
        scopes = {(line.sheet, fold(line.sitting)) for line in lines}
        return len(scopes) < len({(line.sheet, fold(line.sitting), line.lot) for line in lines})
