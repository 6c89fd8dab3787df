"""How a kind of tea keeps: the most telling row holds, and every class of tea has an answer or none."""

import pytest

from wetleaf.trade.classes import CLASSES
from wetleaf.trade.keeping import keeping_of


@pytest.mark.parametrize(
    ("tea_class", "roast", "making", "keeps"),
    [
        ("green", "", "", "fades"),
        ("oolong", "", "", "fades"),
        ("oolong", "none", "", "fades"),
        ("oolong", "medium-high", "", "turns"),  # the more careful of two readings
        ("oolong", "Heavy", "", "holds"),
        ("black", "", "autumnal", "holds"),
        ("black", "", "Himalaya first flush", "fades"),
        ("black", "", "part", "fades"),
        ("white", "", "", "turns"),
        ("dark", "", "", "holds"),
    ],
)
def test_a_kind_keeps_as_the_trade_says(tea_class: str, roast: str, making: str, keeps: str) -> None:
    found = keeping_of(tea_class, roast=roast, making=making)

    assert found is not None
    assert found.keeps == keeps
    assert found.ground.source == "common practice"


def test_only_a_kind_that_holds_is_stable() -> None:
    kinds = [keeping_of(key) for key in CLASSES]

    assert all(kind.is_stable is (kind.keeps == "holds") for kind in kinds if kind)
    assert sum(kind is not None for kind in kinds) >= 8


def test_no_class_has_no_answer() -> None:
    assert keeping_of("") is None
