"""The tables of a book, recognised again and again by the codes and names that the round before told."""

import re
from dataclasses import replace

from wetleaf.lots.workbooks.grid import Grid, Workbook, as_text, column_number, letters
from wetleaf.lots.workbooks.keys import with_blind_columns
from wetleaf.lots.workbooks.known_of_book import known_of
from wetleaf.lots.workbooks.lying import lying_tables
from wetleaf.lots.workbooks.mapping import Mapping, SheetMapping
from wetleaf.lots.workbooks.recognised import Known, Recognised, code_key
from wetleaf.lots.workbooks.recognising import LOT_FACTS, recognise
from wetleaf.lots.workbooks.scores_beside_lots import with_scores_beside
from wetleaf.lots.workbooks.tables import Table, find_tables, turned
from wetleaf.lots.workbooks.totals import drop_totals, drop_written_keys
from wetleaf.trade.errors import BadInput

MOST_PASSES = 4  # lots tell score sheets, these tell keys, and keys tell the sheets under their codes


class TablesOfBook:
    """The recognised tables of a book in `tables`, and in `loose` the sheets in which none was found."""

    def __init__(self, book: Workbook, mapping: Mapping) -> None:
        _replace_cells(book, mapping)
        self.book, self.mapping = book, mapping
        self.loose: list[Grid] = []
        self.found: dict[int, tuple[Grid, list[Table]]] = {}
        self.unread: list[Table] = []  # tables of no kind
        shown = read_grids(book, mapping)
        self.known, self.tables = Known(), self._pass(Known())
        for _ in range(MOST_PASSES):
            told = known_of(self.tables, shown, mapping)
            if told == self.known:
                break
            self.known, self.tables = told, self._pass(told)

    def _pass(self, known: Known) -> list[Recognised]:
        self.loose, self.unread = [], []
        found: list[Recognised] = []
        for grid in self.book.grids:
            if grid.hidden or not grid.cells:
                continue
            tables = self._of_sheet(grid, known)
            found += tables
            if not tables:
                self.loose.append(grid)
        for one in found:
            drop_totals(one)
            drop_written_keys(one, known)
            if one.role == "lots" and known.asked:
                one.columns = with_blind_columns(one, known)
        return with_scores_beside(_first_passes(found), known)

    def _of_sheet(self, grid: Grid, known: Known) -> list[Recognised]:
        told = self.mapping.sheet(grid.name)
        if told.role == "scratch":
            return []
        if told.role or told.header_row:
            return self._recognised(grid, known, told)
        blocks, rest = lying_tables(grid, known)
        lying = [recognise(table, known, "scores_wide", _sample_row(table)) for table in blocks]
        upright = self._recognised(rest, known, told)
        if lying or any(one.strength >= 3 for one in upright):
            return [*(one for one in lying if one.strength > 0), *upright]
        return self._lots_on_their_side(grid, known) or upright

    def _lots_on_their_side(self, grid: Grid, known: Known) -> list[Recognised]:
        """A list with its fields down the side and a lot a column."""
        found = self._recognised(turned(grid), known, SheetMapping())
        return [one for one in found if one.role == "lots" and one.strength >= 4 and len(one.table.rows) >= 2]

    def _tables(self, grid: Grid, header_row: int | None, told: bool) -> list[Table]:
        """The tables of a sheet, searched once for both passes; the rows are copied, since totals
        are taken out.
        """
        key = id(grid)
        if key not in self.found:
            self.found[key] = (grid, find_tables(grid, header_row, told=told))
        return [replace(table, rows=list(table.rows), ignored=[]) for table in self.found[key][1]]

    def _recognised(self, grid: Grid, known: Known, told: SheetMapping) -> list[Recognised]:
        tables = [
            recognise(table, known, told.role, told.columns)
            for table in self._tables(grid, told.header_row, bool(told.role))
        ]
        self.unread += [one.table for one in tables if one.role == "scratch"]
        return [one for one in tables if one.role != "scratch"]


def read_grids(book: Workbook, mapping: Mapping) -> list[Grid]:
    """The sheets that are read: neither hidden nor called scratch by the mapping file."""
    return [grid for grid in book.grids if not grid.hidden and mapping.sheet(grid.name).role != "scratch"]


def _replace_cells(book: Workbook, mapping: Mapping) -> None:
    """Let a cell say what the mapping file says it means: `"Tasting!B104" = "QP-3"`."""
    for name, text in mapping.cells.items():
        sheet, _, cell = name.rpartition("!")
        found = re.fullmatch(r"\$?([A-Z]{1,3})\$?(\d{1,7})", cell.strip().upper())
        grid = next((grid for grid in book.grids if grid.name == sheet.strip("'")), None)
        if grid is None or found is None:
            raise BadInput(
                f"the mapping file speaks of {name!r}, which is no cell of this book.",
                way_out="Write it as the sheet's name, !, and the cell: 'Tasting!B104'.",
            )
        grid.set(int(found[2]), column_number(found[1]), text)


def _first_passes(tables: list[Recognised]) -> list[Recognised]:
    """A second list of the same codes with verdicts and hardly a fact is a first pass over lots,
    not more lots.
    """
    lots = [one for one in tables if one.role == "lots"]
    if len(lots) < 2:
        return tables
    main = max(lots, key=lambda one: (len(LOT_FACTS & set(one.by_field)), one.strength))
    codes = _codes(main)
    for one in lots:
        own = _codes(one)
        marks = {"verdict", "liking", "words"} & set(one.by_field)
        if one is not main and own and (marks or one.judged) and len(own & codes) >= 0.6 * len(own):
            one.role = "verdicts"
    return tables


def _codes(one: Recognised) -> set[str]:
    column = one.column_of("code")
    if column is None:
        return set()
    return {code_key(as_text(one.table.grid.shown(row, column)[2].value)) for row in one.table.rows} - {""}


def _sample_row(table: Table) -> dict[str, str]:
    return {letters(table.heads[0].column): "sample"}
