"""What would settle what is open: the cheapest way, with brews, cups, grams and the last day for it."""

import datetime as dt
from decimal import Decimal

from wetleaf.findings.assembling.answers import LAST_YEAR, PAPERS
from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.sentences import counted, said_count, said_day
from wetleaf.findings.book import AnswerWord, Settling
from wetleaf.findings.readings.forebears import kept_sample

POTS_EACH = 2  # with one pot a lot only the pots could be told apart
_USUAL_GRAMS = Decimal(3)
NO_CUP = "no sample of last year was kept: read both years' words; no cup can tell"
NO_MORE_CUPS = "no sample of last year was kept: no more cups of it can be had"
KEEP_IT_COLD = (
    "no cup of that sample can tell: next year keep one sealed and cold, with its dates, or compare with "
    "last year's profile through a tea that holds, poured in both years"
)


def settlings(case: LotCase, target: AnswerWord | None) -> tuple[Settling, ...]:
    """Return a way for every open question, those that cups can settle first."""
    ways = [
        _first_taste(case),
        _against_rivals(case),
        _against_last_year(case),
        _against_target(case, target),
        _papers(case),
    ]
    return tuple(way for way in ways if way is not None)


def can_be_tasted(way: Settling) -> bool:
    """Whether cups can settle it."""
    return bool(way.brews)


def is_too_close(case: LotCase) -> bool:
    """Whether it stands on a shortlist that even a dozen more cups each may not shorten."""
    liked = case.liked_group
    if liked is None or case.lot.key not in liked.shortlist or len(liked.shortlist) < 2:
        return False
    return liked.more_cups is None


def _first_taste(case: LotCase) -> Settling | None:
    if case.tasted:
        return None
    return _way(case, "What is it like?", "taste it once", brews=1, cups=1, teas=1)


def _against_rivals(case: LotCase) -> Settling | None:
    liked = case.liked_group
    if liked is None or liked.best or case.lot.key not in liked.shortlist or case.verdict == "no":
        return None
    others = [key for key in liked.again if key != case.lot.key and key not in case.refused]
    if not others:
        return None
    count = len(others) + 1
    question = f"Better than {others[0]}?" if len(others) == 1 else f"Which of {count} is best?"
    what = others[0] if len(others) == 1 else _named_rivals(others, liked.shortlist, case.lot.key)
    if liked.more_cups is None:
        return Settling(
            question, "too close: a dozen more cups of each may not tell; choose by price and kilos"
        )
    brews = max(POTS_EACH, liked.more_cups)
    way = f"beside {what}, blind, {counted(brews, 'pot')} each"
    cups = brews * count * case.season.people
    until = case.first_deadline((case.lot.key, *others))
    return _way(case, question, way, brews=brews, cups=cups, teas=1, until=until)


def _named_rivals(others: list[str], shortlist: tuple[str, ...], own: str) -> str:
    """Say who stands beside it: the lots worth a cup may be more than the shortlist: counted."""
    if {*others, own} == set(shortlist):
        return "the others of the shortlist"
    return f"the {said_count(len(others))} others that may be the best"


def _against_last_year(case: LotCase) -> Settling | None:
    years = case.years
    if years is None or not case.tasted or years.answer != "can't tell yet" or case.verdict == "no":
        return None
    if years.faded:
        return Settling(LAST_YEAR, KEEP_IT_COLD)
    kept = kept_sample(case.season.records, years.before)
    if kept is None:
        return Settling(LAST_YEAR, NO_CUP if years.profile is None else NO_MORE_CUPS)
    if years.profile is not None and not years.has_tolerance:
        way = "say how large a difference would matter, before it is tasted again"
        return Settling(LAST_YEAR, way, when="before the next tasting")
    if years.profile is not None and years.more_brews is None:
        return Settling(
            LAST_YEAR, "another taster, or a wider tolerance: more brews with these are not likely to tell"
        )
    if years.profile is None and not _would_stand(case):
        return Settling(LAST_YEAR, KEEP_IT_COLD)
    brews = max(POTS_EACH, years.more_brews or 0)
    way = f"beside last year's kept sample, blind, {counted(brews, 'pot')} each"
    cups = brews * 2 * case.season.people
    return _way(case, LAST_YEAR, way, brews=brews, cups=cups, teas=2)


def _would_stand(case: LotCase) -> bool:
    """Whether the kept sample that is there to be poured can still stand for last year's tea."""
    return all(kept.is_stable for kept in case.kept)


def _against_target(case: LotCase, target: AnswerWord | None) -> Settling | None:
    if target != "can't tell yet" or case.target is None or case.verdict == "no":
        return None
    cups = POTS_EACH * case.season.people
    way = f"scored again, blind, {counted(POTS_EACH, 'pot')}"
    return _way(case, "Is it what its line should be?", way, brews=POTS_EACH, cups=cups, teas=1)


def _papers(case: LotCase) -> Settling | None:
    if not case.doubts and not case.heavy_gaps:
        return None
    return Settling(PAPERS, "ask the producer; no cup can tell", when="today")


def _way(
    case: LotCase,
    question: str,
    way: str,
    *,
    brews: int,
    cups: int,
    teas: int,
    until: dt.date | None = None,
) -> Settling:
    """`until` is the last day for it where other lots of the flight end before this one."""
    each = case.leaf.grams_per_brew if case.leaf else _USUAL_GRAMS
    left = case.leaf.brews if case.leaf else None
    short = left is not None and left < brews
    lack = f"; {counted(left or 0, 'brew')} left, so ask for more leaf first" if short else ""
    return Settling(question, f"{way}{lack}", brews, cups, each * brews * teas, _when(case, until))


def _when(case: LotCase, first: dt.date | None = None) -> str:
    until = first or case.offer_until
    if until is None:
        return "no date given"
    if until < case.made_on:
        return f"the offer ended on {said_day(until, seen_from=case.made_on)}"
    return f"before {said_day(until, seen_from=case.made_on)}"
