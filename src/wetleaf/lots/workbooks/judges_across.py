"""Verdicts and likings of several tasters side by side: `Jo ok?`, `Mei ok?`, `Jo /10`.

A column is one taster's where its head holds a name beside words that judge (or nothing else), and its cells
are ticks and crosses, or numbers on the scale that the head writes.
"""

import re
from collections.abc import Iterable, Iterator, Mapping

from wetleaf.lots.workbooks.column_fit import column_cells
from wetleaf.lots.workbooks.first_pass_by_content import all_verdicts, numbers_to
from wetleaf.lots.workbooks.grid import GridCell
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.recognised import Known
from wetleaf.lots.workbooks.score_heads import ScoreHead, attribute_in, attribute_name
from wetleaf.lots.workbooks.score_values import scale_in
from wetleaf.lots.workbooks.tables import Table
from wetleaf.lots.workbooks.tasting_words import has_word, is_surely_a_person, may_be_a_person

_BETWEEN = re.compile(r"[\s:：?？!()（）\[\],=|/]+")


def judges_across(table: Table, known: Known) -> dict[int, ScoreHead]:
    """Say by column which taster judges there, and whether it is a `verdict` or a `liking`.

    Two names or one known taster are needed; a name that stands twice is nobody's.
    """
    cells = {head.column: column_cells(table, head.column) for head in table.heads}
    found = _of_one_kind("verdict", _named(table.heads, cells), known)
    if not attribute_in((table.name, *table.titles)):
        rest = [head for head in table.heads if head.column not in found]
        found |= _of_one_kind("liking", _rated(rest, cells), known)
    return found


def _named(heads: Iterable[Head], cells: Mapping[int, list[GridCell]]) -> Iterator[tuple[Head, str, bool]]:
    """The columns of verdicts, with who their heads name, and whether words of a verdict stand beside it."""
    for head in heads:
        if all_verdicts(cells[head.column]) and not has_word("no_judgement", head.text):
            words = _words(f"{head.group} {head.text}")
            rest = [word for word in words if not has_word("verdicts", word)]
            yield head, " ".join(rest), len(rest) < len(words)


def _rated(heads: Iterable[Head], cells: Mapping[int, list[GridCell]]) -> Iterator[tuple[Head, str, bool]]:
    """The columns of numbers on the scale that their heads write, beside a name and nothing else."""
    for head in heads:
        scale = scale_in(head.whole)
        if scale is not None and cells[head.column] and numbers_to(cells[head.column], scale.high):
            name = attribute_name(head)
            bare = "" if scale_in(name) else name  # `/10` under a group that names the taster
            yield head, " ".join(_words(f"{head.group} {bare}")), True


def _words(text: str) -> list[str]:
    words = (re.sub(r"['’]s$", "", word).strip("-–—") for word in _BETWEEN.split(text))
    return [word for word in words if word]


def _of_one_kind(kind: str, columns: Iterable[tuple[Head, str, bool]], known: Known) -> dict[int, ScoreHead]:
    named = [(head, who, said) for head, who, said in columns if who]
    sure = {fold(who) for _, who, _ in named if is_surely_a_person(who, known.tasters)}
    people = [one for one in named if fold(one[1]) in sure or may_be_a_person(one[1])]
    names = [fold(who) for _, who, _ in people]
    if len(set(names)) < len(names) or not (sure or len(names) > 1):
        return {}
    return {
        head.column: ScoreHead(kind, who, why=_why(kind, who, fold(who) in sure), sure=fold(who) in sure)
        for head, who, said in people
        if said or fold(who) in sure or len(people) == len(named)
    }


def _why(kind: str, who: str, sure: bool) -> str:
    if sure:
        return f"each {kind} is by {who!r}, as the head says"
    return f"its cells are each a {kind}, and the head looks like the name of a taster"
