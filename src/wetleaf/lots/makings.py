"""Lots made from lots: split, re-roasted, sorted, blended, repacked; grams in, out and lost."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from wetleaf.lots.actions import new_lot
from wetleaf.lots.balances import Balance, balanced, plain_grams
from wetleaf.lots.keeping import kept
from wetleaf.lots.models import Fact, Lot, Making, withdrawn_lots
from wetleaf.lots.moments import one_at_a_time
from wetleaf.lots.withdrawals import refuse_withdrawn
from wetleaf.trade.errors import BadInput
from wetleaf.trade.spelling import squash


@dataclass(frozen=True)
class Part:
    """A lot that goes into another, and how many grams of it if that is known."""

    lot: Lot
    grams: Decimal | None = None


def make_child(
    parts: Sequence[Part],
    kind: str,
    code: str,
    name: str = "",
    *,
    grams_out: Decimal | None = None,
    loss_percent: Decimal | None = None,
    made_on: dt.date | None = None,
    now: dt.datetime | None = None,
) -> Lot:
    """Make a lot from others, by `Making.Kind`: split, re-roast, sort, blend (several parents) or repack.

    The child takes over what its parents agree in (class, line, maker, facts), except a roast done anew. Of
    grams in, grams out and loss the third is worked out from two. Raises BadInput for grams that cannot be:
    more out than in, a loss that does not fit them, or more than a parent still holds.
    """
    making = making_kind(kind)
    _refuse_odd_parts(parts, making)
    balance = balanced([part.grams for part in parts], grams_out, loss_percent)
    now = now or timezone.now()
    with one_at_a_time():
        for part in parts:
            refuse_withdrawn(part.lot)
            _refuse_more_than_held(part)
        child = _new_child(parts, making, code, name)
        _take_over_facts(child, parts, making, now)
        note_making(
            child,
            parts,
            making,
            grams_out=balance.grams_out,
            loss_percent=balance.loss_percent,
            made_on=made_on,
            now=now,
        )
    return child


def making_kind(text: str) -> Making.Kind:
    """Return the kind of a making by its name. Raises BadInput, naming them, for another word.

    >>> making_kind("Reroast").value
    're-roast'
    """
    said = squash(text)
    for kind in Making.Kind:
        if said == squash(kind.value):
            return kind
    raise BadInput(
        f"'{text}' is no way to make a lot.", way_out=f"Say one of: {', '.join(Making.Kind.values)}."
    )


def _new_child(parts: Sequence[Part], making: Making.Kind, code: str, name: str) -> Lot:
    first = parts[0].lot
    return new_lot(
        first.season,
        code,
        name or first.name,
        producer=_agreed(part.lot.producer.name if part.lot.producer else None for part in parts),
        line=_agreed(part.lot.line.name if part.lot.line else None for part in parts),
        tea_class=_agreed(part.lot.tea_class for part in parts) or "",
        source=f"{making} of {', '.join(part.lot.code for part in parts)}",
    )


def _refuse_odd_parts(parts: Sequence[Part], making: Making.Kind) -> None:
    if making is Making.Kind.BLEND and len(parts) < 2:
        raise BadInput("a blend is made from two lots or more.", way_out="Name its other parents.")
    if making is not Making.Kind.BLEND and len(parts) != 1:
        raise BadInput(f"a {making} is made from one lot.", way_out="Name one parent, or call it a blend.")
    codes = [part.lot.code for part in parts]
    twice = next((part.lot.code for part in parts if [p.lot.pk for p in parts].count(part.lot.pk) > 1), "")
    if twice:
        raise BadInput(
            f"{twice} is named twice among {', '.join(codes)}.", way_out="Name it once, with all its grams."
        )


def _refuse_more_than_held(part: Part) -> None:
    held = grams_held(part.lot)
    if part.grams is None or held is None or part.grams <= held:
        return
    raise BadInput(
        f"{part.lot.code} holds {plain_grams(held)} g, {plain_grams(part.grams)} g cannot be taken of it.",
        way_out="Look what was made of it already, or weigh again.",
    )


def grams_held(lot: Lot) -> Decimal | None:
    """Return the grams of a made lot that are not made into others yet; None where none were noted.

    How much of a lot a maker has is not known here: only what we made is weighed.
    """
    making = lot.made_from.first()
    if making is None or making.grams_out is None:
        return None
    stand = Making.objects.filter(parent=lot).exclude(child__in=withdrawn_lots())
    taken = [grams for grams in stand.values_list("grams_in", flat=True) if grams is not None]
    return making.grams_out - sum(taken, Decimal(0))


def balance_of(child: Lot) -> Balance:
    """Return the balance of a lot's making as it stands on the books."""
    rows = list(child.made_from.all())
    grams = [row.grams_in for row in rows]
    known = [one for one in grams if one is not None]
    return Balance(
        sum(known, Decimal(0)) if rows and len(known) == len(grams) else None,
        rows[0].grams_out if rows else None,
        rows[0].loss_percent if rows else None,
    )


def _agreed(values: Iterable[str | None]) -> str | None:
    said = set(values)
    return said.pop() if len(said) == 1 else None


def _take_over_facts(child: Lot, parts: Sequence[Part], making: Making.Kind, now: dt.datetime) -> None:
    each = [_latest_facts(part.lot) for part in parts]
    redone = {"roast", "roast_date", "firing"} if making is Making.Kind.REROAST else set()
    for field, fact in each[0].items():
        if field not in redone and all(field in other and other[field].value == fact.value for other in each):
            Fact.objects.create(
                lot=child,
                field=field,
                written=fact.written,
                value=fact.value,
                ground=fact.ground,
                source=f"taken over from {parts[0].lot.code}",
                said_at=now,
            )


def _latest_facts(lot: Lot) -> dict[str, Fact]:
    return {fact.field: fact for fact in lot.facts.exclude(field__in=("name", "parent", "making"))}


def note_making(
    child: Lot,
    parts: Sequence[Part],
    kind: str,
    *,
    grams_out: Decimal | None = None,
    loss_percent: Decimal | None = None,
    made_on: dt.date | None = None,
    now: dt.datetime | None = None,
) -> None:
    """Note how a known lot came from others. Raises BadInput when it would be its own ancestor."""
    descent = {child.pk} | _descendants(child)
    for part in parts:
        if part.lot.pk in descent:
            raise BadInput(
                f"{child.code} cannot come from {part.lot.code}, which is itself made from {child.code}."
                if part.lot.pk != child.pk
                else f"{child.code} cannot come from itself.",
                way_out="Name the lot it really came from.",
            )
    for part in parts:
        kept(
            Making,
            parent=part.lot,
            child=child,
            kind=str(kind),
            grams_in=part.grams,
            grams_out=grams_out,
            loss_percent=loss_percent,
            made_on=made_on,
            said_at=now or timezone.now(),
        ).save()


def _descendants(lot: Lot) -> set[int]:
    found: set[int] = set()
    edge = {lot.pk}
    while edge:
        edge = set(Making.objects.filter(parent__in=edge).values_list("child", flat=True)) - found
        found |= edge
    return found
