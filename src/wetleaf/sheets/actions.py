"""What happens to answers, one at a time: a verdict is given, words are noted."""

import datetime as dt

from django.utils import timezone

from wetleaf.flights.models import Flight
from wetleaf.lots.keeping import kept
from wetleaf.lots.models import Sample
from wetleaf.people.actions import the_buyer
from wetleaf.people.models import Taster
from wetleaf.sheets.models import Remark, Verdict
from wetleaf.trade.errors import BadInput


def note_verdict(
    sample: Sample,
    word: str = "",
    *,
    liking: float | None = None,
    scale: tuple[float, float] = (0, 10),
    taster: Taster | None = None,
    flight: Flight | None = None,
    on: dt.date | None = None,
    now: dt.datetime | None = None,
) -> Verdict:
    """Note keep, maybe or no, and a liking on its scale; the buyer's own unless a taster is named.

    A second verdict of the same taster, flight and day replaces the first, which stays on the books.
    Raises BadInput for another word, for a liking off its scale, and when neither is given.
    """
    _refuse_odd_verdict(word, liking, scale)
    taster = taster or the_buyer()
    mine = Verdict.objects.that_hold().filter(sample=sample, taster=taster, flight=flight, decided=False)
    said = mine.filter(given_on=on)
    return Verdict.objects.create(
        sample=sample,
        taster=taster,
        flight=flight,
        word=word,
        liking=liking,
        scale_low=scale[0],
        scale_high=scale[1],
        given_on=on,
        given_at=now or timezone.now(),
        replaces=said.last(),
    )


def _refuse_odd_verdict(word: str, liking: float | None, scale: tuple[float, float]) -> None:
    if word and word not in Verdict.Word.values:
        raise BadInput(
            f"'{word}' is not a verdict.", way_out=f"Say one of: {', '.join(Verdict.Word.values)}."
        )
    if not word and liking is None:
        raise BadInput("a verdict needs a word or a liking.", way_out="Give keep, maybe or no, or a number.")
    if liking is not None and not scale[0] <= liking <= scale[1]:
        raise BadInput(
            f"a liking of {liking:g} is off the scale {scale[0]:g} to {scale[1]:g}.",
            way_out="Give a number on the scale, or name its scale.",
        )


def note_words(
    sample: Sample,
    text: str,
    *,
    stage: str = "",
    taster: Taster | None = None,
    flight: Flight | None = None,
    now: dt.datetime | None = None,
) -> Remark:
    """Note words as they were said; the buyer's own unless a taster is named. Raises BadInput for none."""
    if not text.strip():
        raise BadInput("there are no words to note.", way_out="Write what was found, or leave the note out.")
    remark = kept(
        Remark,
        sample=sample,
        text=text,
        stage=stage,
        taster=taster or the_buyer(),
        flight=flight,
        given_at=now or timezone.now(),
    )
    remark.save()
    return remark
