"""Cells that a person must settle before anything of a workbook is stored, and which of them are left out."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from wetleaf.lots.intake.shelf import CellName, cell_name
from wetleaf.lots.workbooks.as_text import problem_lines
from wetleaf.lots.workbooks.copied_cups import Copies, copies_of
from wetleaf.lots.workbooks.records import Problem, ReadBook
from wetleaf.sheets.known_codes import UNKNOWN
from wetleaf.trade.errors import BadInput

ALL = "all"
COPIES = "copies"


@dataclass(frozen=True)
class LeftOut:
    """The cells that the buyer chose to leave out: those with an error, and those of copied cups."""

    cells: frozenset[CellName] = frozenset()
    copies: tuple[Copies, ...] = ()

    @property
    def rows(self) -> frozenset[tuple[str, int]]:
        """The (sheet, row) of each cell with an error."""
        return frozenset(
            (sheet, int(number[0]))
            for sheet, cell in self.cells - _cells_of(self.copies)
            if (number := re.findall(r"\d+", cell))
        )


def settle(book: ReadBook, accept: Collection[str]) -> LeftOut:
    """Return the cells to leave out, or raise BadInput that lists every cell with an error not in `accept`.

    `accept` holds cells ("Tasting 12 May!D36"), whole sheets ("Tasting 12 May") or "all". Cups that repeat
    others are kept unless `accept` names the first cell of the block, or says "copies" for all of them; a
    cup numbered and told twice is taken in once. A
    name in it that fits none is refused too: it is most likely a slip.
    """
    errors = [problem for problem in book.problems if problem.severity == "error"]
    wanted = {_plain(name) for name in accept}
    copies = copies_of(book)
    _refuse_slips(book, errors, wanted, copies)
    open_errors = [] if ALL in wanted else [problem for problem in errors if not wanted & _names_of(problem)]
    if open_errors:
        raise BadInput(_list_of(book, open_errors), way_out=_way_out(open_errors))
    wrong = frozenset((problem.sheet or "", _first_cell(problem)) for problem in errors)
    unwanted = tuple(block for block in copies if block.same_pot or wanted & {COPIES, _plain(block.name)})
    return LeftOut(wrong | _cells_of(unwanted), unwanted)


def _cells_of(copies: Collection[Copies]) -> frozenset[CellName]:
    return frozenset(cell_name(score.cell) for block in copies for score in block.scores)


def name_of(problem: Problem) -> str:
    """How `--accept` names a problem's cell: "Tasting 12 May!D36", or the sheet, or "file"."""
    return "!".join(part for part in (problem.sheet, problem.cell) if part) or "file"


def _refuse_slips(
    book: ReadBook, errors: Sequence[Problem], wanted: set[str], copies: Sequence[Copies]
) -> None:
    known = {ALL, COPIES, *(_plain(block.name) for block in copies)}.union(
        *(_names_of(problem) for problem in errors)
    )
    slips = sorted(wanted - known)
    if slips and errors:
        raise BadInput(
            f"{book.file} has no cell with an error named {', '.join(slips)}.",
            way_out=f"Those with an error are: {', '.join(name_of(problem) for problem in errors)}.",
        )


def _names_of(problem: Problem) -> set[str]:
    names = {_plain(name_of(problem))}
    if problem.sheet:
        names.add(_plain(problem.sheet))
    return names


def _plain(name: str) -> str:
    return name.replace("'", "").replace("$", "").strip().casefold()


def _first_cell(problem: Problem) -> str:
    return (problem.cell or "").split(":")[0]


def _list_of(book: ReadBook, problems: Sequence[Problem]) -> str:
    number = "1 cell" if len(problems) == 1 else f"{len(problems)} cells"
    head = f"{book.file}: {number} must be settled before anything is stored."
    return "\n".join([head, *(f"  {line}" for line in problem_lines(problems))])


def _way_out(problems: Sequence[Problem]) -> str:
    kept = any(problem.kind == UNKNOWN for problem in problems)
    return (
        "\n"
        + (
            "A code of another season's lot, such as a kept sample, is known once that season "
            "is on the books: take its workbook in first.\n"
            if kept
            else ""
        )
        + "Correct them in the workbook, or name with --accept what to leave out: "
        f'--accept "{name_of(problems[0])}" for one cell, --accept all for all of them.'
    )
