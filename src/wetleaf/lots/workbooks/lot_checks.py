"""What is odd only beside other cells: a harvest after its tasting, a code that two lots carry."""

import datetime as dt
import re
from dataclasses import replace

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.grid import Grid
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.records import LotRow
from wetleaf.trade.dates import OLDEST_YEAR


def check_harvests(lots: list[LotRow], grids: dict[str, Grid], context: Context) -> list[LotRow]:
    """Mark harvests that lie in the future, after the tasting, or before any tea on offer."""
    return [_checked(lot, grids[lot.sheet], context) for lot in lots]


def _checked(lot: LotRow, grid: Grid, context: Context) -> LotRow:
    harvest = lot.harvest
    if harvest is None or harvest.year is None:
        return lot
    span = harvest.span()
    first = span[0] if span else dt.date(harvest.year, 1, 1)
    tasted = context.tasted.get(lot.code or "")
    latest = min(tasted, context.today) if tasted else context.today
    kind = "implausible_date" if harvest.year < OLDEST_YEAR else "future_date" if first > latest else ""
    if not kind:
        return lot
    cell = lot.cells["harvest"]
    row, column = _position(cell.cell)
    if grid.turned:
        row, column = column, row
    why = f"harvested after it was tasted, on {tasted}" if tasted and first <= context.today else ""
    context.problems.add(grid, row, column, kind, why=why)
    return replace(lot, harvest=replace(harvest, implausible=True))


def _position(name: str) -> tuple[int, int]:
    from wetleaf.lots.workbooks.grid import column_number

    found = re.fullmatch(r"([A-Z]+)(\d+)", name)
    assert found
    return int(found[2]), column_number(found[1])


def duplicate_codes(lots: list[LotRow], grids: dict[str, Grid], context: Context) -> set[str]:
    """Name every lot whose code an earlier one carries; give the codes that are so shared."""
    first: dict[str, LotRow] = {}
    shared: set[str] = set()
    for lot in lots:
        if lot.code is None:
            continue
        earlier = first.setdefault(fold(lot.code), lot)
        if earlier is lot:
            continue
        shared.add(lot.code)
        row, column = _position(lot.cells["code"].cell)
        grid = grids[lot.sheet]
        if grid.turned:
            row, column = column, row
        where = f"row {earlier.row}" + (f" of {earlier.sheet}" if earlier.sheet != lot.sheet else "")
        context.problems.add(
            grid,
            row,
            column,
            "duplicate_lot_code",
            says=lot.code,
            why=f"same code as {where}; two lots are never merged in silence",
        )
    return shared
