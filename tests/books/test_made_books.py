"""The makers: the same seed gives the same book, and every cell the truth names holds what the truth says."""

import csv
import io
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.cell import coordinate_to_tuple
from python_calamine import CalamineWorkbook

from tests.books.habits import HABITS
from tests.books.maker import KINDS, make_book

SEEDS = range(1, 7)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_same_seed_gives_the_same_truth(kind: str) -> None:
    first, second = make_book(5, kind), make_book(5, kind)

    assert first[1] == second[1]
    assert make_book(6, kind)[1] != first[1]


@pytest.mark.parametrize("kind", ["season", "foreign", "plain_season", "crowded", *sorted(HABITS)])
@pytest.mark.parametrize("seed", SEEDS)
def test_an_xlsx_holds_what_its_truth_says(kind: str, seed: int) -> None:
    data, truth = make_book(seed, kind)
    shown = openpyxl.load_workbook(io.BytesIO(data), data_only=True)

    cells = list(_raw_cells(truth))

    assert len(cells) >= 30
    assert [c for c in cells if not _same(c[2], shown[c[0]][c[1]].value)] == []


@pytest.mark.parametrize("seed", SEEDS)
def test_an_ods_holds_what_its_truth_says(seed: int) -> None:
    data, truth = make_book(seed, "ods")
    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    sheets = {
        name: book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names
    }

    cells = [c for c in _raw_cells(truth) if not isinstance(c[2], dict)]

    assert len(cells) >= 30
    assert [c for c in cells if not _same(c[2], _grid(sheets[c[0]], c[1]))] == []


@pytest.mark.parametrize("kind", ["lots_csv", "scores_csv"])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_text_file_holds_what_its_truth_says(kind: str, seed: int) -> None:
    data, truth = make_book(seed, kind)
    text = data.decode(truth["encoding"]).lstrip("\ufeff")
    rows = list(csv.reader(io.StringIO(text), delimiter=truth["separator"]))

    cells = list(_raw_cells(truth))

    assert len(cells) > 20
    dashes = str.maketrans("–", "-")
    seen = [(str(raw or "").translate(dashes), _grid(rows, cell).translate(dashes)) for _, cell, raw in cells]
    assert [pair for pair in seen if pair[0].replace(".", ",") != pair[1].replace(".", ",")] == []


def _raw_cells(truth: dict[str, Any]) -> Any:
    for lot in truth["lots"]:
        for entry in lot["cells"].values():
            yield lot["sheet"], entry["cell"], entry["raw"]
    for score in truth["scores"]:
        yield score["sheet"], score["cell"], score["raw"]
    for problem in truth["problems"]:
        if problem["cell"]:
            yield problem["sheet"], problem["cell"], problem["raw"]


def _grid(rows: Any, cell: str) -> Any:
    row, column = coordinate_to_tuple(cell)
    line = rows[row - 1] if row <= len(rows) else []
    return line[column - 1] if column <= len(line) else ""


def _same(raw: Any, shown: Any) -> bool:
    if isinstance(raw, dict):
        raw = raw["cached"]
    if hasattr(shown, "isoformat"):
        return str(raw) == shown.isoformat()[:10]
    if isinstance(raw, int | float) and isinstance(shown, int | float):
        return abs(raw - shown) < 1e-9
    return str(raw if raw is not None else "") == str(shown if shown is not None else "")
