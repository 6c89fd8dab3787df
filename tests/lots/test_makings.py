"""Lots made from lots: what goes in, what comes out, and no lot that is its own ancestor."""

import itertools
from decimal import Decimal

import pytest
from tests.room import a_line, a_lot, a_season, all_at_once

from wetleaf.lots.actions import note_fact
from wetleaf.lots.makings import Part, balance_of, grams_held, make_child, note_making
from wetleaf.lots.models import Lot, Making
from wetleaf.lots.withdrawals import withdraw_lot
from wetleaf.trade.errors import BadInput
from wetleaf.trade.quantities import Degree


@pytest.mark.django_db
def test_a_roast_trial_takes_over_its_lots_facts_but_the_roast() -> None:
    parent = a_lot(a_season(), line=a_line(), harvest="18 Apr 2026", cv="Qingxin")
    note_fact(parent, "roast", "medium", Degree(word="medium"))

    child = make_child([Part(parent, Decimal(600))], "re-roast", "LU-07b", grams_out=Decimal(570))

    assert (child.name, child.line, child.producer) == (parent.name, parent.line, parent.producer)
    assert set(child.facts.values_list("field", flat=True)) == {"harvest", "cv"}
    making = child.made_from.get()
    assert (making.kind, making.grams_in, making.grams_out, making.loss_percent) == (
        "re-roast", Decimal(600), Decimal(570), Decimal(5),
    )  # fmt: skip
    assert child.samples.get().code == "LU-07b"


@pytest.mark.django_db
def test_a_blend_has_several_parents_and_only_what_they_agree_in() -> None:
    spring = a_season()
    one = a_lot(spring, "A-1", tea_class="oolong", cv="Qingxin", kept="sealed")
    two = a_lot(spring, "A-2", tea_class="oolong", cv="Jin Xuan", kept="sealed", producer="Other Works")

    child = make_child([Part(one, Decimal(300)), Part(two, Decimal(200))], "blend", "B-1", "House blend",
                       grams_out=Decimal(490))  # fmt: skip

    assert (child.tea_class, child.producer) == ("oolong", None)
    assert list(child.facts.values_list("field", "written")) == [("kept", "sealed")]
    assert [(m.parent.code, m.grams_in, m.loss_percent) for m in child.made_from.all()] == [
        ("A-1", Decimal(300), Decimal(2)), ("A-2", Decimal(200), Decimal(2)),
    ]  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["split", "re-roast", "sort", "repack"])
def test_every_other_making_has_one_parent(kind: str) -> None:
    spring = a_season()
    parts = [Part(a_lot(spring, "A-1")), Part(a_lot(spring, "A-2"))]

    with pytest.raises(BadInput, match="is made from one lot"):
        make_child(parts, kind, "B-1")

    assert make_child(parts[:1], kind, "B-1").made_from.get().kind == kind


@pytest.mark.django_db
def test_a_blend_of_one_is_refused() -> None:
    with pytest.raises(BadInput, match="two lots or more"):
        make_child([Part(a_lot(a_season()))], "blend", "B-1")


@pytest.mark.django_db
def test_more_cannot_come_out_than_went_in() -> None:
    parent = a_lot(a_season())

    with pytest.raises(BadInput, match="700 g cannot come out of 600 g"):
        make_child([Part(parent, Decimal(600))], "sort", "B-1", grams_out=Decimal(700))

    assert Lot.objects.count() == 1


@pytest.mark.django_db
def test_a_code_in_use_is_refused_and_nothing_made() -> None:
    parent = a_lot(a_season())

    with pytest.raises(BadInput, match="already has a lot 'LU-07'"):
        make_child([Part(parent)], "split", "LU-07")

    assert not Making.objects.exists()


@pytest.mark.django_db
def test_a_lot_cannot_come_from_what_is_made_from_it() -> None:
    grandparent = a_lot(a_season(), "A-1")
    parent = make_child([Part(grandparent)], "sort", "A-2")
    child = make_child([Part(parent)], "re-roast", "A-3")

    with pytest.raises(BadInput, match="A-1 cannot come from A-3, which is itself made from A-1"):
        note_making(grandparent, [Part(child)], "blend")
    with pytest.raises(BadInput, match="A-1 cannot come from itself"):
        note_making(grandparent, [Part(grandparent)], "split")

    assert Making.objects.count() == 2


@pytest.mark.django_db
def test_children_never_hold_more_than_their_parent() -> None:
    parent = make_child([Part(a_lot(a_season()), Decimal(600))], "re-roast", "A-1", grams_out=Decimal(570))
    make_child([Part(parent, Decimal(400))], "split", "A-2")

    with pytest.raises(BadInput, match="A-1 holds 170 g, 200 g cannot be taken of it"):
        make_child([Part(parent, Decimal(200))], "split", "A-3")
    make_child([Part(parent, Decimal(170))], "split", "A-3")

    assert grams_held(parent) == 0
    assert set(Making.objects.filter(parent=parent).values_list("child__code", flat=True)) == {"A-2", "A-3"}


@pytest.mark.django_db
def test_what_a_withdrawn_child_took_is_its_parents_again() -> None:
    parent = make_child([Part(a_lot(a_season()), Decimal(600))], "sort", "A-1", grams_out=Decimal(570))
    mistake = make_child([Part(parent, Decimal(500))], "split", "A-2")

    withdraw_lot(mistake, "weighed on the wrong scale")

    assert grams_held(parent) == Decimal(570)
    with pytest.raises(BadInput, match="was withdrawn"):
        make_child([Part(mistake, Decimal(5))], "split", "A-3")


@pytest.mark.django_db
def test_a_parent_is_named_once() -> None:
    lot = a_lot(a_season())

    with pytest.raises(BadInput, match="LU-07 is named twice"):
        make_child([Part(lot, Decimal(10)), Part(lot, Decimal(20))], "blend", "B-1")

    assert Lot.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_eight_who_split_at_once_never_take_more_than_there_is() -> None:
    parent = make_child([Part(a_lot(a_season()), Decimal(600))], "sort", "A-1", grams_out=Decimal(500))
    numbers = itertools.count()

    refused = all_at_once(lambda: make_child([Part(parent, Decimal(100))], "split", f"B-{next(numbers)}"))

    assert [type(one) for one in refused] == [BadInput] * 3
    assert grams_held(parent) == 0


@pytest.mark.django_db
def test_a_balance_is_read_back_from_the_books() -> None:
    spring = a_season()
    parts = [Part(a_lot(spring, "A-1"), Decimal(300)), Part(a_lot(spring, "A-2"), Decimal(200))]

    child = make_child(parts, "blend", "B-1", loss_percent=Decimal("1.5"))

    assert balance_of(child).said == "500 g in, 492.5 g out, 7.5 g (1.5 %) lost"
