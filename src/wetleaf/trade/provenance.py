"""The check of a lot's facts: what is not said, and what is at odds with what the trade knows.

Bands of elevation and season are for asking, never for rejecting; every doubt names what it rests on.
The checks lie in `gaps.py`, `fact_doubts.py`, `cultivar_doubts.py` and `lot_claims.py`, the sentences to
send in `questions.py`.
"""

import datetime as dt

from wetleaf.trade.cultivar_doubts import doubts_of_cultivar
from wetleaf.trade.fact_doubts import doubts_of_facts
from wetleaf.trade.facts import Doubt, LotFacts
from wetleaf.trade.gaps import gaps_of
from wetleaf.trade.lot_claims import doubts_of_claims
from wetleaf.trade.seen_lot import look_up

__all__ = ["Doubt", "LotFacts", "check_lot"]


def check_lot(facts: LotFacts, *, today: dt.date | None = None) -> tuple[Doubt, ...]:
    """Return what to ask about a lot, the weightiest first. With `today` a harvest still to come is seen.

    >>> facts = LotFacts(name="Crane Step", place="Lugu", elevation_m_min=1600, season="spring")
    >>> [(doubt.kind, doubt.field) for doubt in check_lot(facts)][:3]
    [('gap', 'harvest'), ('doubt', 'elevation'), ('gap', 'cultivar')]
    """
    lot = look_up(facts, today)
    doubts = [
        *gaps_of(lot),
        *doubts_of_facts(lot),
        *doubts_of_cultivar(lot),
        *doubts_of_claims(facts, lot.place),
    ]
    return tuple(sorted(doubts, key=lambda doubt: -doubt.weight))
