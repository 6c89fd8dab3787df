"""`wetleaf leaf` shows what is left and enters what came in, was brewed or was weighed again."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone
from tests.room import a_lot, a_sample, a_season, command

from wetleaf.lots.actions import note_fact
from wetleaf.lots.ledger import grams_left
from wetleaf.lots.models import LeafEntry, Sample
from wetleaf.trade.dates import parse_date

SPRING = ("--season", "Spring 2026")


@pytest.fixture
def sample(db: None) -> Sample:
    return a_sample(a_lot(a_season("Spring 2026")), grams=25)


def test_all_samples_are_listed(sample: Sample) -> None:
    a_sample(a_lot(sample.lot.season, "LU-08"))

    said = command("leaf", *SPRING)

    assert said.out.splitlines() == ["LU-07: 25 g left, 8 brews of 3 g.", "LU-08: never weighed in"]


def test_an_entry_is_made_and_what_is_left_is_told(sample: Sample) -> None:
    assert (
        command("leaf", "LU-07", *SPRING, "--received", "2,5").out == "LU-07: 27.5 g left, 9 brews of 3 g.\n"
    )
    assert command("leaf", "lu-07", *SPRING, "--brewed", "2", "--grams-each", "5").code == 0
    last = command("leaf", "LU-07", *SPRING, "--left", "6 g", "--on", "2026-05-12")

    assert last.out.startswith("LU-07: 6 g left, 2 brews of 3 g. Only 2 brews left")
    assert grams_left(sample) == Decimal(6)
    assert str(LeafEntry.objects.last().happened_on) == "2026-05-12"


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (("LU-07", *SPRING, "--received", "abc"), "'abc' is not a weight in grams"),
        (("LU-07", *SPRING, "--received", "NaN"), "'NaN' is not a weight in grams"),
        (("LU-07", *SPRING, "--received", "-3"), "is not a weight"),
        (("LU-07", *SPRING, "--brewed", "99"), "only 25 g are left"),
        (("LU-07", *SPRING, "--brewed", "-1"), "cannot be taken"),
        (("LU-07", *SPRING, "--brewed", "1", "--left", "3"), "one entry at a time"),
        ((*SPRING, "--brewed", "1"), "whose leaf is meant is not said"),
        (("LU-99", *SPRING), "there is no lot 'LU-99'"),
        (("LU-07", "--season", "Winter"), "there is no season 'Winter'"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_entered(
    sample: Sample, arguments: tuple[str, ...], why: str
) -> None:
    said = command("leaf", *arguments)

    assert said.code == 2
    assert why in said.err
    assert "Traceback" not in said.err
    assert LeafEntry.objects.count() == 1


def test_more_than_ever_came_in_cannot_be_left(sample: Sample) -> None:
    command("leaf", "LU-07", *SPRING, "--brewed", "2")

    said = command("leaf", "LU-07", *SPRING, "--left", "30")

    assert said.code == 2
    assert "30 g of LU-07 cannot be left: 25 g came in." in said.err
    assert "--received" in said.err
    assert grams_left(sample) == Decimal(19)


def test_more_than_the_ledger_holds_is_entered_and_asked_about(sample: Sample) -> None:
    command("leaf", "LU-07", *SPRING, "--brewed", "2")

    said = command("leaf", "LU-07", *SPRING, "--left", "22")

    assert said.code == 0
    assert "Look again: That is 3 g more than the 19 g the ledger held: was a brew smaller" in said.out
    assert grams_left(sample) == Decimal(22)


def test_a_generous_packet_may_hold_a_gram_more_than_it_says(sample: Sample) -> None:
    assert command("leaf", "LU-07", *SPRING, "--left", "26.5").code == 0
    assert command("leaf", "LU-07", *SPRING, "--received", "10").code == 0
    assert command("leaf", "LU-07", *SPRING, "--left", "39").code == 2


def test_leaf_that_came_before_it_was_picked_is_entered_and_asked_about(sample: Sample) -> None:
    note_fact(sample.lot, "harvest", "18 Apr 2026", parse_date("18 Apr 2026").value)

    early = command("leaf", "LU-07", *SPRING, "--received", "25", "--on", "2026-04-01")
    later = command("leaf", "LU-07", *SPRING, "--received", "25", "--on", "2026-05-01")

    assert early.code == later.code == 0
    assert "came on 2026-04-01, before the leaf was picked (2026-04-18 or later)" in early.out
    assert "Look again" not in later.out


def test_leaf_is_not_entered_on_a_day_still_to_come(sample: Sample) -> None:
    far = (timezone.localdate() + dt.timedelta(days=2)).isoformat()

    said = command("leaf", "LU-07", *SPRING, "--received", "25", "--on", far)

    assert said.code == 2
    assert f"on {far} is still to come" in said.err
    assert LeafEntry.objects.count() == 1
