"""What a seller says of a lot that has to be shown: organic, high mountain, old trees, a contest."""

from collections.abc import Iterator
from typing import Any

from wetleaf.trade.facts import Doubt, LotFacts, doubt, said_days, said_metres
from wetleaf.trade.origins import Place
from wetleaf.trade.spelling import fold, mentions
from wetleaf.trade.tables import ground_of, toml_table

_TABLE = "lot_claims.toml"
_DATA = toml_table(_TABLE)
_TAKEN_BACK = tuple(fold(word) for word in _DATA["taken_back"]["say"])
_NO = frozenset(
    {"", "no", "none", "n a", "na", "conventional", "not", "nein", "non", "unknown", "否", "无", "不"}
)
_ROUNDING_M = 20


def doubts_of_claims(facts: LotFacts, place: Place) -> tuple[Doubt, ...]:
    """Return a doubt for every claim in a lot's name or papers that nothing yet shows.

    >>> from wetleaf.trade.origins import find_place
    >>> facts = LotFacts(name="Crane Step high mountain", elevation_m_min=750, organic="organic")
    >>> [doubt.question_key for doubt in doubts_of_claims(facts, find_place("Lugu"))]
    ['claim_organic', 'claim_height']
    """
    return (*_claims(facts), *_heights(facts, place))


def _claims(facts: LotFacts) -> Iterator[Doubt]:
    for row in _DATA["claim"]:
        word = _said(facts, row["say"]) or (_stated_organic(facts) if row["key"] == "organic" else "")
        if word and not _is_settled(facts, row):
            meaning = "" if fold(word) == fold(row["name"]) else f", {row['name']}"
            what = f"'{word}'{meaning}: nothing shows it"
            source = str(ground_of(row, _TABLE))
            blanks = _blanks(facts, word, row)
            yield doubt(what, row["field"], row["why"], source, row["question"], row["weight"], **blanks)


def _stated_organic(facts: LotFacts) -> str:
    """Return what stands in a column headed "organic", such as "yes", unless it says no."""
    return "" if fold(facts.organic) in _NO else "organic"


def _blanks(facts: LotFacts, word: str, row: dict[str, Any]) -> dict[str, str]:
    if row["key"] == "one_day" and facts.harvest_span:
        return {"claim": word, "harvest": said_days(facts.harvest_span)}
    return {"claim": word}


def _is_settled(facts: LotFacts, row: dict[str, Any]) -> bool:
    if row["key"] == "one_day":
        span = facts.harvest_span
        exact = facts.harvest_precision in ("", "day", "range")
        return span is None or not exact or span[0] == span[1]
    return bool(row.get("settled_by") and getattr(facts, row["settled_by"]))


def _said(facts: LotFacts, words: list[str]) -> str:
    """Return the word of a claim in the lot's papers, or nothing if it is taken back ("not organic")."""
    texts = [fold(text) for text in (facts.organic, facts.claims, facts.name)]
    for word in sorted(words, key=len, reverse=True):
        folded = fold(word)
        if any(mentions(text, folded) and not _taken_back(text, folded) for text in texts):
            return word
    return ""


def _taken_back(text: str, folded: str) -> bool:
    return any(mentions(text, f"{no} {folded}") or mentions(text, f"{no}{folded}") for no in _TAKEN_BACK)


def _heights(facts: LotFacts, place: Place) -> Iterator[Doubt]:
    span = facts.elevation_m
    for row in _DATA["height"]:
        word = _said(facts, row["say"])
        if word and span and place.country in row["countries"] and not _fits(span, row):
            what, why = f"'{word}' at {said_metres(span)} m", f"{row['name']} means {_bounds(row)} there"
            blanks = {"claim": word, "elevation": said_metres(span)}
            yield doubt(what, "elevation", why, str(ground_of(row, _TABLE)), "claim_height", 79, **blanks)


def _fits(span: tuple[float, float], row: dict[str, Any]) -> bool:
    return bool(span[1] >= row["least_m"] - _ROUNDING_M and span[0] <= row["most_m"] + _ROUNDING_M)


def _bounds(row: dict[str, Any]) -> str:
    return f"from {row['least_m']} m" if row["least_m"] else f"up to {row['most_m']} m"
