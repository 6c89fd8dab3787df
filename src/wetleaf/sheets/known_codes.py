"""Codes that the lots of a workbook do not carry but the books do: kept samples, earlier workbooks.

The reader knows one file and calls such a code unknown. Here it is looked up, letter for letter, and its
scores and words get their sample; a code that is not on the books stays an error.
"""

from collections.abc import Collection
from dataclasses import replace
from typing import Any

from wetleaf.lots.models import Lot, Sample, Season
from wetleaf.lots.workbooks.records import Problem, ReadBook, SampleCode

UNKNOWN = "unknown_sample"


def with_known_codes(book: ReadBook, *, season: str, before: str | None = None) -> ReadBook:
    """Return the book with every unknown code that the books know for certain given to its sample.

    A code means a lot or sample of this season, else a lot of the season before, else the one lot of any
    season that has it. The problem of such a cell becomes an information that says so.
    """
    wanted = {_code(problem) for problem in book.problems if problem.kind == UNKNOWN}
    known = _on_the_books(wanted, season.strip(), before.strip() if before else None)
    if not known:
        return book
    return replace(
        book,
        samples=(*book.samples, *(SampleCode(code, (), ambiguous=False) for code in sorted(known))),
        scores=tuple(_with_sample(score, known) for score in book.scores),
        notes=tuple(_with_sample(note, known) for note in book.notes),
        verdicts=tuple(_with_sample(verdict, known) for verdict in book.verdicts),
        problems=tuple(_settled(problem, known) for problem in book.problems),
    )


def _code(problem: Problem) -> str:
    return problem.says.strip()


def _on_the_books(wanted: Collection[str], season: str, before: str | None) -> dict[str, str]:
    """The codes among `wanted` that mean one thing for certain, each with where it stands."""
    if not wanted:
        return {}
    places: dict[str, list[str]] = {}
    # A withdrawn lot of this season keeps its code, and the import says so; elsewhere it means nothing.
    lots = Lot.objects.that_stand() | Lot.objects.filter(season__name=season)
    for code, name in lots.filter(code__in=wanted).values_list("code", "season__name"):
        places.setdefault(code, []).append(name)
    samples = Sample.objects.filter(lot__season__name=season, code__in=wanted)
    for code in samples.values_list("code", flat=True).distinct():
        places.setdefault(code, []).append(season)
    before = before or _season_before(season)
    return {code: where for code, names in places.items() if (where := _certain(names, season, before))}


def _season_before(season: str) -> str | None:
    return Season.objects.filter(name=season).values_list("before__name", flat=True).first()


def _certain(names: list[str], season: str, before: str | None) -> str | None:
    for name in (season, before):
        if name in names:
            return name
    return names[0] if len(names) == 1 else None


def _with_sample(record: Any, known: Collection[str]) -> Any:
    raw = record.sample_raw.strip()
    return replace(record, sample=raw) if record.sample is None and raw in known else record


def _settled(problem: Problem, known: dict[str, str]) -> Problem:
    if problem.kind != UNKNOWN or _code(problem) not in known:
        return problem
    why = f"no lot of this workbook carries this code; on the books it is a lot of {known[_code(problem)]}"
    return replace(problem, kind="known_sample", severity="info", why=why, do="")
