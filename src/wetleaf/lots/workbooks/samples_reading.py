"""The list of samples to records: what arrived of which lot, and of what kind it is."""

import datetime as dt
from collections.abc import Iterable, Mapping

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.dates_reading import read_date
from wetleaf.lots.workbooks.grid import as_text, is_blank
from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import LotRow, ReadBook, SampleCode
from wetleaf.lots.workbooks.sample_kinds import KEPT, OFFER, sample_kind
from wetleaf.trade.numbers import is_missing_mark

Places = Mapping[str, tuple[tuple[str, int], ...]]


def read_samples(recognised: Recognised, lots: Iterable[LotRow], context: Context) -> list[SampleCode]:
    """Read a list of samples; one of another season, or of a lot without a row here, names its lot."""
    places = _places(lots)
    samples = []
    first: dict[tuple[str, bool], int] = {}
    for row in recognised.table.rows:
        code = _text(recognised, row, "sample")
        if not code:
            continue
        # A kept sample may carry its lot's code beside the offer's: nobody serves both as this season's.
        mine = (code, sample_kind(_text(recognised, row, "kind")) == KEPT)
        if first.setdefault(mine, row) != row:
            _code_twice(recognised, row, first[mine], context)
        lot, season = _text(recognised, row, "lot") or code, _text(recognised, row, "season")
        season = "" if fold(season) == fold(context.season) else season
        where = () if season else places.get(lot, ())
        samples.append(
            SampleCode(
                code,
                where,
                ambiguous=len(where) > 1,
                kind=_kind(recognised, row, context),
                of_lot="" if where else lot,
                of_season=season,
                received_on=_received(recognised, row, context),
            )
        )
    return samples


def _code_twice(recognised: Recognised, row: int, first: int, context: Context) -> None:
    grid, column = recognised.table.grid, recognised.by_field["sample"].column
    why = f"{grid.name_of(first, column)} holds the same code; scores under it could be of either sample"
    context.problems.add(grid, row, column, "sample_code_twice", why=why)


def _text(recognised: Recognised, row: int, name: str) -> str:
    column = recognised.column_of(name)
    text = as_text(recognised.table.grid.shown(row, column)[2].value).strip() if column else ""
    return "" if is_missing_mark(text) else text


def _received(recognised: Recognised, row: int, context: Context) -> dt.date | None:
    column = recognised.column_of("received")
    if column is None or is_blank(recognised.table.grid.at(row, column)):
        return None
    date = read_date(context, recognised.table.grid, row, column)
    return date.start if date is not None and date.precision == "day" else None


def _kind(recognised: Recognised, row: int, context: Context) -> str:
    text, column = _text(recognised, row, "kind"), recognised.column_of("kind")
    kind = sample_kind(text) if text else OFFER
    if not kind and column is not None:
        context.problems.add(recognised.table.grid, row, column, "sample_kind_unknown")
    return kind or OFFER


def all_samples(
    book: ReadBook, lots: Iterable[LotRow], told: Iterable[SampleCode], shared: set[str], known: set[str]
) -> tuple[SampleCode, ...]:
    """Give the samples that a list tells, those whose lot's row says their kind, and every further code met.

    `shared` are codes that several lots carry, `known` those that mean something in this book.
    """
    rows, listed = list(lots), list(told)
    places, kinds = _places(rows), _kinds(rows)
    met = dict.fromkeys(code for code in (*kinds, *_met(book)) if code in known)
    for sample in listed:
        met.pop(sample.code, None)
    return (
        *listed,
        *(
            SampleCode(
                code,
                where := places.get(code, ()),
                ambiguous=code in shared or len(where) > 1,
                kind=kinds.get(code, OFFER),
            )
            for code in met
        ),
    )


def _places(lots: Iterable[LotRow]) -> Places:
    rows: dict[str, tuple[tuple[str, int], ...]] = {}
    for lot in lots:
        if lot.code:
            rows[lot.code] = (*rows.get(lot.code, ()), (lot.sheet, lot.row))
    return rows


def _kinds(lots: Iterable[LotRow]) -> dict[str, str]:
    """The kinds that the rows of lots say, other than an offer."""
    said = {lot.code: sample_kind(lot.facts.get("sample_kind", "")) for lot in lots if lot.code}
    return {code: kind for code, kind in said.items() if kind not in ("", OFFER)}


def _met(book: ReadBook) -> Iterable[str]:
    """Every code met at a table."""
    yield from (s.sample for s in book.scores if s.sample)
    yield from (n.sample for n in book.notes if n.sample)
    yield from (code for p in book.preferences for code in (p.a, p.b))
    yield from (code for t in book.triangles for code in t.cups)
    yield from (r.lot for r in book.retastes)
    yield from (v.sample for v in book.verdicts if v.sample)
    yield from (e.sample for e in book.ledger)
