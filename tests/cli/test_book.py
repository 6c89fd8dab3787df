"""`wetleaf book`: one file, private only when asked, refusals in one line."""

from pathlib import Path

import pytest
from tests.room import a_lot, a_sample, a_season, command


@pytest.fixture
def season(db: None) -> None:
    spring = a_season("Spring 2026")
    a_sample(a_lot(spring, "LU-07", "Frost Hollow Dong Ding", producer="Widow Terrace Works"), grams=25)


def test_a_book_of_one_lot_without_any_score_is_written(season: None, tmp_path: Path) -> None:
    said = command("book", "--season", "Spring 2026", "--out", str(tmp_path / "book.html"))

    html = (tmp_path / "book.html").read_text("utf-8")
    assert said.code == 0
    assert "Makers and prices are not in it." in said.out
    assert "Frost Hollow Dong Ding" in html
    assert "Widow Terrace Works" not in html


def test_makers_are_in_a_private_book(season: None, tmp_path: Path) -> None:
    command("book", "--season", "Spring 2026", "--private", "--out", str(tmp_path / "book.html"))

    assert "Widow Terrace Works" in (tmp_path / "book.html").read_text("utf-8")


def test_a_season_that_is_not_there_is_named(season: None, tmp_path: Path) -> None:
    said = command("book", "--season", "Autumn 2031", "--out", str(tmp_path / "book.html"))

    assert said.code == 2
    assert "Autumn 2031" in said.err
    assert "Spring 2026" in said.err


def test_a_place_that_cannot_be_written_is_refused_in_one_line(season: None, tmp_path: Path) -> None:
    said = command("book", "--season", "Spring 2026", "--out", str(tmp_path / "no" / "such" / "book.html"))

    assert said.code == 2
    assert "cannot be written" in said.err
