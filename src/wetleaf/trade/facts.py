"""What is known of a lot as plain values, and what is doubtful in it: the records of the provenance check."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from decimal import Decimal
from typing import Literal

DoubtKind = Literal["gap", "doubt"]
HOUSE_RULE = "rule of the house"


@dataclass(frozen=True, kw_only=True)
class LotFacts:
    """The facts of one lot as its papers state them; whatever is not known stays empty.

    `harvest_precision` is day, range, week, part_of_month, month, season, year or empty; `harvest_from`
    and `harvest_to` are the first and last day the words can mean; `harvest_text` is as written.
    `residue_paper` and `organic_certificate` are None where nobody has asked yet.
    """

    code: str = ""
    name: str = ""
    producer: str = ""
    place: str = ""
    origin: str = ""
    cultivar: str = ""
    tea_class: str = ""
    season: str = ""
    harvest_from: dt.date | None = None
    harvest_to: dt.date | None = None
    harvest_year: int | None = None
    harvest_precision: str = ""
    harvest_text: str = ""
    pick: str = ""
    elevation_m_min: float | None = None
    elevation_m_max: float | None = None
    oxidation: str = ""
    roast: str = ""
    roast_date: dt.date | None = None
    price: str = ""
    moq_grams: Decimal | None = None
    available_grams: Decimal | None = None
    residue_paper: bool | None = None
    organic: str = ""
    organic_certificate: bool | None = None
    claims: str = ""

    @property
    def elevation_m(self) -> tuple[float, float] | None:
        """Return the lowest and highest metre stated, or None."""
        stated = [metres for metres in (self.elevation_m_min, self.elevation_m_max) if metres is not None]
        return (min(stated), max(stated)) if stated else None

    @property
    def harvest_span(self) -> tuple[dt.date, dt.date] | None:
        """Return the first and last day of picking that the words allow, or None."""
        days = [day for day in (self.harvest_from, self.harvest_to) if day is not None]
        return (min(days), max(days)) if days else None

    @property
    def vintage(self) -> int | None:
        """Return the year of the harvest, or None."""
        span = self.harvest_span
        return span[1].year if span else self.harvest_year


@dataclass(frozen=True)
class Doubt:
    """One thing to ask: a gap (not said) or a doubt (said, but at odds with what is known).

    `weight` orders them, the heaviest first; `question_key` and `blanks` give the sentence to send.
    """

    kind: DoubtKind
    field: str
    what: str
    why: str
    source: str
    question_key: str
    blanks: Mapping[str, str] = dataclass_field(default_factory=dict, hash=False)
    weight: int = 0


def gap(what: str, field: str, why: str, question_key: str, weight: int, **blanks: str) -> Doubt:
    """Return a thing that was not said."""
    return Doubt("gap", field, what, why, HOUSE_RULE, question_key, blanks, weight)


def doubt(
    what: str, field: str, why: str, source: str, question_key: str, weight: int, **blanks: str
) -> Doubt:
    """Return a thing that was said, but is at odds with what `source` knows."""
    return Doubt("doubt", field, what, why, source, question_key, blanks, weight)


def said_metres(span: tuple[float, float]) -> str:
    """Return an elevation as written in a sentence.

    >>> said_metres((750, 750)), said_metres((600, 800))
    ('750', '600–800')
    """
    low, high = span
    return f"{low:.0f}" if low == high else f"{low:.0f}–{high:.0f}"


def said_days(span: tuple[dt.date, dt.date]) -> str:
    """Return days of picking in a form that every language reads.

    >>> said_days((dt.date(2026, 4, 18), dt.date(2026, 4, 21)))
    '2026-04-18 – 2026-04-21'
    """
    first, last = span
    return first.isoformat() if first == last else f"{first.isoformat()} – {last.isoformat()}"
