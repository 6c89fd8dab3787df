"""The small sheets beside the scores: notes, pairs, triangles, re-tastes, scratch."""

from datetime import date, datetime, timedelta
from typing import Any

from tests.books import words
from tests.books.canvas import Cell, ErrorValue, Sheet, at, letter
from tests.books.manner import Manner
from tests.books.tastings import Tasting
from tests.books.truth import Problem, Truth, plain

_ODD_ONE_OUT = {(0, 1, 1): 1, (1, 0, 1): 2, (1, 1, 0): 3}


def notes_table(sheet: Sheet, truth: Truth, tasting: Tasting, top: int = 1, left: int = 1) -> int:
    """Write who, cup and words, a row a note; return the last row."""
    manner = tasting.manner
    headers = (
        manner.pick(("Who", "Taster", "By")),
        manner.pick(("Cup", "Sample", "Lot")),
        manner.pick(("What I wrote", "Note", "Notes", "Words")),
    )
    for n, header in enumerate(headers):
        sheet.put(top, left + n, header)
    row = top + 1
    for _ in range(manner.rng.randint(3, 7)):
        taster, raw = _taster(sheet, truth, tasting, row, left)
        code = manner.pick(tasting.codes)
        sheet.put(row, left + 1, _code(code, manner))
        text = manner.pick(words.NOTES)
        cell = sheet.put(row, left + 2, text)
        record = {"sheet": sheet.name, "cell": cell, "taster": taster, "sample": code, "taster_raw": raw}
        truth.notes.append({**record, "sample_raw": code, "text": text})
        row += 1
    _about(truth, sheet, "notes", top, row - 1, left, headers, ("taster", "sample", "note"))
    return row - 1


def free_notes(sheet: Sheet, truth: Truth, tasting: Tasting) -> None:
    """Write a page of a notebook: a taster's name, then a line a tea."""
    row, manner = 1, tasting.manner
    for taster in tasting.panel.tasters:
        sheet.put(row, 1, manner.pick((f"{taster}:", f"{taster}, 14 Oct", f"{taster}")))
        row += 1
        for code in manner.rng.sample(tasting.codes, min(3, len(tasting.codes))):
            text = manner.pick(words.NOTES)
            cell = sheet.put(row, 1, f"{code}{manner.pick((': ', ' – '))}{text}")
            truth.notes.append(
                {"sheet": sheet.name, "cell": cell, "taster": taster, "sample": code, "text": text}
            )
            row += 1
        row += 1
    truth.sheets.append({"name": sheet.name, "role": "notes_free", "last_row": row - 2})


def preferences_table(sheet: Sheet, truth: Truth, tasting: Tasting, top: int = 1, left: int = 1) -> int:
    """Write pairs and which was liked better; return the last row."""
    manner = tasting.manner
    first, second = manner.pick((("A", "B"), ("Cup A", "Cup B"), ("A", "B")))
    headers = (
        "Taster",
        first,
        second,
        manner.pick(("Preferred", "Winner", "Better", "preferred")),
        manner.pick(("why", "Why", "remark")),
    )
    for n, header in enumerate(headers):
        sheet.put(top, left + n, header)
    row = top + 1
    for _ in range(manner.rng.randint(4, 9)):
        _pair(sheet, truth, tasting, row, left)
        row += 1
    _about(truth, sheet, "preferences", top, row - 1, left, headers, ("taster", "a", "b", "preferred", "why"))
    return row - 1


def _pair(sheet: Sheet, truth: Truth, tasting: Tasting, row: int, left: int) -> None:
    manner = tasting.manner
    taster, raw = _taster(sheet, truth, tasting, row, left)
    a, b = manner.rng.sample(tasting.codes, 2)
    sheet.put(row, left + 1, _code(a, manner))
    sheet.put(row, left + 2, _code(b, manner))
    written, winner, problem = _answer(tasting, a, b)
    cell = sheet.put(row, left + 3, written)
    if problem:
        truth.problem(sheet.name, cell, written, problem, winner)
    why = manner.pick((None, None, "more length", "less smoke", "sweeter"))
    sheet.put(row, left + 4, why)
    record = {"sheet": sheet.name, "row": row, "taster": taster, "taster_raw": raw, "a": a, "b": b}
    truth.preferences.append(
        {**record, "raw": plain(written), "winner": winner, "tie": winner == "tie", "why": why}
    )


def _answer(tasting: Tasting, a: str, b: str) -> tuple[Any, str | None, Problem | None]:
    manner, roll = tasting.manner, tasting.manner.rng.random()
    others = [code for code in tasting.codes if code not in (a, b)]
    if roll < 0.1:
        return (
            manner.pick(("=", "tie", "same", "no preference")),
            "tie",
            Problem("tie", "info", "no preference"),
        )
    if roll < 0.16 and others:
        wrong = manner.pick(others)
        return (
            _code(wrong, manner),
            None,
            Problem("winner_not_in_pair", "error", "the winner is neither A nor B"),
        )
    if roll < 0.22:
        return None, None, Problem("missing", "warn", "no answer")
    winner, sign = manner.pick(((a, "A"), (b, "B")))
    if roll < 0.35:
        return (
            _code(winner, manner),
            winner,
            Problem("preference_by_code", "info", "winner written as a code"),
        )
    return manner.pick((sign, sign, sign.lower(), f"{sign} ")), winner, None


def triangles_table(sheet: Sheet, truth: Truth, tasting: Tasting, top: int = 1, left: int = 1) -> int:
    """Write triangles of two teas; return the last row."""
    manner = tasting.manner
    cups = manner.pick((("Cup 1", "Cup 2", "Cup 3"), ("1", "2", "3"), ("cup1", "cup2", "cup3")))
    headers = (
        "Taster",
        *cups,
        manner.pick(("Odd cup", "Odd one", "odd")),
        manner.pick(("Picked", "Answer", "picked")),
        "remark",
    )
    for n, header in enumerate(headers):
        sheet.put(top, left + n, header)
    pair = manner.rng.sample(tasting.codes, 2)
    row = top + 1
    for _ in range(manner.rng.randint(5, 10)):
        _triangle(sheet, truth, tasting, pair, row, left)
        row += 1
    fields = ("taster", "cup", "cup", "cup", "odd_cup", "picked", "remark")
    _about(truth, sheet, "triangle", top, row - 1, left, headers, fields)
    return row - 1


def _triangle(sheet: Sheet, truth: Truth, tasting: Tasting, pair: list[str], row: int, left: int) -> None:
    manner, roll = tasting.manner, tasting.manner.rng.random()
    taster, raw = _taster(sheet, truth, tasting, row, left)
    pattern = manner.pick(_ODD_ONE_OUT)
    same, odd = manner.rng.sample(pair, 2)
    cups = [same if sign else odd for sign in pattern]
    truly: int | None = _ODD_ONE_OUT[pattern]
    said, picked, problems = truly, manner.rng.randint(1, 3), []
    if roll < 0.06:
        cups, truly = [same] * 3, None
        problems.append(
            (4, Problem("no_odd_cup", "error", "all three cups are the same sample", _cup_cells(row, left)))
        )
    elif roll < 0.12:
        said, truly = truly % 3 + 1, None  # type: ignore[operator]
        why = Problem(
            "odd_cup_contradicts_cups", "error", "the cups say another is odd", _cup_cells(row, left)
        )
        problems.append((4, why))
    raw_picked: Any = picked
    read_picked: int | None = picked
    if 0.12 <= roll < 0.18:
        raw_picked, read_picked = 4, None
        problems.append((5, Problem("out_of_range", "error", "there is no cup 4")))
    elif roll > 0.9:
        raw_picked = manner.pick((f"cup {picked}", str(picked)))
    for n, code in enumerate(cups, start=1):
        sheet.put(row, left + n, _code(code, manner))
    for column, value in ((4, said), (5, raw_picked)):
        sheet.put(row, left + column, value)
    for column, problem in problems:
        truth.problem(sheet.name, at(row, left + column), (said, raw_picked)[column - 4], problem)
    usable = truly is not None and read_picked is not None
    record = {
        "sheet": sheet.name,
        "row": row,
        "taster": taster,
        "taster_raw": raw,
        "cups": cups,
        "odd_cup": truly,
    }
    record |= {"picked": read_picked, "correct": truly == read_picked if usable else None, "usable": usable}
    truth.triangles.append(record | {"raw_odd": said, "raw_picked": raw_picked})


def _cup_cells(row: int, left: int) -> tuple[str, ...]:
    return tuple(at(row, left + n) for n in (1, 2, 3, 5))


def retastes_table(sheet: Sheet, truth: Truth, tasting: Tasting, top: int = 1, left: int = 1) -> int:
    """Write a log of tastings after a roast; return the last row."""
    manner = tasting.manner
    roasted, tasted = manner.pick(
        (("Roasted on", "Tasted on"), ("Roasted", "Tasted"), ("Roast date", "Taste date"))
    )
    headers = ("Lot", roasted, tasted, "Days", "Roast aroma (0-10)", "Ready?", "remark")
    for n, header in enumerate(headers):
        sheet.put(top, left + n, header)
    row = top + 1
    for code in manner.rng.sample(tasting.codes, min(3, len(tasting.codes))):
        roast = date(manner.year, 9, manner.rng.randint(13, 28))
        for days in sorted(manner.rng.sample(range(5, 50), 2)):
            _retaste(sheet, truth, manner, code, roast, roast + timedelta(days=days), row, left)
            row += 1
    fields = ("lot", "roast_date", "taste_date", "days", "roast_aroma", "ready", "remark")
    _about(truth, sheet, "retaste", top, row - 1, left, headers, fields)
    return row - 1


def _retaste(
    sheet: Sheet, truth: Truth, manner: Manner, code: str, roast: date, tasted: date, row: int, left: int
) -> None:
    if manner.roll(0.08):
        roast, tasted = tasted, roast
        also = tuple(at(row, left + n) for n in (2, 3))
        why = Problem("taste_before_roast", "error", "tasted before it was roasted", also)
        truth.problem(sheet.name, at(row, left + 1), roast, why)
    days = (tasted - roast).days
    sheet.put(row, left, _code(code, manner))
    as_text = manner.roll(0.15) and not manner.text_only
    sheet.put_cell(row, left + 1, Cell(f"{roast.day} {roast:%b %y}") if as_text else _day(roast))
    sheet.put_cell(row, left + 2, _day(tasted))
    _days_cell(sheet, truth, days, row, left, as_text)
    aroma = manner.rng.randint(4, 18) / 2
    text = f"{aroma:.1f}".replace(".", ",")
    sheet.put(row, left + 4, text if manner.roll(0.1) else aroma)
    ready, state = manner.pick(
        (
            ("wait", "not_ready"),
            ("no", "not_ready"),
            ("nearly", "nearly"),
            ("ready", "ready"),
            ("READY", "ready"),
            ("yes", "ready"),
        )
    )
    sheet.put(row, left + 5, ready)
    record = {"sheet": sheet.name, "row": row, "lot": code, "roast_date": roast.isoformat(), "days": days}
    record |= {"taste_date": tasted.isoformat(), "roast_aroma": aroma, "ready": {"state": state}}
    truth.retastes.append(record)


def _day(day: date) -> Cell:
    return Cell(datetime(day.year, day.month, day.day), number_format="dd/mm/yyyy")  # noqa: DTZ001


def _days_cell(sheet: Sheet, truth: Truth, days: int, row: int, left: int, as_text: bool) -> None:
    formula = f"{letter(left + 2)}{row}-{letter(left + 1)}{row}"
    cell = Cell(ErrorValue("#VALUE!") if as_text else days, formula, "0")
    name = sheet.put_cell(row, left + 3, cell)
    if as_text:
        why = Problem("error_value", "warn", "formula error because a date is text")
        truth.problem(sheet.name, name, cell, why, days)


def scratch(sheet: Sheet, truth: Truth, manner: Manner, role: str = "scratch") -> None:
    """Write a page that is nobody's record."""
    sheet.put(2, 2, manner.pick(("to do", "kettle", "sums")))
    sheet.put(3, 2, "ring the shipper re 10kg")
    sheet.put(6, 4, 42)
    sheet.put(7, 4, 84, formula="D6*2")
    if manner.roll(0.5):
        sheet.put(9, 2, "£1 = NT$40.6")
    truth.sheets.append({"name": sheet.name, "role": role})


def _taster(sheet: Sheet, truth: Truth, tasting: Tasting, row: int, column: int) -> tuple[str, str]:
    taster = tasting.manner.pick(tasting.panel.tasters)
    written, problem = tasting.panel.spell(tasting.manner, taster)
    cell = sheet.put(row, column, written)
    if problem:
        truth.problem(sheet.name, cell, written, problem, taster)
    return taster, written


def _code(code: str, manner: Manner) -> Any:
    return int(code) if code.isdigit() and not manner.text_only else code


def _about(
    truth: Truth,
    sheet: Sheet,
    role: str,
    header_row: int,
    last: int,
    left: int,
    headers: tuple[str, ...],
    fields: tuple[str, ...],
) -> None:
    columns = {
        letter(left + n): {"header": h, "field": f}
        for n, (h, f) in enumerate(zip(headers, fields, strict=True))
    }
    truth.sheets.append(
        {"name": sheet.name, "role": role, "header_row": header_row, "last_row": last, "columns": columns}
    )
