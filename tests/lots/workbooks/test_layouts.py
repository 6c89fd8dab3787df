"""Sheets as merchants lay them out: small invented ones, written here as rows."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from wetleaf.lots.workbooks.mapping import mapping_from
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.lots.workbooks.records import ReadBook

Rows = list[list[Any]]
LOTS: Rows = [
    ["Lot", "Tea", "Maker", "Where", "Price (NT$/jin)", "Avail"],
    ["QP-1", "Quarry Pond red", "Old Hsieh", "Yuchi", 1500, "8 kg"],
    ["QP-2", "Quarry Pond late", "Old Hsieh", "Yuchi", 1400, "5 kg"],
    ["QP-3", "Quarry Pond second firing", "Madam Yeh", "Pinglin", 1300, "3 kg"],
]
Read = Callable[..., ReadBook]


def _scores(book: ReadBook) -> set[tuple[str | None, str | None, str, float | None]]:
    return {(s.taster, s.sample, s.attribute, s.value) for s in book.scores}


def test_a_sheet_on_its_side_is_read_with_its_taster_and_stages(read: Read) -> None:
    book = read(
        {
            "Lots": LOTS,
            "Sheet2": [
                ["Taster: Mei"],
                [],
                [None, "Attribute", "QP-1", "QP-2"],
                ["Taste", "Sweet", 5, 6],
                [None, "Bitter", 2, "3,5"],
                [None, "Notes", "plum", None],
            ],
        }
    )

    assert _scores(book) == {
        ("Mei", "QP-1", "Sweet", 5.0),
        ("Mei", "QP-2", "Sweet", 6.0),
        ("Mei", "QP-1", "Bitter", 2.0),
        ("Mei", "QP-2", "Bitter", 3.5),
    }
    assert {score.stage for score in book.scores} == {"Taste"}
    assert [(n.sample, n.text) for n in book.notes] == [("QP-1", "plum")]
    assert book.roles["Sheet2"] == "scores_per_taster_transposed"


def test_two_pots_of_a_sample_are_told_apart(read: Read) -> None:
    book = read(
        {
            "Lots": LOTS,
            "Mei": [
                ["Taster", "Mei"],
                [None, "QP-1", "QP-1", "QP-2", "QP-2"],
                ["Sweet", 5, 6, 7, 8],
                ["Bitter", 1, 2, 3, 4],
            ],
        }
    )

    assert [(s.sample, s.replicate, s.value) for s in book.scores if s.attribute == "Sweet"] == [
        ("QP-1", "1", 5.0),
        ("QP-1", "2", 6.0),
        ("QP-2", "1", 7.0),
        ("QP-2", "2", 8.0),
    ]


def test_tables_side_by_side_are_parted(read: Read) -> None:
    book = read(
        {
            "Lots": LOTS,
            "All": [
                ["Taster", "Sample", "Sweet", "Bitter", None, "Taster", "A", "B", "Preferred"],
                ["Mei", "QP-1", 5, 3, None, "Mei", "QP-1", "QP-2", "A"],
                ["Mei", "QP-2", 6, 2, None, "Mei", "QP-2", "QP-3", "QP-3"],
                ["Mei", "QP-3", 4, 1, None, None, None, None, None],
            ],
        }
    )

    assert len(book.scores) == 6
    assert [p.winner for p in book.preferences] == ["QP-1", "QP-3"]


def test_tables_one_under_the_other_are_parted(read: Read) -> None:
    book = read(
        {
            "All": [
                *LOTS,
                [],
                ["Blind, 3 g / 150 ml / 5 min"],
                [],
                ["Taster", "Sample", "Sweet", "Bitter"],
                ["Mei", "QP-1", 5, 3],
                ["Ruth", "QP-2", 6, 2],
            ]
        }
    )

    assert [lot.code for lot in book.lots] == ["QP-1", "QP-2", "QP-3"]
    assert len(book.scores) == 4
    assert book.sittings[0].blind is True


def test_totals_and_lone_texts_are_no_lots(read: Read) -> None:
    book = read({"Lots": [*LOTS, ["Total", None, None, None, 4200, None], [], ["* = spoken for"]]})

    assert len(book.lots) == 3


def test_an_initial_that_two_share_is_an_error(read: Read) -> None:
    rows = [["Taster", "Sample", "Sweet"], ["Mei", "QP-1", 5], ["Marcus", "QP-2", 6], ["M.", "QP-3", 4]]

    book = read({"Lots": LOTS, "Scores": rows})

    assert [(p.cell, p.kind) for p in book.problems if p.severity == "error"] == [("A4", "ambiguous_taster")]
    assert book.scores[2].taster is None


def test_an_unknown_code_is_an_error_and_its_neighbours_are_proposed(read: Read) -> None:
    rows = [
        ["Taster", "Sample", "Attribute", "Score"],
        ["Mei", "QP-1", "Sweet", 5],
        ["Mei", "ZZ-9", "Bitter", 4],
        ["Mei", "QP-1", "Body", 6],
    ]

    book = read({"Lots": LOTS, "Scores": rows})

    assert book.scores[1].sample is None
    assert book.scores[1].sample_from_neighbouring_rows == "QP-1"
    assert [(p.cell, p.kind) for p in book.problems if p.severity == "error"] == [("B3", "unknown_sample")]


def test_a_scale_in_the_title_is_the_scale(read: Read) -> None:
    rows = [["scored 1-5"], [], ["Taster", "Sample", "Sweet"], ["Mei", "QP-1", 5], ["Mei", "QP-2", 6]]

    book = read({"Lots": LOTS, "Scores": rows})

    assert [s.status for s in book.scores] == ["ok", "out_of_range"]


def test_a_scale_of_a_hundred_is_inferred_and_said(read: Read) -> None:
    rows = [["Taster", "Sample", "Sweet"], *[["Mei", f"QP-{n % 3 + 1}", 50 + n] for n in range(6)]]

    book = read({"Lots": LOTS, "Scores": rows})

    assert all(s.status == "ok" for s in book.scores)
    assert "scale_inferred" in {p.kind for p in book.problems}


def test_a_column_with_an_unknown_head_is_not_used_and_says_so(read: Read) -> None:
    rows = [[*row, extra] for row, extra in zip(LOTS, ["Zork", "a", "b", "c"], strict=True)]

    book = read({"Lots": rows})

    zork = next(column for column in book.columns if column.header == "Zork")
    assert zork.read_as == "unknown"
    assert "not used" in zork.why


def test_a_mapping_overrides_columns_tasters_and_samples(read: Read) -> None:
    mapping = mapping_from(
        {
            "sheets": {"Lots": {"columns": {"C": "unknown"}}, "Scores": {"taster": "Ruth"}},
            "samples": {"ZZ-9": "QP-3"},
        }
    )
    rows = [["Sample", "Sweet", "Bitter"], ["QP-1", 5, 4], ["ZZ-9", 6, 3]]

    book = read({"Lots": LOTS, "Scores": rows}, mapping)

    assert all(lot.producer is None for lot in book.lots)
    assert {(s.taster, s.sample) for s in book.scores} == {("Ruth", "QP-1"), ("Ruth", "QP-3")}


def test_a_mapped_cell_says_which_sample_it_is(read: Read) -> None:
    rows = [["Taster", "Sample", "Sweet"], ["Mei", "QP-1", 5], ["Mei", "ZZ-9", 6]]

    book = read({"Lots": LOTS, "Scores": rows}, mapping_from({"cells": {"Scores!B3": "QP-2"}}))

    assert [s.sample for s in book.scores] == ["QP-1", "QP-2"]


def test_a_hidden_sheet_is_not_read_and_is_named(tmp_path: Path) -> None:
    book = Workbook()
    for row in LOTS:
        book.active.append(row)
    hidden = book.create_sheet("Old")
    for row in LOTS:
        hidden.append(row)
    hidden.sheet_state = "hidden"
    book.save(tmp_path / "hidden.xlsx")

    read_back = read_book(tmp_path / "hidden.xlsx")

    assert len(read_back.lots) == 3
    assert read_back.roles["Old"] == "hidden_sheet"
    assert "hidden_sheet" in {p.kind for p in read_back.problems}


def test_verdict_liking_and_words_beside_a_lot_are_a_first_pass(read: Read) -> None:
    rows = [
        [*row, *more]
        for row, more in zip(
            LOTS,
            [
                ["Verdict", "Liking (0-10)", "Words"],
                ["keep", 8, "plum, malt"],
                ["no", 3, None],
                [None, 0, "thin"],
            ],
            strict=True,
        )
    ]

    book = read({"Lots": rows})

    assert [(v.sample, v.verdict, v.liking) for v in book.verdicts] == [
        ("QP-1", "keep", 8.0),
        ("QP-2", "no", 3.0),
        ("QP-3", None, 0.0),
    ]
    assert [(n.sample, n.text) for n in book.notes] == [("QP-1", "plum, malt"), ("QP-3", "thin")]


def test_the_leaf_ledger_and_the_lines_are_read(read: Read) -> None:
    book = read(
        {
            "Lots": LOTS,
            "Leaf": [
                ["Sample", "Grams", "What for", "Date"],
                ["QP-1", 25, "received", "2026-05-02"],
                ["QP-1", -5, "brew", "2026-05-03"],
            ],
            "Lines": [
                ["Line", "Class", "Wanted kg", "Attribute", "Target"],
                ["House red", "black", 12, "Sweet", 6],
            ],
        }
    )

    assert [(e.sample, float(e.grams), e.what) for e in book.ledger] == [
        ("QP-1", 25.0, "received"),
        ("QP-1", -5.0, "brew"),
    ]
    assert [(x.name, float(x.wanted_kg or 0), x.target) for x in book.lines] == [("House red", 12.0, 6.0)]


def test_a_pot_that_is_numbered_is_a_brew_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "pots.csv"
    rows = ("Taster,Sample,Pot,Body,Length", "Mei,FH-1,1,5,4", "Mei,FH-1,2,6,4", "Ruth,FH-1,1,4,4")
    path.write_text("\n".join(rows), "utf-8")

    scores = [score for score in read_book(path).scores if score.attribute == "Body"]

    assert [(score.replicate, score.brew) for score in scores] == [("1", "1"), ("2", "2"), ("1", "1")]


def test_a_repeat_that_names_no_pot_is_no_brew(tmp_path: Path) -> None:
    path = tmp_path / "repeats.csv"
    path.write_text("Taster,Sample,Rep,Body,Length\nMei,FH-1,1,5,4\nMei,FH-1,2,6,4\n", "utf-8")

    scores = read_book(path).scores

    assert {(score.replicate, score.brew) for score in scores} == {("1", ""), ("2", "")}


def test_samples_called_by_small_numbers_are_not_taken_for_heads(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append(["taster", "sample", "pot", "scent", "sweet", "body"])
    for taster in ("me", "Jo"):
        for sample in (1, 2, 5, 6):
            for pot in (1, 2):
                # every score is also the number of a sample
                sheet.append([taster, sample, pot, sample, (2, 5, 6, 1)[pot], (5, 6, 1, 2)[pot]])
    book.save(tmp_path / "own.xlsx")

    read = read_book(tmp_path / "own.xlsx")

    assert len(read.scores) == 16 * 3
    assert {score.attribute for score in read.scores} == {"scent", "sweet", "body"}
    assert {score.taster for score in read.scores} == {"me", "Jo"}


def test_a_roast_date_beside_a_lot_is_a_day_and_no_firing_note(read: Read) -> None:
    heads = ["Lot", "Tea", "Maker", "Where", "Roasted", "Roast date", "Firing notes"]
    rows = [
        ["QP-1", "Quarry Pond", "Old Hsieh", "Yuchi", "medium", dt.date(2025, 6, 3), "twice, then a rest"]
    ]
    rows += [["QP-2", "Mist Ridge", "Old Hsieh", "Yuchi", "light", "4 June 2025", None]]

    book = read({"Lots": [heads, *rows]})

    assert [lot.facts.get("roast_date") for lot in book.lots] == ["2025-06-03", "4 June 2025"]
    assert book.lots[0].facts["firing"] == "twice, then a rest"
    assert [lot.roast.word for lot in book.lots if lot.roast] == ["medium", "light"]


def test_days_under_roasted_are_roast_dates(read: Read) -> None:
    rows = [["QP-1", "Quarry Pond", "Old Hsieh", "Yuchi", dt.date(2025, 6, 3)]]
    rows += [["QP-2", "Mist Ridge", "Old Hsieh", "Yuchi", dt.date(2025, 6, 4)]]

    book = read({"Lots": [["Lot", "Tea", "Maker", "Where", "Roasted"], *rows]})

    assert [lot.facts.get("roast_date") for lot in book.lots] == ["2025-06-03", "2025-06-04"]
