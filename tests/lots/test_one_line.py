"""A lot typed in one line stands on the books with what it said."""

import datetime as dt
import io
from decimal import Decimal

import pytest
from tests.room import a_season, command

from wetleaf.lots.facts import known_lots
from wetleaf.lots.models import Lot, Season
from wetleaf.lots.one_line import add_lot_in_one_line
from wetleaf.trade.dates import on_day
from wetleaf.trade.errors import BadInput
from wetleaf.trade.onelines import read_line
from wetleaf.trade.quantities import Elevation

LINE = "Lugu, qingxin, 18 Apr, 750 m, medium roast, 1200 NT$/jin, 18 kg, till 22 May"
TODAY = dt.date(2026, 5, 2)


@pytest.mark.django_db
def test_every_part_of_the_line_becomes_a_fact_or_an_offer() -> None:
    spring = a_season()

    lot = add_lot_in_one_line(spring, read_line(LINE, today=TODAY))

    (known,) = known_lots(spring)
    assert (lot.code, lot.name) == ("LU-01", "Lugu qingxin")
    assert known.facts["harvest"].value == on_day(dt.date(2026, 4, 18))
    assert known.facts["elev"].value == Elevation(m=750)
    assert known.facts["roast"].value.word == "medium"
    assert (known.written("region"), known.written("cv")) == ("Lugu", "qingxin")
    assert (known.offer.price_per_kg, known.offer.avail_grams) == (Decimal(2000), Decimal(18000))
    assert known.offer.valid_until == dt.date(2026, 5, 22)


@pytest.mark.django_db
def test_the_next_line_gets_the_next_code_and_late_april_stays_late_april() -> None:
    spring = a_season()
    add_lot_in_one_line(spring, read_line(LINE, today=TODAY))

    lot = add_lot_in_one_line(spring, read_line("Lugu, late April, 600-800 m", today=TODAY))

    facts = known_lots(spring)[1].facts
    assert lot.code == "LU-02"
    assert (facts["harvest"].value.precision, facts["harvest"].value.year) == ("part_of_month", 2026)
    assert facts["elev"].value == Elevation(m_min=600, m_max=800)


@pytest.mark.django_db
def test_a_line_that_says_nothing_is_refused() -> None:
    with pytest.raises(BadInput, match="says nothing of a tea"):
        add_lot_in_one_line(a_season(), read_line("", today=TODAY))


@pytest.mark.django_db
def test_the_command_says_how_each_part_was_read_and_what_to_ask() -> None:
    said = command("add", "Lugu, qingxin, 18 Apr 2026, 1750 m", "--season", "Spring 2026")

    assert said.code == 0
    assert "  elevation: 1750 m, from '1750 m'" in said.out.splitlines()
    assert "LU-01 Lugu qingxin is on the books of Spring 2026. The season is new." in said.out.splitlines()
    assert "To ask the producer:" in said.out
    assert Lot.objects.get().season.name == "Spring 2026"


@pytest.mark.django_db
def test_a_refused_line_leaves_no_season_behind() -> None:
    said = command("add", "", "--season", "Spring 2026")

    assert said.code == 2
    assert said.err.startswith("wetleaf: '' says nothing of a tea.")
    assert not Season.objects.exists()


@pytest.mark.django_db
def test_a_line_without_commas_is_read_into_its_fields() -> None:
    said = command("add", "Bai mu dan 2026 spring Fuding ¥320/jin 15kg", "--season", "Spring 2026")

    (known,) = known_lots(Season.objects.get())
    assert said.code == 0
    assert (known.name, known.tea_class, known.written("region")) == ("Bai mu dan", "white", "Fuding")
    assert (known.offer.price_per_kg, known.offer.avail_grams) == (Decimal(640), Decimal(15000))
    assert "price:     320 CNY for 500 g, 640 a kg, from '¥320/jin'" in said.out


@pytest.mark.django_db
def test_left_over_words_are_refused_where_nobody_can_be_asked() -> None:
    said = command("add", "Muzha tieguanyin, the same as K1 but more roast", "--season", "Spring 2026")

    assert said.code == 2
    assert "'the same as K1 but more roast' was not understood. Nothing was stored." in said.err
    assert "--yes" in said.err
    assert not Lot.objects.exists()
    assert not Season.objects.exists()


@pytest.mark.django_db
def test_left_over_words_become_a_private_remark_with_yes() -> None:
    line = "Muzha tieguanyin, 12 May 2026, from Gao, the same as K1 but more roast"

    said = command("add", line, "--season", "Spring 2026", "--yes")

    (known,) = known_lots(Season.objects.get())
    assert said.code == 0
    assert (known.code, known.name, known.producer) == ("MU-01", "Muzha tieguanyin", "Gao")
    assert known.written("remarks") == "the same as K1 but more roast"
    assert known.facts["remarks"].private
    assert known.facts["remarks"].ground == "noted by the buyer"
    assert "roast" not in known.facts


@pytest.mark.django_db
@pytest.mark.parametrize(("answer", "stored"), [("n", 0), ("", 1)])
def test_at_a_terminal_it_is_asked_before_it_is_stored(
    monkeypatch: pytest.MonkeyPatch, answer: str, stored: int
) -> None:
    terminal = io.StringIO(f"{answer}\n")
    terminal.isatty = lambda: True  # type: ignore[method-assign]
    monkeypatch.setattr("sys.stdin", terminal)

    said = command("add", "Lugu, qingxin, very nice", "--season", "Spring 2026")

    assert said.code == 0
    assert said.out.index("left over: 'very nice'") < said.out.index("Store it?")
    assert Lot.objects.count() == stored
    assert ("Nothing was stored." in said.out) == (not stored)


@pytest.mark.django_db
def test_a_typed_price_far_from_its_neighbours_is_stored_and_asked_about() -> None:
    for number, price in enumerate(("28", "30", "33", "3000"), start=1):
        said = command("add", f"Lugu, oolong, EUR {price}/kg, code: N{number}", "--season", "Spring 2026")

    assert said.code == 0
    assert "Look again: 3000 EUR a kg is 100 times the 30 in the middle of 3 other oolong lots" in said.out
    assert Lot.objects.count() == 4
