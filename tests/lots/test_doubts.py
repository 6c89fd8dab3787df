"""What cannot well be true of a lot beside its neighbours or its own dates is asked about, never refused."""

import datetime as dt
from decimal import Decimal

import pytest
from tests.room import NOON, a_lot, a_sample, a_season, an_offer

from wetleaf.lots.actions import note_fact
from wetleaf.lots.doubts import doubts_of, odd_prices
from wetleaf.lots.models import DroppedCell, Lot, Season
from wetleaf.lots.withdrawals import withdraw_lot
from wetleaf.lots.workbooks.records import Cell, LotRow, ReadBook
from wetleaf.sheets.intake import store_book
from wetleaf.trade.dates import parse_date
from wetleaf.trade.money import Price

TODAY = dt.date(2026, 5, 20)


@pytest.fixture
def season(db: None) -> Season:
    return a_season()


def priced(season: Season, code: str, price: int, money: str = "EUR", *, tea_class: str = "oolong") -> Lot:
    lot = a_lot(season, code, tea_class=tea_class)
    an_offer(lot, price_per_kg=price, currency=money)
    return lot


def test_a_price_a_hundred_times_its_neighbours_is_asked_about(season: Season) -> None:
    for number, price in enumerate((28, 30, 33)):
        priced(season, f"N-{number}", price)
    dear = priced(season, "D-1", 3000)

    assert list(odd_prices(season)) == [dear.pk]
    assert doubts_of(dear, today=TODAY) == (
        "3000 EUR a kg is 100 times the 30 in the middle of 3 other oolong lots: is it the price of a kilo, "
        "or of another weight?",
    )


def test_so_is_one_a_hundredth_of_theirs(season: Season) -> None:
    for number, price in enumerate((280, 300, 330)):
        priced(season, f"N-{number}", price)
    cheap = priced(season, "C-1", 3)

    assert "a 100th of the 300 in the middle" in odd_prices(season)[cheap.pk]


def test_a_dear_tea_is_no_slip_and_other_money_no_neighbour(season: Season) -> None:
    for number, price in enumerate((28, 30, 33)):
        priced(season, f"N-{number}", price)
    priced(season, "D-1", 500)
    priced(season, "J-1", 9000, "JPY")

    assert odd_prices(season) == {}


def test_neighbours_are_those_of_the_class_where_there_are_two(season: Season) -> None:
    for number, price in enumerate((28, 30, 33)):
        priced(season, f"N-{number}", price)
    for number, price in enumerate((900, 1000, 1100)):
        priced(season, f"W-{number}", price, tea_class="dark")

    assert odd_prices(season) == {}


def test_a_withdrawn_lot_is_no_neighbour(season: Season) -> None:
    for number, price in enumerate((28, 30)):
        priced(season, f"N-{number}", price)
    dear = priced(season, "D-1", 3000)
    assert dear.pk in odd_prices(season)

    withdraw_lot(Lot.objects.get(code="N-0"), "a mistake")

    assert odd_prices(season) == {}


def test_a_picking_day_still_to_come_is_asked_about(season: Season) -> None:
    lot = a_lot(season)
    note_fact(lot, "harvest", "18 Apr 2027", parse_date("18 Apr 2027").value)

    assert doubts_of(lot, today=TODAY) == ("it is said to be picked on 2027-04-18, which is still to come.",)


def test_a_month_of_picking_counts_from_its_first_day(season: Season) -> None:
    lot = a_lot(season)
    note_fact(lot, "harvest", "April 2026", parse_date("April 2026").value)
    sample = a_sample(lot)
    sample.received_on = dt.date(2026, 4, 10)
    sample.save()

    assert doubts_of(lot, today=TODAY) == ()


def test_a_workbook_with_such_cells_is_stored_and_the_cells_are_noted(season: Season) -> None:
    rows = [_row(2, "A", 30), _row(3, "B", 28), _row(4, "C", 33), _row(5, "D", 3000, early=True)]

    store_book(ReadBook("spring.xlsx", "1", "xlsx", {}, lots=tuple(rows)), season=season.name, now=NOON)

    noted = {cell.kind: cell for cell in DroppedCell.objects.filter(severity="warn")}
    assert set(noted) == {"odd_price", "received_early"}
    assert {cell.cell for cell in noted.values()} == {"P5", "R5"}
    assert Lot.objects.get(code="D").offers.get().price_per_kg == Decimal(3000)


def _row(row: int, code: str, price: int, *, early: bool = False) -> LotRow:
    told = {"harvest": parse_date("18 Apr 2026").value}
    cells = {"code": Cell("Lots", f"A{row}", code), "price": Cell("Lots", f"P{row}", f"{price} EUR/kg")}
    if early:
        told["sample_received"] = parse_date("1 Apr 2026").value
        cells["sample_received"] = Cell("Lots", f"R{row}", "1 Apr 2026")
    return LotRow("Lots", row, code, price=Price(Decimal(price), "EUR", Decimal(1000)), cells=cells, **told)
