"""A season on the books whose book is the hand-made one: pages are tried apart from the assembling."""

import datetime as dt

import pytest
from tests.findings.drawings.sample_book import a_rich_book
from tests.room import a_lot, a_sample, a_season

from wetleaf.findings import views
from wetleaf.findings.arranging import without_private
from wetleaf.findings.book import SeasonBook
from wetleaf.lots.models import Season


@pytest.fixture
def sample_season(db: None, monkeypatch: pytest.MonkeyPatch) -> Season:
    """A season whose pages show the hand-made book."""
    season = a_season("Spring 2026")
    a_sample(a_lot(season, "LU-07", "Stone Basin"), grams=25)

    def open_sample(_: Season, *, shown_private: bool, on: dt.date) -> SeasonBook:
        book = a_rich_book()
        return book if shown_private else without_private(book)

    monkeypatch.setattr(views, "open_book", open_sample)
    return season
