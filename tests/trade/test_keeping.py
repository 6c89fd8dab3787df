"""How a kind of tea keeps: the most telling row holds, and every class of tea has an answer or none."""

import pytest

from wetleaf.trade.classes import CLASSES
from wetleaf.trade.keeping import keeping_of, way_of


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
    assert found.ground.mark == "M"
    assert "common practice" in found.ground.source or "from memory" in found.ground.source


def test_only_a_kind_that_holds_is_stable_where_nothing_is_said_of_its_keeping() -> None:
    kinds = [keeping_of(key) for key in CLASSES]

    assert all(kind.is_stable is (kind.keeps == "holds") for kind in kinds if kind)
    assert sum(kind is not None for kind in kinds) >= 8


def test_no_class_has_no_answer() -> None:
    assert keeping_of("") is None


@pytest.mark.parametrize(
    ("kept", "way"),
    [
        ("30 g sealed, in the freezer", "cold"),
        ("Kühlschrank", "cold"),
        ("冰箱冷冻", "cold"),
        ("vacuum-packed", "airtight"),
        ("nitrogen, then fridge", "cold"),
        ("vacuum, in the cupboard", "room"),
        ("taken out of the freezer", ""),
        ("not in the fridge", ""),
        ("没有冷藏", ""),
        ("never opened in the freezer", "cold"),
        ("since May 2025 in the freezer", "cold"),
        ("not sealed, fridge", "open"),
        ("sealed, cool and dark", ""),  # cool is not cold
        ("", ""),
    ],
)
def test_how_a_sample_was_kept_is_read_with_the_worst_way_first(kept: str, way: str) -> None:
    assert way_of(kept) == way


@pytest.mark.parametrize(
    ("tea_class", "kept", "months", "is_stable"),
    [
        ("green", "freezer", 13, True),
        ("green", "freezer", 18, True),
        ("green", "freezer", 19, False),
        ("green", "freezer", None, False),  # of a kind that fades the age must be known
        ("green", "vacuum", 12, True),
        ("green", "vacuum", 13, False),
        ("green", "cupboard", 6, False),
        ("green", "", 6, False),
        ("green", "unsealed, freezer", 6, False),
        ("white", "cupboard", 12, False),
        ("black", "cupboard", 13, True),
        ("black", "", None, True),
        ("black", "cupboard", 25, False),
        ("black", "unsealed", 3, False),
        ("compressed", "freezer", 12, False),
    ],
)
def test_a_sample_stands_for_its_tea_by_how_it_was_kept_and_for_so_long(
    tea_class: str, kept: str, months: int | None, is_stable: bool
) -> None:
    found = keeping_of(tea_class, kept=kept, months=months)

    assert found is not None
    assert found.is_stable is is_stable
    assert found.is_past_its_time is (months in (19, 25) or (kept, months) == ("vacuum", 13))
