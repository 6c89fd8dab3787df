"""Seasons, lots, lines and targets come onto the books, and what cannot be is refused with the way out."""

import pytest
from tests.room import a_line, a_lot, a_season

from wetleaf.lots.actions import free_code, known_lot, known_season, new_lot, season_named, set_target
from wetleaf.lots.models import Season, Target
from wetleaf.trade.errors import BadInput


@pytest.mark.django_db
def test_a_season_is_made_once_and_remembers_the_one_before() -> None:
    first = season_named("Spring 2025", invented=True)

    second = season_named(" Spring 2026 ", before="Spring 2025")

    assert season_named("Spring 2026") == second
    assert (second.before, second.sort > first.sort) == (first, True)
    assert first.is_invented
    assert Season.objects.count() == 2


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "before"), [("", None), ("Spring 2026", "Spring 2026"), ("Spring 2026", "1998")]
)
def test_a_season_that_cannot_be_is_refused(name: str, before: str | None) -> None:
    with pytest.raises(BadInput):
        season_named(name, before=before)

    assert not Season.objects.exists()


@pytest.mark.django_db
def test_a_season_or_lot_that_is_not_there_is_told_with_those_that_are() -> None:
    spring = a_season("Spring 2026")
    a_lot(spring, "LU-07")

    assert known_lot(spring, "lu-07").code == "LU-07"
    with pytest.raises(BadInput, match=r"no season 'Spring'.*'Spring 2026'"):
        known_season("Spring")
    with pytest.raises(BadInput, match=r"no lot 'LU-70'.*LU-07"):
        known_lot(spring, "LU-70")


@pytest.mark.django_db
def test_a_lot_comes_with_one_sample_and_its_code_is_its_own() -> None:
    spring = a_season()

    lot = new_lot(spring, "LU-01", "", producer="Widow Terrace Works", line="House Dong Ding")

    assert (lot.name, lot.producer.name, lot.line.name) == ("LU-01", "Widow Terrace Works", "House Dong Ding")
    assert lot.samples.get().code == "LU-01"
    assert free_code(spring, "LU") == "LU-02"
    with pytest.raises(BadInput, match="already has a lot"):
        new_lot(spring, "LU-01", "another")
    with pytest.raises(BadInput, match="needs a code"):
        new_lot(spring, " ", "another")


@pytest.mark.django_db
def test_the_latest_target_holds_and_the_same_one_is_not_said_twice() -> None:
    line = a_line()

    set_target(line, "roast", value=5, tolerance=1)
    set_target(line, "roast", value=5, tolerance=1)
    set_target(line, "roast", value=5, tolerance=0.5)

    assert list(Target.objects.values_list("tolerance", flat=True)) == [1, 0.5]


@pytest.mark.django_db
@pytest.mark.parametrize("tolerance", [0, -1, float("nan")])
def test_a_tolerance_of_nothing_is_refused(tolerance: float) -> None:
    with pytest.raises(BadInput, match="above zero"):
        set_target(a_line(), "roast", tolerance=tolerance)
