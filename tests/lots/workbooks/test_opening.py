"""Values of XLSX and ODS against python-calamine, an independent reader."""

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from wetleaf.lots.workbooks.opening import open_workbook
from wetleaf.lots.workbooks.opening_csv import decode, open_csv, separator_of
from wetleaf.trade.errors import BadInput

DATA = Path(__file__).parent / "data"


def _same(ours: Any, theirs: Any) -> bool:
    if isinstance(ours, dt.datetime) or not isinstance(ours, dt.date):
        return bool(ours == theirs)
    return ours == (theirs.date() if isinstance(theirs, dt.datetime) else theirs)


def test_every_value_is_calamines() -> None:
    path = DATA / "dev_spring_buying_2025.xlsx"
    theirs = CalamineWorkbook.from_path(str(path))
    compared = 0

    ours, _ = open_workbook(path)

    for grid in ours.grids:
        for row, cells in enumerate(theirs.get_sheet_by_name(grid.name).to_python(skip_empty_area=False), 1):
            for column, value in enumerate(cells, 1):
                if value == "":  # calamine shows errors and empty cells alike
                    continue
                compared += 1
                assert _same(grid.at(row, column).value, value), (grid.name, row, column)
    assert compared > 900


def test_formulas_errors_comments_and_hidden_columns_are_seen() -> None:
    book, _ = open_workbook(DATA / "dev_spring_buying_2025.xlsx")
    lots, panel = book.grids[0], book.grids[2]

    assert (panel.at(13, 6).formula, panel.at(13, 6).value) == ("=AVERAGE(5,6)", 5.5)
    assert panel.at(15, 10).error
    assert lots.comments[5, 10] == "He will do 1,150 if we take 10 kg"
    assert lots.hidden_columns == {11}


TEXTS = {
    "de": "Los;Tee;Höhe m;Preis €/kg\nK-1;Moosgrund grün;640;84,50\nK-2;Weißtee süß;700;60",
    "fr": "Lot;Thé;Prix\nA1;première récolte à vérifier;12\nA2;goûteur été;13",
    "zh": "编号,茶名,产地,海拔\nA1,铁观音,安溪,800\nA2,大红袍,武夷山,600",
    "tw": "編號,茶名,產地,價格\nA1,凍頂烏龍,鹿谷,1200\nA2,金萱,名間,800",
    "ja": "番号,茶名,産地,標高\nA1,やぶきた煎茶,静岡,300\nA2,宇治玉露,宇治,200",
}


@pytest.mark.parametrize(
    "encoding",
    [
        "utf-8",
        "utf-8-sig",
        "utf-16",
        "utf-16-le",
        "cp1252",
        "mac_roman",
        "shift_jis",
        "gb18030",
        "big5",
        "euc_jp",
    ],
)
@pytest.mark.parametrize("tongue", list(TEXTS))
def test_an_encoding_is_told_by_whether_the_words_make_sense(tongue: str, encoding: str) -> None:
    try:
        data = TEXTS[tongue].encode(encoding)
    except UnicodeEncodeError:
        pytest.skip("this tongue is not written in this encoding")

    _, text = decode("list.csv", data)

    assert text.lstrip("\ufeff") == TEXTS[tongue]


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_a_separator_is_told(sign: str) -> None:
    assert (
        separator_of("\n".join(sign.join(row) for row in (["Lot", "Tea", "Price"], ["F-1", "Fernlow", "12"])))
        == sign
    )


@given(st.binary(max_size=200))
def test_no_bytes_break_the_csv_reader(data: bytes) -> None:
    if _is_refused(data):
        with pytest.raises(BadInput, match=r"any\.csv"):
            open_csv("any.csv", data)
    else:
        assert len(open_csv("any.csv", data).grids) == 1


def _is_refused(data: bytes) -> bool:
    try:
        open_csv("any.csv", data)
    except BadInput:
        return True
    return False
