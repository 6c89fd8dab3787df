"""The suggested next step: stated rules, tried in order, each with its reason. None says "buy".

The first rule that has something to say decides:

1. the last word on it was no -> leave
2. not tasted yet -> taste it, or ask for leaf when none is left
3. others of its kind are ahead, and nobody said keep -> leave
4. it was liked little, ranked or not, and nobody said keep -> leave
5. the offer is over -> ask whether it can still be had
6. neither its class nor its line is known -> ask for the class: until then nothing stands beside it
7. its papers do not add up -> ask
8. it is not last year's tea -> ask what changed if it is kept, else leave; off its target only -> ask, since
   how high these tasters score is their own scale's and no reason to leave it
9. cups can settle what is open, and there is leaf -> taste again; no leaf -> ask for some
10. something is still missing in its papers -> ask
11. nothing here stands against buying; a lot that was not ranked is said to be so

Liked little is below 40 % of the way up the scale: clearly under its middle (4 of 0 to 10, 4.2 of 1 to 9).
The blind liking counts where there is one.
"""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from wetleaf.findings.assembling.sentences import counted, listed, said_chance, said_day
from wetleaf.findings.book import AnswerWord, NextStep, Settling
from wetleaf.trade.stages import NextStep as Step

LIKED_LITTLE = 0.4  # of the way from the foot of the scale to its head


@dataclass(frozen=True)
class Standing:
    """What the rules look at."""

    made_on: dt.date
    verdict: str
    tasted: bool
    on_shortlist: bool | None  # None where lots were not compared
    ahead: int  # lots of its kind on the shortlist
    chance_best: float | None
    last_year: AnswerWord | None
    target: AnswerWord | None
    moved: str  # "roast and flower moved"
    doubts: int
    gaps: tuple[str, ...]  # heavy enough to be asked before buying
    lighter_gaps: tuple[str, ...]
    brews_left: int | None
    offer_until: dt.date | None
    open: tuple[Settling, ...]  # what cups can settle, the most pressing first
    too_close: bool  # to be told from its rivals by any number of cups that one would drink
    liked_share: float | None = None  # how far up its scale it was liked, 0 to 1; None without a liking
    liked_said: str = ""  # "3.5 of 10 in two cups"
    kind_is_known: bool = True  # a class or a line is said


def next_step(standing: Standing) -> NextStep:
    """Return the step that the first rule with something to say suggests."""
    for rule in RULES:
        step = rule(standing)
        if step is not None:
            return step
    return NextStep(Step.NOTHING_AGAINST.name.lower(), Step.NOTHING_AGAINST.value, _nothing_open(standing))


def _leave_what_was_refused(at: Standing) -> NextStep | None:
    return _step(Step.LEAVE, "", "the last word on it was no") if at.verdict == "no" else None


def _taste_what_was_not(at: Standing) -> NextStep | None:
    if at.tasted:
        return None
    if at.brews_left == 0:
        return _step(Step.ASK, "for more leaf", "it is not tasted and no whole brew is left")
    return NextStep(
        Step.TASTE_AGAIN.name.lower(), f"taste it: one brew{_before(at)}", "nobody has tasted it yet"
    )


def _leave_what_others_beat(at: Standing) -> NextStep | None:
    if at.on_shortlist is not False or at.verdict == "keep":
        return None
    chance = (
        f", its chance of being the best is {said_chance(at.chance_best)}"
        if at.chance_best is not None
        else ""
    )
    others = f"{counted(at.ahead, 'other lot')} of its kind {'is' if at.ahead == 1 else 'are'} ahead"
    return _step(Step.LEAVE, "", f"{others}{chance}")


def _leave_what_is_liked_little(at: Standing) -> NextStep | None:
    if at.liked_share is None or at.liked_share >= LIKED_LITTLE or at.verdict == "keep":
        return None
    unranked = "" if at.on_shortlist is not None else ", not ranked"
    return _step(Step.LEAVE, "", f"it is liked little{unranked}: {at.liked_said}")


def _ask_when_the_offer_is_over(at: Standing) -> NextStep | None:
    if at.offer_until is None or at.offer_until >= at.made_on:
        return None
    day = said_day(at.offer_until, seen_from=at.made_on)
    return _step(Step.ASK, "whether it can still be had", f"the offer ended on {day}")


def _ask_for_its_class(at: Standing) -> NextStep | None:
    """A class is for the producer to say or the buyer to note; the other questions go with it."""
    if at.kind_is_known:
        return None
    others = at.doubts + len(at.gaps) + len(at.lighter_gaps)
    more = f", and {counted(others, 'further question')}" if others else ""
    why = "neither its class nor its line is said, so nothing can stand beside it; or note either yourself"
    return _step(Step.ASK, f"which class of tea it is{more}", why)


def _ask_about_doubts(at: Standing) -> NextStep | None:
    if not at.doubts:
        return None
    questions = at.doubts + len(at.gaps) + len(at.lighter_gaps)
    return _step(
        Step.ASK,
        counted(questions, "question"),
        f"{counted(at.doubts, 'thing')} in its papers do{_s(at.doubts)} not add up",
    )


def _see_to_a_tea_that_moved(at: Standing) -> NextStep | None:
    if "no" not in (at.last_year, at.target):
        return None
    against = "what the line should be" if at.target == "no" else "last year's tea"
    why = f"it is not {against}{': ' + at.moved if at.moved else ''}"
    if at.last_year != "no":
        return _step(Step.ASK, "what changed in its making", f"{why}, as high as these tasters score")
    if at.verdict == "keep":
        return _step(Step.ASK, "what changed in its making", why)
    return _step(Step.LEAVE, "", why)


def _taste_what_is_open(at: Standing) -> NextStep | None:
    if not at.open:
        return None
    first = at.open[0]
    brews = first.brews or 1
    if at.brews_left is not None and at.brews_left < brews:
        left = counted(at.brews_left, "brew")
        return _step(Step.ASK, "for more leaf", f"{first.question} {left} left, {brews} needed")
    before = f", {first.when}" if first.when.startswith("before ") else _before(at)
    text = f"{Step.TASTE_AGAIN.value}: {first.way}{before}"
    return NextStep(Step.TASTE_AGAIN.name.lower(), text, f"one thing is open: {first.question}")


def _ask_for_gaps(at: Standing) -> NextStep | None:
    if not at.gaps:
        return None
    return _step(Step.ASK, counted(len(at.gaps), "question"), f"still missing: {listed(at.gaps)}")


RULES: tuple[Callable[[Standing], NextStep | None], ...] = (
    _leave_what_was_refused,
    _taste_what_was_not,
    _leave_what_others_beat,
    _leave_what_is_liked_little,
    _ask_when_the_offer_is_over,
    _ask_for_its_class,
    _ask_about_doubts,
    _see_to_a_tea_that_moved,
    _taste_what_is_open,
    _ask_for_gaps,
)


def _step(step: Step, particulars: str, why: str) -> NextStep:
    joint = " " if particulars.startswith("for ") else ": "
    text = f"{step.value}{joint}{particulars}" if particulars else step.value
    return NextStep(step.name.lower(), text, why)


def _before(at: Standing) -> str:
    if at.offer_until is None or at.offer_until < at.made_on:
        return ""
    return f", before {said_day(at.offer_until, seen_from=at.made_on)}"


def _s(count: int) -> str:
    return "es" if count == 1 else ""


def _nothing_open(at: Standing) -> str:
    missing = at.lighter_gaps
    parts = ["it is tasted", "its papers add up" if missing else "its papers are complete"]
    if at.last_year == "yes":
        parts.append("it is last year's tea")
    if at.on_shortlist:
        close = (
            "; it and its rivals are too close for cups, so choose by price and kilos" if at.too_close else ""
        )
        parts.append(f"nothing of its kind is surely better{close}")
    if at.on_shortlist is None:
        parts.append("it was ranked with no other, so how it stands to its kind is not known")
    still = f"; still to ask before an order: {listed(missing)}" if missing else ""
    return listed(parts) + still
