"""A lot's facts with their place, cultivar, season and class looked up once, for every check to use."""

import datetime as dt
import re
from dataclasses import dataclass

from wetleaf.trade.classes import find_class, guess_class
from wetleaf.trade.cultivars import CultivarReading, read_cultivar
from wetleaf.trade.facts import LotFacts
from wetleaf.trade.origins import Place, find_place
from wetleaf.trade.seasons import Season, find_season
from wetleaf.trade.spelling import fold

ELEVATION_SLACK_M = 50
_NOT_SAID = frozenset(
    {"", "n a", "na", "tbc", "unknown", "none given", "not said", "不明", "未知", "unbekannt"}
)
_UNROASTED = re.compile(r"^(?:none|no|unroasted|not roasted|ungerostet|0|无焙火|无|清香)$")


@dataclass(frozen=True)
class SeenLot:
    """The facts of a lot and what they were read as."""

    facts: LotFacts
    place: Place
    cultivar: CultivarReading | None
    season: Season | None
    tea_class: str
    today: dt.date | None


def look_up(facts: LotFacts, today: dt.date | None) -> SeenLot:
    """Read place, cultivar, season and class from the facts."""
    place = _place_of(facts)
    guess = guess_class(
        facts.name, facts.cultivar, f"{facts.place} {facts.origin}", facts.oxidation, facts.roast
    )
    stated = find_class(facts.tea_class) if facts.tea_class else None
    guessed = guess.value if guess else ""
    season = find_season(facts.season) or find_season(facts.harvest_text) or find_season(facts.name)
    cultivar = None if is_unsaid(facts.cultivar) else read_cultivar(facts.cultivar)
    return SeenLot(facts, place, cultivar, season, stated.key if stated else guessed, today)


def _place_of(facts: LotFacts) -> Place:
    """Read the place as stated; a name such as "Dong Ding" may be a style and is not taken for one."""
    places = [find_place(text) for text in (facts.origin, facts.place) if text]
    known = [place for place in places if place.origin] or [place for place in places if place.country]
    return known[0] if known else find_place(facts.place or facts.origin)


def is_unsaid(text: str) -> bool:
    """Tell whether a cell says nothing, in one of the ways people write that."""
    return fold(text) in _NOT_SAID


def is_unroasted(roast: str) -> bool:
    """Tell whether the words say that a tea was not fired after making."""
    return bool(_UNROASTED.match(fold(roast)))


def place_words(lot: SeenLot) -> str:
    """Return the place as the producer wrote it."""
    return (lot.facts.place or lot.facts.origin).strip()
