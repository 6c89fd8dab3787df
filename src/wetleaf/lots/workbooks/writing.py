"""Records to an XLSX workbook, so that reading it gives the same records; and the empty template.

A text that a spreadsheet might take for a formula is stored as a string and marked with the quote prefix that
ECMA-376 part 1, 18.8.45 gives for it, so that it stays a text there too.
"""

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, BinaryIO

from openpyxl import Workbook
from openpyxl.cell import Cell as SheetCell
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from wetleaf.lots.workbooks import written_forms as form
from wetleaf.lots.workbooks.layout import SHEETS, TITLES, Field
from wetleaf.lots.workbooks.records import (
    Decision,
    LedgerEntry,
    LineRow,
    LotRow,
    Note,
    Preference,
    ReadBook,
    Retaste,
    Score,
    Sitting,
    Triangle,
    Verdict,
)

HEADER_ROW = 3
DATE_FORMAT = "dd/mm/yyyy"  # tells a later reader that days come first
_RISKY = ("=", "+", "-", "@", "\t", "\r")
_NOBODY = "not known"  # an empty cell might be filled from the name above
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]|[\ud800-\udfff]")
_ESCAPED = re.compile(r"_x(?=[0-9A-Fa-f]{4}_)")
Row = Mapping[str, form.Written]


def write_template(path: Path | BinaryIO) -> None:
    """Write the empty workbook: every sheet with heads and drop-downs, and a sheet that explains
    each column.
    """
    book = Workbook()
    _how_to(book.active)
    for name, fields in SHEETS.items():
        title = "Write the season here, as: Spring and its year" if name == "Lots" else TITLES.get(name, "")
        _sheet(book, name, title, fields, ())
    _save(book, path)


def write_book(book: ReadBook, path: Path | BinaryIO) -> None:
    """Write every record of a book; the sheets of empty kinds are left out.

    Raises `OSError` when the file cannot be written.
    """
    out = Workbook()
    out.remove(out.active)
    if book.lots:
        lots = [_lot(lot) for lot in book.lots]
        _sheet(out, "Lots", book.season, _used(SHEETS["Lots"], lots), lots)
    for scale, verdicts in _by_scale(book.verdicts):
        title = f"Liking on a scale {scale}" if scale else ""
        _sheet(out, "First pass", title, SHEETS["First pass"], [_verdict(v) for v in verdicts])
    for sitting, scores in _by_sitting(book).items():
        _sheet(
            out,
            _sheet_name(out, sitting),
            _scale_of(book, sitting),
            SHEETS["Scores"],
            [_score(s) for s in scores],
        )
    plain: tuple[tuple[str, Sequence[Row]], ...] = (
        ("Samples", _samples(book)),
        ("Notes", [_note(n) for n in book.notes]),
        ("A-B", [_preference(p) for p in book.preferences]),
        ("Triangle", [_triangle(t) for t in book.triangles]),
        ("Re-taste", [_retaste(r) for r in book.retastes]),
        ("Leaf", [_ledger(e) for e in book.ledger]),
        ("Lines", [_line(x) for x in book.lines]),
        ("Sittings", [_sitting(s) for s in book.sittings]),
        ("Decisions", [_decision(d) for d in book.decisions]),
    )
    for name, rows in plain:
        if rows:
            _sheet(out, name, TITLES[name], SHEETS[name], rows)
    if not out.worksheets:
        _sheet(out, "Lots", book.season, SHEETS["Lots"], ())
    _save(out, path)


def _save(book: Workbook, path: Path | BinaryIO) -> None:
    # A fixed date keeps the same records the same bytes.
    book.properties.created = book.properties.modified = dt.datetime(2000, 1, 1)  # noqa: DTZ001
    book.properties.creator = "wetleaf"
    book.save(path)


def _used(fields: Sequence[Field], rows: Sequence[Row]) -> tuple[Field, ...]:
    """The first columns always, the rarer ones only where something stands in them."""
    return tuple(
        f
        for number, f in enumerate(fields)
        if number < 6 or any(row.get(f.field) is not None for row in rows)
    )


def _sheet(book: Workbook, name: str, title: str, fields: Sequence[Field], rows: Iterable[Row]) -> Worksheet:
    sheet = book.create_sheet(_unique(book, name))
    _put(sheet.cell(1, 1), title or None, bold=True)
    for column, field in enumerate(fields, 1):
        _put(sheet.cell(HEADER_ROW, column), field.head, bold=True)
        sheet.column_dimensions[get_column_letter(column)].width = field.width
        _offer_choices(sheet, column, field)
    for number, row in enumerate(rows, HEADER_ROW + 1):
        for column, field in enumerate(fields, 1):
            value = row.get(field.field)
            if value is not None and value != "":
                _put(sheet.cell(number, column), value)
    sheet.freeze_panes = sheet.cell(HEADER_ROW + 1, 1)
    return sheet


def _offer_choices(sheet: Worksheet, column: int, field: Field) -> None:
    if not field.choices:
        return
    # Other answers are let pass: a drop-down here helps the hand, it does not forbid.
    rule = DataValidation(
        type="list", formula1=f'"{",".join(field.choices)}"', allow_blank=True, showErrorMessage=False
    )
    rule.prompt = field.means[:250]
    letter = get_column_letter(column)
    rule.add(f"{letter}{HEADER_ROW + 1}:{letter}2000")
    sheet.add_data_validation(rule)


def _put(cell: SheetCell, value: form.Written, *, bold: bool = False) -> None:
    if value is None:
        return
    if isinstance(value, str):
        cell.value = _safe(value)
        cell.data_type = "e" if value in form.ERROR_VALUES else "s"
        if value.startswith(_RISKY):
            cell.quotePrefix = 1
    else:
        cell.value = value
        if isinstance(value, dt.date):
            cell.number_format = DATE_FORMAT
    if bold:
        cell.font = Font(bold=True)


def _safe(text: str) -> str:
    """Leave out what XML cannot hold, and escape what would be taken for an escape."""
    return _ESCAPED.sub("_x005F_x", _CONTROL.sub("", text.replace("\r\n", "\n").replace("\r", "\n")))[:32_767]


def _unique(book: Workbook, name: str) -> str:
    taken = {sheet.title.casefold() for sheet in book.worksheets}
    if name.casefold() not in taken:
        return name
    return next(n for k in range(2, 1000) if (n := f"{name[:27]} {k}").casefold() not in taken)


def _sheet_name(book: Workbook, name: str) -> str:
    """A sheet's name may not be long, nor hold `[ ] : * ? / \\`; the sitting's full name stands in
    its column.
    """
    plain = re.sub(r"[\[\]:*?/\\\x00-\x1f]", "-", name).strip("' ")[:31].strip("' ") or "Scores"
    plain = "Scores" if plain in SHEETS else plain
    return _unique(book, plain)


def _how_to(sheet: Worksheet) -> None:
    sheet.title = "How to fill in"
    lines = [
        "Every column may stay empty. Sheets and columns that you do not need can be deleted, added ones are left alone.",  # noqa: E501
        "One row a record, under the heads. A value may carry its unit: 2 kg, 600 g, 4,600 ft, NT$1200/600 g.",  # noqa: E501
        "Write what is known and no more: late April 2025 is better than a day that was guessed. All examples are invented.",  # noqa: E501
    ]
    for row, line in enumerate(lines, 1):
        _put(sheet.cell(row, 1), line)
    row = len(lines) + 2
    for name, fields in SHEETS.items():
        for field in fields:
            for column, text in enumerate((name, field.head, field.means), 1):
                _put(sheet.cell(row, column), text)
            sheet.cell(row, 3).alignment = Alignment(wrap_text=True, vertical="top")
            row += 1
    for letter, width in (("A", 14), ("B", 20), ("C", 90)):
        sheet.column_dimensions[letter].width = width


def _lot(lot: LotRow) -> Row:
    return {
        "code": lot.code,
        "name": lot.name,
        "producer": lot.producer,
        "region": lot.region,
        "elev": form.elevation(lot.elev),
        "harvest": form.date(lot.harvest),
        "cv": lot.cv,
        "ox": form.degree(lot.ox),
        "roast": form.degree(lot.roast),
        "price": form.price(lot.price),
        "moq": form.grams(lot.moq_grams, lot.moq_grams_max),
        "avail": form.grams(lot.avail_grams, lot.avail_grams_max),
        "sample_grams": form.grams(lot.sample_grams),
        "sample_received": form.date(lot.sample_received),
        "offer_until": form.date(lot.offer_until),
        "claims": lot.claims,
        "markup": float(lot.markup) if lot.markup is not None else None,
        "loss": float(lot.loss_percent) if lot.loss_percent is not None else None,
        **lot.facts,
    }


def _by_sitting(book: ReadBook) -> dict[str, list[Score]]:
    found: dict[str, list[Score]] = {}
    for score in book.scores:
        found.setdefault(score.sitting, []).append(score)
    return found


def _ends(low: float | None, high: float | None) -> str:
    return "" if low is None or high is None else f"{form.plain(low)} to {form.plain(high)}"


def _scale_of(book: ReadBook, name: str) -> str:
    sitting = next((s for s in book.sittings if s.name == name), None)
    ends = _ends(sitting.scale_low, sitting.scale_high) if sitting else ""
    return f"Scale {ends}" if ends else "Scale 0 to 10"


def _score(score: Score) -> Row:
    return {
        "sitting": score.sitting,
        "taster": score.taster or score.taster_raw,
        "sample": score.sample or score.sample_raw,
        "stage": score.stage,
        "attribute": score.attribute,
        "brew": score.brew,
        "replicate": float(score.replicate) if score.replicate.isdigit() else score.replicate,
        "score": form.score(score),
    }


def _samples(book: ReadBook) -> list[Row]:
    """A row for every sample, unless each is the offer sample of its lot, with the lot's code."""
    codes = {(lot.sheet, lot.row): lot.code for lot in book.lots}
    lot_of = {id(s): codes.get(s.lots[0]) if s.lots else s.of_lot for s in book.samples}
    if all(s.kind == "offer" and lot_of[id(s)] in (s.code, "") for s in book.samples):
        return []
    return [
        {
            "sample": s.code,
            "lot": lot_of[id(s)],
            "kind": s.kind,
            "season": s.of_season,
            "received": s.received_on,
        }
        for s in book.samples
    ]


def _by_scale(verdicts: Iterable[Verdict]) -> list[tuple[str, list[Verdict]]]:
    found: dict[str, list[Verdict]] = {}
    for verdict in verdicts:
        found.setdefault(_ends(verdict.scale_low, verdict.scale_high), []).append(verdict)
    return list(found.items())


def _verdict(v: Verdict) -> Row:
    return {
        "sample": v.sample or v.sample_raw,
        "taster": v.taster,
        "verdict": v.verdict,
        "liking": v.liking,
        "sitting": v.sitting,
        "date": v.on,
    }


def _note(n: Note) -> Row:
    return {
        "sitting": n.sitting,
        "taster": n.taster or n.taster_raw or _NOBODY,
        "sample": n.sample or n.sample_raw or _NOBODY,
        "stage": n.stage,
        "text": n.text,
    }


def _preference(p: Preference) -> Row:
    preferred = "=" if p.tie else p.winner if p.winner is not None else form.as_stood(p.cell)
    return {"taster": p.taster or p.taster_raw, "a": p.a, "b": p.b, "preferred": preferred, "why": p.why}


def _triangle(t: Triangle) -> Row:
    said = t.odd_cup if t.odd_cup is not None else t.odd_said
    picked: Any = float(t.picked) if t.picked is not None else form.as_stood(t.cell)
    cups = {f"cup{n}": cup for n, cup in enumerate(t.cups, 1)}
    odd = float(said) if said is not None else None
    return {"taster": t.taster or t.taster_raw, **cups, "odd": odd, "picked": picked, "remark": t.remark}


def _retaste(r: Retaste) -> Row:
    ready = {"not_ready": "wait", "nearly": "nearly", "ready": "ready"}.get(r.ready or "")
    counted = r.roast_date is not None and r.taste_date is not None
    return {
        "lot": r.lot,
        "roast_date": r.roast_date,
        "taste_date": r.taste_date,
        "days": float(r.days) if r.days is not None and not counted else None,
        "roast_aroma": r.roast_aroma,
        "ready": f"{ready}?" if ready and r.doubtful else ready,
        "remark": r.remark,
    }


def _ledger(e: LedgerEntry) -> Row:
    return {
        "sample": e.sample,
        "grams": f"{'+' if e.grams >= 0 else ''}{form.grams(e.grams)}",
        "what": e.what,
        "date": e.on,
    }


def _line(x: LineRow) -> Row:
    return {
        "name": x.name,
        "tea_class": x.tea_class,
        "attribute": x.attribute,
        "target": x.target,
        "tolerance": x.tolerance,
        "wanted_kg": float(x.wanted_kg) if x.wanted_kg is not None else None,
    }


def _sitting(s: Sitting) -> Row:
    blind = None if s.blind is None else "yes" if s.blind else "no"
    return {
        "name": s.name,
        "date": s.held_on,
        "blind": blind,
        "brewed": s.brewed,
        "purpose": s.purpose,
        "scale": _ends(s.scale_low, s.scale_high) or None,
    }


def _decision(d: Decision) -> Row:
    return {
        "lot": d.lot,
        "decided": d.said,
        "why": d.why,
        "kilos": float(d.kilos) if d.kilos is not None else None,
        "price": d.price,
        "date": d.on,
    }
