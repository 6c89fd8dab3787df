"""The book of a page is made anew when something on the books has changed, and only then."""

import datetime as dt

import pytest

from tests.room import a_lot, a_season, a_taster
from wetleaf.findings import opening
from wetleaf.findings.assembling import books
from wetleaf.findings.book import SeasonBook
from wetleaf.findings.opening import open_book
from wetleaf.lots.actions import note_fact
from wetleaf.lots.models import Lot, Season

ON = dt.date(2026, 6, 4)


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """One entry for every book that was put together."""
    monkeypatch.setattr(opening, "_kept", {})  # no book of another test
    calls: list[bool] = []
    assemble = books.assemble_season_book

    def counted(season: Season, *, shown_private: bool, made_on: dt.date) -> SeasonBook:
        calls.append(shown_private)
        return assemble(season, shown_private=shown_private, made_on=made_on)

    monkeypatch.setattr(books, "assemble_season_book", counted)
    return calls


@pytest.fixture
def lot(db: None) -> Lot:
    return a_lot(a_season())


def test_a_second_look_finds_the_same_book(lot: Lot, made: list[bool]) -> None:
    first = open_book(lot.season, shown_private=False, on=ON)

    assert open_book(lot.season, shown_private=False, on=ON) is first
    assert made == [False]


def test_a_new_fact_makes_a_new_book(lot: Lot, made: list[bool]) -> None:
    open_book(lot.season, shown_private=False, on=ON)

    note_fact(lot, "elev", "812 m")

    facts = open_book(lot.season, shown_private=False, on=ON).lots[0].facts
    assert any("812" in fact.stated for fact in facts)
    assert made == [False, False]


def test_a_lot_that_was_renamed_is_seen_at_once(lot: Lot, made: list[bool]) -> None:
    open_book(lot.season, shown_private=False, on=ON)

    Lot.objects.filter(pk=lot.pk).update(name="Renamed Terrace")

    assert open_book(lot.season, shown_private=False, on=ON).lots[0].name == "Renamed Terrace"


def test_the_book_with_private_facts_is_another_book(lot: Lot, made: list[bool]) -> None:
    a_taster("Ilse", is_buyer=True)

    shown = open_book(lot.season, shown_private=True, on=ON)
    hidden = open_book(lot.season, shown_private=False, on=ON)

    assert (shown.shown_private, hidden.shown_private) == (True, False)
    assert "Widow Terrace Works" in repr(shown)
    assert "Widow Terrace Works" not in repr(hidden)
