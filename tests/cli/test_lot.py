"""`wetleaf lot` and `wetleaf decide`, as a person types them, on the test database."""

from decimal import Decimal

import pytest
from tests.room import Ran, a_lot, a_sample, a_season, command

from wetleaf.lots.actions import note_fact
from wetleaf.lots.models import Lot, Making, Season, Withdrawal
from wetleaf.lots.offers import OfferSaid, make_offer
from wetleaf.sheets.models import Verdict

SEASON = ("--season", "Spring 2026")


@pytest.fixture
def season(db: None) -> Season:
    season = a_season("Spring 2026")
    a_sample(a_lot(season, "LU-07", "Stone Basin"), grams=25)
    a_sample(a_lot(season, "LU-08", "Pine Ledge"), grams=25)
    return season


def is_refused(said: Ran, why: str) -> bool:
    return said.code == 2 and len(said.err.splitlines()) == 1 and why in said.err


def test_a_withdrawn_lot_leaves_the_leaf_and_comes_back(season: Season) -> None:
    withdrawn = command("lot", "withdraw", "LU-07", *SEASON, "--reason", "typed twice", "--on", "2026-05-20")
    without = command("leaf", *SEASON)
    listed = command("lot", "withdrawn", *SEASON)
    asked = command("leaf", "LU-07", *SEASON)
    restored = command("lot", "restore", "LU-07", *SEASON)
    again = command("leaf", *SEASON)

    assert withdrawn.out.splitlines() == [
        "LU-07 Stone Basin is withdrawn from Spring 2026: typed twice.",
        'wetleaf lot restore LU-07 --season "Spring 2026" brings it back.',
    ]
    assert [line.split(":")[0] for line in without.out.splitlines()] == ["LU-08"]
    assert listed.out == "LU-07 Stone Basin: withdrawn on 2026-05-20, typed twice.\n"
    assert is_refused(asked, "was withdrawn on 2026-05-20: typed twice")
    assert restored.out == "LU-07 Stone Basin is on the books of Spring 2026 again.\n"
    assert [line.split(":")[0] for line in again.out.splitlines()] == ["LU-07", "LU-08"]
    assert command("lot", "withdrawn", *SEASON).out == "Nothing is withdrawn of Spring 2026.\n"


def test_the_last_lot_withdrawn_leaves_a_book_and_an_export_that_say_so(season: Season, tmp_path) -> None:
    for code in ("LU-07", "LU-08"):
        assert command("lot", "withdraw", code, *SEASON, "--reason", "a mistake").code == 0

    book = command("book", *SEASON, "--out", str(tmp_path / "book.html"))
    workbook = command("export", *SEASON, "--out", str(tmp_path / "book.xlsx"))

    assert (book.code, workbook.code) == (0, 0)
    assert "Stone Basin" not in (tmp_path / "book.html").read_text("utf-8")
    assert "0 lots" in workbook.out


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (["lot", "withdraw", "LU-07"], "Missing option"),
        (["lot", "withdraw", "LU-07", *SEASON], "Missing option '--reason'"),
        (["lot", "withdraw", "LU-07", *SEASON, "--reason", " "], "is not said"),
        (["lot", "withdraw", "XX", *SEASON, "--reason", "x"], "no lot 'XX'"),
        (["lot", "withdraw", "LU-07", "--season", "1999", "--reason", "x"], "no season '1999'"),
        (["lot", "restore", "LU-07", *SEASON], "LU-07 is not withdrawn"),
        (["lot", "make", "brew", "B-1", *SEASON, "--from", "LU-07"], "no way to make a lot"),
        (["lot", "make", "split", "B-1", *SEASON], "Missing option '--from'"),
        (["lot", "make", "split", "LU-08", *SEASON, "--from", "LU-07"], "already has a lot 'LU-08'"),
        (["lot", "make", "split", "B-1", *SEASON, "--from", "LU-07=a sack"], "'a sack' is not one weight"),
        (["lot", "make", "split", "B-1", *SEASON, "--from", "LU-07=1-2 kg"], "'1-2 kg' is not one weight"),
        (["lot", "make", "split", "B-1", *SEASON, "--from", "LU-07=5", "--out", "6"], "6 g cannot come out"),
        (
            ["lot", "make", "split", "B-1", *SEASON, "--from", "LU-07", "--loss", "much"],
            "'much' is not a loss",
        ),
        (["lot", "make", "blend", "B-1", *SEASON, "--from", "LU-07"], "two lots or more"),
        (["decide", "LU-07", *SEASON], "Missing argument"),
        (["decide", "LU-07", "buy", *SEASON], "'buy' is no decision"),
        (["decide", "LU-07", "keep", *SEASON, "--kilos", "1e30"], "is not a weight to buy"),
        (["decide", "LU-07", "keep", *SEASON, "--price", "cheap"], "'cheap' is not a price"),
        (["decide", "LU-07", "keep", *SEASON, "--on", "1 May"], "'1 May' does not match"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line_and_changes_nothing(
    season: Season, arguments: list[str], why: str
) -> None:
    said = command(*arguments)

    assert is_refused(said, why), said
    assert Lot.objects.count() == 2
    assert [kind.objects.count() for kind in (Making, Verdict, Withdrawal)] == [0, 0, 0]


def test_a_lot_is_made_with_its_grams_balanced(season: Season) -> None:
    said = command(
        "lot", "make", "blend", "HB-1", *SEASON, "--from", "LU-07=0.3 kg", "--from", "LU-08=200 g",
        "--loss", "2 %", "--name", "House blend", "--on", "2026-06-02",
    )  # fmt: skip

    assert (
        said.out == "HB-1 House blend is on the books of Spring 2026: 500 g in, 490 g out, 10 g (2 %) lost.\n"
    )
    rows = Making.objects.values_list("parent__code", "grams_in", "grams_out")
    assert list(rows) == [("LU-07", Decimal(300), Decimal(490)), ("LU-08", Decimal(200), Decimal(490))]


def test_a_decision_and_a_changed_mind_are_said_back(season: Season) -> None:
    first = command(
        "decide", "LU-07", "keep", *SEASON, "--why", "even", "--kilos", "12,5", "--on", "2026-05-20"
    )
    second = command("decide", "lu-07", "leave", *SEASON, "--why", "gone", "--on", "2026-05-25")

    assert first.out == "LU-07 Stone Basin: keep, 12.5 kg on 2026-05-20, because even.\n"
    assert second.out.splitlines() == [
        "LU-07 Stone Basin: no (leave) on 2026-05-25, because gone.",
        "Before: keep, 12.5 kg on 2026-05-20, because even; it stays on the books.",
    ]
    assert Verdict.objects.count() == 2


def test_a_making_is_weighed_in_jin_where_the_place_tells_which(season: Season) -> None:
    at_lugu, nowhere = Lot.objects.get(code="LU-07"), Lot.objects.get(code="LU-08")
    note_fact(at_lugu, "region", "Lugu, Nantou")

    made = command("lot", "make", "split", "LU-07b", *SEASON, "--from", "LU-07=1 jin", "--out", "600 g")
    asked = command("lot", "make", "split", "LU-08b", *SEASON, "--from", f"{nowhere.code}=1 jin")
    said = command("lot", "make", "split", "LU-08b", *SEASON, "--from", "LU-08=1 市斤", "--out", "0,5 kg")

    assert (
        made.out
        == "LU-07b Stone Basin is on the books of Spring 2026: 600 g in, 600 g out, 0 g (0 %) lost.\n"
    )
    assert is_refused(asked, "how much '1 jin' is depends on where it was weighed")
    assert "500 g in, 500 g out" in said.out


def test_kilos_beyond_the_offer_are_said_when_they_are_noted(season: Season) -> None:
    make_offer(Lot.objects.get(code="LU-07"), OfferSaid(avail_grams=Decimal(6000)))

    said = command("decide", "LU-07", "keep", *SEASON, "--kilos", "30")

    assert said.code == 0
    assert "Look again: 30 kg are more than the 6 kg on offer." in said.out
    assert Verdict.objects.get().kilos == 30
