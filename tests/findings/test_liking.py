"""How lots are liked: which ratings stand together, and that the same cups give the same numbers."""

import dataclasses

import pytest

from tests.room import a_brew, a_flight, a_lot, a_sample, a_score, a_season, scores_of, the_cast
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.readings.groups import LotGroup
from wetleaf.findings.readings.liking import LikedGroup, RatingSet, rating_sets, read_liking, set_for
from wetleaf.findings.records import LotRow
from wetleaf.numerics.likings import Rating
from wetleaf.sheets.models import Verdict

TEN = (0.0, 10.0)


def ratings(
    *given: tuple[str, str, float], blind: bool = False, scale: tuple[float, float] = TEN
) -> RatingSet:
    sitting = "blind" if blind else "first pass"
    return RatingSet(
        blind, scale, tuple(Rating(lot, who, liking, None, sitting) for lot, who, liking in given)
    )


def a_group(*codes: str) -> LotGroup:
    lots = tuple(
        LotRow(place, code, code, code, "2026", "", "", "", "oolong", "") for place, code in enumerate(codes)
    )
    return LotGroup("Dong Ding", "Dong Ding", "oolong", None, lots)


def liked(*sets: RatingSet, lots: str = "ABC") -> LikedGroup:
    return read_liking(tuple(sets), (a_group(*lots),))["Dong Ding"]


def test_a_group_nobody_rated_is_left_out() -> None:
    assert read_liking((ratings(("Z", "Ann", 5)),), (a_group("A"),)) == {}


def test_the_same_cups_give_the_same_numbers_in_any_order() -> None:
    cups = [("A", "Ann", 7.0), ("B", "Ann", 6.0), ("C", "Ann", 3.0), ("A", "Ben", 6.0)]

    one, other = liked(ratings(*cups)), liked(ratings(*reversed(cups)))

    assert one.lots == other.lots
    assert one.digest == other.digest


def test_another_cup_changes_the_digest() -> None:
    assert (
        liked(ratings(("A", "Ann", 7), ("B", "Ann", 6))).digest
        != liked(ratings(("A", "Ann", 7), ("B", "Ann", 5))).digest
    )


def test_blind_ratings_of_half_the_lots_go_before_open_ones_of_all() -> None:
    blind = ratings(("A", "Ann", 7), ("B", "Ann", 6), blind=True)
    open_ = ratings(("A", "Ann", 1), ("B", "Ann", 9), ("C", "Ann", 9))

    found = liked(blind, open_)

    assert found.used.blind
    assert found.lots["A"].value > found.lots["B"].value
    assert (found.lots["C"].ranked, found.lots["C"].value) == (False, 9)
    assert (
        found.left_out
        == "ranked by likings given blind, on 0 to 10; not pooled with them: 3 open, on 0 to 10"
    )


def test_one_blind_cup_does_not_outweigh_a_whole_first_pass() -> None:
    blind = ratings(("A", "Ann", 7), blind=True)
    open_ = ratings(("A", "Ann", 5), ("B", "Ann", 6), ("C", "Ann", 7))

    assert set_for((blind, open_), "ABC") == open_


def test_blind_sets_of_two_scales_go_first_where_they_hold_half_together() -> None:
    ten = ratings(("A", "Ann", 7), ("B", "Ann", 6), blind=True)
    seven = ratings(("C", "Ann", 5), blind=True, scale=(0, 7))
    open_ = ratings(*((lot, "Ann", 5) for lot in "ABCDEF"))

    assert set_for((ten, seven, open_), "ABCDEF") == ten


def test_a_lot_shows_its_blind_liking_where_open_ones_rank() -> None:
    blind = ratings(("A", "Ann", 4), ("A", "Ben", 6), blind=True)
    open_ = ratings(*((lot, "Ann", 7) for lot in "ABCDE"))

    one = liked(blind, open_, lots="ABCDE").lots["A"]

    assert (one.blind, one.ranked) == (False, True)
    assert (one.shown.blind, one.shown.value, one.shown.cups, one.shown.tasters) == (True, 5, 2, 2)


def test_a_lot_ranked_blind_names_its_open_liking_beside() -> None:
    blind = ratings(("A", "Ann", 4), ("B", "Ann", 6), blind=True)
    open_ = ratings(("A", "Ann", 9), ("C", "Ann", 7))

    found = liked(blind, open_)

    assert found.lots["A"].shown is found.lots["A"]
    assert [(one.blind, one.value) for one in found.lots["A"].beside] == [(False, 9)]
    assert found.lots["C"].beside == ()


def test_of_two_scales_the_fuller_one_ranks() -> None:
    seven = ratings(("A", "Ann", 5), scale=(0, 7))
    ten = ratings(("A", "Ann", 5), ("B", "Ann", 6))

    found = liked(seven, ten)

    assert found.used.scale == TEN
    assert "1 open, on 0 to 7" in found.left_out


def test_a_taster_known_to_be_steady_from_other_lots_narrows_the_answer() -> None:
    once = [("A", "Ann", 8.0), ("B", "Ann", 6.0)]
    steady = [("Z", "Ann", 4.0)] * 6 + [("Y", "Ann", 7.0)] * 6
    unsteady = [("Z", "Ann", value) for value in (1.0, 8.0, 3.0, 9.0, 2.0, 7.0)] * 2

    narrow, wide = liked(ratings(*once, *steady)), liked(ratings(*once, *unsteady))

    assert narrow.lots["A"].high - narrow.lots["A"].low < wide.lots["A"].high - wide.lots["A"].low


def test_chances_of_a_group_add_up_to_one() -> None:
    found = liked(ratings(("A", "Ann", 7), ("B", "Ann", 6), ("C", "Ann", 5)))

    assert sum(one.chance_best or 0 for one in found.lots.values()) == pytest.approx(1)


def test_intervals_stop_at_the_ends_of_the_scale() -> None:
    found = liked(ratings(("A", "Ann", 10), ("B", "Ann", 10), ("C", "Ann", 9)))

    assert all(0 <= one.low <= one.high <= 10 for one in found.lots.values())


def an_unclassed_group(*codes: str) -> LotGroup:
    group = a_group(*codes)
    return dataclasses.replace(group, name="No line yet, no class said", line="", tea_class="")


def test_lots_of_neither_line_nor_class_are_never_ranked_together() -> None:
    cups = ratings(("A", "Ann", 9), ("A", "Ben", 7), ("B", "Ann", 2))

    found = read_liking((cups,), (an_unclassed_group(*"AB"),))["No line yet, no class said"]

    assert {key: (one.value, one.ranked, one.chance_best) for key, one in found.lots.items()} == {
        "A": (8, False, None),
        "B": (2, False, None),
    }
    assert (found.shortlist, found.best, found.again, found.more_cups) == ((), None, (), None)
    assert found.says == "not ranked: no class is said"


def test_lots_of_one_line_without_a_class_are_still_compared() -> None:
    group = dataclasses.replace(a_group(*"AB"), tea_class="")

    found = read_liking((ratings(("A", "Ann", 9), ("B", "Ann", 2)),), (group,))["Dong Ding"]

    assert all(one.ranked for one in found.lots.values())


@pytest.mark.django_db
def test_scores_carry_the_pot_and_a_verdict_on_the_same_cups_is_not_counted_again() -> None:
    season, cast = a_season(), the_cast()
    one, two = (a_sample(a_lot(season, code, code)) for code in ("LU-01", "LU-02"))
    flight = a_flight(season, scale=(1, 9))
    scores_of(flight, cast.taster, {one: {"overall": [6, 7]}})
    a_score(flight, two, cast.taster, "overall", 5, brew=a_brew(flight, two, "B"), replicate="1")
    for sample in (one, two):
        Verdict.objects.create(
            sample=sample, taster=cast.taster, word="keep", liking=6, flight=flight, scale_low=1, scale_high=9
        )

    (found,) = rating_sets(fetch_season(season))

    assert sorted((cup.lot[:5], cup.brew, cup.liking) for cup in found.ratings) == [
        ("LU-01", "LU-01/1", 6),
        ("LU-01", "LU-01/2", 7),
        ("LU-02", "LU-02/B", 5),
    ]


def test_one_pot_a_lot_is_said_to_be_assumed() -> None:
    once = ratings(("A", "Ann", 7), ("B", "Ann", 6), ("A", "Ben", 7), ("B", "Ben", 5))

    assert "How far one pot strays from the next is assumed: each lot had one pot." in liked(once).notes


def test_cups_of_one_pot_met_twice_tell_more_of_a_taster_than_two_pots() -> None:
    """Repeats of new pots hold the pots' own error, which a taster is not to be blamed for."""

    def again(pots: tuple[str, str]) -> RatingSet:
        cups = [Rating(lot, "Ann", liking, "1", "May") for lot, liking in (("A", 8.0), ("B", 6.0))]
        for number in range(8):
            likings = (5.0, 7.0) if number % 2 else (6.0, 4.0)
            cups += [
                Rating(f"Z{number}", "Ann", liking, pot, "May")
                for liking, pot in zip(likings, pots, strict=True)
            ]
        return RatingSet(True, TEN, tuple(cups))

    of_one_pot, of_two = liked(again(("1", "1"))), liked(again(("1", "2")))

    assert of_one_pot.lots["A"].high - of_one_pot.lots["A"].low > of_two.lots["A"].high - of_two.lots["A"].low
