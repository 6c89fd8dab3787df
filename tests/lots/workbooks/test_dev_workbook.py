"""The development workbook and CSV against their truth: every record, and exactly the truth's
problem cells.
"""

import datetime as dt
import json
from pathlib import Path
from typing import Any

import pytest

from wetleaf.lots.workbooks.as_json import book_as_json
from wetleaf.lots.workbooks.reading import read_book

DATA = Path(__file__).parent / "data"
TODAY = dt.date(2026, 11, 24)
BOOK = "dev_spring_buying_2025.xlsx"


@pytest.fixture(scope="module")
def read() -> dict[str, Any]:
    return json.loads(json.dumps(book_as_json(read_book(DATA / BOOK, today=TODAY))))


@pytest.fixture(scope="module")
def truth() -> dict[str, Any]:
    return json.loads((DATA / f"{BOOK}.truth.json").read_text(encoding="utf-8"))


def _problem_keys(problems: list[dict[str, Any]]) -> set[tuple[Any, ...]]:
    return {(p["sheet"], p["cell"], p["kind"], p["severity"]) for p in problems}


def test_exactly_the_problem_cells_of_the_truth_are_named(
    read: dict[str, Any], truth: dict[str, Any]
) -> None:
    assert len(truth["problems"]) == 65
    assert _problem_keys(read["problems"]) == _problem_keys(truth["problems"])
    assert len(read["problems"]) == len(truth["problems"])


def test_every_problem_says_why_and_what_to_do(read: dict[str, Any]) -> None:
    assert all(p["why"] and p["do"] for p in read["problems"])


_BY = {
    "lots": lambda r: (r["sheet"], r["row"]),
    "samples": lambda r: r["code"],
    "scores": lambda r: (r["sheet"], r["cell"]),
    "notes": lambda r: (r["sheet"], r["cell"]),
    "preferences": lambda r: r["row"],
    "triangles": lambda r: r["row"],
    "retastes": lambda r: r["row"],
    "comments": lambda r: (r["sheet"], r["cell"]),
}
_RAW = {"raw", "raw_odd", "raw_picked"}


@pytest.mark.parametrize("name", list(_BY))
def test_every_record_is_the_truths(name: str, read: dict[str, Any], truth: dict[str, Any]) -> None:
    key = _BY[name]
    found = {key(record): record for record in read[name]}

    assert set(found) == {key(record) for record in truth[name]}
    for wanted in truth[name]:
        got = found[key(wanted)]
        for field in set(wanted) - _RAW:
            # A text left empty is "" in one row of the truth and null in the others.
            assert (got.get(field) or None) == (wanted[field] or None) or got.get(field) == wanted[field], (
                key(wanted),
                field,
            )


def test_the_means_of_usable_scores_are_the_truths(read: dict[str, Any], truth: dict[str, Any]) -> None:
    assert read["sample_means"] == truth["sample_means"]["means"]


def test_spellings_of_tasters_are_the_truths(read: dict[str, Any], truth: dict[str, Any]) -> None:
    assert {k: sorted(v) for k, v in read["taster_aliases"].items()} == {
        k: sorted(v) for k, v in truth["taster_aliases"].items()
    }


def test_each_column_is_read_as_the_truth_says_and_says_why(
    read: dict[str, Any], truth: dict[str, Any]
) -> None:
    found = {(c["sheet"], c["column"]): c for c in read["columns"]}
    for sheet in truth["sheets"]:
        for letter, column in sheet.get("columns", {}).items():
            got = found[sheet["name"], letter]
            assert (got["read_as"], got["header"]) == (column["field"], column["header"])
            assert got["why"]
            assert got.get("stage", "") == column.get("stage", "")


def test_each_sheet_has_its_role(read: dict[str, Any], truth: dict[str, Any]) -> None:
    assert {s["name"]: s["role"] for s in read["sheets"]} == {s["name"]: s["role"] for s in truth["sheets"]}


def test_the_csv_is_read_as_its_truth_says() -> None:
    truth = json.loads((DATA / "dev_cp1252.csv.truth.json").read_text(encoding="utf-8"))

    read = book_as_json(read_book(DATA / "dev_cp1252.csv", today=TODAY))

    letter = {column["header"]: column["column"] for column in read["columns"]}
    wanted = {
        (f"{letter[p['column']]}{p['record'] + 1}", p["kind"], p["severity"]) for p in truth["problems"]
    }
    assert {(p["cell"], p["kind"], p["severity"]) for p in read["problems"]} == wanted
    assert (read["encoding"], read["separator"]) == ("cp1252", ";")
    for lot, got in zip(truth["lots"], read["lots"], strict=True):
        for field in ("code", "name", "producer", "price", "avail", "harvest", "claims"):
            assert got.get(field) == lot[field], (lot["record"], field)
        assert (got["elev"] or {}).get("m") == (lot["elev"] or {}).get("m")


def test_the_same_file_is_read_the_same_twice() -> None:
    assert read_book(DATA / BOOK, today=TODAY) == read_book(DATA / BOOK, today=TODAY)
