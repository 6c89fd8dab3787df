"""A list of lots whose sheet speaks of another season is not mixed into the one asked for without a word."""

import datetime as dt
from collections.abc import Callable
from typing import Any

from wetleaf.lots.workbooks.mapping import Mapping, SheetMapping
from wetleaf.lots.workbooks.records import ReadBook
from wetleaf.lots.workbooks.seasons_apart import with_seasons_apart, without_sheets

Read = Callable[..., ReadBook]
Rows = list[list[Any]]
TODAY = dt.date(2026, 11, 25)
OLD: Rows = [["Lot", "Tea", "Maker", "Where"]]
OLD += [["OP-1", "Old slope", "Widow Tao", "Lugu"], ["OP-2", "Low", "Bao", "Lugu"]]


def _apart(book: ReadBook, season: str) -> list[tuple[str | None, str]]:
    return [(p.sheet, p.severity) for p in with_seasons_apart(book, season, TODAY).problems if p.cell is None]


def test_a_sheet_of_another_season_is_an_error_with_two_ways_out(read: Read, lots: Rows) -> None:
    book = read({"Spring 2026": lots, "last spring 2025": OLD})

    assert _apart(book, "Spring 2026") == [("last spring 2025", "error")]
    do = next(p.do for p in with_seasons_apart(book, "Spring 2026", TODAY).problems if p.cell is None)
    assert '--accept "last spring 2025"' in do
    assert '[sheets."last spring 2025"] season = "Spring 2026"' in do


def test_the_season_asked_for_counts_and_not_only_the_book(read: Read, lots: Rows) -> None:
    book = read({"Lots": [["Spring 2025 buying"], *lots]})

    assert _apart(book, "Spring 2026") == [("Lots", "error")]
    assert _apart(book, "Spring 2025") == []


def test_a_mapping_line_settles_it(read: Read, lots: Rows) -> None:
    told = Mapping({"last spring 2025": SheetMapping(season="Spring 2026")})

    book = read({"Spring 2026": lots, "last spring 2025": OLD}, told)

    assert _apart(book, "Spring 2026") == []


def test_a_bare_year_in_a_name_is_a_warning(read: Read, lots: Rows) -> None:
    assert _apart(read({"Teas": lots, "cakes 2019": OLD}), "Spring 2026") == [("cakes 2019", "warn")]


def test_leaving_a_sheet_out_leaves_its_lots_and_remarks_out(read: Read, lots: Rows) -> None:
    old = [[*OLD[0], "notes"], *([*row, "like last year, but thin"] for row in OLD[1:])]
    book = read({"Spring 2026": lots, "last spring 2025": old})
    assert len(book.lots) == 6
    assert len(book.notes) == 2

    rest = without_sheets(book, {"last spring 2025"})

    assert {lot.sheet for lot in rest.lots} == {"Spring 2026"}
    assert rest.notes == ()
