"""Which column holds which field of a kind of table: by strongest claim, then by what cells alone tell."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from wetleaf.lots.workbooks.column_fit import (
    DATES,
    NUMERIC,
    column_cells,
    fit_of,
    has_digit,
    is_missing,
    is_number_like,
    share_of,
)
from wetleaf.lots.workbooks.first_pass_by_content import infer_first_pass
from wetleaf.lots.workbooks.grid import GridCell, as_text, is_blank, is_lettered_code, letters
from wetleaf.lots.workbooks.headings import Likeness, fold, known_ways, likenesses
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.lot_columns_by_content import infer_code_column, infer_lot_columns
from wetleaf.lots.workbooks.recognised import Known
from wetleaf.lots.workbooks.score_heads import read_score_heads
from wetleaf.lots.workbooks.tables import Table
from wetleaf.lots.workbooks.whose_remarks import heads_remarks, look_like_makers, of_the_maker
from wetleaf.trade.money import price_unit_in
from wetleaf.trade.quantities import elevation_unit, weight_unit

_NEAR_THE_LEFT = 3  # columns among which a code without a known head is looked for
INFERRED = 0.6  # how far a column counts that only its cells tell


def fields_of(
    table: Table,
    role: str,
    skip: frozenset[str],
    known: Known,
    forced: Mapping[str, str],
    *,
    apart: frozenset[int] = frozenset(),
) -> dict[str, tuple[Head, float, str]]:
    """Give each field the column that suits it best, the strongest claims first; none to those `apart`."""
    cells = {head.column: column_cells(table, head.column) for head in table.heads}
    unused = {head.column for head in table.heads if forced.get(letters(head.column)) == "unknown"}
    apart |= unused
    if role in _FACTS_OF_TEAS and not forced:
        apart |= _of_tasters(table, cells, known)
    claims = [
        claim
        for head in table.heads
        if head.column not in apart
        for claim in _claims_of(head, cells[head.column], role, skip, known, forced)
    ]
    taken: dict[str, tuple[Head, float, str]] = {}
    used: set[int] = set(apart)
    for claim in sorted(claims, key=lambda claim: (-claim.strength, claim.head.column)):
        if claim.strength >= 0.42 and claim.head.column not in used and claim.field not in taken:
            taken[claim.field] = (claim.head, min(claim.strength, 1.0), claim.why)
            used.add(claim.head.column)
    if role == "lots":
        _prices_by_unit(table, cells, used, taken)
        _lots_by_content(table, cells, used, taken)
    if role in ("lots", "verdicts"):
        _first_pass_by_content(table, cells, used, taken)
    _by_content(table, role, known, cells, used, taken)
    return taken


_FACTS_OF_TEAS = ("lots", "verdicts", "notes", "retaste", "ledger")


def _of_tasters(table: Table, cells: Mapping[int, list[GridCell]], known: Known) -> frozenset[int]:
    """The columns whose heads name a taster beside what was scored: `Jo: roast` is no fact of a lot."""
    numbers = [head for head in table.heads if share_of(cells[head.column], is_number_like) >= 0.6]
    heads = [head for head in numbers if not _heads_a_measure(head)]  # `our markup %`, `FOB/lb (US$)`
    says = read_score_heads(heads, (), known.tasters, least=1.5)
    return frozenset(column for column, said in says.items() if said.taster)


@dataclass(frozen=True)
class _Claim:
    """That a column holds a field, how strongly, and why."""

    head: Head
    field: str
    strength: float
    why: str


def _claims_of(
    head: Head,
    cells: list[GridCell],
    role: str,
    skip: frozenset[str],
    known: Known,
    forced: Mapping[str, str],
) -> Iterator[_Claim]:
    """What a column may hold by its head, each the stronger the better its cells bear it out."""
    if letters(head.column) in forced:
        yield _Claim(head, forced[letters(head.column)], 9.0, "the mapping file says so")
        return
    for like in likenesses(role, head.whole):
        if like.field in skip or (role == "lots" and like.field != "price" and _is_price_head(head)):
            continue
        fit = fit_of(like.field, cells, known, role)
        if role == "lots" and like.field == "code" and fit < 0.35:
            continue  # long texts without numbers are no codes, whatever the head says
        if (
            role == "lots"
            and like.field == "producer"
            and (heads_remarks(head) or look_like_makers(cells) < 0.35)
        ):
            continue  # `remarks from maker` are no makers, nor are adjectives
        weight = 1.1 if like.field == "claims" and role == "lots" and of_the_maker(head) else 1.0
        yield _Claim(head, like.field, weight * like.score * (0.5 + 0.5 * fit), _why(head, like, fit))
    yield from _remarks(head, cells, role)


def _remarks(head: Head, cells: list[GridCell], role: str) -> Iterator[_Claim]:
    """What the maker says goes before plain remarks; these are the buyer's words beside it."""
    if role != "lots" or not heads_remarks(head) or not cells:
        return
    why = f"headed {head.text!r}, a way of saying"
    if of_the_maker(head):
        yield _Claim(head, "claims", 1.05, f"{why} 'claims'")
    else:
        yield _Claim(head, "words", 0.5, f"{why} 'words'")
        yield _Claim(head, "note", 0.45, f"{why} 'note'")


def _why(head: Head, like: Likeness, fit: float) -> str:
    by = "" if like.score >= 0.9 else f" (like {like.by!r})"
    return _with_content(f"headed {head.text!r}, a way of saying {like.field!r}{by}", like.field, fit)


def _lots_by_content(
    table: Table,
    cells: Mapping[int, list[GridCell]],
    used: set[int],
    taken: dict[str, tuple[Head, float, str]],
) -> None:
    """Where the heads have named some fields of a lot, tell the rest by their cells."""
    if len(taken) < 2:
        return
    heads = {head.column: head for head in table.heads if head.text.strip()}
    free = {column: cells[column] for column in heads if column not in used}
    fields = frozenset(known_ways()["lots"]) - set(taken)
    for name, column, why in infer_lot_columns(free, fields):
        taken[name] = (heads[column], INFERRED, why)
        used.add(column)
    if "code" not in taken:
        _code_by_content(table, used, taken)


def _first_pass_by_content(
    table: Table,
    cells: Mapping[int, list[GridCell]],
    used: set[int],
    taken: dict[str, tuple[Head, float, str]],
) -> None:
    """Beside two fields that are known, a column of ticks is a verdict, one of small numbers a liking."""
    if not taken:
        return
    free = {h: cells[h.column] for h in table.heads if h.column not in used and h.text.strip()}
    for name, head, why in infer_first_pass(free, {"verdict", "liking"} - set(taken)):
        taken[name] = (head, INFERRED, why)
        used.add(head.column)


def _code_by_content(table: Table, used: set[int], taken: dict[str, tuple[Head, float, str]]) -> None:
    """Where nothing else is the code, take the one unknown column at the left that tells the lots apart."""
    named = [head.column for head, _, _ in taken.values()]
    first = [taken[name][0].column for name in ("name", "producer") if name in taken] or named
    heads = [
        head
        for head in table.heads[:_NEAR_THE_LEFT]
        if head.text.strip() and head.column not in used and head.column < min(first)
    ]
    rows = [row for row in table.rows if sum(not is_blank(table.grid.at(row, c)) for c in named) >= 2]
    left = {head.column: _row_texts(table, head, rows) for head in heads if not _heads_a_measure(head)}
    found = infer_code_column(left)
    if found is not None:
        column, why = found
        taken["code"] = (next(head for head in heads if head.column == column), INFERRED, why)
        used.add(column)


def _row_texts(table: Table, head: Head, rows: Iterable[int]) -> list[str]:
    return [as_text(table.grid.shown(row, head.column)[2].value).strip() for row in rows]


def _heads_a_measure(head: Head) -> bool:
    """Say whether a head names money, a weight, a height or a share: what stands under it is no code."""
    words = re.findall(r"[^\W\d_]+", head.whole)
    units = any(weight_unit(word) or elevation_unit(word) for word in words)
    money = price_unit_in(head.whole)
    return units or "%" in head.whole or bool(money.currency) or "ambiguous_currency" in money.noticed


def _prices_by_unit(
    table: Table,
    cells: Mapping[int, list[GridCell]],
    used: set[int],
    taken: dict[str, tuple[Head, float, str]],
) -> None:
    """A head that is only a currency for a weight, as `EUR/kg`, heads prices."""
    for head in table.heads:
        if "price" in taken or head.column in used or not _is_price_head(head):
            continue
        if share_of(cells[head.column], lambda c: is_number_like(c) or has_digit(c) or is_missing(c)) >= 0.5:
            taken["price"] = (head, 0.9, f"headed {head.text!r}: a currency for a weight, so prices")
            used.add(head.column)


@lru_cache(maxsize=5_000)
def _is_price_head(head: Head) -> bool:
    """Say whether a head names a currency for a weight."""
    unit = price_unit_in(head.whole)
    money = unit.currency or "ambiguous_currency" in unit.noticed
    return bool(money) and (
        unit.per_g is not None or bool({"ambiguous_jin", "ambiguous_tael"} & set(unit.noticed))
    )


def _with_content(why: str, name: str, fit: float) -> str:
    if name in DATES | NUMERIC | {"sample", "code", "taster"}:
        return f"{why}; {round(fit * 100)} % of its cells fit"
    return why


def _by_content(
    table: Table,
    role: str,
    known: Known,
    cells: Mapping[int, list[GridCell]],
    used: set[int],
    taken: dict[str, tuple[Head, float, str]],
) -> None:
    """Find the sample and the taster in columns whose heads do not say it, by cells that are known."""
    fields = known_ways()[role]
    if role == "scores" and "sample" in fields and "sample" not in taken and not known.codes:
        for head in table.heads:
            if head.column not in used and share_of(cells[head.column], is_lettered_code) >= 0.8:
                taken["sample"] = (head, 0.7, "its cells look like codes of samples")
                used.add(head.column)
                break
    for name, what in (("sample", "codes or names of lots"), ("taster", "names of tasters")):
        if name not in fields or name in taken:
            continue
        for head in table.heads:
            share = _share_known(cells[head.column], name, known)
            if head.column not in used and share >= 0.6:
                taken[name] = (head, 0.8 * share, f"{round(share * 100)} % of its cells are {what}")
                used.add(head.column)
                break


def _share_known(cells: list[GridCell], name: str, known: Known) -> float:
    if name == "sample":
        return share_of(cells, lambda cell: known.is_sample(as_text(cell.value)))
    return share_of(cells, lambda cell: fold(as_text(cell.value)) in known.tasters)


Taken = Mapping[str, tuple[Head, float, str]]
