"""A workbook is stored whole or not at all, once, and a corrected one adds only what it says anew."""

import datetime as dt
import os
import signal
import subprocess
import sys
import textwrap
import time
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from tests.room import all_at_once
from tests.sheets.books import (
    TASTING,
    a_book,
    a_full_book,
    a_problem,
    a_row,
    a_score,
    codes,
    corrected,
    many_scores,
)

from wetleaf.flights.models import Flight
from wetleaf.lots.actions import season_named
from wetleaf.lots.ledger import grams_left
from wetleaf.lots.models import (
    DroppedCell,
    Fact,
    ImportRun,
    LeafEntry,
    Lot,
    Making,
    Offer,
    Sample,
    Season,
    Target,
)
from wetleaf.lots.workbooks.records import Cell, LedgerEntry, Note, ReadBook, SampleCode, Verdict
from wetleaf.people.models import Taster, WrittenName
from wetleaf.sheets import answers
from wetleaf.sheets.intake import store_book
from wetleaf.sheets.models import Preference, Remark, Retaste, Score, Trial
from wetleaf.sheets.models import Verdict as StoredVerdict
from wetleaf.trade.errors import BadInput
from wetleaf.trade.money import Price
from wetleaf.trade.quantities import Elevation

NOW = dt.datetime(2026, 5, 13, 9, tzinfo=dt.UTC)
SPRING = "Spring 2026"
EVERYTHING = (
    Season,
    Lot,
    Fact,
    Offer,
    Sample,
    LeafEntry,
    ImportRun,
    DroppedCell,
    Taster,
    Flight,
    Score,
    Remark,
)


def counts() -> dict[str, int]:
    return {model.__name__: model.objects.count() for model in EVERYTHING}


@pytest.mark.django_db
def test_everything_a_workbook_tells_is_stored_with_its_cell() -> None:
    intake = store_book(a_full_book(), season=SPRING, now=NOW)

    lot = Lot.objects.get(code="LU-07")
    assert (lot.name, lot.tea_class, lot.line.name, lot.producer.name, lot.producer.contact) == (
        "Frost Hollow Dong Ding 凍頂", "oolong", "House Dong Ding", "Widow Terrace Works", "line: widow",
    )  # fmt: skip
    assert lot.source == "spring.xlsx, Lots!A5"
    elevation = lot.facts.get(field="elev")
    assert (elevation.value, elevation.source, elevation.said_at) == ({"m": 750}, "spring.xlsx, Lots!D5", NOW)
    offer = lot.offers.get()
    assert (offer.price_per_kg, offer.currency, offer.minimum_grams) == (Decimal(2000), "TWD", Decimal(2000))
    assert offer.valid_until == dt.date(2026, 5, 22)
    sample = lot.samples.get()
    assert (sample.received_on, grams_left(sample)) == (dt.date(2026, 5, 2), Decimal(16))
    making = Making.objects.get()
    assert (making.parent.code, making.child.code, making.kind, making.loss_percent) == (
        "LU-07", "LU-09", "re-roast", Decimal("4.5"),
    )  # fmt: skip
    flight = Flight.objects.get()
    assert (flight.name, flight.held_on, flight.blind) == (TASTING, dt.date(2026, 5, 12), True)
    assert sorted(Score.objects.values_list("status", "value")) == [
        ("censored", None), ("missing", None), ("ok", 5), ("ok", 6),
    ]  # fmt: skip
    assert Score.objects.get(value=6).brew.label == "b"
    assert Score.objects.get(value=5).source == "Tasting 12 May!D4"
    assert Target.objects.get().tolerance == 1
    assert set(WrittenName.objects.values_list("written", "taster__name")) == {
        ("M.", "Mirel"),
        ("mirel", "Mirel"),
    }
    assert Trial.objects.get().served.count() == 3
    assert Retaste.objects.get().lot == lot
    assert Preference.objects.filter(tie=True).count() == 1
    assert DroppedCell.objects.get().severity == "info"
    assert intake.changed
    assert intake.added["scores"] == 4


@pytest.mark.django_db
def test_a_sheet_that_names_nobody_is_the_buyers() -> None:
    store_book(a_full_book(), season=SPRING, now=NOW)

    assert {verdict.taster.is_buyer for verdict in StoredVerdict.objects.all()} == {True}
    assert Remark.objects.get(sample=None).taster.name == "the buyer"


@pytest.mark.django_db
def test_nothing_is_stored_while_a_cell_that_matters_is_unresolved() -> None:
    book = a_book(
        problems=(
            a_problem("D36"),
            a_problem("E8", sheet="Lots", says="14000"),
            a_problem("D1", severity="warn"),
        )
    )

    with pytest.raises(BadInput) as refusal:
        store_book(book, season=SPRING, now=NOW)

    said = str(refusal.value)
    assert "2 cells" in said
    assert "Tasting 12 May!D36 says '12'" in said
    assert "Lots!E8 says '14000'" in said
    assert "--accept" in said
    assert set(counts().values()) == {0}


@pytest.mark.django_db
def test_an_accepted_cell_is_left_out_and_stays_on_record() -> None:
    scores = (a_score("LU-07", "Mirel", 5, 4), a_score("LU-08", "Mirel", None, 36, status="out_of_range"))
    book = a_book(problems=(a_problem("D36"),), scores=scores)

    intake = store_book(book, season=SPRING, now=NOW, accept=["Tasting 12 May!D36"])

    assert list(Score.objects.values_list("value", flat=True)) == [5]
    dropped = DroppedCell.objects.get()
    assert (dropped.cell, dropped.says, dropped.severity) == ("D36", "12", "error")
    assert ImportRun.objects.get().accepted == ["Tasting 12 May!D36"]
    assert intake.left_out == 1


@pytest.mark.django_db
def test_accepting_one_cell_does_not_accept_another() -> None:
    book = a_book(problems=(a_problem("D36"), a_problem("D40")))

    with pytest.raises(BadInput, match="D40"):
        store_book(book, season=SPRING, now=NOW, accept=["Tasting 12 May!D36"])

    assert not Lot.objects.exists()


@pytest.mark.django_db
def test_a_slip_in_accept_is_told() -> None:
    book = a_book(problems=(a_problem("D36"),))

    with pytest.raises(BadInput, match="no cell with an error named tasting 12 may!d63"):
        store_book(book, season=SPRING, now=NOW, accept=["Tasting 12 May!D63", "all"])


@pytest.mark.django_db
@pytest.mark.parametrize("accept", [["all"], ["Lots"], ["lots!d5"]])
def test_the_value_of_an_accepted_cell_of_a_lot_is_not_used(accept: list[str]) -> None:
    row = a_row("LU-07", 5, elev=Elevation(m=2900), roast=None)
    book = a_book(lots=(row,), samples=codes((row,)), scores=(), problems=(a_problem("D5", sheet="Lots"),))

    store_book(book, season=SPRING, now=NOW, accept=accept)

    assert list(Fact.objects.values_list("field", flat=True)) == ["name"]


@pytest.mark.django_db
def test_the_same_file_twice_changes_nothing_and_says_so() -> None:
    store_book(a_full_book(), season=SPRING, now=NOW)
    before = counts()

    again = store_book(a_full_book(), season=SPRING, now=NOW)

    assert not again.changed
    assert "already: nothing was changed" in again.says
    assert counts() == before


@pytest.mark.django_db
def test_the_same_answers_in_another_file_are_not_doubled() -> None:
    store_book(a_full_book(), season=SPRING, now=NOW)
    before = counts()

    again = store_book(corrected(a_full_book()), season=SPRING, now=NOW)

    after = counts()
    assert again.changed
    assert again.replaced == 0
    assert (after.pop("ImportRun"), after.pop("DroppedCell")) == (2, 2)
    assert after == {name: number for name, number in before.items() if name in after}


@pytest.mark.django_db
def test_a_corrected_workbook_adds_what_it_says_anew_and_the_latest_holds() -> None:
    before = a_row(
        "LU-07",
        5,
        elev=Elevation(m=750),
        price=Price(Decimal(1200), "TWD", Decimal(600)),
        moq_grams=Decimal(2000),
    )
    after = a_row("LU-07", 5, elev=Elevation(m=780), price=Price(Decimal(1100), "TWD", Decimal(600)))
    book = a_book(lots=(before,), samples=codes((before,)), scores=(a_score("LU-07", "Mirel", 5, 4),))
    store_book(book, season=SPRING, now=NOW)
    again = corrected(book, lots=(after,), scores=(a_score("LU-07", "Mirel", 7, 4),))

    intake = store_book(again, season=SPRING, now=NOW + dt.timedelta(days=1))

    lot = Lot.objects.get()
    assert [fact.value for fact in lot.facts.filter(field="elev")] == [{"m": 750}, {"m": 780}]
    assert [offer.price_amount for offer in lot.offers.all()] == [Decimal(1200), Decimal(1100)]
    assert lot.offers.last().minimum_grams == Decimal(2000)
    assert [score.value for score in Score.objects.all()] == [5, 7]
    assert [score.value for score in Score.objects.that_hold()] == [7]
    assert Score.objects.get(value=7).replaces.value == 5
    assert intake.replaced == 1


@pytest.mark.django_db
def test_an_empty_cell_takes_nothing_back_but_a_mark_does() -> None:
    book = a_book(scores=(a_score("LU-07", "Mirel", 5, 4), a_score("LU-08", "Mirel", 6, 5)))
    store_book(book, season=SPRING, now=NOW)
    marked = a_score("LU-08", "Mirel", None, 5, cell=Cell(TASTING, "D5", "x"))

    store_book(corrected(book, scores=(a_score("LU-07", "Mirel", None, 4), marked)), season=SPRING, now=NOW)

    held = {score.sample.code: score.value for score in Score.objects.that_hold()}
    assert held == {"LU-07": 5, "LU-08": None}


@pytest.mark.django_db
def test_scores_of_an_unclear_sample_or_taster_are_noted_and_not_stored() -> None:
    rows = (a_row("QP-3", 10, "First"), a_row("QP-3", 11, "Second"), a_row("LU-07", 12))
    scores = (
        a_score("QP-3", "Mirel", 5, 4, cell=Cell(TASTING, "D4", "5")),
        a_score("QP-3", "Mirel", 6, 4, attribute="floral", cell=Cell(TASTING, "E4", "6")),
        a_score(None, "Mirel", 7, 5, sample_raw="ZZ-9"),
        a_score("LU-07", None, 8, 6, taster_raw="M?"),
        a_score("LU-07", "Mirel", 9, 7),
    )

    store_book(a_book(lots=rows, samples=codes(rows), scores=scores), season=SPRING, now=NOW)

    assert [score.value for score in Score.objects.all()] == [9]
    noted = {(cell.cell, cell.says): cell.why for cell in DroppedCell.objects.filter(kind="not_stored")}
    assert set(noted) == {("D4 … E4", "QP-3"), ("D5", "ZZ-9"), ("D6", "M?")}
    assert noted["D4 … E4", "QP-3"] == "2 scores are not stored: which sample 'QP-3' means is not certain."
    assert sorted(Lot.objects.values_list("code", flat=True)) == ["LU-07", "QP-3 (row 10)", "QP-3 (row 11)"]


@pytest.mark.django_db
def test_a_row_without_a_code_is_kept_under_its_name() -> None:
    row = a_row(None, 5, "Quiet Mill")

    store_book(a_book(lots=(row,), samples=(), scores=()), season=SPRING, now=NOW)

    assert Lot.objects.get().code == "Quiet Mill"
    assert DroppedCell.objects.get().kind == "code_made_up"


@pytest.mark.django_db
def test_lots_that_are_told_apart_later_take_their_codes_and_leave_no_ghost() -> None:
    unclear = (
        a_row("QP-3", 10, "First fire"),
        a_row("QP-3", 11, "Second fire"),
        a_row(None, 12, "Quiet Mill"),
    )
    book = a_book(lots=unclear, samples=codes(unclear), scores=())
    store_book(book, season=SPRING, now=NOW)
    clear = (
        a_row("QP-3", 11, "First fire"),
        a_row("QP-4", 12, "Second fire"),
        a_row("QM-1", 13, "Quiet Mill"),
    )

    again = corrected(book, lots=clear, samples=codes(clear), scores=(a_score("QP-3", "Mirel", 5, 4),))
    store_book(again, season=SPRING, now=NOW)

    assert dict(Lot.objects.values_list("code", "name")) == {
        "QP-3": "First fire", "QP-4": "Second fire", "QM-1": "Quiet Mill",
    }  # fmt: skip
    assert sorted(Sample.objects.values_list("code", flat=True)) == ["QM-1", "QP-3", "QP-4"]
    assert Score.objects.get().sample.lot.name == "First fire"
    given = DroppedCell.objects.filter(kind="code_given").first()
    assert given.why == "the lot kept as 'QP-3 (row 10)' now has the code QP-3."


@pytest.mark.django_db
def test_a_sheet_of_scores_alone_finds_the_seasons_samples_and_makes_the_others() -> None:
    store_book(a_book(scores=()), season=SPRING, now=NOW)
    scores = (a_score("LU-07", "Mirel", 5, 4), a_score("NEW-1", "Mirel", 6, 5))
    alone = corrected(a_book(), lots=(), scores=scores,
                      samples=(SampleCode("LU-07", (), False), SampleCode("NEW-1", (), False)))  # fmt: skip

    store_book(alone, season=SPRING, now=NOW)

    assert Score.objects.get(value=5).sample.lot.name == "Frost Hollow Dong Ding"
    assert Score.objects.get(value=6).sample.lot.code == "NEW-1"
    assert DroppedCell.objects.get().kind == "new_lot"


@pytest.mark.django_db
def test_a_kept_sample_is_last_years_lot() -> None:
    store_book(a_book(scores=()), season="Spring 2025", now=NOW)
    rows = (a_row("LU-90", 5),)
    book = a_book(
        digest="d" * 64,
        lots=rows,
        samples=(*codes(rows), SampleCode("LU-07", (), False, "kept")),
        scores=(a_score("LU-07", "Mirel", 5, 4),),
    )

    store_book(book, season=SPRING, before="Spring 2025", now=NOW)

    bridge = Score.objects.get().sample
    assert (bridge.lot.season.name, bridge.kind) == ("Spring 2025", "kept")
    assert Season.objects.get(name=SPRING).before.name == "Spring 2025"


def with_an_unknown_code() -> ReadBook:
    """A book whose reader did not know the code LU-07, since its own lots do not carry it."""
    rows = (a_row("LU-90", 5),)
    unknown = replace(a_problem("B4", says="LU-07"), kind="unknown_sample")
    score = a_score(None, "Mirel", 5, 4, sample_raw="LU-07 ")
    return a_book(digest="d" * 64, lots=rows, samples=codes(rows), scores=(score,), problems=(unknown,))


@pytest.mark.django_db
def test_a_code_that_only_the_books_know_is_no_error() -> None:
    store_book(a_book(scores=()), season="Spring 2025", now=NOW)

    store_book(with_an_unknown_code(), season=SPRING, before="Spring 2025", now=NOW)

    bridge = Score.objects.get().sample
    assert (bridge.code, bridge.lot.season.name, bridge.kind) == ("LU-07", "Spring 2025", "kept")
    noted = DroppedCell.objects.get()
    assert (noted.severity, noted.why) == (
        "info", "no lot of this workbook carries this code; on the books it is a lot of Spring 2025",
    )  # fmt: skip


@pytest.mark.django_db
def test_a_code_that_means_a_lot_of_two_other_seasons_stays_an_error() -> None:
    store_book(a_book(scores=()), season="Spring 2024", now=NOW)
    store_book(a_book(scores=()), season="Spring 2025", now=NOW)

    with pytest.raises(BadInput, match="1 cell must be settled"):
        store_book(with_an_unknown_code(), season=SPRING, now=NOW)

    store_book(with_an_unknown_code(), season=SPRING, before="Spring 2025", now=NOW)
    assert Score.objects.get().sample.lot.season.name == "Spring 2025"


@pytest.mark.django_db
def test_a_season_before_that_is_not_there_is_refused_and_nothing_stored() -> None:
    store_book(a_book(), season="Winter 2025", now=NOW)
    before = counts()

    with pytest.raises(BadInput, match=r"no season 'Spring 2025'.*'Winter 2025'"):
        store_book(corrected(a_book()), season=SPRING, before="Spring 2025", now=NOW)

    assert counts() == before


@pytest.mark.django_db
def test_grams_are_entered_once_and_a_correction_is_its_own_line() -> None:
    row = a_row("LU-07", 5, sample_grams=Decimal(25))
    ledger = (LedgerEntry(Cell("Leaf", "B2", "-3"), "LU-07", Decimal(-3), "brewed"),) * 2
    book = a_book(lots=(row,), samples=codes((row,)), scores=(), ledger=ledger)
    store_book(book, season=SPRING, now=NOW)
    weighed_again = a_row("LU-07", 5, sample_grams=Decimal("24.5"))

    store_book(corrected(book, lots=(weighed_again,)), season=SPRING, now=NOW)

    entries = [(entry.grams, entry.what) for entry in LeafEntry.objects.all()]
    assert entries == [
        (Decimal(25), "received"), (Decimal(-3), "brewed"), (Decimal(-3), "brewed"),
        (Decimal("-0.5"), "received, put right"),
    ]  # fmt: skip
    assert grams_left(Sample.objects.get()) == Decimal("18.5")


@pytest.mark.django_db
def test_a_changed_remark_replaces_only_the_one_in_its_cell() -> None:
    def note(cell: str, text: str) -> Note:
        return Note(Cell("Notes", cell, text), text, "Mirel", "Mirel", "LU-07", "LU-07")

    book = a_book(scores=(), notes=(note("D2", "orchid"), note("D3", "long finish")))
    store_book(book, season=SPRING, now=NOW)

    store_book(
        corrected(book, notes=(note("D2", "orchid, a little grass"), note("D9", "stone"))),
        season=SPRING,
        now=NOW,
    )

    assert sorted(remark.text for remark in Remark.objects.that_hold()) == [
        "long finish", "orchid, a little grass", "stone",
    ]  # fmt: skip


@pytest.mark.django_db
def test_a_changed_verdict_replaces_the_one_before() -> None:
    def book(word: str, digest: str) -> object:
        return a_book(
            scores=(), digest=digest, verdicts=(Verdict(Cell("Lots", "Q5", word), "LU-07", verdict=word),)
        )

    store_book(book("maybe", "a"), season=SPRING, now=NOW)
    store_book(book("keep", "b"), season=SPRING, now=NOW)

    assert [verdict.word for verdict in StoredVerdict.objects.that_hold()] == ["keep"]
    assert StoredVerdict.objects.count() == 2


@pytest.mark.django_db
def test_a_lot_made_from_itself_is_noted_and_not_linked() -> None:
    rows = (
        a_row("A-1", 5, facts={"parent": "A-2", "making": "split"}),
        a_row("A-2", 6, facts={"parent": "A-1", "making": "split"}),
        a_row("A-3", 7, facts={"parent": "A-1 + A-2"}),
        a_row("A-4", 8, facts={"parent": "A-1", "making": "somehow"}),
        a_row("A-5", 9, facts={"parent": "B-9", "making": "split"}),
    )

    store_book(a_book(lots=rows, samples=codes(rows), scores=()), season=SPRING, now=NOW)

    made = set(Making.objects.values_list("parent__code", "child__code", "kind"))
    assert made == {("A-2", "A-1", "split"), ("A-1", "A-3", "blend"), ("A-2", "A-3", "blend")}
    assert sorted(DroppedCell.objects.values_list("kind", flat=True)) == [
        "made_from_itself", "unknown_making", "unknown_parent",
    ]  # fmt: skip


@pytest.mark.django_db
def test_texts_and_numbers_too_large_for_the_database_do_not_break_an_import() -> None:
    row = a_row("LU-07\0", 5, "n" * 5000, facts={"grade": "g\0" * 3000},
                price=Price(Decimal("1e30"), "TWD", Decimal(600)))  # fmt: skip
    score = a_score("LU-07\0", "Mirel", 5, 4, attribute="a" * 900, replicate="r" * 900)
    book = a_book(lots=(row,), samples=codes((row,)), scores=(score,))

    store_book(book, season=SPRING, now=NOW)
    again = store_book(corrected(book), season=SPRING, now=NOW)

    assert Lot.objects.get().name == "n" * 299 + "…"
    assert Offer.objects.get().price_amount is None
    assert again.added == {}


@pytest.mark.django_db
def test_a_crash_in_the_middle_stores_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def crash(*_: object) -> None:
        assert Lot.objects.exists()
        raise ZeroDivisionError

    monkeypatch.setattr(answers, "_take_in_remarks", crash)

    with pytest.raises(ZeroDivisionError):
        store_book(a_full_book(), season=SPRING, now=NOW)

    assert set(counts().values()) == {0}


@pytest.mark.django_db(transaction=True)
def test_the_same_file_twice_at_once_is_stored_once() -> None:
    season_named(SPRING)
    said: list[bool] = []

    failures = all_at_once(
        lambda: said.append(store_book(a_full_book(), season=SPRING, now=NOW).changed), people=4
    )

    assert failures == []
    assert sorted(said) == [False, False, False, True]
    assert Score.objects.count() == 4


@pytest.mark.django_db
def test_thirty_six_thousand_scores_are_stored_in_seconds() -> None:
    book = many_scores()

    started = time.process_time()  # what this process worked, whatever else the machine does
    store_book(book, season=SPRING, now=NOW)
    took = time.process_time() - started

    assert Score.objects.count() == 36_000
    assert took < 12, f"{took:.1f} s; 3 are usual"


KILLED = """
    import sys
    from pathlib import Path
    from wetleaf.cli.workspace import open_workspace
    open_workspace(Path(sys.argv[1]), writes=True)
    import datetime as dt, time
    from tests.sheets.books import a_full_book
    from wetleaf.lots.models import Lot
    from wetleaf.sheets import answers
    from wetleaf.sheets.intake import store_book
    now = dt.datetime(2026, 5, 13, tzinfo=dt.UTC)
    store_book(a_full_book(), season="Kept", now=now)
    def wait(*_):
        print("in the middle", Lot.objects.count(), flush=True)
        time.sleep(60)
    answers._take_in_remarks = wait
    store_book(a_full_book(), season="Lost", now=now)
"""
LOOKED_AT = """
    import sys
    from pathlib import Path
    from wetleaf.cli.workspace import open_workspace
    open_workspace(Path(sys.argv[1]), writes=False)
    from django.db import connection
    from wetleaf.lots.models import Lot, Season
    print(connection.cursor().execute("PRAGMA integrity_check").fetchone()[0])
    print(sorted(Season.objects.values_list("name", flat=True)), Lot.objects.count())
"""


@pytest.mark.sqlite
def test_an_import_killed_in_the_middle_stores_nothing(tmp_path: Path) -> None:
    environment = {name: value for name, value in os.environ.items() if not name.startswith("WETLEAF_")}
    environment["PYTHONPATH"] = str(Path(__file__).parents[2])
    environment.pop("DJANGO_SETTINGS_MODULE", None)
    command = [sys.executable, "-c", textwrap.dedent(KILLED), str(tmp_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as importing:
        assert importing.stdout is not None
        said = importing.stdout.readline()
        importing.send_signal(signal.SIGKILL)

    look = [sys.executable, "-c", textwrap.dedent(LOOKED_AT), str(tmp_path)]
    left = subprocess.run(look, capture_output=True, text=True, env=environment, check=True)

    assert said == "in the middle 6\n"  # the three lots of the season before, and the three that are lost
    assert left.stdout.splitlines() == ["ok", "['Kept'] 3"]
