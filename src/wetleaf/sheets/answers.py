"""The answers of a workbook onto the books: scores, remarks, verdicts, preferences, triangles, re-tastings.

For each kind: what an answer is to, and what it says; `sameness.py` tells from that what is new. An answer
whose taster or sample is not known for certain is not stored but noted as a dropped cell.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import Q

from wetleaf.flights.actions import brews_of, open_flights
from wetleaf.flights.models import Flight
from wetleaf.lots.intake.shelf import Shelf, cell_name
from wetleaf.lots.keeping import fitting_text
from wetleaf.lots.models import Lot
from wetleaf.lots.workbooks import records
from wetleaf.lots.workbooks.records import Cell, ReadBook
from wetleaf.people.actions import tasters_named
from wetleaf.people.models import Taster
from wetleaf.sheets.decisions_intake import take_in_decisions
from wetleaf.sheets.models import Preference, Remark, Retaste, Score, Trial, TrialCup, Verdict
from wetleaf.sheets.sameness import Known
from wetleaf.sheets.table import Table, store_new
from wetleaf.sheets.unresolved import LeftOut


def take_in_answers(book: ReadBook, shelf: Shelf, left_out: LeftOut) -> int:
    """Store every answer of a workbook; return how many earlier ones were replaced."""
    flights_before = Flight.objects.filter(season=shelf.run.season).count()
    table = Table(
        book,
        shelf,
        left_out,
        tasters=_tasters(book, shelf),
        flights=open_flights(shelf.run.season, book.sittings, source=shelf.run.file_name),
        signed_sheets=frozenset(
            answer.cell.sheet for answer in _signed(book) if answer.taster or answer.taster_raw
        ),
    )
    _take_in_scores(table)
    _take_in_remarks(table)
    _take_in_verdicts(table)
    _take_in_preferences(table)
    _take_in_trials(table)
    _take_in_retastes(table)
    take_in_decisions(table)
    shelf.counts["flights"] = Flight.objects.filter(season=shelf.run.season).count() - flights_before
    return table.replaced


def _signed(book: ReadBook) -> Iterable[Any]:
    return (*book.scores, *book.notes, *book.preferences, *book.triangles)


def _tasters(book: ReadBook, shelf: Shelf) -> dict[str, Taster]:
    named = [*_signed(book), *book.verdicts]
    spellings: dict[str, list[str]] = {answer.taster: [] for answer in named if answer.taster}
    for name, written in book.taster_aliases.items():
        spellings.setdefault(name, []).extend(written)
    return tasters_named(spellings, invented=shelf.run.season.is_invented)


# Scores


def _take_in_scores(table: Table) -> None:
    placed = list(_placed_scores(table))
    brews = brews_of(
        (flight, sample, label) for flight, sample, _, *_, label in (key for key, _ in placed) if label
    )
    known = _known_scores({key[0] for key, _ in placed})
    questions = {one.question for one in known}
    answers = [
        (key, _score_says(score), score.cell, _score_fields(key, score, brews))
        for key, score in placed
        if not (_is_blank(score) and key in questions)
    ]
    table.shelf.counts["scores"] += len(store_new(table, Score, known, answers))


ScoreKey = tuple[int, int, int, str, str, str, str]
"""flight, sample, taster, attribute, stage, replicate, brew"""


def _placed_scores(table: Table) -> Iterator[tuple[ScoreKey, records.Score]]:
    """Every score whose taster and sample are certain; the others are noted, a note for each unclear name."""
    unplaced: dict[tuple[str, str, str], list[records.Score]] = defaultdict(list)
    for score in table.book.scores:
        if cell_name(score.cell) in table.left_out.cells:
            continue
        taster, sample = (
            table.taster(score.taster or score.taster_raw, score.cell.sheet),
            table.sample(score.sample),
        )
        if taster is None or sample is None:
            whose, raw = ("taster", score.taster_raw) if taster is None else ("sample", score.sample_raw)
            unplaced[score.cell.sheet, whose, raw].append(score)
            continue
        flight = table.flight(score.sitting, score.cell)
        yield (flight.pk, sample.pk, taster.pk, *_score_texts(score)), score
    for (_, whose, raw), scores in unplaced.items():
        _note_unplaced(table, whose, raw, [score for score in scores if not _is_blank(score)])


def _score_texts(score: records.Score) -> tuple[str, str, str, str]:
    texts = {"attribute": score.attribute, "stage": score.stage, "replicate": score.replicate}
    attribute, stage, replicate = (fitting_text(Score, name, text) for name, text in texts.items())
    return attribute, stage, replicate, score.brew[:60]


def _score_says(score: records.Score) -> tuple[Any, ...]:
    return (score.value if score.status == "ok" else None, score.status, score.lower, score.upper)


def _is_blank(score: records.Score) -> bool:
    # An empty cell in a later workbook takes nothing back; a mark such as "x" or "n/a" does.
    return score.status == "missing" and not score.cell.says.strip()


def _score_fields(
    key: ScoreKey, score: records.Score, brews: dict[tuple[int, int, str], Any]
) -> dict[str, Any]:
    flight, sample, taster, attribute, stage, replicate, label = key
    value, status, lower, upper = _score_says(score)
    return {
        "flight_id": flight,
        "sample_id": sample,
        "taster_id": taster,
        "brew": brews.get((flight, sample, label)),
        "attribute": attribute,
        "stage": stage,
        "replicate": replicate,
        "value": value,
        "status": status,
        "written": score.cell.says,
        "lower": lower,
        "upper": upper,
    }


def _known_scores(flights: set[int]) -> list[Known]:
    rows = Score.objects.that_hold().filter(flight__in=flights).values_list(
        "pk", "flight_id", "sample_id", "taster_id", "attribute", "stage", "replicate", "brew__label",
        "value", "status", "lower", "upper", "source",
    )  # fmt: skip
    return [Known(row[0], (*row[1:7], row[7] or ""), row[8:12], row[12]) for row in rows]


def _note_unplaced(table: Table, whose: str, raw: str, scores: list[records.Score]) -> None:
    if not scores:
        return
    first, last = scores[0].cell, scores[-1].cell
    cells = first.cell if len(scores) == 1 else f"{first.cell} … {last.cell}"
    number = "1 score is" if len(scores) == 1 else f"{len(scores)} scores are"
    why = f"{number} not stored: which {whose} '{raw}' means is not certain."
    table.shelf.drop(Cell(first.sheet, cells, raw), "not_stored", why, f"Write the {whose} as it is known.")


# Words and verdicts


def _take_in_remarks(table: Table) -> None:
    answers = []
    for note in table.book.notes:
        taster, sample = table.tasters.get(note.taster or ""), table.sample(note.sample)
        if cell_name(note.cell) in table.left_out.cells or not note.text.strip():
            continue
        if (note.taster_raw and taster is None) or (note.sample_raw and sample is None):
            _drop(table, note.cell, "taster" if note.taster_raw and taster is None else "sample")
            continue
        taster = taster or table.taster(None, note.cell.sheet)
        flight = table.told_flight(note.sitting)
        who = {"sample": sample, "taster": taster, "flight": flight, "stage": note.stage[:40]}
        text = note.text.replace("\0", "")
        answers.append((_keys(who), text, note.cell, {**who, "text": text}))
    rows = (
        Remark.objects.that_hold()
        .filter(_of_season(table, "sample__lot__season"))
        .values_list("pk", "sample_id", "taster_id", "flight_id", "stage", "text", "source")
    )
    known = [Known(row[0], row[1:5], row[5], row[6]) for row in rows]
    table.shelf.counts["remarks"] += len(store_new(table, Remark, known, answers, only_in_its_cell=True))


def _take_in_verdicts(table: Table) -> None:
    answers = []
    for given in table.book.verdicts:
        sample, taster = table.sample(given.sample), table.taster(given.taster, "")
        if cell_name(given.cell) in table.left_out.cells or (given.verdict is None and given.liking is None):
            continue
        if sample is None or taster is None:
            _drop(table, given.cell, "sample" if sample is None else "taster")
            continue
        who = {
            "sample": sample,
            "taster": taster,
            "flight": table.told_flight(given.sitting),
            "given_on": given.on,
        }
        low, high = given.scale_low or 0.0, 10.0 if given.scale_high is None else given.scale_high
        says = {"word": given.verdict or "", "liking": given.liking, "scale_low": low, "scale_high": high}
        answers.append((_keys(who), tuple(says.values()), given.cell, who | says))
    rows = (
        Verdict.objects.that_hold()
        .filter(_of_season(table, "sample__lot__season"), decided=False)
        .values_list(
            "pk",
            "sample_id",
            "taster_id",
            "flight_id",
            "given_on",
            "word",
            "liking",
            "scale_low",
            "scale_high",
            "source",
        )
    )
    known = [Known(row[0], row[1:5], row[5:9], row[9]) for row in rows]
    table.shelf.counts["verdicts"] += len(store_new(table, Verdict, known, answers))


# Side by side


def _take_in_preferences(table: Table) -> None:
    answers = []
    for one in table.book.preferences:
        if _is_left_out(table, one.cell, one.row):
            continue
        who = _placed(table, one.cell, one.taster, one.taster_raw, (one.a, one.b))
        if who is None:
            continue
        taster, (first, second) = who
        winner = table.sample(one.winner) if one.winner in (one.a, one.b) else None
        asked = {"taster": taster, "first": first, "second": second}
        says = {"winner": winner, "tie": one.tie, "because": one.why or ""}
        answers.append((_keys(asked), _keys(says), one.cell, asked | says))
    rows = (
        Preference.objects.that_hold()
        .filter(_of_season(table, "first__lot__season"))
        .values_list("pk", "taster_id", "first_id", "second_id", "winner_id", "tie", "because", "source")
    )
    known = [Known(row[0], row[1:4], row[4:7], row[7]) for row in rows]
    stored = store_new(table, Preference, known, answers, only_in_its_cell=True)
    table.shelf.counts["preferences"] += len(stored)


def _take_in_trials(table: Table) -> None:
    answers, cups_of = [], {}
    for one in table.book.triangles:
        if _is_left_out(table, one.cell, one.row):
            continue
        who = _placed(table, one.cell, one.taster, one.taster_raw, one.cups)
        if who is None:
            continue
        taster, cups = who
        says = {
            "odd_cup": one.odd_cup,
            "picked": one.picked,
            "correct": one.correct,
            "remark": one.remark or "",
        }
        question = (taster.pk, tuple(cup.pk for cup in cups))
        cups_of[f"{one.cell.sheet}!{one.cell.cell}" if one.cell.sheet else one.cell.cell] = cups
        answers.append((question, tuple(says.values()), one.cell, {"taster": taster} | says))
    stored = store_new(table, Trial, _known_trials(table), answers, only_in_its_cell=True)
    TrialCup.objects.bulk_create(
        TrialCup(trial=trial, sample=cup, position=place)
        for trial in stored
        for place, cup in enumerate(cups_of[trial.source], start=1)
    )
    table.shelf.counts["triangles"] += len(stored)


def _known_trials(table: Table) -> list[Known]:
    trials = Trial.objects.that_hold().filter(run__season=table.shelf.run.season).prefetch_related("served")
    return [
        Known(
            trial.pk,
            (trial.taster_id, tuple(cup.sample_id for cup in trial.served.all())),
            (trial.odd_cup, trial.picked, trial.correct, trial.remark),
            trial.source,
        )
        for trial in trials
    ]


def _take_in_retastes(table: Table) -> None:
    answers = []
    for one in table.book.retastes:
        if _is_left_out(table, one.cell, one.row):
            continue
        lot = _lot(table, one.lot)
        if lot is None:
            _drop(table, one.cell, "lot")
            continue
        when = {"lot": lot, "roasted_on": one.roast_date, "tasted_on": one.taste_date}
        says = {"roast_aroma": one.roast_aroma, "ready": one.ready or "", "doubtful": one.doubtful,
                "remark": one.remark or ""}  # fmt: skip
        answers.append((_keys(when), tuple(says.values()), one.cell, when | says))
    rows = (
        Retaste.objects.that_hold()
        .filter(_of_season(table, "lot__season"))
        .values_list(
            "pk", "lot_id", "roasted_on", "tasted_on", "roast_aroma", "ready", "doubtful", "remark", "source"
        )
    )
    known = [Known(row[0], row[1:4], row[4:8], row[8]) for row in rows]
    table.shelf.counts["re-tastings"] += len(store_new(table, Retaste, known, answers))


def _lot(table: Table, code: str) -> Lot | None:
    sample = table.sample(code)
    return table.shelf.lots.get(code) or (sample.lot if sample is not None else None)


# Shared by the kinds


def _placed(
    table: Table, cell: Cell, taster_name: str | None, taster_raw: str, codes: Iterable[str]
) -> tuple[Taster, list[Any]] | None:
    """The taster and the samples of an answer, or None, noted, when one of them is not certain."""
    taster = table.taster(taster_name or taster_raw, cell.sheet)
    samples = [table.sample(code) for code in codes]
    if taster is not None and all(samples):
        return taster, samples
    _drop(table, cell, "taster" if taster is None else "sample")
    return None


def _drop(table: Table, cell: Cell, whose: str) -> None:
    why = f"it is not stored: which {whose} is meant is not certain."
    table.shelf.drop(cell, "not_stored", why, f"Write the {whose} as it is known.")


def _is_left_out(table: Table, cell: Cell, row: int) -> bool:
    """An answer of several cells is left out whole when one of them is."""
    return cell_name(cell) in table.left_out.cells or (cell.sheet, row) in table.left_out.rows


def _of_season(table: Table, path: str) -> Q:
    season = table.shelf.run.season
    return Q(run__season=season) | Q(**{path: season})


def _keys(fields: dict[str, Any]) -> tuple[Any, ...]:
    """Stored things by their primary key, plain values as they are."""
    return tuple(getattr(value, "pk", value) for value in fields.values())
