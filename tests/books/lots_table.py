"""A table of lots as a merchant keeps it: titles, one or two header rows, merged makers, sections, totals."""

from dataclasses import dataclass
from typing import Any

from tests.books import words
from tests.books.canvas import Cell, Sheet, at, letter
from tests.books.lot_columns import Column, LotRow, TableStyle, lot_columns
from tests.books.manner import Manner
from tests.books.truth import Problem, Truth, plain

_TWICE = "same code as row {}; two different lots, must be asked"


@dataclass(frozen=True)
class Lot:
    """One row of the table: its code, name and row."""

    code: str
    name: str
    row: int
    sheet: str


def lot_codes(manner: Manner, count: int) -> list[str]:
    """Return different codes in one merchant's style."""
    style = manner.rng.randrange(4)
    if style == 0:
        return [str(number) for number in manner.rng.sample(range(101, 199), count)]
    prefixes = ["".join(manner.rng.choices("ABDFGHKLNPQRSTV", k=2)) for _ in range(3)]
    shape = ("{}-{:02}", "{}{}", "{}/{:02}")[style - 1]
    numbers = manner.rng.sample(range(2, 60), count)
    return [shape.format(manner.pick(prefixes), number) for number in numbers]


def lots_table(sheet: Sheet, truth: Truth, manner: Manner, codes: list[str], style: TableStyle) -> list[Lot]:
    """Fill a sheet with lots, one a code, and put what it says in the truth."""
    columns = lot_columns(manner, style)
    header_row = _titles(sheet, manner, style)
    two_rows = manner.roll(0.15) and any(column.unit for column in columns)
    _headers(sheet, columns, header_row, style, two_rows)
    first = header_row + (2 if two_rows else 1)
    lots, ignored = _rows(sheet, truth, manner, codes, columns, style, first)
    last = lots[-1].row
    ignored += _after(sheet, manner, columns, style, first, last)
    _about_sheet(sheet, truth, columns, style, header_row, two_rows, first, last, ignored)
    return lots


def _titles(sheet: Sheet, manner: Manner, style: TableStyle) -> int:
    """Write title rows and return the header's row."""
    row = style.top
    if not style.titles:
        return row
    lines = [f"{manner.pick(('Spring', 'Season', 'Buying list'))} {manner.year} – Harrow Lane Leaf"]
    if manner.roll(0.4):
        lines.append(
            manner.pick(("samples in, all prices ex works", "rates: NT$40.6 = £1 (12 May)", "updated by Kit"))
        )
    for line in lines:
        sheet.put(row, style.left, line)
        row += 1
    if style.rich and manner.roll(0.4):
        sheet.merge(style.top, style.left, style.top, style.left + 4)
    return row + (1 if manner.roll(0.7) else 0)


def _headers(sheet: Sheet, columns: list[Column], row: int, style: TableStyle, two_rows: bool) -> None:
    for place, column in enumerate(columns, start=style.left):
        header = column.header
        if two_rows and column.unit:
            bare = header.replace(f"({column.unit})", "").replace(f"[{column.unit}]", "")
            header = bare.removesuffix(f" {column.unit}").removesuffix(f", {column.unit}").strip()
            sheet.put(row + 1, place, column.unit if "masl" not in column.header else "masl")
            header = header.replace("(masl)", "").replace("[masl]", "").removesuffix(" masl").strip(" ,")
        sheet.put(row, place, header)
        if column.hidden:
            sheet.hidden_columns.add(place)


def _rows(
    sheet: Sheet,
    truth: Truth,
    manner: Manner,
    codes: list[str],
    columns: list[Column],
    style: TableStyle,
    row: int,
) -> tuple[list[Lot], list[dict[str, Any]]]:
    lots: list[Lot] = []
    ignored: list[dict[str, Any]] = []
    sections = style.rich and manner.roll(0.12)
    merged_makers = style.rich and manner.roll(0.5)
    for number, group in enumerate(_groups(manner, codes)):
        if number and manner.roll(0.3):
            row += 1
        if sections:
            sheet.put(row, style.left, f"– {manner.pick(('First tray', 'Second tray', 'Late arrivals'))} –")
            ignored.append({"row": row, "why": "a section's title, not a lot"})
            row += 1
        block = _group_rows(manner, group, len(lots))
        where = (
            _merge_makers(sheet, columns, style, row, len(block)) if merged_makers and len(block) > 1 else ""
        )
        for facts in block:
            _write_lot(sheet, truth, facts, columns, style, row, where)
            lots.append(Lot(facts.code, facts.name, row, sheet.name))
            row += 1
    _mark_twice(sheet, truth, lots, columns, style)
    return lots, ignored


def _groups(manner: Manner, codes: list[str]) -> list[list[str]]:
    """Lots of one maker stand together."""
    groups, rest = [], list(codes)
    while rest:
        size = manner.rng.randint(1, 3)
        groups.append(rest[:size])
        rest = rest[size:]
    return groups


def _group_rows(manner: Manner, group: list[str], so_far: int) -> list[LotRow]:
    place = manner.rng.randrange(len(manner.origin.districts))
    district = manner.origin.districts[place]
    local = (manner.origin.local_names or {}).get(manner.language)
    region = local[place] if local else district.name
    people = words.CJK_PEOPLE.get(manner.language, words.PEOPLE[manner.origin.name])
    producer = manner.pick(people)
    money = (manner.origin.currency, manner.origin.currency, "GBP")
    return [
        LotRow(
            manner,
            district,
            region,
            code,
            _tea_name(manner, so_far + n),
            producer,
            so_far + n,
            manner.pick(money),
        )
        for n, code in enumerate(group, start=1)
    ]


def _tea_name(manner: Manner, number: int) -> str:
    local = words.CJK_NAMES.get(manner.language)
    if local:
        return f"{manner.pick(local)}{number}"
    kind = {
        "Taiwan": ("Dong Ding", "high mountain", "red", "Baozhong 包種"),
        "China": ("rock tea", "white", "Tieguanyin", "red 红茶"),
        "Japan": ("sencha", "kabuse", "gyokuro 玉露", "bancha"),
        "India": ("first flush", "clonal", "second flush", "muscatel"),
        "Sri Lanka": ("BOP", "Pekoe", "OP", "silver tip"),
    }[manner.origin.name]
    if manner.text_only:
        kind = tuple(word.encode("ascii", "ignore").decode().strip() for word in kind)
    return f"{manner.pick(words.FIRST)}{manner.pick(words.SECOND)} {manner.pick(kind)}"


def _merge_makers(sheet: Sheet, columns: list[Column], style: TableStyle, row: int, count: int) -> str:
    place = style.left + [column.field for column in columns].index("producer")
    return sheet.merge(row, place, row + count - 1, place)


def _write_lot(
    sheet: Sheet, truth: Truth, facts: LotRow, columns: list[Column], style: TableStyle, row: int, merged: str
) -> None:
    record: dict[str, Any] = {"sheet": sheet.name, "row": row, "cells": {}, "not_compared": []}
    for place, column in enumerate(columns, start=style.left):
        written = column.write(facts)
        covered = merged and column.field == "producer" and not merged.startswith(f"{at(row, place)}:")
        name = merged.split(":")[0] if covered else at(row, place)
        if not covered:
            sheet.put_cell(row, place, written.cell)
        if column.field == "other" or (written.cell.value is None and column.field != "claims"):
            continue
        record["cells"][column.field] = {"cell": name, "raw": plain(written.cell)}
        if merged and column.field == "producer":
            record["cells"][column.field]["merged"] = merged
        record[column.field] = written.read
        if column.field in ("grade", "currency"):
            record["not_compared"].append(column.field)
        for problem in written.problems:
            truth.problem(sheet.name, name, written.cell, problem, written.read)
    _maybe_comment(sheet, truth, facts, columns, style, row)
    truth.lots.append(record)


def _maybe_comment(
    sheet: Sheet, truth: Truth, facts: LotRow, columns: list[Column], style: TableStyle, row: int
) -> None:
    if not style.rich or not facts.manner.roll(0.04):
        return
    place = style.left + [column.field for column in columns].index("price")
    cell = sheet.cells.get((row, place))
    if cell is not None:
        text = "will do less if we take 10 kg"
        sheet.cells[row, place] = Cell(cell.value, cell.formula, cell.number_format, text)
        truth.comments.append({"sheet": sheet.name, "cell": at(row, place), "text": text})


def _mark_twice(
    sheet: Sheet, truth: Truth, lots: list[Lot], columns: list[Column], style: TableStyle
) -> None:
    place = style.left + [column.field for column in columns].index("code")
    first: dict[str, int] = {}
    for lot in lots:
        if lot.code in first:
            also = (at(first[lot.code], place),)
            why = _TWICE.format(first[lot.code])
            raw = sheet.cells[lot.row, place].value
            problem = Problem("duplicate_lot_code", "error", why, also)
            truth.problem(sheet.name, at(lot.row, place), raw, problem, lot.code)
        first.setdefault(lot.code, lot.row)


def _after(
    sheet: Sheet, manner: Manner, columns: list[Column], style: TableStyle, first: int, last: int
) -> list[dict[str, Any]]:
    """Write a totals row, with its word or without, and a line of small print."""
    ignored = []
    row = last + (2 if manner.roll(0.6) else 1)
    summed = [n for n, c in enumerate(columns, start=style.left) if c.field in ("price", "avail")]
    if style.rich and manner.roll(0.5) and summed:
        if manner.roll(0.7):
            sheet.put(row, style.left, _total_word(manner))
        for place in summed:
            block = f"{letter(place)}{first}:{letter(place)}{last}"
            numbers = [
                sheet.cells[r, place].value for r in range(first, last + 1) if (r, place) in sheet.cells
            ]
            total = sum(n for n in numbers if isinstance(n, int | float))
            sheet.put(row, place, round(total, 2), formula=f"SUM({block})")
        ignored.append({"row": row, "why": "totals row, not a lot"})
        row += 1
    if manner.roll(0.2):
        row += 1
        sheet.put(row, style.left, manner.pick(("prices good until 30 June", "* = already spoken for")))
        ignored.append({"row": row, "why": "small print"})
    return ignored


def _total_word(manner: Manner) -> str:
    by_language = {"de": ("Summe",), "fr": ("Total",), "zh": ("合計",), "zh_cn": ("合计",), "ja": ("合計",)}
    return str(
        manner.pick(by_language.get(manner.language, ("Total", "Totals", "Sum", "Sum (ignore)", "TOTAL")))
    )


def _about_sheet(
    sheet: Sheet,
    truth: Truth,
    columns: list[Column],
    style: TableStyle,
    header_row: int,
    two_rows: bool,
    first: int,
    last: int,
    ignored: list[dict[str, Any]],
) -> None:
    header = {"header_rows": [header_row, header_row + 1]} if two_rows else {"header_row": header_row}
    described = {
        letter(place): {"header": column.header, "field": column.field}
        for place, column in enumerate(columns, start=style.left)
    }
    table = {"role": "lots", **header, "first_row": first, "last_row": last, "columns": described}
    table["hidden_columns"] = [letter(place) for place in sorted(sheet.hidden_columns)]
    truth.sheets.append({"name": sheet.name, **table, "ignore_rows": ignored})
