"""Reading a plain file of preferences: a pair, an order of bowls, a liking or a verdict in each line."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from wetleaf.cli.plain_table import clean, read_table
from wetleaf.numerics.likings import VERDICT_AS_SHARE_OF_SCALE, Rating, ratings_from_verdicts
from wetleaf.numerics.rankings.answers import RowAnswer, checked, pair_answer
from wetleaf.trade.errors import BadInput

HEADS: Final[Mapping[str, tuple[str, ...]]] = {
    "first": ("first", "lot a", "a"),
    "second": ("second", "lot b", "b"),
    "preferred": ("preferred", "better", "winner", "preference"),
    "ranking": ("ranking", "order", "ranked"),
    "served": ("served", "bowls"),
    "taster": ("taster", "who", "name"),
    "row": ("row", "flight", "brew"),
    "lot": ("lot", "sample", "tea"),
    "liking": ("liking", "score", "rating"),
    "verdict": ("verdict", "keep"),
    "sitting": ("sitting", "session", "date"),
}
_LEVEL = {"tie", "=", "equal", "same", "level", "draw", "none", "neither", "both", "no preference"}
_NAMED_AT_MOST = 5


@dataclass(frozen=True)
class Preferences:
    """What a file said: answers to rows of bowls, and ratings (all with a liking)."""

    answers: tuple[RowAnswer, ...]
    ratings: tuple[Rating, ...]
    warnings: tuple[str, ...]


@dataclass
class _Found:
    """What was read so far, and what cannot be used."""

    answers: list[RowAnswer] = field(default_factory=list)
    ratings: list[Rating] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    untold: list[int] = field(default_factory=list)


def named_columns(said: str | None) -> dict[str, str]:
    """Return which columns are called what. Raises BadInput for what is no such list.

    >>> named_columns("first=left, preferred=winner")
    {'first': 'left', 'preferred': 'winner'}
    """
    found = {}
    for part in said.split(",") if said else ():
        role, equals, column = part.partition("=")
        if role.strip() not in HEADS or not equals or not column.strip():
            raise BadInput(
                f"--columns {part.strip()!r} names no column.",
                way_out=f"Write it as first=left; known are {', '.join(HEADS)}.",
            )
        found[role.strip()] = clean(column)
    return found


def read_preferences(path: Path, columns: Mapping[str, str], *, scale: tuple[float, float]) -> Preferences:
    """Return what a file says; `columns` names those that are not called as in `HEADS`.

    Every row that cannot be used is named in one go and nothing is used until it is settled. Raises BadInput.
    """
    header, rows = read_table(path, holds="preferences")
    places = {role: _place(header, path.name, role, columns.get(role)) for role in HEADS}
    _refuse_unless_readable(path.name, header, places)
    found = _Found()
    for number, row in enumerate(rows, start=2):
        cells = {role: _cell(row, place) for role, place in places.items()}
        try:
            _read_row(cells, number, scale, found)
        except BadInput as slip:
            found.problems.append(f"row {number}: {slip}")
    if found.problems:
        more = len(found.problems) - _NAMED_AT_MOST
        rest = f" And {more} more rows." if more > 0 else ""
        raise BadInput(f"{path.name}: {' '.join(found.problems[:_NAMED_AT_MOST])}{rest}")
    if not found.answers and not found.ratings:
        raise BadInput(f"{path.name}: no row says anything.", way_out="Fill first, second and preferred.")
    return Preferences(tuple(found.answers), tuple(found.ratings), _warnings(found.untold))


def _warnings(untold: Sequence[int]) -> tuple[str, ...]:
    if not untold:
        return ()
    listed = ", ".join(str(number) for number in untold[:_NAMED_AT_MOST])
    return (f"{len(untold)} rows say nothing and were left out: {listed}{', …' if untold[5:] else ''}.",)


def _place(header: Sequence[str], name: str, role: str, asked: str | None) -> int | None:
    for head in (asked,) if asked is not None else HEADS[role]:
        found = [i for i, written in enumerate(header) if written.casefold() == clean(head).casefold()]
        if len(found) > 1:
            raise BadInput(f"{name}: the column '{head}' stands twice.", way_out="Rename one of the two.")
        if found:
            return found[0]
    if asked is not None:
        listed = ", ".join(column for column in header if column)
        raise BadInput(f"{name}: there is no column '{asked}'.", way_out=f"Its columns are: {listed}.")
    return None


def _refuse_unless_readable(name: str, header: Sequence[str], places: Mapping[str, int | None]) -> None:
    pair = all(places[role] is not None for role in ("first", "second", "preferred"))
    rated = places["lot"] is not None and (places["liking"] is not None or places["verdict"] is not None)
    if pair or rated or places["ranking"] is not None:
        return
    listed = ", ".join(column for column in header if column)
    raise BadInput(
        f"{name}: no columns first, second, preferred, nor ranking, nor lot and liking; it has: {listed}.",
        way_out="Rename them, or say which are which: --columns first=left,second=right,preferred=winner.",
    )


def _cell(row: Sequence[str], place: int | None) -> str:
    return clean(row[place]) if place is not None and place < len(row) else ""


def _read_row(cells: Mapping[str, str], number: int, scale: tuple[float, float], found: _Found) -> None:
    """Take a row as a ranking, a pair or a rating, by what is filled in."""
    if cells["ranking"]:
        found.answers.append(_ranking(cells))
    elif cells["first"] or cells["second"] or cells["preferred"]:
        found.answers.append(_pair(cells))
    elif cells["lot"] and (cells["liking"] or cells["verdict"]):
        found.ratings.append(_rating(cells, scale))
    elif cells["liking"] or cells["verdict"]:
        raise BadInput("it rates but names no lot.", way_out="Name the lot.")
    else:
        found.untold.append(number)


def _pair(cells: Mapping[str, str]) -> RowAnswer:
    first, second = cells["first"], cells["second"]
    if not first or not second:
        raise BadInput("a pair names one lot only.", way_out="Name both, or empty the row.")
    if not cells["preferred"]:
        raise BadInput(f"nothing is preferred of {first} and {second}.", way_out="Name a lot, or write tie.")
    preferred = _preferred(cells["preferred"], first, second)
    return pair_answer(first, second, preferred, taster=cells["taster"], row=cells["row"] or None)


def _preferred(said: str, first: str, second: str) -> str | None:
    if said in (first, second):
        return said
    for lot in (first, second):
        if said.casefold() == lot.casefold():
            return lot
    positions = {"first": first, "1": first, "second": second, "2": second}
    if said.casefold() in positions:
        return positions[said.casefold()]
    return None if said.casefold() in _LEVEL else said


def _ranking(cells: Mapping[str, str]) -> RowAnswer:
    places = tuple(
        tuple(clean(lot) for lot in place.split("=")) for place in re.split(r"[>≻]", cells["ranking"])
    )
    ranked = {lot for place in places for lot in place}
    served = tuple(clean(lot) for lot in re.split(r"[;,>]", cells["served"])) if cells["served"] else ()
    if served and not ranked <= set(served):
        odd = sorted(ranked - set(served))[0]
        raise BadInput(f"{odd!r} is ranked but was not served.", way_out="Correct one of the two cells.")
    if len(set(served)) < len(served):
        raise BadInput("a lot is served twice.", way_out="Name each bowl once.")
    return checked(
        RowAnswer(
            places,
            rest=tuple(lot for lot in served if lot not in ranked),
            taster=cells["taster"],
            first=served[0] if served else None,
            row=cells["row"] or None,
        )
    )


def _rating(cells: Mapping[str, str], scale: tuple[float, float]) -> Rating:
    lot, taster = cells["lot"], cells["taster"]
    brew, sitting = cells["row"] or None, cells["sitting"] or None
    if not cells["liking"]:
        verdict = cells["verdict"].casefold()
        if verdict not in VERDICT_AS_SHARE_OF_SCALE:
            known = ", ".join(VERDICT_AS_SHARE_OF_SCALE)
            raise BadInput(f"the verdict {cells['verdict']!r} is not known.", way_out=f"Use: {known}.")
        (rated,) = ratings_from_verdicts([(lot, taster, verdict)], scale=scale)
        return Rating(lot, taster, rated.liking, brew, sitting)
    from wetleaf.cli.score_file import number_in

    liking = number_in(cells["liking"])
    if liking is None or not scale[0] <= liking <= scale[1]:
        raise BadInput(
            f"the liking {cells['liking']!r} is no number of {scale[0]:g} to {scale[1]:g}.",
            way_out="Correct it, or give --scale.",
        )
    return Rating(lot, taster, liking, brew, sitting)
