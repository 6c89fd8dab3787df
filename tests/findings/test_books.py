"""The whole book: what it says of a season, and that every kind of season makes one."""

import dataclasses
import datetime as dt
import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest

from tests.room import (
    Cast,
    a_brew,
    a_flight,
    a_line,
    a_lot,
    a_remark,
    a_sample,
    a_score,
    a_season,
    a_verdict,
    an_offer,
    scores_of,
    the_cast,
)
from wetleaf.findings.assembling import assemble_season_book
from wetleaf.findings.book import Answer, Estimate, Ground, LotPage, SeasonBook
from wetleaf.flights.models import Flight
from wetleaf.lots.models import DroppedCell, ImportRun, Line, Lot, Sample, Season, Target

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 5, 20)
KNOWN = {
    "region": "Lugu",
    "elev": "750 m",
    "harvest": "18 Apr 2026",
    "cv": "qingxin",
    "ox": "30%",
    "roast": "light",
}


def book_of(season: Season, **changes: Any) -> SeasonBook:
    return assemble_season_book(season, **{"shown_private": True, "made_on": TODAY, **changes})


def a_tasted_lot(
    season: Season, cast: Cast, code: str, liking: float | None, *, line: Line | None = None
) -> Sample:
    sample = a_sample(a_lot(season, code, f"Tea {code}", line=line, **KNOWN), grams=25)
    a_verdict(sample, cast.owner, "maybe", liking)
    return sample


def values_in(value: Any) -> Iterator[Any]:
    """Every value inside a book."""
    yield value
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        for field in dataclasses.fields(value):
            yield from values_in(getattr(value, field.name))
    elif isinstance(value, tuple):
        for part in value:
            yield from values_in(part)


def texts_in(book: SeasonBook) -> list[str]:
    return [value for value in values_in(book) if isinstance(value, str)]


def lot_of(book: SeasonBook, code: str) -> LotPage:
    return next(lot for lot in book.lots if lot.code == code)


# --- every season makes a book ---


def test_a_season_without_a_lot_says_so() -> None:
    book = book_of(a_season())

    assert book.say == "No sample has come yet."
    assert book.groups == ()


def test_a_lot_of_which_nothing_is_known_has_its_page() -> None:
    season = a_season()
    Lot.objects.create(season=season, code="X", name="")

    (lot,) = book_of(season).lots

    assert (lot.tasted, lot.overall, lot.ladder, lot.profile, lot.brews_left) == (
        False,
        None,
        None,
        None,
        None,
    )
    assert lot.say == "Not tasted yet."
    assert lot.step.text == "taste it: one brew"
    assert lot.last_year.not_asked == "no last year"
    assert "harvest date" in lot.gaps


def test_a_season_of_words_and_verdicts_only_is_worth_printing() -> None:
    last = a_season("2025")
    season, cast, line = a_season("2026", before=last), the_cast(), a_line("Dong Ding")
    old = a_sample(a_lot(last, "OLD", "Last year's", line=line))
    a_remark(old, "wet leaf: orchid, peas", taster=cast.owner)
    lot = a_lot(season, "NEW", "This year's", line=line, **KNOWN)
    an_offer(lot, price_per_kg=58, until=dt.date(2026, 6, 12))
    new = a_sample(lot, grams=9)
    a_verdict(new, cast.owner, "keep")
    a_remark(new, "wet leaf: orchid, a hint of smoke. nice", taster=cast.owner)

    book = book_of(season)
    page = lot_of(book, "NEW")

    assert book.groups[0].say == "Words and verdicts only: they can be read, not ranked."
    assert page.say.startswith("Noted as a keep; no liking was given.")
    assert (page.brews_left, page.grams_left, page.offer_until) == (3, Decimal(9), dt.date(2026, 6, 12))
    assert [word.text for word in page.last_year_words] == ["orchid", "peas"]
    assert [(word.text, word.strength) for word in page.this_year_words] == [
        ("orchid", 2),
        ("smoke", 1),
        ("nice", 2),
    ]
    assert page.ladder is not None
    wet_leaf, as_written = page.ladder.rungs
    assert [word.text for word in wet_leaf.left] == ["peas"]
    assert [word.text for word in wet_leaf.shared] == ["orchid"]
    assert [word.text for word in wet_leaf.right] == ["smoke"]
    assert (as_written.name, [word.text for word in as_written.right]) == ("as written", ["nice"])
    assert page.last_year.answer == "can't tell yet"
    assert page.remarks[0].text == "wet leaf: orchid, a hint of smoke. nice"
    assert page.remarks[0].taster == cast.owner.name


@pytest.mark.parametrize(
    ("remark", "words"),
    [
        ("took 3 g twice, 19 g left of 25", []),
        ("asked for certificate 4 May, no answer", []),
        ("ring before Friday", []),
        ("peas, 3 g left", ["peas"]),
        ("calling to mind hay, moss", ["calling to mind hay", "moss"]),
    ],
)
def test_what_was_done_at_the_desk_is_no_word_of_the_cup(remark: str, words: list[str]) -> None:
    season, cast = a_season(), the_cast()
    a_remark(a_sample(a_lot(season, "A", "Tea A")), remark, taster=cast.owner)

    page = lot_of(book_of(season), "A")

    assert [word.text for word in page.this_year_words] == words
    assert page.remarks[0].text == remark


def test_a_lot_is_not_tasted_again_beside_one_that_was_refused() -> None:
    season, cast = a_season(), the_cast()
    cups = {
        code: a_tasted_lot(season, cast, code, liking) for code, liking in (("A", 7), ("B", 6.5), ("C", 6))
    }
    asked = lot_of(book_of(season), "A").settle
    a_verdict(cups["C"], cast.owner, "no", None)

    ways = lot_of(book_of(season), "A").settle

    assert any(way.question == "Which of 3 is best?" and way.cups for way in asked)
    assert [way.question for way in ways if way.cups] == ["Better than B?"]
    assert all("C" not in way.way for way in ways)


def test_one_lot_alone_is_not_ranked() -> None:
    season, cast = a_season(), the_cast()
    a_tasted_lot(season, cast, "LU-01", 6)

    (lot,) = book_of(season).lots

    assert lot.overall is not None
    assert lot.overall.value == 6
    assert lot.chance_best is None
    assert not lot.on_shortlist
    assert "nothing of its kind was liked beside it" in lot.say


def test_remarks_without_a_sample_and_samples_without_leaf_break_nothing() -> None:
    season = a_season()
    sample = a_sample(a_lot(season, "LU-01"))
    from wetleaf.sheets.models import Remark

    Remark.objects.create(sample=None, taster=None, text="the water was hard today")
    a_remark(sample, "", taster=None)

    (lot,) = book_of(season).lots

    assert lot.brews_left is None
    assert lot.tasted


# --- ranking ---


def test_one_cup_a_lot_gives_a_shortlist_and_never_a_winner() -> None:
    season, cast = a_season(), the_cast()
    for code, liking in {"A": 9, "B": 5, "C": 4, "D": 4, "E": 2}.items():
        a_tasted_lot(season, cast, code, liking)

    book = book_of(season)
    best = lot_of(book, "A")

    assert book.lots[0].code == "A"
    assert best.on_shortlist
    assert best.chance_best is not None
    assert all(answer.answer != "yes" for answer in best.answers if "best of" in answer.question)
    assert best.overall is not None
    assert best.overall.value < 9  # the winner of many single cups is drawn to the rest
    assert "winner" in best.say or "may be the best" in best.say


def test_lots_are_ranked_within_their_line_only() -> None:
    season, cast = a_season(), the_cast()
    dong_ding, shelf = a_line("Dong Ding"), a_line("Shelf oolong")
    for code, liking, line in (("A", 8, dong_ding), ("B", 7, dong_ding), ("C", 3, shelf), ("D", 2, shelf)):
        a_tasted_lot(season, cast, code, liking, line=line)

    book = book_of(season)

    assert {group.name: [lot.code for lot in group.lots] for group in book.groups} == {
        "Dong Ding": ["A", "B"],
        "Shelf oolong": ["C", "D"],
    }
    chances = [lot.chance_best or 0 for lot in book.groups[1].lots]
    assert sum(chances) == pytest.approx(1)


def test_lots_of_neither_line_nor_class_are_shown_with_their_liking_and_not_ranked() -> None:
    season, cast = a_season(), the_cast()
    for code, liking in {"A": 2, "B": 9, "C": 8}.items():
        lot = a_lot(season, code, f"Tea {code}", tea_class="", elev="750 m")
        a_verdict(a_sample(lot, grams=25), cast.owner, "maybe", liking)

    book = book_of(season)
    (group,) = book.groups

    assert (group.name, group.say) == ("No line yet, no class said", "Not ranked: no class is said.")
    assert [lot.code for lot in group.lots] == ["A", "B", "C"]
    for lot in group.lots:
        assert (lot.chance_best, lot.on_shortlist) == (None, False)
        assert "not ranked: no class is said" in lot.say
        assert not any("best" in answer.question for answer in lot.answers)
        assert not any("best" in way.question or "Better" in way.question for way in lot.settle)
        assert "of its kind" not in lot.step.why + lot.say
    assert [lot.step.text for lot in group.lots] == [
        "leave",
        "ask the producer: which class of tea it is, and eight further questions",
        "ask the producer: which class of tea it is, and eight further questions",
    ]
    assert lot_of(book, "A").step.why == "it is liked little, not ranked: 2.0 of 10 in one cup"
    best = lot_of(book, "B").overall
    assert best is not None
    assert (best.value, best.ground is not None) == (9, True)


def test_without_lines_a_class_is_parted_by_style_and_lines_are_asked_for() -> None:
    season = a_season()
    named = {
        "A": ("Da Hong Pao", "Wuyi"),
        "B": ("Rou Gui", "Wuyi"),
        "C": ("Baozhong", "Pinglin"),
        "D": ("?", ""),
    }
    for code, (name, region) in named.items():
        a_lot(season, code, name, tea_class="oolong", region=region)

    book = book_of(season)

    assert {group.name: [lot.code for lot in group.lots] for group in book.groups} == {
        "No line yet, rock oolong": ["A", "B"],
        "No line yet, light strip oolong": ["C"],
        "No line yet, oolong of no style said": ["D"],
    }
    assert "No line of the shop is named" in book.say


def test_a_line_holds_its_lots_together_whatever_their_style() -> None:
    season, line = a_season(), a_line("House oolong")
    for code, name, region in (("A", "Da Hong Pao", "Wuyi"), ("B", "Baozhong", "Pinglin")):
        a_lot(season, code, name, tea_class="oolong", region=region, line=line)

    (group,) = book_of(season).groups

    assert (group.name, len(group.lots)) == ("House oolong", 2)


def test_a_lot_liked_little_in_its_own_cups_is_left_though_its_group_draws_it_up() -> None:
    season, cast = a_season(), the_cast()
    a_tasted_lot(season, cast, "A", 8)
    a_tasted_lot(season, cast, "B", 3)

    page = lot_of(book_of(season), "B")

    assert page.overall is not None
    assert page.overall.value > 4
    assert page.step.key == "leave"


def test_a_line_of_two_classes_makes_two_groups() -> None:
    season, line = a_season(), a_line("Everyday")
    a_lot(season, "G", tea_class="green", line=line)
    a_lot(season, "B", tea_class="black", line=line)

    assert [group.name for group in book_of(season).groups] == ["Everyday, green", "Everyday, black"]


def test_likings_on_another_scale_are_not_converted_and_this_is_said() -> None:
    season, cast = a_season(), the_cast()
    for code in ("A", "B"):
        a_tasted_lot(season, cast, code, 6)
    other = a_sample(a_lot(season, "C", **KNOWN))
    verdict = a_verdict(other, cast.owner, "maybe", 3)
    type(verdict).objects.filter(pk=verdict.pk).update(scale_high=5, scale_low=1)

    page = lot_of(book_of(season), "C")

    assert page.overall is not None
    assert (page.overall.scale_low, page.overall.scale_high) == (1, 5)
    assert page.chance_best is None
    assert page.overall.ground is not None
    assert (
        "Left out",
        "ranked by likings given open, on 0 to 10; not pooled with them: 1 open, on 1 to 5",
    ) in (page.overall.ground.rests_on)


def test_blind_overall_scores_rank_before_open_likings_and_are_not_pooled_with_them() -> None:
    season, cast = a_season(), the_cast()
    cups = [a_tasted_lot(season, cast, code, liking) for code, liking in (("A", 2), ("B", 9))]
    flight = a_flight(season, blind=True)
    for taster in (cast.owner, cast.helper, cast.taster):
        scores_of(flight, taster, {cups[0]: {"Overall": [8, 8]}, cups[1]: {"Overall": [3, 4]}})

    book = book_of(season)

    assert [lot.code for lot in book.lots] == ["A", "B"]
    assert book.lots[0].overall is not None
    assert book.lots[0].overall.note == "six cups, three tasters, blind; beside it open, 2.0 of 10 in one cup"


def test_a_blind_liking_is_shown_where_open_ones_rank_and_both_are_named() -> None:
    season, cast = a_season(), the_cast()
    cups = {code: a_tasted_lot(season, cast, code, 8) for code in "ABCDE"}
    flight = a_flight(season, blind=True)
    for taster, liking in ((cast.owner, 4), (cast.helper, 6)):
        scores_of(flight, taster, {cups["A"]: {"Overall": [liking]}})

    page = lot_of(book_of(season), "A")

    assert page.overall is not None
    assert (page.overall.value, page.on_shortlist) == (5, True)
    assert page.overall.note.startswith("two cups, two tasters, blind; placed among the others by open, ")
    assert page.say.startswith("Blind it is liked 5.0 of 10. By open likings: any of the five")
    assert page.placed_at is not None
    assert page.placed_at.value > page.overall.value


def test_a_lot_disliked_blind_beside_open_ones_is_left_and_never_called_clear() -> None:
    season, cast = a_season(), the_cast()
    for code in "BCD":
        a_tasted_lot(season, cast, code, 7)
    worst = a_sample(a_lot(season, "A", "Tea A", **KNOWN), grams=25)
    flight = a_flight(season, blind=True)
    for taster, liking in ((cast.owner, 3), (cast.helper, 4)):
        scores_of(flight, taster, {worst: {"Overall": [liking]}})

    page = lot_of(book_of(season), "A")

    assert (page.chance_best, page.step.key) == (None, "leave")
    assert page.step.why == "it is liked little, not ranked: 3.5 of 10 in two cups"


# --- grounds ---


def a_full_season() -> Season:
    """Two years, a line with a tolerance, a bridge cup, three tasters, words, a dropped cell."""
    last = a_season("2025")
    season, cast, line = a_season("2026", before=last), the_cast(), a_line("Dong Ding")
    Target.objects.create(line=line, attribute="", tolerance=2)
    old = a_lot(last, "OLD", "Last year's", line=line)
    kept = Sample.objects.create(lot=old, code="OLD", kind="kept")
    cups = [
        a_tasted_lot(season, cast, code, liking, line=line) for code, liking in (("A", 7), ("B", 6), ("C", 4))
    ]
    flight = a_flight(season)
    for number, taster in enumerate((cast.owner, cast.helper, cast.taster)):
        sheet = {
            cup: {
                "roast": [3 + number * 0.2, 3.4 + place * 0.1],
                "flower": [4 + place * 1.6 - number * 0.1, 4.2 + place * 1.6],
                "Overall": [6 - place, 6.2 - place],
            }
            for place, cup in enumerate((*cups, kept))
        }
        scores_of(flight, taster, sheet)
    a_remark(cups[0], "wet leaf: orchid. finish: long", taster=cast.owner, flight=flight)
    run = ImportRun.objects.create(file_name="spring.xlsx", digest="0" * 64, season=season)
    DroppedCell.objects.create(
        run=run,
        sheet="12 May",
        cell="F9",
        says="12",
        kind="out_of_range",
        severity="error",
        why="above the scale",
    )
    return season


def test_every_ground_is_listed_once_and_traces_method_version_and_digest() -> None:
    book = book_of(a_full_season())

    used = {value for value in values_in((book.groups, book.flights)) if isinstance(value, Ground)}

    assert used
    assert used == set(book.grounds)
    assert len({ground.key for ground in book.grounds}) == len(book.grounds)
    assert all(re.fullmatch("[0-9a-f]{64}", ground.input_digest) for ground in book.grounds)
    assert all(ground.method and ground.method_version == book.version for ground in book.grounds)
    assert all(ground.rests_on for ground in book.grounds)


def test_every_estimate_on_a_lots_line_has_its_ground() -> None:
    for lot in book_of(a_full_season()).lots:
        assert lot.overall is None or lot.overall.ground in lot.grounds
        assert lot.profile is None or lot.profile.ground in lot.grounds
        assert all(answer.ground is None or answer.ground in lot.grounds for answer in lot.answers)


def test_the_same_season_gives_the_same_book() -> None:
    season = a_full_season()

    assert book_of(season) == book_of(season)


def test_the_three_answers_are_always_the_same_words() -> None:
    answers = {value.answer for value in values_in(book_of(a_full_season())) if isinstance(value, Answer)}

    assert answers <= {"yes", "no", "can't tell yet", None}
    assert {"yes", "can't tell yet"} <= answers


def test_it_never_tells_to_buy_and_never_calls_a_tea_a_fake() -> None:
    said = " ".join(texts_in(book_of(a_full_season()))).casefold()

    assert "fake" not in said
    assert "stands against buying" in said or "leave" in said or "taste again" in said
    assert not re.search(r"\bbuy\b(?!ing)", said)


def test_sentences_begin_large_and_end_with_a_stop() -> None:
    book = book_of(a_full_season())
    said = [book.say, *(group.say for group in book.groups), *(lot.say for lot in book.lots)]
    said += [flight.say for flight in book.flights]

    assert all(re.fullmatch(r"[A-Z0-9].*[.?]", text) for text in said if text)
    assert not any("  " in text or ".." in text for text in said)


def test_what_was_dropped_at_import_is_told() -> None:
    (cell,) = book_of(a_full_season()).dropped

    assert (cell.sheet, cell.cell, cell.says, cell.why) == ("12 May", "F9", "12", "above the scale")


def test_the_questions_to_the_database_do_not_grow_with_the_season(
    django_assert_max_num_queries: Any,
) -> None:
    season, cast = a_full_season(), the_cast()
    with django_assert_max_num_queries(20) as before:
        book_of(season)
    flight = Flight.objects.get(season=season)
    for number in range(12):
        cup = a_tasted_lot(season, cast, f"N{number:02}", 5)
        an_offer(cup.lot, price_per_kg=40)
        a_remark(cup, "peas", taster=cast.guest)
        a_score(flight, cup, cast.owner, "roast", 4, brew=a_brew(flight, cup))

    with django_assert_max_num_queries(len(before)):
        book_of(season)


# --- the first sentence ---


def test_the_book_says_first_what_came_and_what_is_open() -> None:
    season, cast = a_season(), the_cast()
    for code, liking in (("A", 7), ("B", 7), ("C", 6)):
        cup = a_tasted_lot(season, cast, code, liking, line=Line.objects.get_or_create(name="Dong Ding")[0])
        an_offer(cup.lot, until=dt.date(2026, 5, 28))
    a_lot(season, "D", "Untasted")

    said = book_of(season).say

    assert said.startswith("Four samples came; three are tasted. Three maybe.")
    assert "Which lot is best can't be told yet for Dong Ding." in said
    assert "Three offers end within a fortnight, the first on 28 May." in said


def test_papers_that_raise_questions_are_named_with_letters_in_four_languages() -> None:
    season = a_season()
    a_lot(
        season,
        "GN-02",
        "Nine Bends",
        tea_class="green",
        region="Fuding",
        elev="2,900 m",
        harvest="5 Apr 2026",
    )

    book = book_of(season)
    lot = lot_of(book, "GN-02")

    assert "The papers of GN-02 raise questions." in book.say
    assert any("2900 m is outside the district" in doubt for doubt in lot.doubts)
    assert lot.letters[0][0] == "Simplified Chinese"
    assert len(lot.letters) == 4
    assert "Widow Terrace Works" in dict(lot.letters)["English"]
    elevation = next(fact for fact in lot.facts if fact.what == "Elevation")
    assert "outside the district" in elevation.doubt
    papers = next(answer for answer in lot.answers if answer.question == "Do its papers add up?")
    assert (papers.answer, papers.says) == ("no", "to be asked: elevation")


def test_papers_that_lack_something_weighty_do_not_add_up_yet() -> None:
    season = a_season()
    a_lot(season, "BARE")
    a_lot(season, "LIGHT", **KNOWN)

    book = book_of(season)
    papers = {lot.code: lot.answers[-1] for lot in book.lots}

    assert papers["BARE"].answer == "can't tell yet"
    assert papers["BARE"].says.startswith("nothing contradicts; still missing: harvest date")
    assert any(way.question == "Do its papers add up?" for way in lot_of(book, "BARE").settle)
    assert papers["LIGHT"].answer == "yes"
    assert papers["LIGHT"].says.startswith("nothing contradicts; still missing: ")


def test_leaf_is_warned_about_before_the_last_two_brews() -> None:
    season = a_season()
    a_sample(a_lot(season, "LU-01"), grams=7)

    (lot,) = book_of(season).lots

    assert lot.brews_left == 2
    assert lot.leaf_warning.startswith("Only 2 brews left")


def test_estimates_stay_on_their_scale() -> None:
    estimates = [value for value in values_in(book_of(a_full_season())) if isinstance(value, Estimate)]

    assert estimates
    assert not any(one.low < one.scale_low or one.high > one.scale_high for one in estimates)
