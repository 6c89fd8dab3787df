"""A fact or an offer that is wrong is corrected by the buyer, and no old workbook undoes it."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone
from tests.room import Ran, a_lot, a_sample, a_season, command

from wetleaf.findings.assembling.books import assemble_season_book
from wetleaf.lots.corrections import CORRECTABLE, Change, correct_lot, corrected_in, read_correction
from wetleaf.lots.facts import known_lots
from wetleaf.lots.models import DroppedCell, Fact, Lot, Offer
from wetleaf.lots.offers import OfferSaid, make_offer
from wetleaf.lots.withdrawals import withdraw_lot
from wetleaf.lots.workbooks.records import Cell, LotRow, ReadBook
from wetleaf.sheets.intake import Intake, store_book
from wetleaf.trade.dates import parse_date
from wetleaf.trade.errors import BadInput
from wetleaf.trade.quantities import Elevation

LATER = timezone.now() + dt.timedelta(hours=1)
SEASON = ("--season", "Spring 2026")


@pytest.fixture
def lot(db: None) -> Lot:
    lot = a_lot(a_season(), "LU-07", "Stone Basin", cv="jin xuan", region="Lugu, Nantou")
    a_sample(lot, grams=25)
    return lot


def corrected(lot: Lot, *texts: str, because: str = "misread the label") -> tuple[Change, ...]:
    return correct_lot(lot, [read_correction(lot, text) for text in texts], because, now=LATER)


def a_row(**told: object) -> LotRow:
    """The lot as a workbook tells it, each field from its own cell."""
    cells = {
        name: Cell("Lots", f"{'BCDEFGHIJK'[k]}2", str(value)) for k, (name, value) in enumerate(told.items())
    }
    facts = {name: str(told.pop(name)) for name in ("tea_class", "grade") if name in told}
    cells["code"] = Cell("Lots", "A2", "LU-07")
    return LotRow("Lots", 2, "LU-07", facts=facts, cells=cells, **told)


def stored(*rows: LotRow, digest: str) -> Intake:
    """Take in a workbook: "1" half an hour before the correction, the others after it."""
    book = ReadBook("spring.xlsx", digest, "xlsx", {"Lots": "lots"}, lots=rows)
    return store_book(book, season="Spring 2026", now=LATER + dt.timedelta(hours=int(digest) - 1.5))


def test_a_correction_is_a_new_fact_that_says_who_when_and_why(lot: Lot) -> None:
    changes = corrected(lot, "cultivar=qingxin")

    old, new = Fact.objects.filter(lot=lot, field="cv")
    assert changes == (Change("cultivar", "jin xuan", "qingxin"),)
    assert (old.written, new.written) == ("jin xuan", "qingxin")
    assert (new.ground, new.source) == ("noted by the buyer", "corrected by the buyer: misread the label")
    assert new.said_at == LATER


def test_class_name_maker_and_line_follow_on_the_lot(lot: Lot) -> None:
    corrected(lot, "class=black tea", "name=Stone Basin red", "maker=Widow Terrace", "line=House red")

    lot.refresh_from_db()
    assert (lot.tea_class, lot.name, str(lot.producer), str(lot.line)) == (
        "black", "Stone Basin red", "Widow Terrace", "House red",
    )  # fmt: skip


def test_values_are_read_as_a_workbook_reads_them(lot: Lot) -> None:
    corrected(lot, "elevation=750 m", "harvest=18 Apr 2026", "until=22 May 2026", "available=10 jin")

    (known,) = known_lots(lot.season)
    assert known.facts["elev"].value == Elevation(m=750, value_written=Decimal(750))
    assert known.facts["harvest"].value == parse_date("18 Apr 2026").value
    assert known.offer.valid_until == dt.date(2026, 5, 22)
    assert known.offer.avail_grams == Decimal(6000)  # a jin of Lugu


def test_the_rest_of_an_offer_stays_as_it_was(lot: Lot) -> None:
    make_offer(lot, OfferSaid(avail_grams=Decimal(18000), as_written={"avail_grams": "18 kg"}))

    corrected(lot, "price=1200 NT$/jin")

    assert Offer.objects.count() == 2
    assert known_lots(lot.season)[0].offer.price_per_kg == Decimal(2000)
    assert known_lots(lot.season)[0].offer.avail_grams == Decimal(18000)


def test_the_book_shows_what_was_said_before(lot: Lot) -> None:
    corrected(lot, "cultivar=qingxin")

    book = assemble_season_book(lot.season, shown_private=True, made_on=dt.date(2026, 5, 20))
    (row,) = [row for row in book.lots[0].facts if row.what == "Cultivar"]
    assert (row.stated, row.who_says) == ("qingxin", "noted by the buyer")
    assert "Before, it was said to be jin xuan." in row.doubt


def test_a_workbook_that_says_the_old_thing_does_not_undo_it(lot: Lot) -> None:
    corrected(lot, "cultivar=qingxin", "class=black", "name=Stone Basin red")

    stored(a_row(name="Stone Basin", cv="jin xuan", tea_class="Oolong", grade="A"), digest="2")

    (known,) = known_lots(lot.season)
    assert (known.name, known.tea_class, known.written("cv")) == ("Stone Basin red", "black", "qingxin")
    assert known.written("grade") == "A"
    noted = DroppedCell.objects.filter(kind="corrected_by_buyer")
    assert {cell.says for cell in noted} == {"Stone Basin", "jin xuan", "Oolong"}
    assert "you corrected this: qingxin holds" in {cell.why for cell in noted}


def test_an_old_last_day_does_not_come_back_and_a_new_one_does(lot: Lot) -> None:
    may, june, july = (parse_date(text).value for text in ("2 May 2026", "2 June 2026", "2 July 2026"))
    stored(a_row(name="Stone Basin", offer_until=may), digest="1")
    corrected(lot, "until=2 June 2026")

    stored(a_row(name="Stone Basin", offer_until=may, grade="A"), digest="2")
    after_old = known_lots(lot.season)[0].offer.offer_until
    stored(a_row(name="Stone Basin", offer_until=july), digest="3")
    after_new = known_lots(lot.season)[0].offer.offer_until

    assert (after_old, after_new) == (june, july)


def test_a_correction_is_corrected_again(lot: Lot) -> None:
    corrected(lot, "cultivar=qingxin")

    corrected(lot, "cultivar=cuiyu", because="the maker wrote")

    mine = corrected_in(lot.season)[lot.pk]
    assert mine.written == {"cv": "cuiyu"}
    assert mine.sets_aside("cv", {"text": "qingxin"})
    assert not mine.sets_aside("cv", {"text": "cuiyu"})


@pytest.mark.parametrize(
    ("texts", "why"),
    [
        (["taste=good"], "'taste' is no fact of a lot"),
        (["cultivar"], "'cultivar' corrects nothing"),
        (["cultivar= "], "what is right for cultivar is not said"),
        (["class=nonsense"], "cannot be read as class"),
        (["elevation=high up"], "cannot be read as elevation"),
        (["until=soon"], "cannot be read as until"),
        (["harvest=9/4/25"], "ambiguous date"),
        (["price=cheap"], "cannot be read as price"),
        (["cultivar=qingxin", "cv=jinxuan"], "corrected twice at once"),
        (["name=Stone Basin red", "elevation=high up"], "cannot be read as elevation"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_stored(lot: Lot, texts: list[str], why: str) -> None:
    before = Fact.objects.count()

    said = command("lot", "correct", "LU-07", *texts, *SEASON, "--because", "a slip")

    assert said.code == 2
    assert why in said.err
    assert len(said.err.splitlines()) == 1
    assert (Fact.objects.count(), Lot.objects.get().name) == (before, "Stone Basin")


def test_a_reason_is_needed_and_a_withdrawn_lot_waits(lot: Lot) -> None:
    with pytest.raises(BadInput, match="why LU-07 is corrected is not said"):
        corrected(lot, "cultivar=qingxin", because=" ")

    withdraw_lot(lot, "typed twice")
    with pytest.raises(BadInput, match="was withdrawn"):
        corrected(lot, "cultivar=qingxin")


def test_the_command_says_what_changed(lot: Lot) -> None:
    said: Ran = command(
        "lot", "correct", "lu-07", "cultivar=qingxin", "received=1 Apr 2026", "harvest=18 Apr 2026",
        *SEASON, "--because", "asked Gao",
    )  # fmt: skip

    assert said.code == 0, said.err
    assert said.out.splitlines()[:2] == [
        "LU-07 cultivar: qingxin, before 'jin xuan', because asked Gao.",
        "LU-07 received: 1 Apr 2026, because asked Gao.",
    ]
    assert "Look again: the sample came on 2026-04-01, before the leaf was picked" in said.out


def test_every_name_of_a_field_leads_somewhere(lot: Lot) -> None:
    values = {"class": "oolong", "elevation": "750 m", "oxidation": "25 %", "price": "38 EUR/kg"}
    dated = ("harvest", "received", "until")
    weighed = ("available", "smallest order")

    for name in CORRECTABLE:
        value = values.get(name, "2 May 2026" if name in dated else "2 kg" if name in weighed else "medium")
        assert read_correction(lot, f"{name}={value}").written == value
    assert len(CORRECTABLE) > 20
