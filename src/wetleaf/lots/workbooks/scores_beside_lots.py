"""Columns of scores that stand in a list of lots, beside its facts; and lists that are nothing else.

A buyer who keeps one sheet writes `Jo: scent` after the price. A sheet that repeats codes and teas of the
list of lots and adds scores is a score sheet, and its rows are no further lots.
"""

from collections.abc import Mapping
from dataclasses import replace

from wetleaf.lots.workbooks.column_fit import column_cells, is_number_like, is_score_like, share_of
from wetleaf.lots.workbooks.grid import is_blank
from wetleaf.lots.workbooks.headings import likenesses
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.known_of_book import lists_of_lots, repeats_with_less
from wetleaf.lots.workbooks.recognised import Known, Recognised, Understood
from wetleaf.lots.workbooks.score_heads import ScoreHead, read_score_heads
from wetleaf.lots.workbooks.score_values import scale_in
from wetleaf.lots.workbooks.tables import Table
from wetleaf.lots.workbooks.tasting_words import has_word

_WHY = "its cells are numbers on a scale; the head names the attribute"


def with_scores_beside(tables: list[Recognised], known: Known) -> list[Recognised]:
    """Add a score sheet for each list of lots that has columns of scores; take out lists that hold no
    more than that.
    """
    lists = lists_of_lots(tables)
    found: list[Recognised] = []
    for one in tables:
        scores = _scores_of(one, known) if one.role == "lots" else None
        if scores is None:
            found.append(one)
        elif one not in lists or repeats_with_less(one, lists):
            found.append(_whole(one, scores))
        else:
            found += [_without(one, scores), scores]
    return found


def _scores_of(one: Recognised, known: Known) -> Recognised | None:
    sample = one.by_field.get("code") or one.by_field.get("name")
    free = [c.head for c in one.columns if c.read_as == "unknown" and _may_be_scores(one.table, c)]
    told = [c.head for c in one.columns if c.read_as == "score"]  # by a mapping file
    if sample is None or not (free or told):
        return None
    says = read_score_heads(free, (), known.tasters, least=1.5)
    kept = {
        column: said for column, said in says.items() if said.taster or has_word("attributes", said.attribute)
    }
    kept |= {head.column: one.says[head.column] for head in told}
    free += told
    if not kept:
        return None
    if not told and not any(said.taster for said in kept.values()) and _is_liking_alone(free, kept):
        return None
    columns = tuple(Understood(h, "score", kept[h.column].why or _WHY) for h in free if h.column in kept)
    table = replace(one.table, rows=_rows(one.table, columns), ignored=[])
    return Recognised(table, "scores_wide", columns, 1.0, {"sample": sample}, says=kept)


def _is_liking_alone(free: list[Head], kept: Mapping[int, ScoreHead]) -> bool:
    """One column of how good each tea was, such as `nice /10`, is a liking and no attribute."""
    return len(free) == 1 and all(has_word("likings", said.attribute) for said in kept.values())


def _may_be_scores(table: Table, column: Understood) -> bool:
    """Numbers on a scale under a head that names no fact of a lot."""
    head = column.head
    cells = column_cells(table, head.column)
    if len(cells) < 2 or has_word("no_judgement", head.text):
        return False
    if any(like.score >= 0.9 for like in likenesses("lots", head.text)[:1]) and scale_in(head.whole) is None:
        return False
    numbers = share_of(cells, lambda cell: is_score_like(cell) and is_number_like(cell))
    return numbers >= 0.6


def _rows(table: Table, columns: tuple[Understood, ...]) -> list[int]:
    """The rows of lots: those with a score, or with more than a heading."""
    return [
        row
        for row in table.rows
        if any(not is_blank(table.grid.at(row, c.head.column)) for c in columns)
        or sum(not is_blank(table.grid.at(row, h.column)) for h in table.heads) > 2
    ]


def _without(one: Recognised, scores: Recognised) -> Recognised:
    """The list of lots without the columns that are read as scores, so that each is reported once."""
    taken = {column.head.column for column in scores.columns}
    return replace(one, columns=tuple(c for c in one.columns if c.head.column not in taken))


def _whole(one: Recognised, scores: Recognised) -> Recognised:
    """A score sheet that repeats the list's codes and teas, with all its columns."""
    taken = {column.head.column: column for column in scores.columns}
    sample = scores.by_field["sample"]
    columns = tuple(
        taken.get(c.head.column) or (Understood(c.head, "sample", c.why) if c.head is sample else c)
        for c in one.columns
    )
    return replace(scores, columns=columns, table=replace(scores.table))
