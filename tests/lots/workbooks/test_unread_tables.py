"""A sheet of scores that cannot be read is named; true scratch stays silent."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from wetleaf.lots.workbooks.mapping import mapping_from
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.trade.errors import BadInput

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
UNKNOWN: Rows = [["Zork", "Blib", "Quux"], [417, 5.5, 6], [522, 4, 6], [638, 3, 7]]


def _unread(book: ReadBook) -> list[tuple[str | None, str | None, str]]:
    return [(p.sheet, p.cell, p.severity) for p in book.problems if p.kind == "table_not_read"]


def test_scores_under_unknown_heads_and_codes_are_named(read: Read, lots: Rows) -> None:
    book = read({"Lots": lots, "Sheet3": UNKNOWN})

    assert book.scores == ()
    assert _unread(book) == [("Sheet3", "A1", "warn")]


def test_a_person_may_say_that_it_is_scratch(read: Read, lots: Rows) -> None:
    mapping = mapping_from({"sheets": {"Sheet3": {"role": "scratch"}}})

    book = read({"Lots": lots, "Sheet3": UNKNOWN}, mapping)

    assert _unread(book) == []


@pytest.mark.parametrize(
    "rows",
    [
        [["to do"], ["ring Lin re 10 kg"], [None, None, 42], [None, None, 84]],
        [["post", "cost", "days"], ["slow", 12, 9], ["quick", 30, 2], ["by hand", 0, 1]],
        [["1 GBP", 41.2], ["1 EUR", 35.5], ["1 USD", 31.8]],
    ],
)
def test_true_scratch_stays_silent(read: Read, lots: Rows, rows: Rows) -> None:
    book = read({"Lots": lots, "Sheet3": rows})

    assert _unread(book) == []
    assert [p for p in book.problems if p.sheet == "Sheet3"] == []


def test_unknown_heads_over_known_lots_are_read(read: Read, lots: Rows) -> None:
    named = [["Zork", "Blib", "Quux"]] + [[row[1], 5, 6] for row in lots[1:]]

    book = read({"Lots": lots, "Sheet3": named})

    assert {(s.sample, s.attribute) for s in book.scores if s.row == 2} == {
        ("QP-1", "Blib"),
        ("QP-1", "Quux"),
    }


def test_a_book_of_nothing_else_is_refused_by_the_sheets_name(read: Read) -> None:
    with pytest.raises(BadInput, match="Sheet3 looks like scores"):
        read({"Sheet3": UNKNOWN})


_TEXTS = {
    "program.csv": "import csv\n\n\ndef rows(lot, tea, price):\n    return [lot, tea, price]\n\n\nprint(rows(1, 2, 3))\n",  # noqa: E501
    "data.csv": '{"lots": [{"lot": "QP-1", "tea": "Quarry Pond", "price": 12},\n {"lot": "QP-2", "tea": "x", "price": 3}]}',  # noqa: E501
    "prose.csv": "We tasted the lot, the tea and the price list.\nThe maker, Old Hsieh, was kind.\n\n"
    "Then it rained\nand we went home, tired, glad\nand nobody asked for the price, or the weight, or the date.\n",  # noqa: E501
    "style.csv": ".lot { color: red; }\n.tea, .maker { margin: 0; }\n\n.price {\n  width: 3px;\n}\n.note, .word { top: 0; }\n",  # noqa: E501
}


@pytest.mark.parametrize("name", list(_TEXTS))
def test_text_that_is_no_table_is_refused_in_one_line(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text(_TEXTS[name], encoding="utf-8")

    with pytest.raises(BadInput) as refused:
        read_book(tmp_path / name)

    assert name in str(refused.value)
    assert "\n" not in str(refused.value)


_ODD = {
    "titles": "Harrow Lane Leaf\nSpring 2025, all prices ex works\n\nLot,Tea,Maker,NT$/jin\nQP-1,Red,Hsieh,1500\nQP-2,Late,Yeh,1400\n"  # noqa: E501
    "Total,,,2900\n* by their own word\n",
    "trailing": "Lot;Tea;Maker;NT$/jin;;\nQP-1;Red;Hsieh;1500;;\nQP-2;Late;Yeh;1400;;\n",
    "notes": 'Lot,Taster,Note\nQP-1,Jo,"plum, and a long soft finish, like rain on stone"\nQP-2,Jo,thin\nQP-3,Jo,"smoke; later, honey and a bit of dust on it"\n',  # noqa: E501
    "short rows": "Lot,Tea,Maker,NT$/jin,Note\nQP-1,Red,Hsieh,1500\nQP-2,Late,Yeh\nQP-3,Fog,Yeh,1200,early\n",
}


@pytest.mark.parametrize("name", list(_ODD))
def test_odd_tables_of_text_are_still_read(name: str, tmp_path: Path) -> None:
    (tmp_path / "odd.csv").write_text(_ODD[name], encoding="utf-8")

    book = read_book(tmp_path / "odd.csv")

    assert len(book.lots) + len(book.notes) >= 2
