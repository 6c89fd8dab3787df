"""What went into a making, what came out and what was lost on the way, in whole milligrams."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from wetleaf.trade.errors import BadInput

_MILLI = Decimal("0.001")
_MOST_GRAMS = Decimal(1_000_000_000)
_LOSS_AS_ROUNDED = Decimal("0.5")  # a loss that was said beside the grams is a round number


@dataclass(frozen=True)
class Balance:
    """Grams that went in and came out of a making, and what was lost; None for what is not known."""

    grams_in: Decimal | None
    grams_out: Decimal | None
    loss_percent: Decimal | None

    @property
    def grams_lost(self) -> Decimal | None:
        """What went in and did not come out."""
        if self.grams_in is None or self.grams_out is None:
            return None
        return self.grams_in - self.grams_out

    @property
    def said(self) -> str:
        """The balance in words.

        >>> Balance(Decimal(600), Decimal(570), Decimal(5)).said
        '600 g in, 570 g out, 30 g (5 %) lost'
        >>> Balance(None, None, None).said
        'no grams are noted'
        """
        parts = [
            f"{plain_grams(grams)} g {where}"
            for grams, where in ((self.grams_in, "in"), (self.grams_out, "out"))
            if grams is not None
        ]
        percent = "" if self.loss_percent is None else f"{plain_grams(self.loss_percent)} %"
        if self.grams_lost is not None:
            parts.append(f"{plain_grams(self.grams_lost)} g ({percent}) lost")
        elif percent:
            parts.append(f"{percent} lost")
        return ", ".join(parts) or "no grams are noted"


def balanced(
    went_in: Sequence[Decimal | None], grams_out: Decimal | None, loss_percent: Decimal | None
) -> Balance:
    """Return the balance of a making, the third of grams in, grams out and loss worked out from two.

    Raises BadInput for what is no weight, for more out than in, and for a loss that the grams deny.
    """
    weights = [_weight(grams) for grams in went_in if grams is not None]
    grams_in = sum(weights, Decimal(0)) if len(weights) == len(went_in) else None
    out = None if grams_out is None else _weight(grams_out)
    _refuse_odd_loss(loss_percent)
    if grams_in is not None and out is not None:
        return Balance(grams_in, out, _loss_of(grams_in, out, loss_percent))
    if grams_in is not None and loss_percent is not None:
        out = (grams_in * (100 - loss_percent) / 100).quantize(_MILLI)
    return Balance(grams_in, out, loss_percent)


def _loss_of(grams_in: Decimal, out: Decimal, said: Decimal | None) -> Decimal:
    if out > grams_in:
        raise BadInput(
            f"{plain_grams(out)} g cannot come out of {plain_grams(grams_in)} g.",
            way_out="Weigh again: leaf is lost on the way, never won.",
        )
    lost = ((grams_in - out) * 100 / grams_in).quantize(_MILLI)
    if said is not None and abs(lost - said) > _LOSS_AS_ROUNDED:
        raise BadInput(
            f"{plain_grams(grams_in)} g in and {plain_grams(out)} g out are a loss of "
            f"{plain_grams(lost)} %, not {plain_grams(said)} %.",
            way_out="Leave the loss out: it is worked out from the grams.",
        )
    return lost


def _weight(grams: Decimal) -> Decimal:
    if not grams.is_finite() or not _MILLI <= grams < _MOST_GRAMS:
        raise BadInput(
            f"{grams:g} g is not a weight of a lot.",
            way_out="Give grams above zero, or leave them out if they are not known.",
        )
    return grams.quantize(_MILLI)


def _refuse_odd_loss(percent: Decimal | None) -> None:
    if percent is not None and not (percent.is_finite() and 0 <= percent < 100):
        raise BadInput(f"a loss of {percent:g} % cannot be.", way_out="Give per cent from 0 to below 100.")


def plain_grams(grams: Decimal) -> str:
    """Say a number without idle zeros.

    >>> plain_grams(Decimal("570.000")), plain_grams(Decimal(600))
    ('570', '600')
    """
    return f"{grams.normalize():f}"
