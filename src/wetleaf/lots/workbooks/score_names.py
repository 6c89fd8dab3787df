"""Who scored a sheet, and which spellings of tasters and samples stand in it."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.grid import Grid, as_text
from wetleaf.lots.workbooks.keys import BlindKey
from wetleaf.lots.workbooks.naming import NameReading, SampleCodes, TasterNames
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.trade.numbers import is_missing_mark

DITTO = frozenset({'"', "''", "〃", "″", "”", "“", "do", "do.", "ditto", "dto", "dto.", "同上", "〻"})
_TITLE_TASTER = re.compile(
    r"(?:taster|tasted by|judge|panellist|by|name|verkoster(?:in)?|dégustat(?:eur|rice)|评茶员|評茶員|評者)\s*[:：=–-]\s*([^\W\d_][^\d:;,(/|]{0,30})",  # noqa: E501
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Names:
    """Everything a score sheet needs to know who and what is meant."""

    tasters: TasterNames
    samples: SampleCodes
    key: BlindKey = field(default_factory=lambda: BlindKey(()))

    def at(self, one: Recognised) -> "Names":
        """The names as one table uses them: under the key of its blind tasting, if the book holds one."""
        if not self.key.lines:
            return self
        table = one.table
        whens = (
            []
            if (column := one.column_of("sitting")) is None
            else [as_text(table.grid.shown(row, column)[2].value) for row in table.rows]
        )
        key = self.key.at(table.name, (*table.titles, *dict.fromkeys(whens)))
        used = [text for kind, text in spellings(one) if kind == "sample"]
        return replace(self, samples=self.samples.under(key, used))


def taster_of_sheet(recognised: Recognised, known: TasterNames | None, told: str = "") -> str:
    """Find who scored a sheet without a taster column: the mapping, a title, or the sheet's name."""
    if told:
        return told
    table = recognised.table
    for text in reversed(table.titles):
        found = _TITLE_TASTER.search(text)
        if found:
            return found[1].strip()
    if known is not None:
        for text in (*reversed(table.titles), table.name):
            name = _taster_in(text, known)
            if name:
                return name
    return ""


def _taster_in(text: str, known: TasterNames) -> str:
    """The one taster that a text names, the longest run of words first: `Ruth P. 14 Oct` is not any Ruth."""
    words = text.replace(":", " ").split()
    for length in range(min(3, len(words)), 0, -1):
        runs = (" ".join(words[at : at + length]) for at in range(len(words) - length + 1))
        names = {
            n
            for run in runs
            if (len(run.strip(". ")) > 1 or not run.isascii())
            and (n := known.of(run.strip("'’s") if run.endswith(("'s", "’s")) else run).name)
        }
        if len(names) == 1:
            return names.pop()
    return ""


def spellings(recognised: Recognised) -> Iterator[tuple[str, str]]:
    """Give the spellings in a table: ('taster', text) and ('sample', text), as often as they stand."""
    table = recognised.table
    for said in (*recognised.says.values(), *recognised.judged.values()):
        if said.taster:
            yield from (("taster", said.taster) for _ in table.rows)
    for name in ("taster", "sample", "lot", "a", "b", "cup1", "cup2", "cup3"):
        column = recognised.column_of(name)
        if column is None:
            continue
        kind = "taster" if name == "taster" else "sample"
        for row in table.rows:
            text = as_text(table.grid.shown(row, column)[2].value)
            if text.strip() and not is_missing_mark(text) and text.strip().casefold() not in DITTO:
                yield kind, text


def name_problem(grid: Grid, row: int, column: int, reading: NameReading, context: Context) -> None:
    """Name what is odd about a spelling."""
    if reading.kind:
        context.problems.add(grid, row, column, reading.kind, why=reading.why)
