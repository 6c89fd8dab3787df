"""Copied cups are stored as read and noted; `--accept` leaves them out and keeps that on record."""

import dataclasses
import datetime as dt

import pytest
from tests.sheets.books import TASTING, a_book, a_problem, a_row, a_score

from wetleaf.lots.models import DroppedCell
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.sheets.intake import store_book
from wetleaf.sheets.models import Score
from wetleaf.trade.errors import BadInput

NOW = dt.datetime(2026, 5, 13, 9, tzinfo=dt.UTC)
CODES = tuple(f"QP-{number}" for number in range(1, 9))
ATTRIBUTES = ("scent", "sweet", "bitter", "length")
VALUES = (7, 4, 2, 8, 3, 6, 5, 9, 1, 7, 6, 2, 8, 5, 3, 4)


def _pasted_book() -> ReadBook:
    """Eight lots scored by Jo in rows 2 to 9, and the same again in rows 10 to 17."""
    scores = [
        dataclasses.replace(
            a_score(code, "Jo", float(VALUES[(3 * lot + 5 * place) % len(VALUES)]), row, attribute=attribute),
            replicate=str(pot),
        )
        for pot in (1, 2)
        for lot, code in enumerate(CODES)
        for row in (8 * (pot - 1) + lot + 2,)
        for place, attribute in enumerate(ATTRIBUTES)
    ]
    placed = [
        dataclasses.replace(one, cell=dataclasses.replace(one.cell, cell=f"{'CDEF'[number % 4]}{one.row}"))
        for number, one in enumerate(scores)
    ]
    return a_book(
        lots=tuple(a_row(code, row) for row, code in enumerate(CODES, start=2)), scores=tuple(placed)
    )


@pytest.mark.django_db
def test_copied_cups_are_stored_unless_they_are_left_out() -> None:
    store_book(_pasted_book(), season="Spring 2026", now=NOW, accept=["all"])

    assert Score.objects.count() == 64


@pytest.mark.django_db
@pytest.mark.parametrize("name", [f"{TASTING}!C10", "copies"])
def test_accept_leaves_copied_cups_out_and_says_so(name: str) -> None:
    intake = store_book(_pasted_book(), season="Spring 2026", now=NOW, accept=[name])

    assert Score.objects.count() == 32
    assert set(Score.objects.values_list("replicate", flat=True)) == {"1"}
    assert intake.left_out == 1
    noted = DroppedCell.objects.get(kind="not_stored")
    assert (noted.sheet, noted.cell) == (TASTING, "C10")
    assert noted.why == "32 scores are left out: C10 to F17 repeats C2 to F9."


@pytest.mark.django_db
def test_copies_are_not_an_excuse_for_a_slip_in_a_name() -> None:
    book = dataclasses.replace(_pasted_book(), problems=(a_problem("D3"),))

    with pytest.raises(BadInput, match=r"no cell with an error named .*c11"):
        store_book(book, season="Spring 2026", now=NOW, accept=[f"{TASTING}!D3", f"{TASTING}!C11"])


@pytest.mark.django_db
def test_a_numbered_cup_told_twice_is_stored_once_without_asking() -> None:
    book = _pasted_book()
    one_pot = tuple(dataclasses.replace(score, replicate="1") for score in book.scores)

    intake = store_book(dataclasses.replace(book, scores=one_pot), season="Spring 2026", now=NOW)

    assert Score.objects.count() == 32
    assert intake.left_out == 1
    assert DroppedCell.objects.get(kind="not_stored").cell == "C10"
