"""Cultivars by name, number and script."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetleaf.trade.cultivars import (
    CULTIVARS,
    cultivars_named_in,
    find_cultivar,
    find_cultivars,
    read_cultivar,
    suggest_cultivars,
)


@pytest.mark.parametrize(
    "text",
    [
        "TTES #12",
        "No. 12",
        "TRES 12",
        "TBRS No.12",
        "台茶12號",
        "台茶12号",
        "台茶十二號",
        "Tai Cha 12",
        "Jin Xuan",
        "jinxuan",
        "JIN-XUAN",
        "金萱",
        "Kim Tuyen",
        "Kim Tuyên",
        "金萱 Jin Xuan",
        "TTES 12 (Jin Xuan)",
        "Jin Xuan, TTES No. 12",
        "T12",
        "#12",
    ],
)
def test_jin_xuan_is_found_however_it_is_written(text: str) -> None:
    """TBRS table of numbered cultivars: number 12 is Jin Xuan."""
    found = find_cultivar(text)

    assert found is not None
    assert found.key == "ttes_12"


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Qingxin", "qing_xin_oolong"),
        ("青心烏龍", "qing_xin_oolong"),
        ("软枝", "qing_xin_oolong"),
        ("四季春", "si_ji_chun"),
        ("TTES #18", "ttes_18"),
        ("AV2 ", "av2"),
        ("やぶきた", "yabukita"),
        ("Longjing 43", "long_jing_43"),
        ("Saemidori", "sae_midori"),
        ("Qing Xin Da Mao", "qing_xin_da_mao"),
    ],
)
def test_other_cultivars_are_found_too(text: str, key: str) -> None:
    found = find_cultivar(text)

    assert found is not None
    assert found.key == key


@pytest.mark.parametrize("text", ["TTES 8", "TTES No. 8", "台茶8號", "TRES #8"])
def test_ttes_8_is_the_assam_type_of_1973(text: str) -> None:
    """Press article: named in ROC 62, 1973; assamica. Not the parent of Jin Xuan."""
    found = find_cultivar(text)

    assert found is not None
    assert (found.key, found.released_year, found.variety) == ("ttes_8", 1973, "assamica")


@pytest.mark.parametrize("text", ["Tai Nong No. 8", "Tai Nong 8", "台農8號", "Tainong 8"])
def test_tai_nong_8_is_another_plant(text: str) -> None:
    found = find_cultivar(text)

    assert found is not None
    assert found.key == "tai_nong_8"


@pytest.mark.parametrize(
    ("number", "year"),
    [
        (12, 1981),
        (13, 1981),
        (14, 1983),
        (17, 1983),
        (18, 1999),
        (19, 2005),
        (20, 2005),
        (21, 2008),
        (22, 2014),
    ],
)
def test_taiwan_releases_have_the_years_of_the_official_table(number: int, year: int) -> None:
    """TBRS questions and answers: ROC 70, 72, 88, 94, 97; 22 in the record of the culture ministry."""
    assert CULTIVARS[f"ttes_{number}"].released_year == year


def test_a_number_that_was_never_released_is_not_found() -> None:
    assert find_cultivar("TTES 31") is None
    assert find_cultivar("No. 99") is None


@pytest.mark.parametrize("text", ["TTES #12?", "maybe Jin Xuan", "No. 12"])
def test_a_guess_or_a_bare_number_is_not_sure(text: str) -> None:
    reading = read_cultivar(text.removeprefix("maybe "))

    assert reading is not None
    assert reading.cultivar.key == "ttes_12"
    if text != "maybe Jin Xuan":
        assert not reading.sure


@pytest.mark.parametrize("text", ["Tie Guan Yin", "水仙", "Ruby"])
def test_names_of_styles_and_things_are_found_but_not_sure(text: str) -> None:
    reading = read_cultivar(text)

    assert reading is not None
    assert not reading.sure


def test_two_cultivars_in_one_cell_are_not_one() -> None:
    assert find_cultivar("Jin Xuan / Cui Yu") is None
    assert [each.key for each in find_cultivars("Jin Xuan / Cui Yu")] == ["ttes_12", "ttes_13"]


def test_a_misspelling_is_only_suggested() -> None:
    suggestions = suggest_cultivars("Jin Xaun")

    assert find_cultivar("Jin Xaun") is None
    assert [each.cultivar.key for each in suggestions] == ["ttes_12"]


@pytest.mark.parametrize("text", ["", "local", "seedling", "oolong", "china bush", "12", "TTES", "春"])
def test_what_is_no_cultivar_is_none(text: str) -> None:
    assert find_cultivar(text) is None


def test_cultivars_are_found_within_a_name() -> None:
    named = [reading.cultivar.key for reading in cultivars_named_in("North Ledge 金萱 spring, not Cui Yu")]

    assert set(named) == {"ttes_12", "ttes_13"}


@given(st.text())
def test_any_text_gives_a_cultivar_or_none(text: str) -> None:
    found = find_cultivar(text)

    assert found is None or CULTIVARS[found.key] == found
    assert len(suggest_cultivars(text)) <= 3


@given(
    st.sampled_from(["Jin Xuan", "Qing Xin Oolong", "Si Ji Chun", "Yabukita"]), st.text(" -_.", max_size=3)
)
def test_signs_between_the_words_do_not_matter(name: str, between: str) -> None:
    assert find_cultivar(name.replace(" ", between or " ")) == find_cultivar(name)
