"""A `ReadBook` as the JSON that `wetleaf import BOOK --dry-run --json` prints."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from wetleaf.lots.workbooks.records import (
    Cell,
    Column,
    Decision,
    LedgerEntry,
    LineRow,
    LotRow,
    Note,
    Preference,
    Problem,
    ReadBook,
    Retaste,
    SampleCode,
    Score,
    Triangle,
    Verdict,
)
from wetleaf.lots.workbooks.values_as_json import (
    Json,
    date_json,
    degree_json,
    elevation_json,
    grams_json,
    number,
    plain_json,
    price_json,
    raw_of,
    without_blanks,
)


def book_as_json(book: ReadBook) -> Json:
    """Give a book as plain values; money and grams as numbers, dates in ISO form, the sheet of a
    CSV as null.
    """
    return {
        "file": book.file,
        "kind": book.kind,
        "sha256": book.digest,
        "encoding": book.encoding or None,
        "separator": book.separator or None,
        "season": book.season or None,
        "sheets": [_sheet(report) for report in book.sheets],
        "columns": [_column(column) for column in book.columns],
        "lots": [_lot(lot, book) for lot in book.lots],
        "samples": [_sample(sample, book.scores) for sample in book.samples],
        "sittings": [plain_json(s.__dict__) for s in book.sittings],
        "scores": [_score(score) for score in book.scores],
        "sample_means": sample_means(book.scores),
        "notes": [_note(note) for note in book.notes],
        "verdicts": [_as_it_is(verdict) for verdict in book.verdicts],
        "preferences": [_preference(p) for p in book.preferences],
        "triangles": [_triangle(t) for t in book.triangles],
        "retastes": [_retaste(r) for r in book.retastes],
        "ledger": [_as_it_is(entry) for entry in book.ledger],
        "lines": [_as_it_is(line) for line in book.lines],
        "decisions": [_as_it_is(decision) for decision in book.decisions],
        "problems": [_problem(p) for p in book.problems],
        "comments": [{"sheet": c.sheet or None, "cell": c.cell, "text": c.says} for c in book.comments],
        "taster_aliases": {name: list(ways) for name, ways in book.taster_aliases.items()},
        "counts": _counts(book),
    }


def _column(column: Column) -> Json:
    return without_blanks(
        {
            "sheet": column.sheet or None,
            "column": column.column,
            "header": column.header,
            "read_as": column.read_as,
            "why": column.why,
        },
        attribute=column.attribute,
        stage=column.stage,
        taster=column.taster,
    )


def _as_it_is(record: LedgerEntry | LineRow | Verdict | Decision) -> Json:
    """Every field of a record under its own name, and where it stood."""
    fields = {name: value for name, value in record.__dict__.items() if name != "cell"}
    return {**_at(record.cell), **plain_json(fields)}


def _at(cell: Cell) -> Json:
    return {"sheet": cell.sheet or None, "cell": cell.cell}


def _cell(cell: Cell) -> Json:
    return without_blanks({"cell": cell.cell, "raw": raw_of(cell)}, merged=cell.merged)


def _sheet(report: Any) -> Json:
    return without_blanks(
        {"name": report.sheet or None, "role": report.role},
        header_row=report.header_rows[-1] if report.header_rows else None,
        header_rows=list(report.header_rows) if len(report.header_rows) > 1 else None,
        first_row=report.first_row,
        last_row=report.last_row,
        hidden_columns=list(report.hidden_columns) or None,
        ignore_rows=[{"row": row, "why": why} for row, why in report.ignored_rows] or None,
        blank_rows=list(report.blank_rows) or None,
        scale={"low": report.scale[0], "high": report.scale[1], "from": report.scale_source}
        if report.scale
        else None,
    )


def _lot(lot: LotRow, book: ReadBook) -> Json:
    base: Json = {
        "sheet": lot.sheet or None,
        "row": lot.row,
        "cells": {name: _cell(cell) for name, cell in lot.cells.items()},
        "code": lot.code,
        "name": lot.name,
        "producer": lot.producer,
        "region": lot.region,
        "elev": elevation_json(lot.elev),
        "harvest": date_json(lot.harvest),
        "cv": lot.cv,
        "ox": degree_json(lot.ox),
        "roast": degree_json(lot.roast),
        "price": price_json(lot.price),
        "markup": number(lot.markup),
        "moq": grams_json(lot.moq_grams, lot.moq_grams_max),
        "avail": grams_json(lot.avail_grams, lot.avail_grams_max),
        "claims": lot.claims,
    }
    return without_blanks(
        base,
        sample_grams=grams_json(lot.sample_grams),
        sample_received=date_json(lot.sample_received),
        offer_until=date_json(lot.offer_until),
        loss_percent=number(lot.loss_percent),
        verdict=lot.cells["verdict"].says.strip() if "verdict" in lot.cells else None,
        words=lot.cells["words"].says.strip() if "words" in lot.cells else None,
        liking=number(_liking(lot, book)) if "liking" in lot.cells else None,
        **lot.facts,
    )


def _liking(lot: LotRow, book: ReadBook) -> float | None:
    """The liking that stands in a lot's own row, as `verdicts` has read it."""
    cells = {lot.cells[name].cell for name in ("verdict", "liking") if name in lot.cells}
    found = (v.liking for v in book.verdicts if v.cell.sheet == lot.sheet and v.cell.cell in cells)
    return next(found, None)


def _sample(sample: SampleCode, scores: Iterable[Score]) -> Json:
    own = [score for score in scores if score.sample == sample.code]
    base: Json = {
        "code": sample.code,
        "lots": [{"sheet": sheet or None, "row": row} for sheet, row in sample.lots],
        "ambiguous": sample.ambiguous,
        "kind": sample.kind,
        "n_scores": len(own),
        "n_usable": sum(score.status == "ok" for score in own),
    }
    received = sample.received_on.isoformat() if sample.received_on else None
    return without_blanks(base, of_lot=sample.of_lot, of_season=sample.of_season, received_on=received)


def _score(score: Score) -> Json:
    base: Json = {
        **_at(score.cell),
        "row": score.row,
        "taster": score.taster,
        "taster_raw": score.taster_raw,
        "sample": score.sample,
        "sample_raw": score.sample_raw,
        "attribute": score.attribute,
        "value": number(score.value),
        "status": score.status,
        "raw": raw_of(score.cell),
    }
    return without_blanks(
        base,
        stage=score.stage,
        replicate=int(score.replicate) if score.replicate.isdigit() else score.replicate,
        brew=score.brew,
        sitting=score.sitting,
        sample_from_neighbouring_rows=score.sample_from_neighbouring_rows,
    ) | {
        key: number(value)
        for key, value in (("lower", score.lower), ("upper", score.upper))
        if value is not None
    }


def _note(note: Note) -> Json:
    return without_blanks(
        {
            **_at(note.cell),
            "taster": note.taster,
            "sample": note.sample,
            "taster_raw": note.taster_raw,
            "sample_raw": note.sample_raw,
            "text": note.text,
        },
        stage=note.stage,
        sitting=note.sitting,
    )


def _preference(p: Preference) -> Json:
    return {
        **_at(p.cell),
        "row": p.row,
        "taster": p.taster,
        "taster_raw": p.taster_raw,
        "a": p.a,
        "b": p.b,
        "raw": raw_of(p.cell),
        "winner": p.winner,
        "tie": p.tie,
        "why": p.why,
    }


def _triangle(t: Triangle) -> Json:
    return {
        **_at(t.cell),
        "row": t.row,
        "taster": t.taster,
        "taster_raw": t.taster_raw,
        "cups": list(t.cups),
        "odd_cup": t.odd_cup,
        "picked": t.picked,
        "correct": t.correct,
        "usable": t.usable,
        "raw_picked": raw_of(t.cell),
        "remark": t.remark,
    }


def _retaste(r: Retaste) -> Json:
    ready = without_blanks({"state": r.ready}, doubtful=r.doubtful) if r.ready else None
    return {
        **_at(r.cell),
        "row": r.row,
        "lot": r.lot,
        "roast_date": plain_json(r.roast_date),
        "taste_date": plain_json(r.taste_date),
        "days": r.days,
        "roast_aroma": number(r.roast_aroma),
        "ready": ready,
        "remark": r.remark,
    }


def _problem(p: Problem) -> Json:
    return {
        "sheet": p.sheet,
        "cell": p.cell,
        "says": p.says,
        "why": p.why,
        "do": p.do,
        "severity": p.severity,
        "kind": p.kind,
    }


def sample_means(scores: Iterable[Score]) -> dict[str, dict[str, Json]]:
    """Give per attribute and sample the count and mean of the usable scores whose taster and
    sample are certain.
    """
    values: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for score in scores:
        if score.status == "ok" and score.taster and score.sample and score.value is not None:
            values[score.attribute][score.sample].append(score.value)
    return {
        attribute: {code: {"n": len(v), "mean": round(sum(v) / len(v), 6)} for code, v in by_code.items()}
        for attribute, by_code in values.items()
    }


def _counts(book: ReadBook) -> Json:
    severities = [problem.severity for problem in book.problems]
    return {
        "lots": len(book.lots),
        "samples": len(book.samples),
        "scores": len(book.scores),
        "scores_usable": sum(score.status == "ok" for score in book.scores),
        "scores_usable_taster_and_sample_certain": sum(
            s.status == "ok" and s.taster is not None and s.sample is not None for s in book.scores
        ),
        "notes": len(book.notes),
        "verdicts": len(book.verdicts),
        "preferences": len(book.preferences),
        "triangles": len(book.triangles),
        "retastes": len(book.retastes),
        "ledger": len(book.ledger),
        "lines": len(book.lines),
        "decisions": len(book.decisions),
        "comments": len(book.comments),
        "problems": len(book.problems),
        **{f"problems_{level}": severities.count(level) for level in ("error", "warn", "info")},
    }
