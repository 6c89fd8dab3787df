"""Values in the forms in which they are written to a cell, each one that reading gives back as the
same value.
"""

import datetime as dt
from decimal import Decimal

from wetleaf.lots.workbooks.records import Cell, Score
from wetleaf.trade.dates import PartialDate
from wetleaf.trade.money import Price
from wetleaf.trade.quantities import Degree, Elevation

Written = str | float | dt.date | None
# The error values that ECMA-376 part 1, 18.17.3 lists.
ERROR_VALUES = frozenset(
    {"#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#GETTING_DATA"}
)
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def plain(number: Decimal | float) -> str:
    """Write a number so that its point is no thousands mark: three decimals get a fourth.

    >>> plain(Decimal("1.250")), plain(Decimal("38.50")), plain(Decimal("1E+3")), plain(Decimal("3.125"))
    ('1.25', '38.5', '1000', '3.1250')
    """
    text = f"{Decimal(str(number)).normalize():f}"
    _, point, decimals = text.partition(".")
    return text + "0" if point and len(decimals) == 3 else text


def elevation(value: Elevation | None) -> Written:
    """Write an elevation with its unit.

    >>> elevation(Elevation(m_min=600, m_max=800)), elevation(Elevation(1402, unit_written="ft", value_written=Decimal(4600)))
    ('600-800 m', '4600 ft')
    """  # noqa: E501
    if value is None:
        return None
    about = "c. " if value.approximate else ""
    if value.m is not None:
        in_feet = value.unit_written.startswith("ft") and value.value_written is not None
        return (
            f"{about}{plain(value.value_written)} ft"
            if in_feet and value.value_written is not None
            else f"{about}{value.m} m"
        )
    if value.m_min is not None and value.m_max is not None:
        return f"{about}{value.m_min}-{value.m_max} m"
    return f">{value.m_min} m" if value.m_min is not None else f"<{value.m_max} m"


def degree(value: Degree | None) -> Written:
    """Write a degree.

    >>> degree(Degree(pct=Decimal(25))), degree(Degree(word="light-medium")), degree(Degree(pct_min=Decimal(20)))
    ('25%', 'light-medium', '>20%')
    """  # noqa: E501
    if value is None:
        return None
    doubt, about = "?" if value.doubtful else "", "c. " if value.approximate else ""
    if value.word:
        return f"{value.word}{doubt}"
    if value.pct is not None:
        return f"{about}{plain(value.pct)}%{doubt}"
    if value.pct_min is not None and value.pct_max is not None:
        return f"{about}{plain(value.pct_min)}-{plain(value.pct_max)}%{doubt}"
    return (
        f">{plain(value.pct_min)}%{doubt}"
        if value.pct_min is not None
        else f"<{plain(value.pct_max or Decimal(0))}%{doubt}"
    )


def price(value: Price | None) -> Written:
    """Write a price with its currency's three letters and the grams it buys.

    >>> price(Price(Decimal("38.50"), "GBP", Decimal(1000)))
    'GBP 38.5/1000 g'
    """
    if value is None:
        return None
    money = f"{value.currency} " if value.currency else ""
    weight = f"/{plain(value.per_g)} g" if value.per_g is not None else ""
    return f"{money}{plain(value.amount)}{'?' if value.doubtful else ''}{weight}"


def grams(low: Decimal | None, high: Decimal | None = None) -> Written:
    """Write a weight in grams.

    >>> grams(Decimal(2000)), grams(Decimal(1000), Decimal(1500))
    ('2000 g', '1000-1500 g')
    """
    if low is None:
        return None
    return f"{plain(low)} g" if high is None else f"{plain(low)}-{plain(high)} g"


def date(value: PartialDate | None) -> Written:
    """Write a date as precisely as it is known; a full certain day becomes a date cell.

    >>> date(PartialDate("part_of_month", None, 4, part="late")), date(PartialDate("season", 2025, season="spring"))
    ('late April', 'spring 2025')
    """  # noqa: E501
    if value is None:
        return None
    certain = not (value.doubtful or value.approximate or value.ambiguous)
    if value.precision == "day" and value.start and certain:
        return value.start
    about = "c. " if value.approximate else ""
    return f"{about}{_date_words(value)}{'?' if value.doubtful else ''}"


def _date_words(value: PartialDate) -> str:
    year = f" {value.year}" if value.year is not None else ""
    month = _MONTHS[value.month - 1] if value.month else ""
    if value.precision == "day":
        if value.ambiguous and value.start:
            return f"{value.start.day}/{value.start.month}/{value.start.year}"
        return f"{value.day} {month}{year}"
    if value.precision == "range":
        return _range_words(value, month, year)
    if value.precision == "part_of_month":
        return f"{value.part} {month}{year}"
    if value.precision == "season":
        return f"{value.season}{year}"
    if value.precision == "week":
        return f"week {value.week}{year}"
    if value.precision == "month":
        # "April 25" could be a day: it is how an ambiguous month was written
        return f"{month} 25" if value.ambiguous else f"{month}{year}"
    return str(value.year)


def _range_words(value: PartialDate, month: str, year: str) -> str:
    if value.start and value.end:
        low, high = value.start, value.end
        if low.year != high.year:
            return f"{low.isoformat()} to {high.isoformat()}"
        return f"{low.day} {_MONTHS[low.month - 1]} - {high.day} {_MONTHS[high.month - 1]}{year}"
    last = _MONTHS[value.end_month - 1] if value.end_month else month
    return f"{value.day} {month} - {value.end_day} {last}"


def score(given: Score) -> Written:
    """Write a score: a number, a bound, a range, or what stood there if it was none of these.

    >>> from wetleaf.lots.workbooks.records import Cell
    >>> score(Score(Cell("S", "D4", ">9"), 4, "Mei", "Mei", "F-1", "F-1", "Sweet", None, "censored", lower=9, upper=10))
    '>9'
    """  # noqa: E501
    if given.status == "ok":
        return given.value
    if given.status == "missing":
        return None
    if given.status == "range" and given.lower is not None and given.upper is not None:
        return f"{plain(given.lower)}-{plain(given.upper)}"
    if given.status == "censored":
        return _bound(given)
    return as_stood(given.cell)


def _bound(given: Score) -> str:
    says = given.cell.says.strip()
    if says[:1] in "<≤" or says.startswith(("under", "below", "less", "up to")):
        return f"<{plain(given.upper or 0)}"
    return f">{plain(given.lower or 0)}"


def as_stood(cell: Cell) -> Written:
    """Give back what stood in a cell that could not be read, as the kind of value that it was."""
    text = cell.cached if cell.native == "formula" else cell.says
    if cell.native in ("number", "formula"):
        try:
            return float(text)
        except ValueError:
            return text
    if cell.native == "date":
        try:
            return dt.date.fromisoformat(text[:10])
        except ValueError:
            return text
    return text
