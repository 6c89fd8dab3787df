"""What the buyer decided of a lot, noted by hand: a verdict on the whole lot, with its reason and a date.

Never set by the program. A changed mind is a new record that points to the one before.
"""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from django.utils import timezone

from wetleaf.lots.encoding import reading_from_json
from wetleaf.lots.keeping import kept
from wetleaf.lots.models import Lot, Offer, Sample
from wetleaf.lots.moments import one_at_a_time, refuse_future
from wetleaf.lots.withdrawals import refuse_withdrawn
from wetleaf.people.actions import the_buyer
from wetleaf.sheets.models import Verdict
from wetleaf.trade.errors import BadInput
from wetleaf.trade.money import parse_price
from wetleaf.trade.spelling import squash
from wetleaf.trade.stages import NextStep

WORD_OF_STEP: Mapping[NextStep, Verdict.Word] = {
    NextStep.NOTHING_AGAINST: Verdict.Word.KEEP,
    NextStep.TASTE_AGAIN: Verdict.Word.MAYBE,
    NextStep.ASK: Verdict.Word.MAYBE,
    NextStep.LEAVE: Verdict.Word.NO,
}
"""The word of the first pass that each of the next steps comes to, for lists and counts."""
_MOST_KILOS = Decimal(100_000)


@dataclass(frozen=True)
class Decided:
    """What was decided: a word, and the step it was said as ("" where it was said as the word)."""

    word: str
    step: str = ""


def read_decision(text: str) -> Decided:
    """Read keep, maybe or no, or one of the next steps by its name or its words.

    Raises BadInput for anything else.

    >>> read_decision("Keep"), read_decision("taste again")
    (Decided(word='keep', step=''), Decided(word='maybe', step='taste_again'))
    """
    said = squash(text)
    if said in Verdict.Word.values:
        return Decided(said)
    for step, word in WORD_OF_STEP.items():
        if said in (squash(step.name), squash(step.value)):
            return Decided(word.value, step.name.lower())
    known = [*Verdict.Word.values, *(step.name.lower().replace("_", "-") for step in NextStep)]
    raise BadInput(f"'{text}' is no decision.", way_out=f"Say one of: {', '.join(known)}.")


def decide(
    lot: Lot,
    decided: Decided,
    *,
    why: str = "",
    kilos: Decimal | None = None,
    price: str = "",
    rests_on: Sequence[Mapping[str, str]] = (),
    on: dt.date | None = None,
    now: dt.datetime | None = None,
) -> Verdict:
    """Note what the buyer decided of a lot; it points to what was decided before. The last one noted holds.

    `rests_on` are the answers of the book it rested on, as {"question", "answer", "digest"}. Raises BadInput
    for a withdrawn lot, kilos that are no weight, a day still to come, and a price that is none.
    """
    _refuse_odd_kilos(kilos)
    refuse_future(on, "a decision")
    if price.strip() and parse_price(price).value is None:
        raise BadInput(f"'{price}' is not a price.", way_out="Write it as 1200 NT$/jin or 38 EUR/kg.")
    with one_at_a_time():
        refuse_withdrawn(lot)
        verdict = kept(
            Verdict,
            sample=_sample_of(lot),
            taster=the_buyer(),
            word=decided.word,
            step=decided.step,
            decided=True,
            why=" ".join(why.split()),
            kilos=kilos,
            price=price.strip(),
            rests_on=[dict(one) for one in rests_on],
            given_on=on or timezone.localdate(),
            given_at=now or timezone.now(),
            replaces=last_decision(lot),
        )
        verdict.save()
    return verdict


def doubts_of_decision(verdict: Verdict) -> tuple[str, ...]:
    """Return what does not fit the offer as it stands, in sentences: kilos, and its last day."""
    offer = Offer.objects.filter(lot=verdict.sample.lot).last()
    if offer is None:
        return ()
    return tuple(filter(None, (_said_of_kilos(verdict, offer), _said_of_last_day(verdict, offer))))


def _said_of_kilos(verdict: Verdict, offer: Offer) -> str:
    if verdict.kilos is None or verdict.word == Verdict.Word.NO:
        return ""
    grams = verdict.kilos * 1000
    most = max(filter(None, (offer.available_grams, _most_on_offer(offer))), default=None)
    if most is not None and grams > most:
        return f"{_kilos(grams)} kg are more than the {_kilos(most)} kg on offer."
    if offer.minimum_grams is not None and grams < offer.minimum_grams:
        return f"{_kilos(grams)} kg are less than the smallest order of {_kilos(offer.minimum_grams)} kg."
    return ""


def _most_on_offer(offer: Offer) -> Decimal | None:
    most: Decimal | None = reading_from_json("avail_grams_max", offer.readings.get("avail_grams_max"))
    return most


def _said_of_last_day(verdict: Verdict, offer: Offer) -> str:
    until, day = offer.valid_until, verdict.given_on
    if verdict.word == Verdict.Word.NO or until is None or day is None or day <= until:
        return ""
    return f"The offer ended on {until}, before this was decided: ask whether it still holds."


def _kilos(grams: Decimal) -> str:
    return f"{(grams / 1000).normalize():f}"


def read_kilos(text: str) -> Decimal | None:
    """Read kilos as a person writes them; None for nothing. Raises BadInput for what is no number.

    >>> read_kilos("12,5 kg"), read_kilos(" ")
    (Decimal('12.5'), None)
    """
    bare = text.strip().lower().removesuffix("kg").strip().replace(",", ".")
    if not bare:
        return None
    try:
        return Decimal(bare)
    except InvalidOperation:
        raise BadInput(f"'{text}' is not a weight in kilos.", way_out="Write it as 12 or 12.5.") from None


def last_decision(lot: Lot) -> Verdict | None:
    """Return what was decided of a lot last, or None."""
    return Verdict.objects.that_hold().filter(sample__lot=lot, decided=True).last()


def _refuse_odd_kilos(kilos: Decimal | None) -> None:
    if kilos is None:
        return
    if not kilos.is_finite() or not Decimal("0.001") <= kilos < _MOST_KILOS:
        raise BadInput(f"{kilos:g} kg is not a weight to buy.", way_out="Give kilos above zero, as 12.5.")


def _sample_of(lot: Lot) -> Sample:
    """The sample the verdict is kept with: the offer's, else the first, else one of the lot's own code."""
    samples = list(lot.samples.order_by("pk"))
    offered = [sample for sample in samples if sample.kind == Sample.Kind.OFFER]
    found = next(iter([*offered, *samples]), None)
    return found or Sample.objects.create(lot=lot, code=lot.code)
