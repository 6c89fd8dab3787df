"""A lot put on the books by mistake is withdrawn and can be restored; nothing of it is lost."""

import datetime as dt
from decimal import Decimal

import pytest
from tests.room import a_lot, a_sample, a_season, all_at_once

from wetleaf.lots.actions import free_code, known_lot, new_lot
from wetleaf.lots.facts import known_lots
from wetleaf.lots.makings import Part, make_child
from wetleaf.lots.models import Fact, Lot, Restoration, Withdrawal
from wetleaf.lots.withdrawals import restore_lot, withdraw_lot, withdrawal_of, withdrawals_in
from wetleaf.trade.errors import BadInput

DAY = dt.date(2026, 5, 20)


@pytest.mark.django_db
def test_a_withdrawn_lot_leaves_the_lists_and_keeps_what_was_said_of_it() -> None:
    season = a_season()
    mistake = a_lot(season, "LU-07", harvest="18 Apr 2026")
    a_lot(season, "LU-08")

    withdrawal = withdraw_lot(mistake, "typed twice", on=DAY)

    assert (withdrawal.reason, withdrawal.happened_on) == ("typed twice", DAY)
    assert [lot.code for lot in known_lots(season)] == ["LU-08"]
    assert [lot.code for lot in Lot.objects.that_stand()] == ["LU-08"]
    assert [one.lot.code for one in withdrawals_in(season)] == ["LU-07"]
    assert Fact.objects.filter(lot=mistake).count() == 1


@pytest.mark.django_db
def test_a_restored_lot_is_back_and_both_records_stay() -> None:
    season = a_season()
    lot = a_lot(season)

    withdraw_lot(lot, "typed twice")
    restore_lot(lot, "it was the other one")

    assert [one.code for one in known_lots(season)] == ["LU-07"]
    assert withdrawal_of(lot) is None
    assert Withdrawal.objects.get().undone_by == Restoration.objects.get()


@pytest.mark.django_db
def test_a_lot_can_be_withdrawn_again_after_it_was_restored() -> None:
    lot = a_lot(a_season())

    for _ in range(3):
        withdraw_lot(lot, "a mistake")
        restore_lot(lot)
    withdraw_lot(lot, "a mistake after all")

    assert Withdrawal.objects.count() == 4
    assert not Lot.objects.that_stand().exists()


@pytest.mark.django_db
def test_a_withdrawn_lot_is_named_with_the_way_back() -> None:
    season = a_season()
    withdraw_lot(a_lot(season), "typed twice", on=DAY)

    with pytest.raises(BadInput, match="was withdrawn on 2026-05-20: typed twice") as refusal:
        known_lot(season, "LU-07")

    assert refusal.value.way_out == 'wetleaf lot restore LU-07 --season "Spring 2026" brings it back.'
    assert known_lot(season, "LU-07", also_withdrawn=True).code == "LU-07"


@pytest.mark.django_db
def test_its_code_stays_its_own() -> None:
    season = a_season()
    withdraw_lot(a_lot(season, "LU-01"), "typed twice")

    assert free_code(season, "LU") == "LU-02"
    with pytest.raises(BadInput, match="has a lot 'LU-01' that was withdrawn; it keeps its code"):
        new_lot(season, "LU-01", "Another tea")


@pytest.mark.django_db
def test_a_reason_is_asked_for_and_a_second_withdrawal_refused() -> None:
    lot = a_lot(a_season())

    with pytest.raises(BadInput, match="why LU-07 is withdrawn is not said"):
        withdraw_lot(lot, " ")
    withdraw_lot(lot, "typed twice")
    with pytest.raises(BadInput, match="was withdrawn on"):
        withdraw_lot(lot, "once more")

    assert Withdrawal.objects.count() == 1


@pytest.mark.django_db
def test_a_lot_that_stands_cannot_be_restored() -> None:
    with pytest.raises(BadInput, match="LU-07 is not withdrawn"):
        restore_lot(a_lot(a_season()))


@pytest.mark.django_db
def test_parents_are_withdrawn_after_their_children_and_restored_before_them() -> None:
    parent = a_lot(a_season())
    child = make_child([Part(parent, Decimal(600))], "split", "LU-07b")

    with pytest.raises(BadInput, match="LU-07b was made from it"):
        withdraw_lot(parent, "a mistake")
    withdraw_lot(child, "a mistake")
    withdraw_lot(parent, "a mistake")
    with pytest.raises(BadInput, match="was made from LU-07, which is withdrawn"):
        restore_lot(child)
    restore_lot(parent)
    restore_lot(child)

    assert Lot.objects.that_stand().count() == 2


@pytest.mark.django_db(transaction=True)
def test_eight_who_withdraw_at_once_withdraw_once() -> None:
    lot = a_lot(a_season())
    a_sample(lot, grams=10)

    refused = all_at_once(lambda: withdraw_lot(lot, "typed twice"))

    assert [type(one) for one in refused] == [BadInput] * 7
    assert Withdrawal.objects.count() == 1
