"""Tea classes, groups within them, and the guess at the class of a lot."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.classes import CLASSES, GROUPS, Strength, classes_in, find_class, guess_class, tea_class
from wetleaf.trade.errors import BadInput


def test_the_six_types_of_iso_20715_are_there() -> None:
    """ISO 20715:2023 names six types by process; scented, compressed and instant are made from them."""
    types = {key for key, each in CLASSES.items() if each.kind == "type"}
    reprocessed = {key for key, each in CLASSES.items() if each.kind == "reprocessed"}

    assert types == {"black", "green", "white", "oolong", "dark", "yellow"}
    assert {"scented", "compressed", "instant"} <= reprocessed


def test_every_group_belongs_to_a_class() -> None:
    assert {group.tea_class for group in GROUPS.values()} <= set(CLASSES)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Schwarztee", "black"),
        ("紅茶", "black"),
        ("绿茶", "green"),
        ("green (steamed)", "green"),
        ("Oolong", "oolong"),
    ],
)
def test_a_class_cell_is_read_in_several_languages(text: str, key: str) -> None:
    found = find_class(text)

    assert found is not None
    assert found.key == key


@pytest.mark.parametrize(
    ("lot", "key", "group"),
    [
        (
            {"name": "Stone Row Dong Ding 凍頂", "origin": "Lugu", "roast": "medium"},
            "oolong",
            "oolong_ball_roasted",
        ),
        ({"name": "Stone Row 高山烏龍", "origin": "Alishan", "roast": "none"}, "oolong", "oolong_ball_light"),
        ({"name": "Tin Gate Baozhong"}, "oolong", "oolong_strip_light"),
        ({"name": "Low Pond red", "origin": "Yuchi"}, "black", "black_leaf"),
        ({"name": "Upper Field first flush", "origin": "Darjeeling"}, "black", "black_first_flush"),
        ({"name": "Hojicha"}, "green", "green_roasted"),
        ({"name": "Moosgrund grün"}, "green", None),
        ({"name": "Anji Bai Cha"}, "green", "green_pan_fired"),
        ({"name": "白毫烏龍"}, "oolong", None),
        ({"name": "黑茶"}, "dark", None),
        ({"name": "大紅袍"}, "oolong", "oolong_rock"),
        ({"name": "Pu-erh, ripe cake"}, "dark", None),
        ({"name": "jasmine silver needle"}, "scented", None),
        ({"name": "Gyokuro, first flush", "origin": "Uji"}, "green", "green_shaded"),
        ({"name": "North slope", "cultivar": "TTES 18", "oxidation": "full"}, "black", None),
    ],
)
def test_the_class_is_guessed_with_its_group(lot: dict[str, str], key: str, group: str | None) -> None:
    guess = guess_class(**lot)

    assert guess is not None
    assert (guess.value, guess.group) == (key, group)
    assert guess.why


def test_red_from_taiwan_is_black_tea_but_red_alone_is_weak() -> None:
    at_home = guess_class("Low Pond red", origin="Taiwan")
    alone = guess_class("Low Pond red")

    assert at_home is not None
    assert alone is not None
    assert (at_home.value, at_home.strength) == ("black", Strength.FAIR)
    assert (alone.value, alone.strength) == ("black", Strength.WEAK)


@pytest.mark.parametrize("name", ["Rooibos red", "Kräutertee grün", "Stone Gate", "", "Old Red House"])
def test_no_class_is_guessed_of_a_plant_that_is_not_tea_or_from_nothing(name: str) -> None:
    guess = guess_class(name)

    assert guess is None or guess.strength is Strength.WEAK


def test_a_cultivar_name_that_holds_oolong_does_not_outweigh_black_tea() -> None:
    guess = guess_class("Qing Xin Oolong black tea")

    assert guess is not None
    assert guess.value == "black"
    assert "against it" in guess.why


def test_even_shares_give_no_guess() -> None:
    assert guess_class("green tea black tea") is None


@given(st.text(), st.text(), st.text())
def test_any_text_gives_a_known_class_or_none(name: str, origin: str, oxidation: str) -> None:
    guess = guess_class(name, origin=origin, oxidation=oxidation)

    assert guess is None or (guess.value in CLASSES and (guess.group is None or guess.group in GROUPS))


def test_a_free_list_of_teas_gives_its_classes() -> None:
    assert classes_in("pu'er; black; white") == ("dark", "black", "white")


def test_an_unknown_class_names_the_known_ones() -> None:
    with pytest.raises(BadInput, match="oolong"):
        tea_class("blue")
