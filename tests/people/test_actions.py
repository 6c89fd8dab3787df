"""Who is meant by a written name."""

import pytest

from wetleaf.people.actions import name_the_buyer, taster_named, tasters_named, the_buyer
from wetleaf.people.models import Taster, WrittenName
from wetleaf.trade.errors import BadInput


@pytest.mark.django_db
def test_a_taster_is_found_again_by_every_spelling_that_was_told() -> None:
    ruth = taster_named("Ruth", also_written=["Ruth K.", "ruth "])

    assert taster_named("Ruth K.") == ruth
    assert taster_named(" ruth ") == ruth
    assert Taster.objects.count() == 1


@pytest.mark.django_db
def test_a_spelling_nobody_told_is_another_person() -> None:
    taster_named("Ruth")

    taster_named("Ruth K.")

    assert sorted(Taster.objects.values_list("name", flat=True)) == ["Ruth", "Ruth K."]


@pytest.mark.django_db
def test_a_spelling_belongs_to_one_person() -> None:
    tasters_named({"Mei": ["M."], "Mirel": ["M."]})

    assert WrittenName.objects.get().taster.name == "Mei"


@pytest.mark.django_db
def test_the_buyer_is_one_person() -> None:
    first = the_buyer()

    assert the_buyer() == first
    assert first.is_buyer
    assert the_buyer() == taster_named("the buyer")


@pytest.mark.django_db
def test_a_named_buyer_is_the_buyer() -> None:
    ilse = Taster.objects.create(name="Ilse", is_buyer=True)

    assert the_buyer() == ilse


@pytest.mark.django_db
def test_the_nameless_buyer_can_be_given_a_name_and_keeps_what_was_answered() -> None:
    nameless = the_buyer()

    named = name_the_buyer("Ilse")

    assert (named.pk, named.name, named.is_buyer) == (nameless.pk, "Ilse", True)
    assert the_buyer() == named == name_the_buyer(" Ilse ")


@pytest.mark.django_db
def test_a_taster_already_known_can_be_the_buyer() -> None:
    ilse = taster_named("Ilse")

    assert name_the_buyer("Ilse") == ilse
    assert the_buyer() == ilse


@pytest.mark.django_db
def test_a_second_buyer_is_refused_and_the_first_stays() -> None:
    name_the_buyer("Ilse")

    with pytest.raises(BadInput, match="buyer of these books is 'Ilse'"):
        name_the_buyer("Teodor")

    assert the_buyer().name == "Ilse"


@pytest.mark.django_db
def test_nobody_is_refused() -> None:
    with pytest.raises(BadInput, match="without a name"):
        taster_named("  ")
