"""Days and heights in one form where they are understood, and as written where they are not.

A column may hold "28/03/26", "2026-04-18" and "15.10.2026", or "750m" beside "1.800 m" and "300 ft": lists
show one form, and the table of facts keeps what was written.
"""

import datetime as dt
import re

from wetleaf.findings.assembling.sentences import said_day
from wetleaf.findings.readings.stated import StatedLot

_FEET = ("ft", "feet", "foot", "'")
_SAYS_PICKED = re.compile(r"^(?:picked|plucked|harvested)(?:\s+(?:on|in))?[\s:]+", re.IGNORECASE)
_ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


def shown_harvest(stated: StatedLot) -> str:
    """Say when it was picked: "18 Apr 2026" for a day that is understood, else as written."""
    written = _SAYS_PICKED.sub("", stated.written("harvest"))
    read = stated.harvest
    if read is None or read.precision != "day" or read.ambiguous or read.implausible or read.doubtful:
        return written
    if read.start is None:
        return written
    about = "about " if read.approximate else ""
    return f"{about}{read.start.day} {read.start:%b} {read.start.year}"


def shown_elevation(stated: StatedLot) -> str:
    """Say how high it grows: "750 m", "600 to 800 m", "91 m (300 ft)"; as written if not understood."""
    written, read = stated.written("elev"), stated.elevation
    if read is None:
        return written
    about = "about " if read.approximate else ""
    feet = f" ({written})" if read.unit_written.casefold().strip(".") in _FEET else ""
    if read.m_min is not None and read.m_max is not None and read.m_min != read.m_max:
        return f"{about}{read.m_min} to {read.m_max} m{feet}"
    metres = read.m if read.m is not None else read.m_min
    return written if metres is None else f"{about}{metres} m{feet}"


def shown_cell(written: str) -> str:
    """Say a sheet's true date as a day, and anything else as it was written.

    >>> shown_cell("2026-12-10"), shown_cell("10 Dec")
    ('10 December 2026', '10 Dec')
    """
    if not _ISO_DAY.fullmatch(written):
        return written
    try:
        return said_day(dt.date.fromisoformat(written))
    except ValueError:
        return written
