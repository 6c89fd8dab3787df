"""A lot typed in one line, as read by `trade.onelines`, onto the books."""

import datetime as dt
import re
from dataclasses import replace
from typing import Any

from wetleaf.lots.actions import free_code, new_lot, note_fact
from wetleaf.lots.models import Fact, Lot, Season
from wetleaf.lots.moments import one_at_a_time
from wetleaf.lots.offers import OfferSaid, make_offer
from wetleaf.trade.classes import find_class
from wetleaf.trade.dates import PartialDate, on_day, parse_date
from wetleaf.trade.errors import BadInput
from wetleaf.trade.facts import LotFacts
from wetleaf.trade.onelines import LotLine
from wetleaf.trade.quantities import Elevation, parse_degree


def add_lot_in_one_line(
    season: Season, line: LotLine, *, source: str = "typed in one line", now: dt.datetime | None = None
) -> Lot:
    """Put a lot that was typed in one line onto the books, with its facts and its offer.

    Without a code it gets the next free one made from its place or name; words that state nothing are kept as
    a remark. Raises BadInput for a code in use and for a line that nothing was made of.
    """
    facts = line.facts
    said = _said_in_line(line)
    if not said and not facts.name and line.price is None:
        raise BadInput(
            f"'{line.written}' says nothing of a tea.", way_out="Name at least its place or cultivar."
        )
    with one_at_a_time():
        lot = new_lot(
            season,
            facts.code or free_code(season, _stem(facts.place or facts.name or facts.cultivar)),
            facts.name or " ".join(part for part in (facts.place, facts.cultivar) if part),
            producer=facts.producer,
            tea_class=found.key if (found := find_class(facts.tea_class)) else "",
            source=source,
        )
        for field, (written, value) in said.items():
            note_fact(lot, field, written, value, source=source, now=now)
        if line.remarks:
            note_fact(lot, "remarks", line.remarks, ground=Fact.Ground.BUYER, source=source, now=now)
        make_offer(lot, _offer_in_line(line), source=source, now=now)
    return lot


def _stem(text: str) -> str:
    letters = re.sub(r"[^A-Z]", "", text.upper())
    return letters[:2] if len(letters) > 1 else "LOT"


def _said_in_line(line: LotLine) -> dict[str, tuple[str, Any]]:
    """The facts of a line by field, each as written and as read."""
    facts = line.facts
    said: dict[str, tuple[str, Any]] = {
        "region": (facts.place, None),
        "cv": (facts.cultivar, None),
        "ox": (facts.oxidation, parse_degree(facts.oxidation).value if facts.oxidation else None),
        "roast": (facts.roast, parse_degree(facts.roast).value if facts.roast else None),
        "season": (facts.season, None),
        "tea_class": (facts.tea_class, None),
        "harvest": (facts.harvest_text, _harvest(facts)),
        "roast_date": (facts.roast_date.isoformat() if facts.roast_date else "", None),
        "elev": _elevation(facts),
    }
    return {field: (written, value) for field, (written, value) in said.items() if written}


def _harvest(facts: LotFacts) -> PartialDate | None:
    """The harvest as a date of its precision, with the year that was settled for it."""
    read = parse_date(facts.harvest_text).value if facts.harvest_text else None
    if read is None or facts.harvest_from is None or facts.harvest_to is None:
        return read
    if read.precision == "day":
        return on_day(facts.harvest_from)
    if read.precision in ("range", "week"):
        return replace(read, year=facts.harvest_year, start=facts.harvest_from, end=facts.harvest_to)
    return replace(read, year=facts.harvest_year)


def _elevation(facts: LotFacts) -> tuple[str, Elevation | None]:
    if facts.elevation_m is None:
        return "", None
    low, high = (round(metres) for metres in facts.elevation_m)
    if low == high:
        return f"{low} m", Elevation(m=low)
    return f"{low}-{high} m", Elevation(m_min=low, m_max=high)


def _offer_in_line(line: LotLine) -> OfferSaid:
    facts = line.facts
    return OfferSaid(
        price=line.price,
        moq_grams=facts.moq_grams,
        avail_grams=facts.available_grams,
        offer_until=on_day(line.offer_until) if line.offer_until else None,
        as_written={"price": facts.price} if facts.price else None,
    )
