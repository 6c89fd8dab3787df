"""When two readings of one fact are the same: numbers within their rounding, dates by what is known."""

import re
from typing import Any

LOT_FIELDS = (
    *("code", "name", "producer", "region", "elev", "harvest", "cv", "ox", "roast", "price", "moq", "avail"),
    *("claims", "markup", "verdict", "liking", "words"),
)


def same_fact(name: str, wanted: Any, got: Any) -> bool:
    """Return whether two readings of the field `name` say the same.

    >>> same_fact("elev", {"m": 1402}, {"m": 1402.08})
    True
    >>> same_fact("price", None, {"amount": 3})
    False
    """
    if name in _SAME:
        return bool(_SAME[name](wanted, got))
    return same_text(wanted, got)


def same_text(wanted: Any, got: Any) -> bool:
    """Return whether two texts agree but for the spaces around them."""
    return _spaced(wanted) == _spaced(got)


def _spaced(text: Any) -> str:
    return re.sub(r"\s+", " ", str(text)).strip() if text not in (None, "") else ""


def _number(wanted: Any, got: Any, *, within: float = 1e-6) -> bool:
    if wanted is None or got is None:
        return wanted is None and got is None
    try:
        return abs(float(wanted) - float(got)) <= within
    except (TypeError, ValueError):
        return False


def _near(wanted: Any, got: Any, share: float = 0.005) -> bool:
    return _number(wanted, got, within=abs(float(wanted or 0)) * share + 1e-9)


def _same_elevation(wanted: Any, got: Any) -> bool:
    if wanted is None:
        return got is None or all(got.get(end) is None for end in ("m", "m_min", "m_max"))
    if not isinstance(got, dict):
        return False
    ends = [end for end in ("m", "m_min", "m_max") if wanted.get(end) is not None]
    return all(_number(wanted[end], got.get(end), within=1.01) for end in ends)


def _same_harvest(wanted: Any, got: Any) -> bool:
    if wanted is None or got is None:
        return wanted is None and got is None
    if wanted["precision"] == "loose":
        return bool(got.get("year") == wanted["year"])
    if got.get("precision") != wanted["precision"]:
        return False
    names = ("from", "to") if wanted.get("from") else ("year", "month", "part", "season")
    if wanted.get("implausible") and not got.get("implausible"):
        return False
    return all(same_text(wanted.get(name), got.get(name)) for name in names if name in wanted)


def _same_price(wanted: Any, got: Any) -> bool:
    if wanted is None:
        return got is None or got.get("amount") is None
    if not isinstance(got, dict) or got.get("currency") != wanted["currency"]:
        return False
    return all(_near(wanted[name], got.get(name), 0.001) for name in ("amount", "per_g", "per_kg"))


def _same_weight(wanted: Any, got: Any) -> bool:
    if wanted is None:
        return got is None or got.get("g") is None
    return isinstance(got, dict) and _near(wanted["g"], got.get("g"), 0.001)


def _same_degree(wanted: Any, got: Any) -> bool:
    if wanted is None:
        return got is None
    if not isinstance(got, dict):
        return False
    if wanted.get("word"):
        return str(got.get("word")).casefold() in (wanted["word"], wanted.get("written"))
    ends = [end for end in ("pct", "pct_min", "pct_max") if wanted.get(end) is not None]
    return all(_number(wanted[end], got.get(end), within=1e-6) for end in ends)


_SAME = {
    "number": _number,
    "liking": _number,
    "markup": _number,
    "elev": _same_elevation,
    "harvest": _same_harvest,
    "price": _same_price,
    "moq": _same_weight,
    "avail": _same_weight,
    "ox": _same_degree,
    "roast": _same_degree,
}
