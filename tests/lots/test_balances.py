"""Grams in, out and lost: whole milligrams that add up, and nothing won on the way."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.lots.balances import Balance, balanced
from wetleaf.trade.errors import BadInput

GRAMS = st.decimals("0.001", "100000", places=3)
PERCENT = st.decimals(0, 99, places=2)


def test_the_loss_is_worked_out_from_what_went_in_and_came_out() -> None:
    balance = balanced([Decimal(300), Decimal(200)], Decimal(490), None)

    assert balance == Balance(Decimal(500), Decimal(490), Decimal(2))
    assert balance.grams_lost == Decimal(10)


def test_what_came_out_is_worked_out_from_a_loss() -> None:
    assert balanced([Decimal(600)], None, Decimal(5)).grams_out == Decimal(570)


def test_a_loss_said_as_a_round_number_may_stand_beside_the_grams() -> None:
    assert balanced([Decimal(600)], Decimal(572), Decimal(5)).loss_percent == Decimal("4.667")


def test_with_one_weight_unknown_nothing_is_worked_out() -> None:
    assert balanced([Decimal(300), None], Decimal(490), None) == Balance(None, Decimal(490), None)


@pytest.mark.parametrize(
    ("went_in", "out", "loss", "why"),
    [
        ("600", "601", None, "601 g cannot come out of 600 g"),
        ("600", "570", "10", "a loss of 5 %, not 10 %"),
        ("600", None, "100", "a loss of 100 % cannot be"),
        ("600", None, "-1", "a loss of -1 % cannot be"),
        ("600", None, "NaN", "a loss of NaN % cannot be"),
        ("0", None, None, "0 g is not a weight"),
        ("NaN", None, None, "NaN g is not a weight"),
        ("1e30", None, None, "1e[+]30 g is not a weight"),
        ("600", "-5", None, "-5 g is not a weight"),
    ],
)
def test_grams_that_cannot_be_are_refused(went_in: str, out: str | None, loss: str | None, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        balanced([Decimal(went_in)], Decimal(out) if out else None, Decimal(loss) if loss else None)


@given(st.lists(GRAMS, min_size=1, max_size=4), PERCENT)
def test_grams_in_are_grams_out_and_grams_lost(went_in: list[Decimal], loss: Decimal) -> None:
    balance = balanced(went_in, None, loss)

    assert balance.grams_out is not None
    assert balance.grams_lost is not None
    assert balance.grams_out + balance.grams_lost == sum(went_in)
    assert balance.grams_lost >= 0
    assert abs(balance.grams_lost - sum(went_in) * loss / 100) <= Decimal("0.0005")


@given(st.lists(GRAMS, min_size=1, max_size=4), GRAMS)
def test_never_more_comes_out_than_went_in(went_in: list[Decimal], out: Decimal) -> None:
    if out > sum(went_in):
        with pytest.raises(BadInput, match="cannot come out"):
            balanced(went_in, out, None)
    else:
        lost = balanced(went_in, out, None).loss_percent
        assert lost is not None
        assert 0 <= lost <= 100
