"""What a lot's papers do not say, and why it matters. Weights order the questions, the heaviest first."""

import datetime as dt
from collections.abc import Iterator

from wetleaf.trade.facts import Doubt, gap, said_days
from wetleaf.trade.seen_lot import SeenLot, is_unroasted, is_unsaid


def gaps_of(lot: SeenLot) -> Iterator[Doubt]:
    """Yield everything the papers of a lot leave out."""
    for check in _CHECKS:
        yield from check(lot)


def _harvest_gap(lot: SeenLot) -> Iterator[Doubt]:
    facts = lot.facts
    exact = facts.harvest_precision in ("", "day", "range", "week", "part_of_month")
    if facts.harvest_span and exact:
        return
    said = facts.harvest_text or facts.season or (str(facts.harvest_year) if facts.harvest_year else "")
    if not said and not facts.harvest_span:
        why = "season, freshness and last year's tea are all judged by it"
        yield gap("no harvest date", "harvest", why, "ask_harvest_date", 100)
    elif facts.vintage is None:
        why = "the words name no year"
        yield gap("no harvest year", "harvest", why, "ask_harvest_year", 90, harvest=said)
    else:
        why = "a season or a month may hold several pickings"
        harvest = said or said_days(facts.harvest_span or (dt.date.min, dt.date.min))
        yield gap("no harvest day", "harvest", why, "ask_harvest_day", 40, harvest=harvest)


def _place_gap(lot: SeenLot) -> Iterator[Doubt]:
    if is_unsaid(lot.facts.place) and is_unsaid(lot.facts.origin):
        why = "without it no elevation, season or cultivar can be checked"
        yield gap("no place", "place", why, "ask_place", 95)


def _elevation_gap(lot: SeenLot) -> Iterator[Doubt]:
    if lot.facts.elevation_m is None:
        why = "it goes far to explain price and character"
        yield gap("no elevation", "elevation", why, "ask_elevation", 75)


def _cultivar_gap(lot: SeenLot) -> Iterator[Doubt]:
    if is_unsaid(lot.facts.cultivar):
        yield gap("no cultivar", "cultivar", "the card has to name it or say so", "ask_cultivar", 70)


def _making_gaps(lot: SeenLot) -> Iterator[Doubt]:
    facts, oolong = lot.facts, lot.tea_class == "oolong"
    if not lot.tea_class:
        why = "lots are compared within a class only"
        yield gap("no class of tea", "tea_class", why, "ask_class", 72)
    if oolong and is_unsaid(facts.roast):
        yield gap("no roast", "roast", "an oolong may be green or fired", "ask_roast", 55)
    elif facts.roast_date is None and oolong and not is_unroasted(facts.roast):
        why = "a fired tea settles for weeks: the day says when it can be judged"
        yield gap("no roast date", "roast_date", why, "ask_roast_date", 50, roast=facts.roast.strip())
    if oolong and is_unsaid(facts.oxidation):
        yield gap("no oxidation", "oxidation", "light, medium or high is enough", "ask_oxidation", 25)


def _paper_gaps(lot: SeenLot) -> Iterator[Doubt]:
    if not lot.facts.residue_paper:
        what = "no residue paper" if lot.facts.residue_paper is False else "residue paper not asked for"
        why = "limits are set by the law of the country of sale; ask there which apply"
        yield gap(what, "residue_paper", why, "ask_residue_paper", 60)


def _offer_gaps(lot: SeenLot) -> Iterator[Doubt]:
    if is_unsaid(lot.facts.price):
        yield gap("no price", "price", "without it nothing can be weighed", "ask_price", 45)
    if lot.facts.available_grams is None:
        yield gap("no quantity", "available_grams", "it decides what can be promised", "ask_available", 30)
    if lot.facts.moq_grams is None:
        yield gap("no smallest order", "moq_grams", "it decides what can be tried", "ask_smallest_order", 20)


_CHECKS = (_harvest_gap, _place_gap, _elevation_gap, _cultivar_gap, _making_gaps, _paper_gaps, _offer_gaps)
