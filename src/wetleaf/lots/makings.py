"""Lots made from lots: split, re-roasted, sorted, blended, repacked; grams in, out and lost."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from wetleaf.lots.actions import new_lot
from wetleaf.lots.keeping import kept
from wetleaf.lots.models import Fact, Lot, Making
from wetleaf.lots.moments import one_at_a_time
from wetleaf.trade.errors import BadInput


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

    The child takes over what its parents agree in (class, line, maker, facts), except a roast done anew.
    Loss is worked out from the grams when both are known. Raises BadInput for grams that cannot be.
    """
    making = Making.Kind(kind)
    _refuse_odd_parts(parts, making, grams_out)
    first = parts[0].lot
    now = now or timezone.now()
    with one_at_a_time():
        child = new_lot(
            first.season,
            code,
            name or first.name,
            producer=_agreed(part.lot.producer.name if part.lot.producer else None for part in parts),
            line=_agreed(part.lot.line.name if part.lot.line else None for part in parts),
            tea_class=_agreed(part.lot.tea_class for part in parts) or "",
            source=f"{making} of {', '.join(part.lot.code for part in parts)}",
        )
        _take_over_facts(child, parts, making, now)
        note_making(
            child, parts, making, grams_out=grams_out, loss_percent=loss_percent, made_on=made_on, now=now
        )
    return child


def _refuse_odd_parts(parts: Sequence[Part], making: Making.Kind, grams_out: Decimal | None) -> None:
    if making is Making.Kind.BLEND and len(parts) < 2:
        raise BadInput("a blend is made from two lots or more.", way_out="Name its other parents.")
    if making is not Making.Kind.BLEND and len(parts) != 1:
        raise BadInput(f"a {making} is made from one lot.", way_out="Name one parent, or call it a blend.")
    grams_in = _whole(parts)
    if any(part.grams is not None and part.grams <= 0 for part in parts):
        raise BadInput(
            "grams that go in must be above zero.", way_out="Leave them out if they are not known."
        )
    if grams_out is not None and (grams_out < 0 or (grams_in is not None and grams_out > grams_in)):
        raise BadInput(
            f"{grams_out:f} g cannot come out of {grams_in:f} g."
            if grams_in
            else f"{grams_out:f} g is not a weight.",
            way_out="Weigh again: leaf is lost on the way, never won.",
        )


def _whole(parts: Sequence[Part]) -> Decimal | None:
    grams = [part.grams for part in parts]
    return None if None in grams else sum((one for one in grams if one is not None), Decimal(0))


def _agreed(values: Iterable[str | None]) -> str | None:
    said = set(values)
    return said.pop() if len(said) == 1 else None


def _take_over_facts(child: Lot, parts: Sequence[Part], making: Making.Kind, now: dt.datetime) -> None:
    each = [_latest_facts(part.lot) for part in parts]
    redone = {"roast", "firing"} if making is Making.Kind.REROAST else set()
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
    grams_in = _whole(parts)
    if loss_percent is None and grams_in and grams_out is not None:
        loss_percent = (grams_in - grams_out) * 100 / grams_in
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
