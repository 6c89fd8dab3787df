"""A table of lots as a merchant keeps it: titles, one or two header rows, merged makers, sections, totals."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from tests.books import words
from tests.books.canvas import Cell, Sheet, at, letter
from tests.books.degrees import degree_header, write_oxidation, write_roast
from tests.books.harvests import write_harvest
from tests.books.heights import height_header, write_height
from tests.books.manner import Manner, missing, stray_spaces, told
from tests.books.plain_words import liking_column, write_verdict, write_words
from tests.books.prices import PriceColumn, money_read, price_column, write_price
from tests.books.regions import District
from tests.books.truth import Problem, Truth, Written, plain
from tests.books.weights import weight_header, write_weight

_OPTIONAL = ("elev", "cv", "ox", "roast", "moq", "avail", "claims")
_FORMULA_LIKE = Problem("formula_like_text", "warn", "text that would act as a formula", either=True)
_TWICE = "same code as row {}; two different lots, must be asked"


@dataclass(frozen=True)
class Lot:
    """One row of the table: its code, name and row."""

    code: str
    name: str
    row: int
    sheet: str


@dataclass(frozen=True)
class Column:
    """One column: what it means, its header (two rows when `unit_row` is used), and who writes its cells."""

    field: str
    header: str
    write: Callable[["_Row"], Written]
    unit: str = ""
    hidden: bool = False


@dataclass
class _Row:
    manner: Manner
    district: District
    region: str
    code: str
    name: str
    producer: str
    number: int
    currency: str = ""
    facts: dict[str, Written] = field(default_factory=dict)


@dataclass(frozen=True)
class TableStyle:
    """What is odd about this table; a file of text has no merges, formulas or hidden columns."""

    top: int = 1
    left: int = 1
    titles: bool = True
    rich: bool = True
    plain_season: bool = False


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
    columns = _columns(manner, style)
    header_row = _titles(sheet, manner, style)
    two_rows = manner.roll(0.15) and any(column.unit for column in columns)
    _headers(sheet, columns, header_row, style, two_rows)
    first = header_row + (2 if two_rows else 1)
    lots, ignored = _rows(sheet, truth, manner, codes, columns, style, first)
    last = lots[-1].row
    ignored += _after(sheet, manner, columns, style, first, last)
    _about_sheet(sheet, truth, columns, style, header_row, two_rows, first, last, ignored)
    return lots


def _columns(manner: Manner, style: TableStyle) -> list[Column]:
    head = [_text_column(manner, "code"), _text_column(manner, "name"), _text_column(manner, "producer")]
    middle = [
        _text_column(manner, "region"),
        Column("harvest", manner.word(words.LOT_HEADERS, "harvest"), _harvest),
    ]
    wanted = [name for name in _OPTIONAL if manner.roll(0.75)]
    middle += [_optional(manner, name) for name in wanted]
    middle += _price_columns(manner)
    if style.plain_season:
        middle += _first_pass(manner)
    middle += _traps(manner, style)
    if manner.roll(0.5):
        manner.rng.shuffle(middle)
    if manner.roll(0.25):
        head[1:] = [head[2], head[1]]
    columns = [*head, *middle]
    seen: set[str] = set()
    return [c for c in columns if not (c.header in seen or seen.add(c.header))]  # type: ignore[func-returns-value]


def _text_column(manner: Manner, name: str) -> Column:
    return Column(name, manner.word(words.LOT_HEADERS, name), _TEXTS[name])


def _optional(manner: Manner, name: str) -> Column:
    word = manner.word(words.LOT_HEADERS, name)
    if name == "elev":
        header, unit = height_header(manner, word)
        return Column(name, header, lambda row: write_height(row.manner, row.district, unit), unit)
    if name == "ox":
        header, percent = degree_header(manner, word)
        return Column(name, header, lambda row: write_oxidation(row.manner, percent), "%" if percent else "")
    if name == "roast":
        return Column(name, word, lambda row: write_roast(row.manner))
    if name in ("moq", "avail"):
        return _weight_column(manner, name, word)
    return Column(name, word, _TEXTS[name])


def _weight_column(manner: Manner, name: str, word: str) -> Column:
    header, grams = weight_header(manner, word)
    low, high = (0.25, 5) if name == "moq" else (2, 80)
    unit = {1000.0: "kg", 1.0: "g", None: ""}[grams]
    return Column(name, header, lambda row: write_weight(row.manner, grams, low_kg=low, high_kg=high), unit)


def _price_columns(manner: Manner) -> list[Column]:
    if manner.language == "en" and not manner.decimal_comma and manner.roll(0.1):
        money = Column("currency", manner.pick(("Currency", "Curr.", "ccy")), _currency_code)
        return [
            money,
            Column("price", manner.pick(("Price /kg", "Price per kg", "Cost/kg")), _price_beside_currency),
        ]
    column = price_column(manner)
    return [Column("price", column.header, lambda row: write_price(row.manner, column))]


def _first_pass(manner: Manner) -> list[Column]:
    header, write = liking_column(manner)
    return [
        Column("verdict", manner.word(words.LOT_HEADERS, "verdict"), lambda row: write_verdict(row.manner)),
        Column("liking", header, lambda row: write(row.manner)),
        Column("words", manner.word(words.LOT_HEADERS, "words"), lambda row: write_words(row.manner)),
    ]


def _traps(manner: Manner, style: TableStyle) -> list[Column]:
    """Columns beside the point: a running number, our markup, the size of the sample."""
    if manner.language != "en":
        return []
    traps = [
        Column(
            "markup",
            manner.word(words.LOT_HEADERS, "markup"),
            _markup,
            hidden=style.rich and manner.roll(0.6),
        ),
        Column("other", "Sample size (g)", lambda row: told(row.manner.pick((10, 25, 50)), None)),
        Column("other", "Date received", _received),
        Column(
            "grade",
            manner.word(words.LOT_HEADERS, "grade"),
            lambda row: told(row.manner.pick(("A", "AA", "B+")), None),
        ),
    ]
    return [trap for trap in traps if manner.roll(0.2)]


def _received(row: _Row) -> Written:
    day = f"{row.manner.year}-10-{row.manner.rng.randint(10, 28)}"
    return told(day, None)


def _markup(row: _Row) -> Written:
    percent = 40 + row.number
    return told(percent, percent)


def _harvest(row: _Row) -> Written:
    return write_harvest(row.manner, row.district)


def _code(row: _Row) -> Written:
    if row.code.isdigit() and not row.manner.text_only:
        return told(int(row.code), row.code)
    return stray_spaces(row.manner, row.code)


def _name(row: _Row) -> Written:
    if row.manner.roll(0.015):
        sign = row.manner.pick("=+@")
        return told(f"{sign}{row.name}", f"{sign}{row.name}", _FORMULA_LIKE)
    return stray_spaces(row.manner, row.name, 0.03)


def _cultivar(row: _Row) -> Written:
    if row.manner.roll(0.06):
        return missing(row.manner)
    return stray_spaces(row.manner, row.manner.pick(row.district.cultivars))


def _claims(row: _Row) -> Written:
    if row.manner.roll(0.35):
        return told(None, None)
    said = words.CJK_CLAIMS.get(row.manner.language, words.CLAIMS)
    text = row.manner.pick(said)
    return told(text, text)


def _currency_code(row: _Row) -> Written:
    shown = {"TWD": ("TWD", "NT$"), "GBP": ("GBP", "£"), "CNY": ("RMB", "CNY")}.get(
        row.currency, (row.currency,)
    )
    return told(row.manner.pick(shown), row.currency)


def _price_beside_currency(row: _Row) -> Written:
    written = write_price(row.manner, PriceColumn("", row.currency, 1000.0))
    amount = written.cell.value
    if not isinstance(amount, int | float) or amount < 0:
        amount = 95 if row.currency in ("GBP", "USD") else 2400
        return told(amount, money_read(amount, row.currency, 1000.0))
    return written


_TEXTS: dict[str, Callable[[_Row], Written]] = {
    "code": _code,
    "name": _name,
    "producer": lambda row: told(row.producer, row.producer),
    "region": lambda row: told(row.region, row.region),
    "cv": _cultivar,
    "claims": _claims,
}


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


def _group_rows(manner: Manner, group: list[str], so_far: int) -> list[_Row]:
    place = manner.rng.randrange(len(manner.origin.districts))
    district = manner.origin.districts[place]
    local = (manner.origin.local_names or {}).get(manner.language)
    region = local[place] if local else district.name
    people = words.CJK_PEOPLE.get(manner.language, words.PEOPLE[manner.origin.name])
    producer = manner.pick(people)
    money = (manner.origin.currency, manner.origin.currency, "GBP")
    return [
        _Row(
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
    sheet: Sheet, truth: Truth, facts: _Row, columns: list[Column], style: TableStyle, row: int, merged: str
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
    sheet: Sheet, truth: Truth, facts: _Row, columns: list[Column], style: TableStyle, row: int
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
