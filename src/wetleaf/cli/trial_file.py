"""Reading a plain file of trials: one row a trial, in the order tasted, right or wrong."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wetleaf.cli.plain_table import clean, read_table
from wetleaf.trade.errors import BadInput

_RIGHT = {"1", "1.0", "yes", "y", "true", "t", "right", "correct", "x", "✓"}
_WRONG = {"0", "0.0", "no", "n", "false", "f", "wrong", "incorrect"}
_HEADS = {
    "correct": ("correct", "right", "result", "answer"),
    "taster": ("taster", "who", "assessor", "name"),
    "method": ("method", "test"),
}
_NAMED_AT_MOST = 5


@dataclass(frozen=True)
class Trial:
    """One trial. `taster` and `method` are "" where the file does not say."""

    row: int
    taster: str
    correct: bool
    method: str


def read_trials(path: Path) -> tuple[Trial, ...]:
    """Return the trials of a file, in order; columns `correct`, and `taster` and `method` if they are there.

    Right is 1, yes, true or right; wrong 0, no, false or wrong. Every cell that says neither is named, and
    nothing is used until it is settled: a trial left out would change the answer. Raises BadInput.
    """
    header, rows = read_table(path, holds="trials")
    places = {role: _place(header, path.name, role) for role in _HEADS}
    right = places["correct"]
    if right is None:
        listed = ", ".join(name for name in header if name)
        raise BadInput(
            f"{path.name}: no column 'correct' says which answers were right.",
            way_out=f"Name one so (1 right, 0 wrong). Its columns are: {listed}.",
        )
    _refuse_unclear(path.name, [(number, _cell(row, right)) for number, row in enumerate(rows, start=2)])
    return tuple(
        Trial(
            row=number,
            taster=_cell(row, places["taster"]),
            correct=_cell(row, right).casefold() in _RIGHT,
            method=_cell(row, places["method"]),
        )
        for number, row in enumerate(rows, start=2)
    )


def _place(header: Sequence[str], name: str, role: str) -> int | None:
    for head in _HEADS[role]:
        found = [place for place, written in enumerate(header) if written.casefold() == head]
        if len(found) > 1:
            raise BadInput(f"{name}: the column '{head}' stands twice.", way_out="Rename one of the two.")
        if found:
            return found[0]
    return None


def _cell(row: Sequence[str], place: int | None) -> str:
    return clean(row[place]) if place is not None and place < len(row) else ""


def _refuse_unclear(name: str, cells: Sequence[tuple[int, str]]) -> None:
    odd = [
        f"'{cell[:20]}' in row {number}" for number, cell in cells if cell.casefold() not in _RIGHT | _WRONG
    ]
    if odd:
        more = f" and {len(odd) - _NAMED_AT_MOST} more" if len(odd) > _NAMED_AT_MOST else ""
        raise BadInput(
            f"{name}: neither right nor wrong: {', '.join(odd[:_NAMED_AT_MOST])}{more}.",
            way_out="Write 1 for a right answer and 0 for a wrong one; delete a trial that was not tasted.",
        )
