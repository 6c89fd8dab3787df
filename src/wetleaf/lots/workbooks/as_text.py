"""A `ReadBook` as a list to read: what would be stored, then every problem in one go, the gravest first."""

from calendar import month_name
from collections.abc import Iterable, Iterator

from wetleaf.lots.workbooks.records import Column, LotRow, Problem, ReadBook
from wetleaf.lots.workbooks.values_as_json import date_json, degree_json, elevation_json, price_json

_COUNTED = (
    ("lots", "lot"),
    ("scores", "score"),
    ("notes", "note"),
    ("verdicts", "verdict"),
    ("preferences", "preference"),
    ("triangles", "triangle trial"),
    ("retastes", "re-tasting"),
    ("ledger", "ledger entry"),
    ("lines", "line"),
    ("decisions", "decision"),
)
_LEVELS = (
    ("error", "must be settled first"),
    ("warn", "would be used as read: please confirm"),
    ("info", "tidied"),
)


def book_as_text(book: ReadBook) -> str:
    """Give the list that `wetleaf import BOOK --dry-run` prints."""
    return "\n".join(_lines(book))


def _lines(book: ReadBook) -> Iterator[str]:
    yield f"{book.file}: what would be stored" + (f" ({book.season})" if book.season else "")
    yield "  " + ", ".join(_counts(book))
    yield from _sheets(book)
    yield from _lots(book)
    yield from _tasters(book)
    for level, means in _LEVELS:
        yield from _problems([p for p in book.problems if p.severity == level], level, means)
    if not book.problems:
        yield "No cell needs a question."


def _counts(book: ReadBook) -> Iterator[str]:
    for name, word in _COUNTED:
        number = len(getattr(book, name))
        if number:
            plural = word[:-1] + "ies" if word.endswith("y") else word + "s"
            yield f"{number} {word if number == 1 else plural}"


def _sheets(book: ReadBook) -> Iterator[str]:
    yield ""
    yield "Sheets"
    last = {report.sheet: number for number, report in enumerate(book.sheets)}
    for number, report in enumerate(book.sheets):
        scale = (
            f"; scale {report.scale[0]:g} to {report.scale[1]:g}, {report.scale_source}"
            if report.scale
            else ""
        )
        where = f", rows {report.first_row} to {report.last_row}" if report.first_row else ""
        yield f"  {report.sheet or book.file}: {report.role.replace('_', ' ')}{where}{scale}"
        for row, why in report.ignored_rows:
            yield f"    row {row} is left out: {why}"
        if number == last[report.sheet]:  # a sheet of lots may be one of scores too: its columns stand once
            yield from _columns(book, report.sheet)


def _columns(book: ReadBook, sheet: str) -> Iterator[str]:
    """How each column of a sheet was read; what is not used stands on a line of its own."""
    columns = [column for column in book.columns if column.sheet == sheet]
    read = [_column(column) for column in columns if column.read_as != "unknown"]
    if read:
        yield "    " + "; ".join(read)
    for column in columns:
        if column.read_as == "unknown":
            yield f"    NOT USED: column {column.column} {column.header!r}: {column.why}"


def _column(column: Column) -> str:
    meaning = column.read_as.replace("_", " ")
    if column.attribute:
        meaning += f" of {column.attribute}"
    if column.taster:
        meaning += f" by {column.taster}"
    return f"{column.column} {column.header!r} is {meaning}"


def _lots(book: ReadBook) -> Iterator[str]:
    if not book.lots:
        return
    yield ""
    yield "Lots"
    for lot in book.lots:
        yield "  " + " · ".join(_facts(lot))


def _facts(lot: LotRow) -> Iterator[str]:
    yield lot.code or "(no code)"
    for text in (lot.name, lot.producer, lot.region, lot.cv):
        if text:
            yield text
    if (elev := elevation_json(lot.elev)) is not None:
        yield (
            f"{elev['m']} m"
            if elev["m"] is not None
            else f"{elev.get('m_min', '?')} to {elev.get('m_max', '?')} m"
        )
    if (date := date_json(lot.harvest)) is not None:
        yield _date(date)
    for name, degree in (("oxidation", lot.ox), ("roast", lot.roast)):
        if (said := degree_json(degree)) is not None:
            yield f"{name} {said.get('word') or _percent(said)}"
    if (price := price_json(lot.price)) is not None:
        per = f" for {price['per_g']} g" if price["per_g"] else ""
        yield f"{price['amount']} {price['currency'] or '(currency?)'}{per}"
    if lot.avail_grams is not None:
        yield f"{lot.avail_grams / 1000:g} kg available"


def _percent(said: dict[str, object]) -> str:
    if "pct" in said:
        return f"{said['pct']} %"
    return f"{said.get('pct_min', '?')} to {said.get('pct_max', '?')} %"


def _date(date: dict[str, object]) -> str:
    if "from" in date:
        text = str(date["from"]) if date["from"] == date["to"] else f"{date['from']} to {date['to']}"
    else:
        month = month_name[int(str(date["month"]))] if date.get("month") else ""
        words = [str(w) for w in (date.get("part"), date.get("season"), month, date.get("year")) if w]
        text = " ".join(words) or str(date["precision"])
    return text + (
        " (doubtful)" if date.get("doubtful") or date.get("implausible") or date.get("ambiguous") else ""
    )


def _tasters(book: ReadBook) -> Iterator[str]:
    if not book.taster_aliases:
        return
    yield ""
    yield "Tasters"
    for name, ways in book.taster_aliases.items():
        others = [repr(way) for way in ways if way != name]
        yield f"  {name}" + (f", also written {', '.join(others)}" if others else "")


def _problems(problems: list[Problem], level: str, means: str) -> Iterator[str]:
    if not problems:
        return
    yield ""
    yield f"{level.upper()}: {len(problems)} {'cell' if len(problems) == 1 else 'cells'}, {means}"
    for line in problem_lines(problems, say_text=level != "info"):
        yield f"  {line}"


def problem_lines(problems: Iterable[Problem], *, say_text: bool = True) -> Iterator[str]:
    """Give one line for all cells of a sheet that say the same and are wrong alike, every cell named.

    Without `say_text` cells that were tidied alike stand together whatever they say.
    """
    alike: dict[tuple[str | None, str, str, str], list[Problem]] = {}
    for one in problems:
        alike.setdefault((one.sheet, one.says if say_text else "", one.why, one.do), []).append(one)
    for (sheet, says, why, do), group in alike.items():
        cells = ", ".join(dict.fromkeys(one.cell for one in group if one.cell))
        where = "!".join(part for part in (sheet, cells) if part) or "the book"
        says = says or (group[0].says if len(group) == 1 else "")
        said = f" {'says' if len(group) == 1 else 'say'} {says!r}" if says else ""
        yield f"{where}{said}: {why}. {do}"
