"""The leaf ledger: grams in and out, brews left, a word before the last two, and never a float."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.room import a_lot, a_sample, a_season, all_at_once

from wetleaf.lots.ledger import (
    LeafLeft,
    brew,
    brews_left,
    correct,
    grams_left,
    leaf_left_of,
    receive,
)
from wetleaf.lots.models import LeafEntry
from wetleaf.trade.errors import BadInput


@pytest.mark.django_db
def test_what_came_in_less_what_was_brewed_is_left() -> None:
    sample = a_sample(a_lot(a_season()))

    receive(sample, Decimal("25.5"))
    left = brew(sample, 2)

    assert left.grams == Decimal("19.5")
    assert left.brews == 6
    assert [(entry.grams, entry.what) for entry in sample.leaf_entries.all()] == [
        (Decimal("25.5"), "received"),
        (Decimal("-6"), "brewed, 2 × 3 g"),
    ]


@pytest.mark.django_db
def test_thirty_brews_of_a_tenth_of_a_gram_are_three_grams() -> None:
    sample = a_sample(a_lot(a_season()), grams=10)

    for _ in range(30):
        brew(sample, grams_each=Decimal("0.1"))

    assert grams_left(sample) == Decimal(7)


@pytest.mark.django_db
def test_a_sample_never_weighed_in_has_no_grams_to_count() -> None:
    sample = a_sample(a_lot(a_season()))

    brew(sample)

    assert grams_left(sample) is None
    assert brews_left(sample) is None


@pytest.mark.django_db
def test_the_ledger_warns_before_the_last_two_brews() -> None:
    sample = a_sample(a_lot(a_season()), grams=12)

    assert brew(sample).warning == ""
    assert brew(sample).warning.startswith("Only 2 brews left (6 g)")
    assert brew(sample).warning.startswith("The last brew is left (3 g)")
    assert brew(sample).warning == "No whole brew is left (0 g)."


@pytest.mark.django_db
def test_leaf_that_is_not_there_cannot_be_brewed() -> None:
    sample = a_sample(a_lot(a_season()), grams=5)

    with pytest.raises(BadInput, match="2 brews of LU-07 take 6 g, only 5 g are left"):
        brew(sample, 2)

    assert grams_left(sample) == Decimal(5)


@pytest.mark.django_db
def test_a_correction_is_a_line_of_its_own() -> None:
    sample = a_sample(a_lot(a_season()), grams=25)

    left = correct(sample, Decimal("23.2"))
    correct(sample, Decimal("23.2"))

    assert left.grams == Decimal("23.2")
    assert [entry.grams for entry in sample.leaf_entries.all()] == [Decimal(25), Decimal("-1.8")]


@pytest.mark.django_db
@pytest.mark.parametrize("grams", [Decimal(0), Decimal(-3)])
def test_nothing_and_less_cannot_be_received(grams: Decimal) -> None:
    sample = a_sample(a_lot(a_season()))

    with pytest.raises(BadInput, match="is not a weight"):
        receive(sample, grams)


@pytest.mark.django_db
def test_a_float_is_refused() -> None:
    sample = a_sample(a_lot(a_season()))

    with pytest.raises(TypeError, match="grams are Decimal"):
        receive(sample, 0.1)


@given(st.lists(st.decimals(min_value=-500, max_value=500, places=3), min_size=1, max_size=40))
@pytest.mark.django_db
def test_the_sum_is_exact_to_the_milligram(lines: list[Decimal]) -> None:
    sample = a_sample(a_lot(a_season(f"season {LeafEntry.objects.count()}")), grams=Decimal("0.001"))
    LeafEntry.objects.bulk_create(LeafEntry(sample=sample, grams=grams, what="line") for grams in lines)

    left = grams_left(sample)

    sample.lot.season.delete()
    assert left == sum(lines, Decimal("0.001"))


@pytest.mark.django_db
def test_many_samples_are_summed_in_one_query(django_assert_num_queries) -> None:
    spring = a_season()
    samples = [a_sample(a_lot(spring, f"L-{number}"), grams=number) for number in range(1, 20)]

    with django_assert_num_queries(1):
        left = leaf_left_of(samples)

    assert [left[sample.pk].grams for sample in samples] == [Decimal(number) for number in range(1, 20)]


def test_brews_to_spend_leave_the_last_two_alone() -> None:
    assert LeafLeft(Decimal(25), Decimal(5)).brews_to_spend == 3
    assert LeafLeft(Decimal(8), Decimal(5)).brews_to_spend == 0
    assert LeafLeft(None, Decimal(5)).brews_to_spend is None


@pytest.mark.django_db(transaction=True)
def test_eight_who_pour_at_once_never_take_the_same_leaf() -> None:
    sample = a_sample(a_lot(a_season()), grams=21)

    refused = all_at_once(lambda: brew(sample))

    assert [type(refusal) for refusal in refused] == [BadInput]
    assert grams_left(sample) == Decimal(0)
    assert LeafEntry.objects.count() == 8


@pytest.mark.django_db(transaction=True)
def test_none_of_two_hundred_lines_of_eight_writers_is_lost() -> None:
    sample = a_sample(a_lot(a_season()))

    failures = all_at_once(lambda: [receive(sample, Decimal(1)) for _ in range(25)])

    assert failures == []
    assert grams_left(sample) == Decimal(200)
