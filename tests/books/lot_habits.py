"""Lists of lots as some merchants keep them: lying, with subtotals and footnotes, with scores beside them."""

from datetime import date, datetime, time
from random import Random
from typing import Any

from tests.books import words
from tests.books.canvas import Sheet, at, letter
from tests.books.lots_table import lot_codes
from tests.books.manner import Manner
from tests.books.truth import Problem, Truth

_CULTIVARS = ("Jin Xuan", "Qing Xin", "Yabukita", "Tieguanyin", "Fuding Da Bai")
_PLACES = ("Nantou", "Anxi", "Uji", "Lishan", "Wuyishan")


def plain_lots(manner: Manner, count: int) -> list[dict[str, Any]]:
    """Return lots as facts, before anybody has written them down."""
    rng = manner.rng
    people = list(words.PEOPLE["Taiwan"])
    return [
        {
            "code": code,
            "name": f"{rng.choice(words.FIRST)}{rng.choice(words.SECOND)} {n}",
            "producer": people[min(n * 3 // count, 5)],
            "region": rng.choice(_PLACES),
            "elev": rng.randrange(300, 1900, 50),
            "harvest": date(manner.year, rng.choice((4, 5, 10)), rng.randint(1, 28)),
            "cv": rng.choice(_CULTIVARS),
            "ox": rng.randrange(10, 80, 5),
            "price": rng.randrange(1000, 6000, 50),
            "avail": rng.randint(2, 40),
        }
        for n, code in enumerate(lot_codes(manner, count))
    ]


def read_of(name: str, value: Any) -> Any:
    """Return what a careful person reads from a fact."""
    if name == "elev":
        return {"m": value}
    if name == "harvest":
        day = value.isoformat()
        return {"precision": "day", "from": day, "to": day, "year": value.year, "month": value.month}
    if name == "price":
        return {"amount": value, "currency": "TWD", "per_g": 600, "per_kg": round(value / 0.6, 2)}
    if name in ("moq", "avail"):
        return {"g": value * 1000}
    return {"pct": value} if name == "ox" else value


HEADS = {
    "code": ("Lot", "Code", "Lot no."),
    "name": ("Tea", "Name"),
    "producer": ("Maker", "Producer"),
    "region": ("Where", "Origin"),
    "elev": ("Elev. m", "Altitude (m)"),
    "harvest": ("Picked", "Harvest"),
    "cv": ("Cultivar", "Cv."),
    "ox": ("Oxidation %", "Ox %"),
    "price": ("Price NT$/jin", "NT$/600 g"),
    "avail": ("Avail. kg", "Kilos available"),
}


def write_of(manner: Manner, name: str, value: Any) -> tuple[Any, dict[str, Any], tuple[Problem, ...]]:
    """Return a fact's cell, its number format and what is to be said of it."""
    if name == "harvest":
        return _day(manner, value)
    if name == "code":
        return (int(value) if value.isdigit() else value), {}, ()
    if name in ("elev", "price") and value >= 1000 and manner.roll(0.3):
        text = f"{value // 1000}\u00a0{value % 1000:03d}"
        return text, {}, (Problem("number_as_text", "info", "a number as text with a hard space"),)
    if name == "ox" and manner.roll(0.4):
        return value / 100, {"number_format": "0%"}, ()
    if name == "avail" and manner.roll(0.3):
        return value, {"formula": f"{value - 1}+1"}, ()
    return value, {}, ()


def _day(manner: Manner, value: date) -> tuple[Any, dict[str, Any], tuple[Problem, ...]]:
    if manner.roll(0.25):
        base = date(1904, 1, 1) if manner.days_from_1904 else date(1899, 12, 30)
        told = Problem("serial_without_date_format", "warn", "a day number shown as a plain number")
        return (value - base).days, {}, (told,)
    return datetime.combine(value, time()), {"number_format": "d mmm yyyy"}, ()


def put_lot(
    sheet: Sheet, truth: Truth, manner: Manner, lot: dict[str, Any], places: dict[str, tuple[int, int]]
) -> None:
    """Write one lot, each fact at its place, and put it in the truth."""
    record: dict[str, Any] = {"sheet": sheet.name, "cells": {}, "not_compared": []}
    record["row"] = places["code"][0]
    for name, (row, column) in places.items():
        value, how, problems = write_of(manner, name, lot[name])
        cell = sheet.put(row, column, value, **how)
        record["cells"][name] = {
            "cell": cell,
            "raw": value if not isinstance(value, date) else value.isoformat()[:10],
        }
        record[name] = read_of(name, lot[name])
        for problem in problems:
            truth.problem(sheet.name, cell, value, problem, record[name])
    truth.lots.append(record)


def lying_lots(sheet: Sheet, truth: Truth, manner: Manner, count: int) -> list[dict[str, Any]]:
    """Write a list with its fields down the side and a lot a column."""
    lots, names = plain_lots(manner, count), list(HEADS)
    top = 1 if manner.roll(0.5) else 3
    if top == 3:
        sheet.put(1, 1, f"Spring {manner.year}")
    for n, name in enumerate(names):
        sheet.put(top + n, 1, manner.pick(HEADS[name]))
    for column, lot in enumerate(lots, start=2):
        put_lot(sheet, truth, manner, lot, {name: (top + n, column) for n, name in enumerate(names)})
        truth.lots[-1]["row"] = column
    truth.sheets.append({"name": sheet.name, "role": "lots"})
    return lots


def ledger_like_lots(sheet: Sheet, truth: Truth, manner: Manner, count: int) -> list[dict[str, Any]]:
    """Write a list with a row of units under the head, a subtotal after each maker, and footnotes."""
    lots, names = plain_lots(manner, count), list(HEADS)
    bare = {
        "elev": ("Elevation", "m"),
        "price": ("Price", "NT$/jin"),
        "avail": ("Available", "kg"),
        "ox": ("Oxidation", "%"),
    }
    units = manner.roll(0.5)
    for column, name in enumerate(names, start=1):
        head, unit = bare.get(name, ("", "")) if units else ("", "")
        sheet.put(1, column, head or manner.pick(HEADS[name]))
        if unit:
            sheet.put(2, column, unit)
    row = 3 if units else 2
    first = row
    for n, lot in enumerate(lots):
        put_lot(
            sheet, truth, manner, lot, {name: (row, column) for column, name in enumerate(names, start=1)}
        )
        row += 1
        if n + 1 == len(lots) or lots[n + 1]["producer"] != lot["producer"]:
            total = sum(other["avail"] for other in lots[: n + 1] if other["producer"] == lot["producer"])
            sheet.put(row, 1, manner.pick(("Subtotal", f"Subtotal {lot['producer']}", "Sub-total")))
            place = names.index("avail") + 1
            sheet.put(row, place, total, formula=f"SUM({letter(place)}{first}:{letter(place)}{row - 1})")
            row, first = row + 1, row + 1
    for note in manner.rng.sample(
        ("* price includes the sample", "1) by their own word", "Kilos as of 3 May"), 2
    ):
        row += 1
        sheet.put(row, 1, note)
    truth.sheets.append({"name": sheet.name, "role": "lots"})
    return lots


def hidden_rows(rng: Random, first: int, last: int) -> set[int]:
    """Choose rows to hide."""
    return set(rng.sample(range(first, last + 1), min(2, last - first + 1)))


def one_sheet_lots(sheet: Sheet, truth: Truth, manner: Manner, people: list[str], count: int) -> None:
    """Write lots with a tick and a liking under heads of the buyer's own, and scores by taster."""
    lots = plain_lots(manner, count)
    names = ["code", "name", "producer", "region", "price", "avail"]
    for column, name in enumerate(names, start=1):
        sheet.put(1, column, manner.pick(HEADS[name]))
    pass_heads = {
        "verdict": manner.pick(("ok?", "in?", "✓", "our pick?", "shortlist?", "again?")),
        "liking": manner.pick(("how nice /10", "nice (0-10)", "yum /10", "good? 0-10")),
    }
    column = len(names) + 1
    places = {}
    for name in [n for n in pass_heads if manner.roll(0.75)]:
        sheet.put(1, column, pass_heads[name])
        places[name] = column
        column += 1
    attributes = manner.rng.sample(("scent", "sweet", "body", "finish"), 2)
    pairs = [(who, what) for who in people for what in attributes]
    shape = manner.pick(("{w}: {a}", "{a} ({w})", "{w} - {a}"))
    for n, (who, what) in enumerate(pairs):
        sheet.put(1, column + n, shape.format(w=who, a=what))
    marks = manner.pick(
        (
            {"keep": "✓", "no": "✗", "maybe": "?"},
            {"keep": "yes", "no": "no", "maybe": "maybe"},
            {"keep": True, "no": False, "maybe": None},
        )
    )
    for row, lot in enumerate(lots, start=2):
        put_lot(sheet, truth, manner, lot, {name: (row, c) for c, name in enumerate(names, start=1)})
        _first_pass(sheet, truth, manner, row, places, marks)
        for n, (who, what) in enumerate(pairs):
            value = manner.rng.randint(2, 9)
            sheet.put(row, column + n, value)
            record = {
                "sheet": sheet.name,
                "row": row,
                "cell": at(row, column + n),
                "taster": who,
                "taster_raw": who,
            }
            record |= {"sample": lot["code"], "attribute": what, "raw": value, "value": value, "status": "ok"}
            truth.scores.append(record)
    truth.sheets.append({"name": sheet.name, "role": "lots"})


def _first_pass(
    sheet: Sheet, truth: Truth, manner: Manner, row: int, places: dict[str, int], marks: dict[str, Any]
) -> None:
    lot = truth.lots[-1]
    said = manner.pick([word for word in marks if marks[word] is not None])
    wanted: dict[str, Any] = {"sheet": sheet.name, "sample": lot["code"]}
    for name, value, read in (("verdict", marks[said], said), ("liking", manner.rng.randint(1, 9), None)):
        if name in places:
            cell = sheet.put(row, places[name], value)
            wanted |= {"cell": wanted.get("cell", cell), name: read or value}
    if "cell" in wanted:
        truth.first_passes.append(wanted)
