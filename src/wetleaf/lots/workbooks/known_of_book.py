"""What the tables of a book tell about each other: the codes of lots, who tasted, the keys."""

from collections import Counter
from collections.abc import Iterable

from wetleaf.lots.workbooks.grid import Grid, as_text, is_blank
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.keys import key_lines, written_keys
from wetleaf.lots.workbooks.mapping import Mapping
from wetleaf.lots.workbooks.recognised import Known, Recognised, code_key
from wetleaf.lots.workbooks.recognising import LOT_FACTS
from wetleaf.lots.workbooks.tables import Table

_SAMPLE_FIELDS = ("sample", "a", "b", "cup1", "cup2", "cup3")


def known_of(tables: list[Recognised], grids: Iterable[Grid], mapping: Mapping) -> Known:
    """Gather what the tables found so far tell."""
    lists = lists_of_lots(tables)
    lots = {code_key(text) for one in lists for text in texts_of(one, "code")}
    lots |= {code_key(text) for one in tables if one.role == "samples" for text in texts_of(one, "sample")}
    names = {fold(text) for one in lists for text in texts_of(one, "name")}
    used = {
        code_key(t) for one in tables if one.role != "lots" for f in _SAMPLE_FIELDS for t in texts_of(one, f)
    }
    known = Known(
        codes=frozenset((lots or used) - {""}),
        tasters=_tasters(tables, mapping),
        names=frozenset(names - {""}),
        lots=frozenset(lots - {""}),
        asked=frozenset(used - lots - {""}),
    )
    blind = _blind_codes(tables, grids, known)
    if not lots and any(one.role == "key" for one in tables):
        lots = {code_key(t) for one in tables if one.role == "key" for t in texts_of(one, "lot")}
    codes = known.codes | blind | (lots - {""})
    return Known(codes, known.tasters, known.names, known.lots, known.asked)


def _blind_codes(tables: list[Recognised], grids: Iterable[Grid], known: Known) -> frozenset[str]:
    lines = [line for one in tables if one.role in ("key", "lots") for line in key_lines(one)]
    return frozenset(code_key(line.code) for line in [*lines, *written_keys(grids, known)]) - {""}


def lists_of_lots(tables: list[Recognised]) -> list[Recognised]:
    """The tables of lots that tell facts; a bare list of codes and teas that another one holds already is
    a key or a score sheet.
    """
    lots = [one for one in tables if one.role == "lots"]
    if len(lots) < 2:
        return lots
    main = max(lots, key=lambda one: (len(LOT_FACTS & set(one.by_field)), one.strength))
    return [one for one in lots if one is main or LOT_FACTS & set(one.by_field) or not _repeats(one, main)]


def repeats_with_less(one: Recognised, lists: list[Recognised]) -> bool:
    """Say whether a list holds the lots of another one again, with fewer facts."""
    facts = LOT_FACTS & set(one.by_field)
    return any(
        other is not one and len(facts) < len(LOT_FACTS & set(other.by_field)) and _repeats(one, other)
        for other in lists
    )


def _repeats(one: Recognised, main: Recognised) -> bool:
    for field, key in (("code", code_key), ("name", fold)):
        own = {key(text) for text in texts_of(one, field)} - {""}
        if own and len(own & {key(text) for text in texts_of(main, field)}) >= 0.5 * len(own):
            return True
    return False


def texts_of(one: Recognised, field: str) -> list[str]:
    """What stands in the column of a field, row by row."""
    column, table = one.column_of(field), one.table
    if column is None:
        return []
    return [
        as_text(table.grid.shown(row, column)[2].value).strip()
        for row in table.rows
        if _is_record(table, row)
    ]


def _is_record(table: Table, row: int) -> bool:
    """Whether a row holds more than a lone text, such as a footnote or the title of a section."""
    return (
        len(table.heads) <= 2
        or len(table.grid.by_row.get(row, ())) > 2
        or sum(not is_blank(table.grid.shown(row, h.column)[2]) for h in table.heads) > 1
    )


def _tasters(tables: list[Recognised], mapping: Mapping) -> frozenset[str]:
    tasters: Counter[str] = Counter(fold(name) for name in mapping.tasters.values())
    for one in tables:
        tasters.update(fold(text) for text in texts_of(one, "taster"))
        heads = (*one.says.values(), *(said for said in one.judged.values() if said.sure))
        tasters.update(fold(said.taster) for said in heads if said.taster)
    return frozenset(name for name in tasters if len(name) > 1)
