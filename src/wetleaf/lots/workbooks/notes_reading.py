"""Words and verdicts: notes in a table or loose on a sheet, and a first pass written beside the lots."""

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import replace

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.dates_reading import read_date
from wetleaf.lots.workbooks.first_pass_cells import liking_at, verdict_at
from wetleaf.lots.workbooks.grid import Grid, as_text, cell_record, is_blank, place_of
from wetleaf.lots.workbooks.judges_reading import read_judges
from wetleaf.lots.workbooks.likings_in_words import liking_in, tells_likings
from wetleaf.lots.workbooks.lots_reading import ask_for_inferred_columns
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import Note, Verdict
from wetleaf.lots.workbooks.score_names import Names
from wetleaf.lots.workbooks.score_values import Scale
from wetleaf.lots.workbooks.scores_reading import notes_in
from wetleaf.lots.workbooks.verdict_words import is_verdict
from wetleaf.lots.workbooks.whose_remarks import claims_are_ours
from wetleaf.trade.numbers import is_missing_mark


def read_notes(recognised: Recognised, names: Names, context: Context, told_taster: str) -> list[Note]:
    """Read a table of notes."""
    return list(notes_in(recognised, recognised.by_field["text"].column, names, told_taster, context))


def likings_of_notes(notes: list[Note], grid: Grid, context: Context) -> list[Verdict]:
    """The likings that the remarks of one table hold, where the buyer writes most of them so."""
    if not tells_likings(note.text for note in notes):
        return []
    verdicts = []
    for note in notes:
        said = liking_in(note.text)
        if said is not None:
            row, column = place_of(note.cell.cell)
            row, column = (column, row) if grid.turned else (row, column)
            context.problems.add(grid, row, column, "liking_in_words")
            verdicts.append(
                Verdict(
                    note.cell,
                    note.sample,
                    note.sample_raw,
                    note.taster,
                    None,
                    said.value,
                    0.0,
                    said.top,
                    note.sitting,
                )
            )
    return verdicts


def read_loose_notes(grid: Grid, names: Names) -> list[Note]:
    """Read notes that stand loose on a sheet, when at least two of its cells begin with a known code.

    A cell that holds nothing but a taster's name speaks for the notes below it.
    """
    notes: list[Note] = []
    writer = ""
    for row, column in sorted(place for place, cell in grid.cells.items() if isinstance(cell.value, str)):
        text = as_text(grid.at(row, column).value).strip()
        if len(text) <= 40 and names.tasters.of(_heading(text)).name:
            writer = _heading(text)
        elif (note := _loose(grid, row, column, names, writer)) is not None:
            notes.append(note)
    return notes if len(notes) >= 2 else []


def _heading(text: str) -> str:
    """The name in `Gwen, 14 Oct`, `Mei's notes` or `Tomás:`."""
    name = re.split(r"\s*[,:(–—]|\s-\s|['’]s\b", text, maxsplit=1)[0].strip()
    return re.sub(r"\s+(?:notes?|notebook|words|\d.*)$", "", name, flags=re.IGNORECASE)


def _loose(grid: Grid, row: int, column: int, names: Names, writer: str) -> Note | None:
    text = as_text(grid.at(row, column).value).strip()
    sample, raw, words = _leading_code(text, names)
    if sample is None and column > 1:
        left = as_text(grid.at(row, column - 1).value).strip()
        told = left and not is_verdict(text)  # a tick beside a code is a verdict that no head explains
        sample, raw, words = (names.samples.of(left).name, left, text) if told else (None, "", "")
    if sample is None or not words:
        return None
    signed = re.search(r"\s*[(–—-]\s*([^\W\d_][^\d()]{0,20}?)\)?\s*$", words)
    taster = names.tasters.of(signed[1]).name if signed else None
    raw_taster = signed[1] if signed and taster else writer
    if signed and taster:
        words = words[: signed.start()].strip()
    taster = taster or (names.tasters.of(writer).name if writer else None)
    return Note(cell_record(grid, row, column), words, taster, raw_taster, sample, raw, sitting=grid.name)


def _leading_code(text: str, names: Names) -> tuple[str | None, str, str]:
    """Cut `FH-01: roasted chestnut` into sample, code as written, and words."""
    parts = text.split(None, 2)
    for count in (2, 1):
        raw = " ".join(parts[:count]).rstrip(":;,.–—-").strip()
        if raw and any(sign.isdigit() for sign in raw) and (code := names.samples.of(raw).name):
            return code, raw, re.sub(r"^[\s:;,.–—-]+", "", text[text.find(raw) + len(raw) :])
    return None, "", ""


def read_first_pass(
    recognised: Recognised, names: Names, context: Context
) -> tuple[list[Verdict], list[Note]]:
    """Read verdict, liking and words that stand on a lots sheet, or on a sheet of a first pass."""
    has = [name for name in ("verdict", "liking", "words") if recognised.column_of(name) is not None]
    words = [name for name in ("words", "note") if recognised.column_of(name) is not None]
    if claims_are_ours(recognised):
        words.append("claims")
    if not has and not words and not recognised.judged:
        return [], []
    if recognised.role == "verdicts":
        ask_for_inferred_columns(recognised, context)
    verdicts: list[Verdict] = []
    notes: list[Note] = []
    for row in recognised.table.rows:
        sample = _sample(recognised, row, names)
        if sample is None:
            continue
        verdict = _verdict(recognised, row, sample, names, context)
        if verdict is not None:
            verdicts.append(verdict)
        verdicts += read_judges(recognised, row, sample, _sitting(recognised, row), names, context)
        notes += [note for name in words for note in _words(recognised, row, sample, name, names)]
    if "liking" not in has:
        verdicts = _joined(verdicts, likings_of_notes(notes, recognised.table.grid, context))
    return verdicts, notes


def _joined(verdicts: list[Verdict], likings: list[Verdict]) -> list[Verdict]:
    """Put the liking of a remark to the verdict on its sample."""
    by_sample = {one.sample_raw: one for one in likings}
    joined = []
    for verdict in verdicts:
        said = by_sample.pop(verdict.sample_raw, None)
        scale = (
            {}
            if said is None
            else {"liking": said.liking, "scale_low": said.scale_low, "scale_high": said.scale_high}
        )
        joined.append(replace(verdict, **scale))  # type: ignore[arg-type]
    return [*joined, *by_sample.values()]


def _sample(recognised: Recognised, row: int, names: Names) -> tuple[str | None, str] | None:
    column = recognised.column_of("sample") or recognised.column_of("code") or recognised.column_of("name")
    if column is None:
        return None
    raw = as_text(recognised.table.grid.shown(row, column)[2].value)
    return (names.samples.of(raw).name, raw) if raw.strip() else None


def _taster(recognised: Recognised, row: int, names: Names) -> tuple[str | None, str]:
    column = recognised.column_of("taster")
    raw = as_text(recognised.table.grid.shown(row, column)[2].value) if column is not None else ""
    return names.tasters.of(raw).name if raw.strip() else None, raw


def _sitting(recognised: Recognised, row: int) -> str:
    column = recognised.column_of("sitting")
    text = as_text(recognised.table.grid.shown(row, column)[2].value).strip() if column is not None else ""
    return text or ("" if column is not None else recognised.table.name)


def _words(
    recognised: Recognised, row: int, sample: tuple[str | None, str], name: str, names: Names
) -> Iterator[Note]:
    column = recognised.column_of(name)
    if column is None:
        return
    grid = recognised.table.grid
    cell = grid.at(row, column)
    text = as_text(cell.value).strip()
    if text and not is_missing_mark(text):
        taster = _taster(recognised, row, names)
        yield Note(cell_record(grid, row, column), text, *taster, *sample, sitting=_sitting(recognised, row))


def _verdict(
    recognised: Recognised, row: int, sample: tuple[str | None, str], names: Names, context: Context
) -> Verdict | None:
    grid = recognised.table.grid
    head, column = recognised.by_field.get("liking"), recognised.column_of("verdict")
    said = verdict_at(recognised, row, column, context) if column is not None else None
    liking, scale = liking_at(recognised, row, head, context) if head is not None else (None, Scale())
    if column is None or is_blank(grid.at(row, column)):
        column = head.column if head is not None else None
    if column is None or (said is None and liking is None):
        return None
    taster, _ = _taster(recognised, row, names)
    low, high = (scale.low, scale.high) if liking is not None else (None, None)
    return Verdict(
        cell_record(grid, row, column),
        *sample,
        taster,
        said,
        liking,
        low,
        high,
        _sitting(recognised, row),
        _day(recognised, row, context),
    )


def _day(recognised: Recognised, row: int, context: Context) -> dt.date | None:
    column = recognised.column_of("date")
    if recognised.role != "verdicts" or column is None or is_blank(recognised.table.grid.at(row, column)):
        return None
    date = read_date(context, recognised.table.grid, row, column)
    return date.start if date and date.precision == "day" else None
