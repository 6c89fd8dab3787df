"""What the codes of a workbook mean on the books, and what was left out on the way there."""

import datetime as dt
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field
from pathlib import Path

from wetleaf.lots.keeping import kept
from wetleaf.lots.models import DroppedCell, ImportRun, Lot, Sample
from wetleaf.lots.workbooks.records import Cell, LotRow

CellName = tuple[str, str]
"""A cell as (sheet, cell), "B5" also where it is merged into B5:B8."""


def cell_name(cell: Cell) -> CellName:
    """The cell's sheet and first cell.

    >>> cell_name(Cell("Lots", "C5:C8", "Widow Terrace"))
    ('Lots', 'C5')
    """
    return cell.sheet, cell.cell.split(":")[0]


@dataclass
class Shelf:
    """What the codes of a workbook mean on the books, and what was left out on the way there."""

    run: ImportRun
    now: dt.datetime
    left_out: Collection[CellName] = ()
    lots_by_row: dict[tuple[str, int], Lot] = field(default_factory=dict)
    lots: dict[str, Lot] = field(default_factory=dict)
    samples: dict[str, Sample] = field(default_factory=dict)
    dropped: list[DroppedCell] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)

    def drop(self, cell: Cell, kind: str, why: str, do: str = "", severity: str = "warn") -> None:
        """Keep in mind a cell that is not stored, and why."""
        self.dropped.append(
            kept(
                DroppedCell,
                run=self.run,
                sheet=cell.sheet,
                cell=cell.cell,
                says=cell.says,
                kind=kind,
                severity=severity,
                why=why,
                do=do,
            )
        )

    @property
    def file_stem(self) -> str:
        """The file's name without its ending, for what a file without sheets does not name."""
        return Path(self.run.file_name).stem

    def source(self, cell: Cell | None) -> str:
        """Where a thing stands: "spring.xlsx, Lots!A5"."""
        return f"{self.run.file_name}, {cell.sheet}!{cell.cell}" if cell is not None else self.run.file_name


def cell_key(name: str, row: LotRow) -> str:
    """The key of a field's cell: `moq_grams` may be kept as `moq`, the name of its column."""
    short = name.removesuffix("_max").removesuffix("_grams")
    return name if name in row.cells or short not in row.cells else short
