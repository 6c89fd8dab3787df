"""Pairs, triangles and re-tastings after a roast, to records."""

import datetime as dt
import re
from typing import Literal

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.dates_reading import read_date
from wetleaf.lots.workbooks.grid import Grid, as_text, cell_record, is_blank
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.naming import NameReading
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import Preference, Retaste, Triangle
from wetleaf.lots.workbooks.score_names import Names, name_problem
from wetleaf.lots.workbooks.score_values import Scale, read_score, scale_in
from wetleaf.trade.numbers import is_missing_mark, parse_number

_TIES = frozenset(
    [
        "=",
        "==",
        "tie",
        "tied",
        "same",
        "equal",
        "even",
        "draw",
        "both",
        "none",
        "neither",
        "no-preference",
        "nopreference",
        "gleich",
        "unentschieden",
        "beide",
        "égal",
        "pareil",
        "一样",
        "一樣",
        "平",
        "同じ",
        "0",
    ]
) | {"no preference", "no difference", "a=b", "a = b", "can't tell", "cant tell", "no pref", "50/50"}
_SAYS_A = frozenset(["a", "1", "first", "left", "tea-a", "甲", "左", "links", "gauche"]) | {
    "tea a",
    "sample a",
    "cup a",
}
_SAYS_B = frozenset(["b", "2", "second", "right", "tea-b", "乙", "右", "rechts", "droite"]) | {
    "tea b",
    "sample b",
    "cup b",
}
Ready = Literal["not_ready", "nearly", "ready"]
_READY: tuple[tuple[Ready, str], ...] = (
    (
        "not_ready",
        r"not\b.*|wait.*|no|too (?:early|soon|much fire)|nein|noch nicht.*|warten|attendre|non|pas (?:encore|prêt).*|未.*|不.*|まだ.*|n",  # noqa: E501
    ),
    ("nearly", r"nearly.*|almost.*|soon.*|close|getting there|fast|bald|presque|bientôt|快.*|もうすぐ|maybe"),
    ("ready", r"ready.*|yes|done|now|settled|ok|fertig|bereit|ja|prêt.*|oui|可.*|好.*|飲み頃|y"),
)


def _text(recognised: Recognised, row: int, name: str) -> str:
    column = recognised.column_of(name)
    return as_text(recognised.table.grid.shown(row, column)[2].value) if column is not None else ""


def _sample(recognised: Recognised, row: int, name: str, names: Names, context: Context) -> NameReading:
    raw = _text(recognised, row, name)
    column = recognised.column_of(name)
    assert column is not None
    if not raw.strip():
        return NameReading(None)
    reading = names.samples.of(raw)
    name_problem(recognised.table.grid, row, column, reading, context)
    return reading


def _taster(recognised: Recognised, row: int, names: Names, context: Context) -> tuple[str, NameReading]:
    raw, column = _text(recognised, row, "taster"), recognised.column_of("taster")
    if column is None or not raw.strip() or is_missing_mark(raw):
        return raw, NameReading(None)
    reading = names.tasters.of(raw)
    name_problem(recognised.table.grid, row, column, reading, context)
    return raw, reading


def read_preferences(recognised: Recognised, names: Names, context: Context) -> list[Preference]:
    """Read a table of pairs."""
    return [
        p for row in recognised.table.rows if (p := _preference(recognised, row, names, context)) is not None
    ]


def _preference(recognised: Recognised, row: int, names: Names, context: Context) -> Preference | None:
    grid, column = recognised.table.grid, recognised.by_field["preferred"].column
    raws = {side: _text(recognised, row, side).strip() for side in ("a", "b")}
    if not any(raws.values()):
        return None
    a, b = (_sample(recognised, row, side, names, context) for side in ("a", "b"))
    taster_raw, taster = _taster(recognised, row, names, context)
    raw = as_text(grid.shown(row, column)[2].value).strip()
    codes = (a.name or raws["a"], b.name or raws["b"])
    winner, kind = _winner(raw, codes, raws, names)
    if kind:
        context.problems.add(grid, row, column, kind)
    if raw.endswith("?") and winner is not None:
        context.problems.add(grid, row, column, "doubtful")
    if codes[0] == codes[1]:
        context.problems.add(grid, row, column, "same_pair")
        winner = None
    why = _text(recognised, row, "why").strip() or None
    return Preference(
        cell_record(grid, row, column),
        grid.row_in_file(row, column),
        taster.name,
        taster_raw,
        *codes,
        winner,
        winner == "tie",
        why,
    )


def _winner(raw: str, codes: tuple[str, str], raws: dict[str, str], names: Names) -> tuple[str | None, str]:
    if not raw or is_missing_mark(raw):
        return None, "missing" if not raw else "missing_mark"
    said = raw.rstrip("? .!").strip()
    for side, code in zip(("a", "b"), codes, strict=True):
        if said in (code, raws[side]) and said.casefold() not in ("a", "b"):
            return code, "preference_by_code"
    low = said.casefold()
    if low in _SAYS_A:
        return codes[0], ""
    if low in _SAYS_B:
        return codes[1], ""
    if low in _TIES:
        return "tie", "tie"
    named = names.samples.of(said).name
    return (
        (named, "preference_by_code")
        if named in codes and named is not None
        else (None, "winner_not_in_pair")
    )


def read_triangles(recognised: Recognised, names: Names, context: Context) -> list[Triangle]:
    """Read a table of triangle trials."""
    return [
        t for row in recognised.table.rows if (t := _triangle(recognised, row, names, context)) is not None
    ]


def _triangle(recognised: Recognised, row: int, names: Names, context: Context) -> Triangle | None:
    raws = [_text(recognised, row, f"cup{n}").strip() for n in (1, 2, 3)]
    if not any(raws):
        return None
    read = [_sample(recognised, row, f"cup{n}", names, context) for n in (1, 2, 3)]
    cups = tuple(one.name or raw for one, raw in zip(read, raws, strict=True))
    taster_raw, taster = _taster(recognised, row, names, context)
    odd = _odd_cup(recognised, row, cups, context)
    picked = _cup_number(recognised, row, "picked", cups, context)
    known = all(one.name is not None for one in read)
    usable = odd is not None and picked is not None and known
    column = recognised.column_of("picked") or recognised.by_field["cup1"].column
    grid = recognised.table.grid
    return Triangle(
        cell_record(grid, row, column),
        grid.row_in_file(row, column),
        taster.name,
        taster_raw,
        cups,
        odd,
        picked,
        picked == odd if usable else None,
        usable,
        _text(recognised, row, "remark").strip() or None,
        _odd_said(recognised, row),
    )


def _odd_said(recognised: Recognised, row: int) -> int | None:
    found = re.search(r"[123]", _text(recognised, row, "odd"))
    return int(found[0]) if found else None


def _odd_cup(recognised: Recognised, row: int, cups: tuple[str, ...], context: Context) -> int | None:
    """The odd cup as the three cups tell it, checked against what the sheet says."""
    grid = recognised.table.grid
    column = recognised.column_of("odd") or recognised.by_field["cup1"].column
    if len(set(cups)) != 2 or not all(cups):
        kind = "no_odd_cup" if len(set(cups)) == 1 else "three_samples" if all(cups) else "missing_sample"
        context.problems.add(grid, row, column, kind)
        return None
    true_odd = next(n for n, cup in enumerate(cups, 1) if cups.count(cup) == 1)
    said = _cup_number(recognised, row, "odd", cups, context)
    if said is not None and said != true_odd:
        context.problems.add(
            grid,
            row,
            column,
            "odd_cup_contradicts_cups",
            why=f"the cups say that cup {true_odd} is odd, the sheet says {said}",
        )
        return None
    return true_odd


_CUP = re.compile(r"(?:[^\W\d_]{0,10}[\s.#]*)?(\d+)(?:\.0)?\s*(\?)?")
_CUPS_IN_WORDS = {
    word: number
    for number, words in enumerate(("i first left", "ii second middle", "iii third right"), 1)
    for word in words.split()
}


def _cup_by_code(
    text: str, cups: tuple[str, ...], grid: Grid, row: int, column: int, context: Context
) -> int | None:
    if cups.count(text) != 1:
        context.problems.add(grid, row, column, "not_understood")
        return None
    context.problems.add(grid, row, column, "preference_by_code", why="the cup is named by its code")
    return cups.index(text) + 1


def _cup_number(
    recognised: Recognised, row: int, name: str, cups: tuple[str, ...], context: Context
) -> int | None:
    column = recognised.column_of(name)
    if column is None:
        return None
    grid = recognised.table.grid
    cell = grid.shown(row, column)[2]
    text = as_text(cell.value).strip()
    if not text or is_missing_mark(text):
        if name == "picked":
            context.problems.add(grid, row, column, "missing" if not text else "missing_mark")
        return None
    found = _CUP.fullmatch(text)
    number = int(found[1]) if found else _CUPS_IN_WORDS.get(text.casefold(), 0)
    if not found and not number:
        return _cup_by_code(text, cups, grid, row, column, context)
    if not 1 <= number <= 3:
        context.problems.add(
            grid, row, column, "out_of_range", why=f"there is no cup {number}", do="Write 1, 2 or 3."
        )
        return None
    if found is None or not text[:1].isdigit():
        context.problems.add(grid, row, column, "number_as_text", why="the cup's number in words")
    if found and found[2]:
        context.problems.add(grid, row, column, "doubtful")
    return number


def read_retastes(recognised: Recognised, names: Names, context: Context) -> list[Retaste]:
    """Read a table of tastings after a roast."""
    return [
        r for row in recognised.table.rows if (r := _retaste(recognised, row, names, context)) is not None
    ]


def _retaste(recognised: Recognised, row: int, names: Names, context: Context) -> Retaste | None:
    lot_raw = _text(recognised, row, "lot").strip()
    if not lot_raw:
        return None
    lot = _sample(recognised, row, "lot", names, context)
    grid = recognised.table.grid
    roast = _full_day(recognised, row, "roast_date", context)
    taste = _full_day(recognised, row, "taste_date", context)
    days = _days(recognised, row, roast, taste, context)
    if roast and taste and taste < roast:
        context.problems.add(grid, row, recognised.by_field["roast_date"].column, "taste_before_roast")
    ready, doubtful = _ready(recognised, row, context)
    column = recognised.column_of("ready") or recognised.by_field["lot"].column
    return Retaste(
        cell_record(grid, row, column),
        grid.row_in_file(row, column),
        lot.name or lot_raw,
        roast,
        taste,
        days,
        _aroma(recognised, row, context),
        ready,
        doubtful,
        _text(recognised, row, "remark").strip() or None,
    )


def _full_day(recognised: Recognised, row: int, name: str, context: Context) -> dt.date | None:
    """A day that days can be counted from; a year alone will not do. A text date is tidied, its
    year not remarked on.
    """
    column = recognised.column_of(name)
    if column is None:
        return None
    grid = recognised.table.grid
    cell = grid.shown(row, column)[2]
    if is_blank(cell):
        return None
    quiet = Context(**{**context.__dict__, "problems": type(context.problems)()})
    date = read_date(quiet, grid, row, column)
    text = as_text(cell.value).strip()
    if date is not None and date.precision == "year":
        context.problems.add(grid, row, column, "year_only")
        return None
    if date is None or date.start is None or date.precision != "day":
        for problem in quiet.problems.all():
            context.problems.add(grid, row, column, problem.kind, severity=problem.severity, why=problem.why)
        if date is not None and not quiet.problems.all():
            context.problems.add(
                grid, row, column, "year_only", why=f"{text} is no single day: days cannot be counted"
            )
        return None
    _day_problems(grid, row, column, date.ambiguous, date.doubtful, quiet, context)
    return date.start


def _day_problems(
    grid: Grid, row: int, column: int, ambiguous: bool, doubtful: bool, quiet: Context, context: Context
) -> None:
    kinds = {problem.kind: problem for problem in quiet.problems.all()}
    for kind, seen in (
        ("ambiguous_date", ambiguous),
        ("doubtful", doubtful),
        ("serial_without_date_format", "serial_without_date_format" in kinds),
    ):
        if seen:
            context.problems.add(grid, row, column, kind, why=kinds[kind].why if kind in kinds else "")
    if isinstance(grid.shown(row, column)[2].value, str) and not grid.is_csv:
        context.problems.add(grid, row, column, "date_as_text")


def _days(
    recognised: Recognised, row: int, roast: dt.date | None, taste: dt.date | None, context: Context
) -> int | None:
    counted = (taste - roast).days if roast and taste else None
    column = recognised.column_of("days")
    if column is None:
        return counted
    grid = recognised.table.grid
    cell = grid.shown(row, column)[2]
    if cell.error:
        why = (
            "the days can be worked out from the dates" if counted is not None else "no full date, so no days"
        )
        context.problems.add(grid, row, column, "error_value", severity="warn", why=f"formula error; {why}")
        return counted
    number = parse_number(as_text(cell.value)) if not is_blank(cell) else None
    written = int(number.value) if number is not None and number.value is not None else None
    if counted is None:
        return written
    if written is not None and written != counted:
        context.problems.add(
            grid, row, column, "days_contradict_dates", why=f"the dates are {counted} days apart"
        )
    return counted


def _ready(recognised: Recognised, row: int, context: Context) -> tuple[Ready | None, bool]:
    column = recognised.column_of("ready")
    text = _text(recognised, row, "ready").strip()
    if column is None or not text:
        return None, False
    grid = recognised.table.grid
    if is_missing_mark(text):
        context.problems.add(grid, row, column, "missing_mark")
        return None, False
    doubtful = text.endswith("?")
    said = fold(text)
    if doubtful:
        context.problems.add(grid, row, column, "doubtful")
    for state, pattern in _READY:
        if re.fullmatch(pattern, said) or re.fullmatch(pattern, text.casefold().rstrip("? ")):
            return state, doubtful
    context.problems.add(
        grid, row, column, "not_understood", severity="warn", do="Write wait, nearly or ready."
    )
    return None, doubtful


def _aroma(recognised: Recognised, row: int, context: Context) -> float | None:
    head = recognised.by_field.get("roast_aroma")
    if head is None:
        return None
    grid = recognised.table.grid
    scale = scale_in(head.whole) or Scale()
    reading = read_score(
        grid.shown(row, head.column)[2], scale, plain_text=grid.is_csv, commas_usual=context.decimal == ","
    )
    for kind in reading.kinds:
        if kind != "formula":
            context.problems.add(grid, row, head.column, kind)
    return reading.value
