"""Lists of lots whose sheet speaks of another season than the one they would be stored in."""

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import replace

from wetleaf.lots.workbooks.context import season_in
from wetleaf.lots.workbooks.kinds import KINDS
from wetleaf.lots.workbooks.mapping import Mapping
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import Problem, ReadBook

OTHER_SEASON = "other_season"
_YEAR = re.compile(r"(?<!\d)(20[0-4]\d)(?!\d)")


def seasons_told(tables: Iterable[Recognised], mapping: Mapping, today: dt.date) -> dict[str, str]:
    """The season of each sheet of lots, as the mapping file, its name or a title says; a bare year only as a
    part of its name.
    """
    told: dict[str, str] = {}
    for one in tables:
        name = one.table.name
        if one.role == "lots" and name:
            season, _ = season_in((name, *one.table.titles), today)
            years = set(_YEAR.findall(name))
            said = mapping.sheet(name).season or season or (years.pop() if len(years) == 1 else "")
            told |= {name: said} if said else {}
    return told


def with_seasons_apart(book: ReadBook, season: str, today: dt.date) -> ReadBook:
    """Name every sheet of lots that speaks of another season than `season`, the one that is asked for."""
    apart = [sheet for sheet, said in book.sheet_seasons.items() if _differ(said, season, today)]
    named = {problem.sheet for problem in book.problems if problem.kind == OTHER_SEASON}
    problems = [_problem(sheet, book.sheet_seasons[sheet], season) for sheet in apart if sheet not in named]
    return replace(book, problems=(*book.problems, *problems)) if problems else book


def without_sheets(book: ReadBook, sheets: set[str]) -> ReadBook:
    """Leave the lots of some sheets out, and what was said beside them."""
    return replace(
        book,
        lots=tuple(lot for lot in book.lots if lot.sheet not in sheets),
        samples=tuple(s for s in book.samples if not s.lots or any(w[0] not in sheets for w in s.lots)),
        scores=tuple(score for score in book.scores if score.cell.sheet not in sheets),
        notes=tuple(note for note in book.notes if note.cell.sheet not in sheets),
        verdicts=tuple(verdict for verdict in book.verdicts if verdict.cell.sheet not in sheets),
    )


def _differ(said: str, season: str, today: dt.date) -> bool:
    """Whether two seasons are certainly not the same: by their years, or by spring and autumn."""
    (name, year), (other, other_year) = season_in((said,), today), season_in((season,), today)
    if year is not None and other_year is not None and year != other_year:
        return True
    return bool(name and other) and name != other


def _problem(sheet: str, said: str, season: str) -> Problem:
    kind = KINDS[OTHER_SEASON]
    only_a_year = said.isdigit()
    why = f"this sheet speaks of {said}; its lots would be stored in {season}"
    way = f'To leave the sheet out: --accept "{sheet}".'
    line = f'[sheets."{sheet}"] season = "{season}"'
    mapped = f"To store its lots in {season} all the same, in a mapping file: {line}"
    do = mapped if only_a_year else f"{way} {mapped}"
    return Problem(sheet, None, sheet, OTHER_SEASON, "warn" if only_a_year else kind.severity, why, do)
