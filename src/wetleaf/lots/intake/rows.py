"""The rows of lots: each lot, what is said of it, and its offer."""

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from wetleaf.lots.actions import line_named, producer_named
from wetleaf.lots.encoding import reading_as_json
from wetleaf.lots.intake.codes import code_cell, codes_of, give_code, lots_that_wait, say_what_code_is_used
from wetleaf.lots.intake.corrected import corrections_of, without_corrected
from wetleaf.lots.intake.shelf import CellName, Shelf, cell_key, cell_name
from wetleaf.lots.keeping import fitting_text, kept
from wetleaf.lots.models import Fact, Lot, Offer
from wetleaf.lots.offers import OfferSaid, offer_after
from wetleaf.lots.workbooks.records import LotRow
from wetleaf.trade.classes import find_class

FACT_FIELDS = (
    "name", "producer", "region", "elev", "harvest", "cv", "ox", "roast", "claims",
    "loss_percent", "markup", "sample_received",
)  # fmt: skip
"""The fields of a lot's row that become facts, beside the free ones of `LotRow.facts`."""
OFFER_FIELDS = (
    "price", "moq_grams", "moq_grams_max", "avail_grams", "avail_grams_max", "offer_until", "hold", "deposit",
)  # fmt: skip


def take_in_rows(rows: Iterable[LotRow], shelf: Shelf) -> None:
    rows = list(rows)
    codes = codes_of(rows)
    known = {lot.code: lot for lot in Lot.objects.filter(season=shelf.run.season)}
    waiting = lots_that_wait(known, set(codes.values()))
    told = [_row_told(row, shelf.left_out) for row in rows]
    corrected = corrections_of(shelf)
    for number, (row, said) in enumerate(zip(rows, told, strict=True)):
        code = codes[row.sheet, row.row]
        lot = (
            known.get(code)
            or _known_by_name(row, code, said, waiting, shelf)
            or _new_lot(row, code, said, shelf)
        )
        shelf.lots_by_row[row.sheet, row.row] = known[code] = lot
        say_what_code_is_used(row, code, shelf)
        told[number] = without_corrected(row, lot, said, corrected, shelf)
        _follow(lot, told[number])
    known = {lot.code: lot for lot in known.values()}
    shelf.lots = dict(known)
    _take_in_facts(rows, told, shelf)
    _take_in_offers(rows, told, shelf)


def _row_told(row: LotRow, left_out: Collection[CellName]) -> dict[str, Any]:
    """What a row says by field, without the cells that are left out."""
    told = {name: getattr(row, name) for name in (*FACT_FIELDS, *OFFER_FIELDS) if hasattr(row, name)}
    told |= {name: text for name, text in row.facts.items() if name not in told or told[name] is None}
    if row.claims_are_ours:
        told.pop("claims", None)  # kept as the buyer's remark; the maker has stated nothing
    return {
        name: value.strip() if isinstance(value, str) else value
        for name, value in told.items()
        if value not in (None, "") and not _is_left_out(row, name, left_out)
    }


def _is_left_out(row: LotRow, name: str, left_out: Collection[CellName]) -> bool:
    cell = row.cells.get(cell_key(name, row))
    return cell is not None and cell_name(cell) in left_out


def _known_by_name(
    row: LotRow, code: str, said: Mapping[str, Any], waiting: dict[str, Lot], shelf: Shelf
) -> Lot | None:
    lot = waiting.pop(fitting_text(Lot, "name", said.get("name", "")), None)
    if lot is not None:
        give_code(lot, code, code_cell(row), shelf)
    return lot


def _new_lot(row: LotRow, code: str, said: Mapping[str, Any], shelf: Shelf) -> Lot:
    shelf.counts["lots"] += 1
    lot = kept(
        Lot,
        season=shelf.run.season,
        code=code,
        name=said.get("name") or code,
        source=shelf.source(code_cell(row)),
        run=shelf.run,
    )
    lot.save()
    return lot


def _follow(lot: Lot, said: Mapping[str, Any]) -> None:
    """Let the lot's own columns follow the latest facts of the same name."""
    tea_class = find_class(said["tea_class"]) if "tea_class" in said else None
    news: dict[str, Any] = {
        "name": fitting_text(Lot, "name", said["name"]) if "name" in said else None,
        "producer": producer_named(said.get("producer")),
        "line": line_named(said.get("line")),
        "tea_class": tea_class.key if tea_class else None,
    }
    news = {name: value for name, value in news.items() if value is not None and getattr(lot, name) != value}
    for name, value in news.items():
        setattr(lot, name, value)
    if news:
        lot.save(update_fields=list(news))
    if lot.producer is not None and said.get("contact") and lot.producer.contact != said["contact"]:
        lot.producer.contact = said["contact"]
        lot.producer.save(update_fields=["contact"])


def _take_in_facts(rows: list[LotRow], told: list[dict[str, Any]], shelf: Shelf) -> None:
    held = {
        (fact.lot_id, fact.field): fact.value for fact in Fact.objects.filter(lot__season=shelf.run.season)
    }
    facts = []
    for row, said in zip(rows, told, strict=True):
        lot = shelf.lots_by_row[row.sheet, row.row]
        for name, value in said.items():
            if name in OFFER_FIELDS:
                continue
            reading = reading_as_json(value)
            if held.get((lot.pk, name)) != reading:
                held[lot.pk, name] = reading
                facts.append(_fact(row, lot, name, value, reading, shelf))
    Fact.objects.bulk_create(facts)
    shelf.counts["facts"] += len(facts)


def _fact(row: LotRow, lot: Lot, name: str, value: Any, reading: Any, shelf: Shelf) -> Fact:
    cell = row.cells.get(name)
    return kept(
        Fact,
        lot=lot,
        field=name,
        written=cell.says if cell is not None else value if isinstance(value, str) else "",
        value=reading,
        source=shelf.source(cell),
        said_at=shelf.now,
    )


def _take_in_offers(rows: list[LotRow], told: list[dict[str, Any]], shelf: Shelf) -> None:
    last = {offer.lot_id: offer for offer in Offer.objects.filter(lot__season=shelf.run.season)}
    offers = []
    for row, said in zip(rows, told, strict=True):
        lot = shelf.lots_by_row[row.sheet, row.row]
        offer = _offer(row, said, lot, last.get(lot.pk), shelf)
        if offer is not None:
            last[lot.pk] = offer
            offers.append(offer)
    Offer.objects.bulk_create(offers)
    shelf.counts["offers"] += len(offers)


def _offer(row: LotRow, said: dict[str, Any], lot: Lot, last: Offer | None, shelf: Shelf) -> Offer | None:
    parts = {name: said[name] for name in OFFER_FIELDS if name in said}
    cells = {name: row.cells[key] for name in parts if (key := cell_key(name, row)) in row.cells}
    written = {name: cell.says for name, cell in cells.items()}
    source = shelf.source(next(iter(cells.values()), None))
    return offer_after(last, lot, OfferSaid(**parts, as_written=written), source, shelf.now)
