"""A season in a real browser: the hand-made book served and bound, and axe to look for barriers."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.findings.drawings.sample_book import a_long_book, a_rich_book
from tests.room import NOON, a_lot, a_sample, a_season

from wetleaf.demo.truth import BUYER, LEFT_OUT_2026
from wetleaf.demo.workbooks import write_workbooks
from wetleaf.findings import views
from wetleaf.findings.arranging import without_private
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.binding import bind
from wetleaf.findings.book import SeasonBook
from wetleaf.lots.models import Season
from wetleaf.lots.workbooks.reading import read_book
from wetleaf.sheets.intake import store_book

_INVENTED: list[SeasonBook] = []


@pytest.fixture
def served_season(site: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """The address of a season whose pages show the hand-made book."""
    season = a_season("Spring 2026")
    a_sample(a_lot(season, "LU-07", "Stone Basin 石盆"), grams=25)

    def open_sample(_: Season, *, shown_private: bool, on: dt.date) -> SeasonBook:
        return a_rich_book() if shown_private else without_private(a_rich_book())

    monkeypatch.setattr(views, "open_book", open_sample)
    return f"{site}/season/{season.pk}/"


@pytest.fixture(scope="session")
def book_file(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The address of the hand-made book as a file, private facts included."""
    return _written(tmp_path_factory.mktemp("book") / "rich.html", a_rich_book(), private=True)


@pytest.fixture(scope="session")
def long_book_file(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The address of a book of sixty lots as a file."""
    return _written(tmp_path_factory.mktemp("book") / "long.html", a_long_book(), private=False)


def _written(file: Path, book: SeasonBook, *, private: bool) -> str:
    file.write_text(bind(book, private=private).html, "utf-8")
    return file.as_uri()


@pytest.fixture
def invented_book(db: None, tmp_path: Path) -> SeasonBook:
    """The book of the invented season, made once: it is plain values, so it outlives its rows."""
    if not _INVENTED:
        last, this = (read_book(path) for path in write_workbooks(tmp_path))
        store_book(last, season="2025", buyer=BUYER, now=NOON, invented=True)
        store_book(this, season="2026", before="2025", accept=LEFT_OUT_2026, now=NOON, invented=True)
        season = Season.objects.get(name="2026")
        on = dt.date(2026, 11, 24)
        _INVENTED.append(assemble_season_book(season, shown_private=True, made_on=on))
    return _INVENTED[0]


@pytest.fixture
def barriers() -> Callable[[Any], list[str]]:
    """What axe finds against a page, rule and first element: WCAG 2.0 to 2.2 A and AA, and best practice."""
    from axe_playwright_python.sync_playwright import Axe

    def found(page: Any) -> list[str]:
        results = Axe().run(page).response
        assert results["passes"], "axe tried nothing"
        return [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in results["violations"]]

    return found
