"""A lot typed or imported by mistake is withdrawn, and can be restored. Nothing is erased.

A withdrawn lot leaves every list, book, export and count; what was ever said of it stays with it, and so does
its code. A workbook that names it again does not bring it back: the import says that it is withdrawn.
"""

import datetime as dt
from collections.abc import Collection

from django.db.models import Q
from django.utils import timezone

from wetleaf.lots.keeping import kept
from wetleaf.lots.models import Lot, Making, Restoration, Season, Withdrawal, withdrawn_lots
from wetleaf.lots.moments import one_at_a_time
from wetleaf.trade.errors import BadInput


def withdraw_lot(
    lot: Lot, reason: str, *, on: dt.date | None = None, now: dt.datetime | None = None
) -> Withdrawal:
    """Take a lot off the books, with the reason.

    Raises BadInput without a reason, for a lot that is withdrawn already, and for one from which lots were
    made that still stand: they would lose where they come from.
    """
    if not reason.strip():
        raise BadInput(f"why {lot.code} is withdrawn is not said.", way_out='Say it: --reason "typed twice".')
    with one_at_a_time():
        refuse_withdrawn(lot)
        _refuse_parent(lot)
        withdrawal = kept(
            Withdrawal,
            lot=lot,
            reason=reason.strip(),
            happened_on=on or timezone.localdate(),
            said_at=now or timezone.now(),
        )
        withdrawal.save()
    return withdrawal


def restore_lot(
    lot: Lot, reason: str = "", *, on: dt.date | None = None, now: dt.datetime | None = None
) -> Restoration:
    """Undo a lot's withdrawal. Raises BadInput when it stands, and when a lot it was made from does not."""
    with one_at_a_time():
        withdrawal = withdrawal_of(lot)
        if withdrawal is None:
            raise BadInput(f"{lot.code} is not withdrawn.", way_out="It stands on the books as it is.")
        parents = Lot.objects.filter(children_made__child=lot, pk__in=withdrawn_lots())
        if parents:
            codes = ", ".join(parent.code for parent in parents)
            raise BadInput(
                f"{lot.code} was made from {codes}, which is withdrawn.", way_out=f"Restore {codes} first."
            )
        restoration = kept(
            Restoration,
            withdrawal=withdrawal,
            reason=reason.strip(),
            happened_on=on or timezone.localdate(),
            said_at=now or timezone.now(),
        )
        restoration.save()
    return restoration


def withdrawal_of(lot: Lot) -> Withdrawal | None:
    """Return the withdrawal that holds of a lot, or None when it stands."""
    return lot.withdrawals.filter(undone_by__isnull=True).last()


def refuse_withdrawn(lot: Lot) -> None:
    """Raise BadInput for a lot that is withdrawn: nothing is done with it until it is restored."""
    withdrawal = withdrawal_of(lot)
    if withdrawal is not None:
        raise BadInput(
            f"{lot.code} of {lot.season} was withdrawn on {withdrawal.happened_on}: {withdrawal.reason}.",
            way_out=f'wetleaf lot restore {lot.code} --season "{lot.season}" brings it back.',
        )


def _refuse_parent(lot: Lot) -> None:
    children = Making.objects.filter(parent=lot).exclude(child__in=withdrawn_lots())
    codes = ", ".join(children.values_list("child__code", flat=True))
    if codes:
        raise BadInput(f"{lot.code} cannot be withdrawn: {codes} was made from it.",
                       way_out=f"Withdraw {codes} first, if that is a mistake too.")  # fmt: skip


def withdrawals_in(season: Season) -> tuple[Withdrawal, ...]:
    """Return what is withdrawn of a season now, by code."""
    held = Withdrawal.objects.filter(lot__season=season, undone_by__isnull=True)
    return tuple(held.select_related("lot").order_by("lot__code"))


def withdrawn_among(season: Season, codes: Collection[str]) -> tuple[Lot, ...]:
    """Return the withdrawn lots of a season that these codes of lots or samples mean."""
    meant = Q(code__in=codes) | Q(samples__code__in=codes)
    return tuple(Lot.objects.filter(meant, season=season, pk__in=withdrawn_lots()).distinct())
