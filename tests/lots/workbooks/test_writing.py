"""What is written is read back as the same records."""

import datetime as dt
import zipfile
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from wetleaf.lots.workbooks.as_json import book_as_json
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import (
    Cell,
    LedgerEntry,
    LineRow,
    LotRow,
    Note,
    Preference,
    ReadBook,
    Retaste,
    Score,
    Sitting,
    Triangle,
    Verdict,
)
from wetleaf.lots.workbooks.writing import write_book, write_template
from wetleaf.trade.dates import PartialDate, on_day
from wetleaf.trade.errors import BadInput
from wetleaf.trade.money import Price
from wetleaf.trade.quantities import Degree, Elevation

DATA = Path(__file__).parent / "data"
TODAY = dt.date(2026, 11, 24)
HERE = Cell("Lots", "A1", "")
# Where a thing stood, and how it was spelled there, may differ; everything else may not.
PLACES = {
    "cell",
    "row",
    "sheet",
    "cells",
    "raw",
    "taster_raw",
    "sample_raw",
    "unit_written",
    "value_written",
    "raw_picked",
}
RECORDS = (
    "lots",
    "scores",
    "notes",
    "verdicts",
    "preferences",
    "triangles",
    "retastes",
    "ledger",
    "lines",
    "sittings",
    "sample_means",
)


def _bare(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _bare(item) for key, item in value.items() if key not in PLACES}
    return [_bare(item) for item in value] if isinstance(value, list) else value


def _records(book: ReadBook) -> dict[str, Any]:
    data = book_as_json(book)
    return {name: _bare(data[name]) for name in RECORDS}


def test_the_dev_workbook_written_back_is_the_same_records(tmp_path: Path) -> None:
    book = read_book(DATA / "dev_spring_buying_2025.xlsx", today=TODAY)

    write_book(book, tmp_path / "again.xlsx")

    again = read_book(tmp_path / "again.xlsx", today=TODAY)
    assert len(again.scores) == 316
    assert _records(again) == _records(book)
    assert again.season == book.season


def test_the_same_records_give_the_same_file(tmp_path: Path) -> None:
    book = read_book(DATA / "dev_spring_buying_2025.xlsx", today=TODAY)

    for name in ("one.xlsx", "two.xlsx"):
        write_book(book, tmp_path / name)

    parts = [zipfile.ZipFile(tmp_path / name) for name in ("one.xlsx", "two.xlsx")]
    sheets = [name for name in parts[0].namelist() if "sheet" in name]
    assert sheets
    assert all(parts[0].read(name) == parts[1].read(name) for name in sheets)


@pytest.mark.parametrize(
    "text", ["=1+cmd|' /C calc'!A1", "+Fern", "@SUM(A1)", "-light (sweet)", "\t=1", "_x0041_ tea"]
)
def test_a_text_like_a_formula_is_written_as_text(text: str, tmp_path: Path) -> None:
    lot = LotRow("Lots", 1, "F-1", text, "Invented maker", cells={})

    write_book(ReadBook("x", "", "xlsx", {}, lots=(lot,), season="Spring 2025"), tmp_path / "f.xlsx")

    cell = load_workbook(tmp_path / "f.xlsx")["Lots"]["B4"]
    assert cell.data_type == "s"
    assert b"<f>" not in zipfile.ZipFile(tmp_path / "f.xlsx").read("xl/worksheets/sheet1.xml")
    assert read_book(tmp_path / "f.xlsx", today=TODAY).lots[0].name == text.strip()


def test_the_template_is_empty_explains_each_column_and_offers_choices(tmp_path: Path) -> None:
    write_template(tmp_path / "t.xlsx")

    book = load_workbook(tmp_path / "t.xlsx")
    heads = [cell.value for cell in book["Lots"][3]]
    explained = {row[1].value for row in book["How to fill in"].iter_rows() if row[1].value}
    assert set(heads) <= explained
    assert any(rule.type == "list" for rule in book["Lots"].data_validations.dataValidation)
    with pytest.raises(BadInput, match="no rows"):
        read_book(tmp_path / "t.xlsx")


def test_a_filled_template_is_read_without_a_question(tmp_path: Path) -> None:
    write_template(tmp_path / "t.xlsx")
    book = load_workbook(tmp_path / "t.xlsx")
    heads = {cell.value: cell.column for cell in book["Lots"][3]}
    for head, value in {
        "Lot": "QP-3",
        "Tea": "Quarry Pond red",
        "Price": "NT$1200/600 g",
        "Picked": dt.date(2025, 4, 18),
        "MOQ": "2 kg",
    }.items():
        book["Lots"].cell(4, heads[head]).value = value
    book.save(tmp_path / "t.xlsx")

    read = read_book(tmp_path / "t.xlsx", today=TODAY)

    assert read.problems == ()
    assert read.lots[0].price == Price(Decimal(1200), "TWD", Decimal(600))


word = st.text(st.characters(codec="utf-8", categories=("Lu", "Ll", "Lo")), min_size=3, max_size=12).map(
    lambda w: f"Tea {w}"
)
amounts = st.decimals(min_value="0.01", max_value="99999", places=2)
days = st.dates(dt.date(2015, 1, 1), dt.date(2026, 11, 1))
dates = st.one_of(
    days.map(on_day),
    st.builds(lambda y, m: PartialDate("month", y, m), st.sampled_from([None, 2025]), st.integers(1, 12)),
    st.builds(
        lambda m, p: PartialDate("part_of_month", 2025, m, part=p),
        st.integers(1, 12),
        st.sampled_from(["early", "mid", "late"]),
    ),
    st.builds(
        lambda s: PartialDate("season", 2025, season=s),
        st.sampled_from(["spring", "winter", "first flush", "before qingming"]),
    ),
    st.builds(lambda y: PartialDate("year", y, doubtful=True), st.integers(1950, 2026)),
)
degrees = st.one_of(
    st.integers(0, 100).map(lambda n: Degree(pct=Decimal(n))),
    st.sampled_from(["light", "light-medium", "medium", "heavy", "full", "part"]).map(
        lambda w: Degree(word=w)
    ),
    st.just(Degree(pct=Decimal(0), word="none")),
    st.integers(0, 49).map(lambda n: Degree(pct_min=Decimal(n), pct_max=Decimal(n + 5))),
)
heights = st.one_of(
    st.integers(1, 2900).map(lambda n: Elevation(m=n)),
    st.integers(1, 2500).map(lambda n: Elevation(m_min=n, m_max=n + 200)),
    st.integers(1, 2900).map(lambda n: Elevation(m=n, approximate=True)),
)
prices = st.builds(
    Price,
    amounts,
    st.sampled_from(["TWD", "GBP", "EUR", "JPY", "USD", "CNY"]),
    st.sampled_from([Decimal(600), Decimal(1000), Decimal(100), Decimal("453.59237")]),
    st.booleans(),
)
grams = st.one_of(st.none(), st.decimals(min_value="0.5", max_value="90000", places=3))


@st.composite
def lots(draw: st.DrawFn, number: int) -> LotRow:
    return LotRow(
        "Lots",
        number,
        f"FH-{number}",
        draw(word),
        draw(st.one_of(st.none(), word)),
        draw(st.one_of(st.none(), word)),
        draw(st.one_of(st.none(), heights)),
        draw(st.one_of(st.none(), dates)),
        None,
        draw(st.one_of(st.none(), degrees)),
        draw(st.one_of(st.none(), degrees)),
        draw(prices),
        draw(grams),
        None,
        draw(grams),
        None,
        draw(grams),
        draw(st.one_of(st.none(), days.map(on_day))),
        draw(st.one_of(st.none(), days.map(on_day))),
        draw(st.one_of(st.none(), st.integers(0, 30).map(Decimal))),
        draw(st.one_of(st.none(), st.integers(0, 99).map(Decimal))),
        draw(st.one_of(st.none(), word)),
        draw(
            st.fixed_dictionaries(
                {}, optional=dict.fromkeys(("grade", "weather", "kept", "contact", "hold"), word)
            )
        ),
    )


@st.composite
def books(draw: st.DrawFn) -> ReadBook:
    """A whole season of invented records of every kind."""
    rows = tuple(draw(lots(n)) for n in range(1, draw(st.integers(2, 4)) + 1))
    codes = st.sampled_from([lot.code or "" for lot in rows])
    tasters = st.sampled_from(["Mei", "Ruth", "Tomás"])
    values = st.integers(0, 20).map(lambda n: n / 2)
    scores = tuple(
        Score(
            HERE,
            1,
            who := draw(tasters),
            who,
            code := draw(codes),
            code,
            draw(st.sampled_from(["Sweet", "Bitter"])),
            draw(values),
            "ok",
            draw(st.sampled_from(["", "taste"])),
            draw(st.sampled_from(["", "1", "2"])),
            sitting="First round",
        )
        for _ in range(draw(st.integers(2, 6)))
    )
    scores = tuple({(s.taster, s.sample, s.attribute, s.stage, s.replicate): s for s in scores}.values())
    a, b = rows[0].code or "", rows[1].code or ""
    return ReadBook(
        "season.xlsx",
        "",
        "xlsx",
        {},
        lots=rows,
        scores=scores,
        sittings=(
            Sitting(
                "First round",
                "First round",
                draw(st.one_of(st.none(), st.just(dt.date(2026, 11, 12)))),
                draw(st.booleans()),
                "",
                "",
                0.0,
                10.0,
            ),
        ),
        notes=(Note(HERE, draw(word), draw(tasters), "", a, "", sitting="First round"),),
        verdicts=(
            Verdict(
                HERE,
                a,
                "",
                draw(tasters),
                draw(st.sampled_from(["keep", "maybe", "no"])),
                draw(values),
                0.0,
                10.0,
                "First round",
                draw(st.one_of(st.none(), days)),
            ),
        ),
        preferences=(
            Preference(
                HERE,
                1,
                draw(tasters),
                "",
                a,
                b,
                draw(st.sampled_from([a, b])),
                False,
                draw(st.one_of(st.none(), word)),
            ),
        ),
        triangles=(
            Triangle(
                HERE, 1, draw(tasters), "", (a, b, a), 2, (p := draw(st.integers(1, 3))), p == 2, True, None
            ),
        ),
        retastes=(
            Retaste(
                HERE,
                1,
                a,
                dt.date(2025, 4, 30),
                dt.date(2025, 5, 12),
                12,
                draw(values),
                draw(st.sampled_from(["not_ready", "nearly", "ready"])),
                draw(st.booleans()),
            ),
        ),  # type: ignore[arg-type]
        ledger=(
            LedgerEntry(
                HERE,
                a,
                draw(st.decimals(min_value="-90", max_value="90", places=1)).normalize() + 0,
                "brew",
                draw(days),
            ),
        ),
        lines=(
            LineRow(HERE, draw(word), "black", Decimal(draw(st.integers(1, 90))), "Sweet", draw(values), 1.0),
        ),
        season="Spring 2025",
    )


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(book=books())
def test_any_season_written_and_read_is_the_same_records(book: ReadBook, tmp_path: Path) -> None:
    write_book(book, tmp_path / "season.xlsx")

    again = read_book(tmp_path / "season.xlsx", today=TODAY)

    implausible = [lot.code for lot in again.lots if lot.harvest and lot.harvest.implausible]
    wanted = replace(book, lots=tuple(_marked(lot, implausible) for lot in book.lots))
    got, want = _records(again), _records(wanted)
    for name in RECORDS:
        assert got[name] == want[name], name


def _marked(lot: LotRow, implausible: list[str | None]) -> LotRow:
    """A harvest after its tasting is marked on reading, whoever wrote it."""
    if lot.code in implausible and lot.harvest:
        return replace(lot, harvest=replace(lot.harvest, implausible=True))
    return lot
