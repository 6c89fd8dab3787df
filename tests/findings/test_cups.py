"""Which scores may stand in one table: not blind with open, two scales, two classes, or lots nothing ties."""

from collections import Counter

import pytest

from tests.room import a_brew, a_flight, a_lot, a_sample, a_score, a_season, scores_of, the_cast
from wetleaf.findings.fetching import fetch_season
from wetleaf.findings.readings.cups import CupTable, brews_of, is_liking, table_of_flight, tables_of
from wetleaf.findings.readings.stated import stated_lots
from wetleaf.lots.models import Sample, Season
from wetleaf.sheets.models import Score

pytestmark = pytest.mark.django_db


def tables(season: Season) -> tuple[CupTable, ...]:
    records = fetch_season(season)
    classes = {lot: stated.tea_class for lot, stated in stated_lots(records).items()}
    return tables_of(records, classes)


def three_samples(season: Season, **facts: str) -> list[Sample]:
    return [a_sample(a_lot(season, f"LU-0{number}", f"Tea {number}", **facts)) for number in (1, 2, 3)]


def test_lots_of_one_flight_stand_in_one_table() -> None:
    season, cast = a_season(), the_cast()
    cups = three_samples(season)
    scores_of(a_flight(season), cast.taster, {cup: {"roast": [4, 5]} for cup in cups})

    (table,) = tables(season)

    assert table.lots == ("LU-01", "LU-02", "LU-03")
    assert len(table.cups) == 6


def test_blind_and_open_are_never_pooled() -> None:
    season, cast = a_season(), the_cast()
    cups = three_samples(season)
    scores_of(a_flight(season, "blind", blind=True), cast.taster, {cup: {"roast": 4} for cup in cups})
    scores_of(a_flight(season, "open", blind=False), cast.taster, {cup: {"roast": 6} for cup in cups})
    scores_of(a_flight(season, "not said", blind=None), cast.taster, {cup: {"roast": 6} for cup in cups})

    found = {table.blind: [flight.name for flight in table.flights] for table in tables(season)}

    assert found == {True: ["blind"], False: ["not said", "open"]}


def test_two_scales_are_never_pooled() -> None:
    season, cast = a_season(), the_cast()
    cups = three_samples(season)
    scores_of(a_flight(season, "ten", scale=(0, 10)), cast.taster, {cup: {"roast": 4} for cup in cups})
    scores_of(a_flight(season, "seven", scale=(0, 7)), cast.taster, {cup: {"roast": 4} for cup in cups})

    assert sorted(table.scale for table in tables(season)) == [(0, 7), (0, 10)]


def test_two_classes_are_never_compared_though_they_stood_on_one_table() -> None:
    season, cast = a_season(), the_cast()
    green = a_sample(a_lot(season, "JJ-01", "Green", tea_class="green"))
    oolong = a_sample(a_lot(season, "LU-01", "Oolong"))
    flight = a_flight(season)
    scores_of(flight, cast.taster, {green: {"roast": 1}, oolong: {"roast": 5}})

    found = tables(season)
    whole = table_of_flight(fetch_season(season), fetch_season(season).flights[0])

    assert sorted(table.lots for table in found) == [("JJ-01",), ("LU-01",)]
    assert whole is not None
    assert whole.lots == ("JJ-01", "LU-01")


def test_flights_that_no_tea_ties_make_two_tables_and_a_bridge_cup_makes_one() -> None:
    season, cast = a_season(), the_cast()
    first, second, third = three_samples(season)
    morning, evening = a_flight(season, "morning"), a_flight(season, "evening")
    scores_of(morning, cast.taster, {first: {"roast": 4}, second: {"roast": 5}})
    scores_of(evening, cast.taster, {third: {"roast": 4}})

    assert sorted(table.lots for table in tables(season)) == [("LU-01", "LU-02"), ("LU-03",)]

    scores_of(evening, cast.taster, {second: {"roast": 5}})
    (table,) = tables(season)

    assert table.lots == ("LU-01", "LU-02", "LU-03")
    assert set(table.as_scores().sittings or ()) == {f"{season.name}/morning", f"{season.name}/evening"}


def test_a_kept_sample_stands_for_last_years_lot_and_ties_the_years() -> None:
    last = a_season("2025")
    now, cast = a_season("2026", before=last), the_cast()
    old = a_lot(last, "OLD")
    fresh, kept = a_sample(old), Sample.objects.create(lot=old, code="OLD", kind="kept")
    new = a_sample(a_lot(now, "NEW"))
    scores_of(a_flight(last, "then"), cast.taster, {fresh: {"roast": 4}})
    scores_of(a_flight(now, "now"), cast.taster, {kept: {"roast": 4}, new: {"roast": 5}})

    (table,) = tables(now)

    assert table.lots == ("NEW", "OLD")


def test_two_seasons_may_use_one_code_for_two_lots() -> None:
    last = a_season("2025")
    now, cast = a_season("2026", before=last), the_cast()
    kept = Sample.objects.create(lot=a_lot(last, "LU-01"), code="LU-01", kind="kept")
    new = a_sample(a_lot(now, "LU-01"))
    scores_of(a_flight(now), cast.taster, {kept: {"roast": 4}, new: {"roast": 5}})

    (table,) = tables(now)

    assert table.lots == ("LU-01 (2025)", "LU-01 (2026)")


def test_a_roast_trial_is_another_tea_than_its_lot() -> None:
    season, cast = a_season(), the_cast()
    lot = a_lot(season, "LU-01")
    offer = a_sample(lot)
    trial = Sample.objects.create(lot=lot, code="R2", kind="roast trial")
    scores_of(a_flight(season), cast.taster, {offer: {"roast": 4}, trial: {"roast": 6}})

    (table,) = tables(season)

    assert table.lots == ("LU-01", "LU-01: roast trial R2")


def test_one_attribute_at_two_stages_makes_two_columns() -> None:
    season, cast = a_season(), the_cast()
    cup, flight = three_samples(season)[0], a_flight(season)
    a_score(flight, cup, cast.taster, "Roast", 4, stage="wet_leaf")
    a_score(flight, cup, cast.taster, "roast", 5, stage="taste")
    a_score(flight, cup, cast.taster, "body", 3, stage="mouthfeel")

    (table,) = tables(season)

    assert [column.label for column in table.attributes] == ["body", "roast, taste", "roast, wet leaf"]


def test_only_scores_that_could_be_used_are_in_it() -> None:
    season, cast = a_season(), the_cast()
    cup, flight = three_samples(season)[0], a_flight(season)
    a_score(flight, cup, cast.taster, "roast", None)
    a_score(flight, cup, cast.taster, "body", None, status="out_of_range", written="12")
    a_score(flight, cup, cast.taster, "sweet", 3)

    (table,) = tables(season)

    assert [cup.scores for cup in table.cups] == [{"sweet": 3.0}]


def test_a_replaced_answer_is_not_in_it() -> None:
    season, cast = a_season(), the_cast()
    cup, flight = three_samples(season)[0], a_flight(season)
    first = a_score(flight, cup, cast.taster, "roast", 4)
    Score.objects.create(
        flight=flight, sample=cup, taster=cast.taster, attribute="roast", value=6, status="ok", replaces=first
    )

    (table,) = tables(season)

    assert [cup.scores for cup in table.cups] == [{"roast": 6.0}]


@pytest.mark.parametrize("name", ["Overall", "LIKING", "Gesamteindruck", "総合評価", "Overall liking"])
def test_a_column_of_liking_is_no_intensity(name: str) -> None:
    assert is_liking(name)
    assert not is_liking("roast")


def test_pots_belong_to_their_sitting_and_are_counted() -> None:
    season, cast = a_season(), the_cast()
    cup = three_samples(season)[0]
    for name in ("morning", "evening"):
        flight = a_flight(season, name)
        for label in ("1", "2"):
            a_score(flight, cup, cast.taster, "roast", 4, brew=a_brew(flight, cup, label))

    (table,) = tables(season)

    assert brews_of(table, "LU-01") == 4
    assert len(set(table.as_scores().brews or ())) == 4


def test_without_pots_named_a_tasters_second_cup_is_from_the_second_pot_that_all_share() -> None:
    season, cast = a_season(), the_cast()
    cup = three_samples(season)[0]
    scores_of(a_flight(season), cast.taster, {cup: {"roast": [4, 5, 6]}})
    scores_of(a_flight(season, "later"), cast.guest, {cup: {"roast": 4}})

    (table,) = tables(season)

    assert brews_of(table, "LU-01") == 4
    assert table.unnamed == {"LU-01"}


def test_pots_nobody_named_are_shared_by_all_tasters_of_the_sitting() -> None:
    season, cast = a_season(), the_cast()
    cup, flight = three_samples(season)[0], a_flight(season)
    for taster in (cast.taster, cast.helper, cast.guest):
        scores_of(flight, taster, {cup: {"roast": [4, 5]}})

    (table,) = tables(season)

    assert len(table.cups) == 6
    assert len(set(table.as_scores().brews or ())) == table.pots["LU-01"] == 2


def test_an_empty_pot_cell_is_one_of_the_named_pots_and_switches_nothing() -> None:
    season, cast = a_season(), the_cast()
    cup, flight = three_samples(season)[0], a_flight(season)
    for label in ("A", "B"):
        a_score(flight, cup, cast.taster, "roast", 4, brew=a_brew(flight, cup, label))
    a_score(flight, cup, cast.helper, "roast", 5, brew=a_brew(flight, cup, "A"), replicate="1")
    a_score(flight, cup, cast.helper, "roast", 5, replicate="2")

    (table,) = tables(season)

    assert table.pots["LU-01"] == 2
    assert sorted(Counter(table.poured).values()) == [2, 2]
    assert table.unnamed == frozenset()


def test_the_digest_follows_the_scores_and_not_their_order() -> None:
    season, cast = a_season(), the_cast()
    cups, flight = three_samples(season), a_flight(season)
    scores_of(flight, cast.taster, {cup: {"roast": 4, "body": 5} for cup in cups})
    before = tables(season)[0].digest
    Score.objects.all().delete()

    scores_of(flight, cast.taster, {cup: {"body": 5, "roast": 4} for cup in reversed(cups)})

    assert tables(season)[0].digest == before
    assert len(before) == 64

    Score.objects.filter(pk=Score.objects.latest("pk").pk).update(value=1)

    assert tables(season)[0].digest != before


def test_what_a_taster_finds_of_two_lots_is_held_within_a_sitting() -> None:
    season, cast = a_season(), the_cast()
    first, second, _ = three_samples(season)
    morning, evening = a_flight(season, "morning"), a_flight(season, "evening")
    scores_of(morning, cast.taster, {first: {"roast": [6, 4]}, second: {"roast": [2, 2]}})
    scores_of(morning, cast.helper, {first: {"roast": 5}, second: {"roast": 4}})
    scores_of(evening, cast.guest, {first: {"roast": 9}})

    (table,) = tables(season)

    assert sorted(table.differences("roast", "LU-01", "LU-02")) == [1, 3]
