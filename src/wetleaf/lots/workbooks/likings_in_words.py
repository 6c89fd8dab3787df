"""Likings that stand inside remarks: `8/10 lovely, plum`, `plum, soft - 7.5/10`."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

_OUT_OF = r"\s*(?:/|out of|von|sur)\s*"
_TOPS = "5|10|20|100"
_LIKING = re.compile(
    rf"^\s*(?P<first>\d{{1,3}}(?:[.,]\d)?)\s*(?P<half>½)?{_OUT_OF}(?P<top>{_TOPS})(?![\d./])"
    rf"|(?<![\d./])(?P<last>\d{{1,3}}(?:[.,]\d)?)\s*(?P<half2>½)?{_OUT_OF}(?P<top2>{_TOPS})\W*$",
    re.IGNORECASE,
)
USUAL = 0.5  # share of the remarks that hold a liking where a buyer writes them so


@dataclass(frozen=True)
class SaidLiking:
    """A liking cut from a remark, on a scale from 0 to `top`."""

    value: float
    top: float


def liking_in(text: str) -> SaidLiking | None:
    """Give the liking that a remark begins or ends with.

    >>> liking_in("8/10 lovely, plum"), liking_in("plum, soft, 7.5/10"), liking_in("brewed 1/2 strength")
    (SaidLiking(value=8.0, top=10.0), SaidLiking(value=7.5, top=10.0), None)
    """
    found = _LIKING.search(text)
    if found is None:
        return None
    number, top = found["first"] or found["last"], found["top"] or found["top2"]
    value = float(number.replace(",", ".")) + (0.5 if found["half"] or found["half2"] else 0.0)
    return SaidLiking(value, float(top)) if value <= float(top) else None


def tells_likings(texts: Iterable[str]) -> bool:
    """Say whether a column of remarks is written so: most of them hold a liking, all on one scale."""
    said = [text for text in texts if text.strip()]
    likings = [found for text in said if (found := liking_in(text)) is not None]
    return len(likings) >= max(2, USUAL * len(said)) and len({one.top for one in likings}) == 1
