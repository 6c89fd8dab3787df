"""The leaf ledger: grams of a sample in and out, and how many brews are left. Lines are added, never changed.

Grams are `Decimal` throughout: a float is refused, since thirty brews of 0.1 g must be 3 g.
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db import transaction
from django.db.models import Max, Sum
from django.utils import timezone

from wetleaf.lots.doubts import picked_on, said_of_arrival
from wetleaf.lots.models import LeafEntry, Sample
from wetleaf.lots.moments import refuse_future
from wetleaf.trade.errors import BadInput

_MILLIGRAM = Decimal("0.001")
_MOST_GRAMS = Decimal(1_000_000)  # a tonne: what is sampled in more is no sample
_CORRECTED = "corrected"
_GENEROUS = Decimal("1.1")  # a packet marked 25 g often holds 26 (common practice)
LAST_BREWS = 2
"""The brews of a sample that the ledger defends: one to taste again, one to compare with what arrives."""


@dataclass(frozen=True)
class LeafLeft:
    """What is left of a sample. `grams` and `brews` are None when nothing was ever weighed in."""

    grams: Decimal | None
    grams_per_brew: Decimal
    doubt: str = ""
    """What is odd about the entry just made; empty where nothing is."""

    @property
    def brews(self) -> int | None:
        """Whole brews that the grams still make, never below none.

        >>> LeafLeft(Decimal("8.9"), Decimal(3)).brews
        2
        """
        return None if self.grams is None else max(0, int(self.grams // self.grams_per_brew))

    @property
    def brews_to_spend(self) -> int | None:
        """Brews beyond the last two, which a plan may count on.

        >>> LeafLeft(Decimal(25), Decimal(3)).brews_to_spend
        6
        """
        return None if self.brews is None else max(0, self.brews - LAST_BREWS)

    @property
    def warning(self) -> str:
        """What to say before the last two brews are touched; empty while there are more.

        >>> LeafLeft(Decimal(7), Decimal(3)).warning
        'Only 2 brews left (7 g): keep one to taste again and one to compare with what arrives.'
        """
        if self.brews is None or self.brews > LAST_BREWS:
            return ""
        grams = f"{self.grams:f} g"
        if self.brews == LAST_BREWS:
            return (
                f"Only 2 brews left ({grams}): keep one to taste again and one to compare with what arrives."
            )
        if self.brews == 1:
            return f"The last brew is left ({grams}): keep it to compare with what arrives."
        return f"No whole brew is left ({grams})."


def receive(
    sample: Sample,
    grams: Decimal,
    *,
    on: dt.date | None = None,
    source: str = "",
    now: dt.datetime | None = None,
) -> LeafLeft:
    """Weigh leaf in; the returned `doubt` says when it came before it was picked.

    Raises BadInput unless the grams are above zero, and for a day still to come.
    """
    left = _note(sample, _positive(grams, "received"), "received", on, source, now)
    return replace(left, doubt=said_of_arrival(on, picked_on(sample.lot)))


def brew(
    sample: Sample,
    brews: int = 1,
    *,
    grams_each: Decimal | None = None,
    on: dt.date | None = None,
    source: str = "",
    now: dt.datetime | None = None,
) -> LeafLeft:
    """Take the leaf of so many brews out, each of `grams_each` or of what the sample's brews take.

    Raises BadInput when fewer grams are left; the returned `warning` speaks before the last two brews.
    """
    if brews < 1:
        raise BadInput(f"{brews} brews of {sample.code} cannot be taken.", way_out="Give 1 or more.")
    each = _positive(sample.grams_per_brew if grams_each is None else grams_each, "a brew")
    taken = _exact(brews * each)
    with transaction.atomic():
        _lock(sample)
        left = grams_left(sample)
        if left is not None and left < taken:
            raise BadInput(
                f"{brews} brews of {sample.code} take {_plain(taken)} g, only {left:f} g are left.",
                way_out="Weigh what is left and correct the ledger first.",
            )
        return _note(sample, -taken, f"brewed, {brews} × {_plain(each)} g", on, source, now)


def correct(
    sample: Sample,
    grams_found: Decimal,
    why: str = "weighed again",
    *,
    on: dt.date | None = None,
    source: str = "",
    now: dt.datetime | None = None,
) -> LeafLeft:
    """Put the ledger right after weighing: the difference is its own line.

    More than the ledger holds is a `doubt`. Raises BadInput below zero, and for more than ever came in.
    """
    found = _exact(grams_found)
    if found < 0:
        raise BadInput(f"{found:f} g of {sample.code} cannot be left.", way_out="Give what the scale shows.")
    with transaction.atomic():
        _lock(sample)
        _refuse_more_than_came(sample, found)
        held = grams_left(sample)
        difference = found - (held or Decimal(0))
        if difference == 0:
            return leaf_left(sample)
        left = _note(sample, difference, f"{_CORRECTED}, {why}", on, source, now)
    return replace(left, doubt=_said_of_gain(held, difference))


def _refuse_more_than_came(sample: Sample, found: Decimal) -> None:
    """A packet cannot hold more than came in, but for what a scale and a generous hand may differ by."""
    came = sample.leaf_entries.filter(grams__gt=0).exclude(what__startswith=_CORRECTED)
    total = came.aggregate(total=Sum("grams"))["total"]
    if total is not None and found > max(total * _GENEROUS, total + 1):
        raise BadInput(
            f"{_plain(found)} g of {sample.code} cannot be left: {_plain(total)} g came in.",
            way_out="If more came in, enter that first with --received; else weigh again.",
        )


def _said_of_gain(held: Decimal | None, difference: Decimal) -> str:
    if held is None or difference <= 0:
        return ""
    return (
        f"That is {_plain(difference)} g more than the {_plain(held)} g the ledger held: was a brew smaller, "
        "or did more come in?"
    )


def grams_left(sample: Sample) -> Decimal | None:
    """Grams in less grams out; None when nothing was ever weighed in. One query."""
    return leaf_left(sample).grams


def brews_left(sample: Sample) -> int | None:
    """Whole brews left of a sample; None when nothing was ever weighed in. One query."""
    return leaf_left(sample).brews


def leaf_left(sample: Sample) -> LeafLeft:
    """Grams, brews and the warning of one sample. One query."""
    return leaf_left_of([sample])[sample.pk]


def leaf_left_of(samples: Iterable[Sample]) -> dict[int, LeafLeft]:
    """The same for many samples by their primary key, in one query."""
    wanted = list(samples)
    entries = LeafEntry.objects.filter(sample__in=wanted).order_by()
    sums = entries.values("sample").annotate(total=Sum("grams"), most=Max("grams"))
    left = {row["sample"]: _to_the_milligram(row["total"]) for row in sums if row["most"] > 0}
    return {sample.pk: LeafLeft(left.get(sample.pk), sample.grams_per_brew) for sample in wanted}


def _note(
    sample: Sample, grams: Decimal, what: str, on: dt.date | None, source: str, now: dt.datetime | None
) -> LeafLeft:
    refuse_future(on, "an entry of the leaf ledger")
    LeafEntry.objects.create(
        sample=sample,
        grams=grams,
        what=what,
        happened_on=on,
        source=source,
        noted_at=now or timezone.now(),
    )
    return leaf_left(sample)


def _lock(sample: Sample) -> None:
    # Two who pour from one packet must not both take its last gram. SQLite locks the whole file already.
    Sample.objects.select_for_update().get(pk=sample.pk)


def _positive(grams: Decimal, what: str) -> Decimal:
    exact = _exact(grams)
    if exact <= 0:
        raise BadInput(
            f"{grams:g} g for {what} is not a weight.", way_out="Give grams above zero, a milligram or more."
        )
    return exact


def _exact(grams: Decimal) -> Decimal:
    """The grams to the milligram, as the ledger keeps them."""
    if not isinstance(grams, Decimal | int):
        raise TypeError(f"grams are Decimal, not {type(grams).__name__}: {grams!r}")
    exact = Decimal(grams)
    if not exact.is_finite() or abs(exact) > _MOST_GRAMS:
        raise BadInput(
            f"{exact:g} g is more than a ledger of samples holds.", way_out="Look for a slip in the number."
        )
    return exact.quantize(_MILLIGRAM)


def _plain(grams: Decimal) -> str:
    return f"{grams.normalize():f}"


def _to_the_milligram(total: Decimal) -> Decimal:
    # SQLite adds in floating point; every line is whole milligrams, so rounding gives the exact sum.
    return total.quantize(_MILLIGRAM).normalize() + Decimal(0)
