"""The words and ticks of a first pass: keep, maybe, no."""

import re
from collections.abc import Iterable
from typing import Literal

from wetleaf.lots.workbooks.headings import fold
from wetleaf.trade.numbers import is_missing_mark

Verdict = Literal["keep", "maybe", "no"]
_WORDS: dict[Verdict, str] = {
    "keep": """keep|k|yes|y|buy|take|want|shortlist|in|tick|good|true|ok|okay|sure|love|top|yep|yup
        |ja|j|behalten|kaufen|nehmen|wahr|oui|o|garder|acheter|prendre|vrai|✓|✔|√|☑|✅|👍|+|++|○|◎|●|⭕
        |要|留|买|買|可|是|はい""",
    "maybe": """maybe|m|?|??|perhaps|poss|possibly|taste again|again|hold|undecided|reserve|so so|hmm
        |retaste|re taste|half|try again|not sure|unsure|~|½|+/-|±|△|▲|vielleicht|evtl|evtl.|eventuell
        |nochmal|peut etre|à revoir|a revoir|再看|待定|可能|保留|もう一度""",
    "no": """no|n|drop|reject|leave|out|pass|skip|bin|not for us|false|nope|never|nein|raus|weg|ablehnen
        |falsch|non|refuser|laisser|faux|✗|✘|☒|❌|👎|-|--|×|不要|不|弃|棄|否|いいえ""",
}
_VERDICTS: dict[str, Verdict] = {
    spelling: verdict for verdict, spellings in _WORDS.items() for spelling in re.split(r"\s*\|", spellings)
}
_CROSSES = frozenset(
    {"x", "xx"}
)  # a cross beside ticks is a no; where only crosses stand, they are the ticks
_TICKS = frozenset("✓✔√☑✗✘☒×✅❌👍👎○◎△●⭕▲")


def verdict_of(text: str, *, cross: Verdict | None = None) -> Verdict | None:
    """Say which verdict a text gives; `cross` is what an `x` means in its column.

    >>> verdict_of("✓"), verdict_of("Maybe?"), verdict_of("x", cross="no"), verdict_of("plum")
    ('keep', 'maybe', 'no', None)
    """
    low = text.strip().casefold()
    if low in _CROSSES:
        return cross
    return _VERDICTS.get(low) or _VERDICTS.get(fold(text)) or _VERDICTS.get(low.rstrip("?!. "))


def meaning_of_cross(texts: Iterable[str]) -> Verdict:
    """Tell what an `x` means by the other marks of its column.

    >>> meaning_of_cross(["✓", "x", "maybe"]), meaning_of_cross(["x", "", "x"])
    ('no', 'keep')
    """
    others = {verdict_of(text) for text in texts if text.strip().casefold() not in _CROSSES}
    return "no" if "keep" in others else "keep"


def is_verdict(text: str) -> bool:
    """Say whether a text is a verdict, a cross counted; a mark for no value, as `-`, is none alone."""
    low = text.strip().casefold()
    return low in _CROSSES or (verdict_of(low) is not None and not (is_missing_mark(low) and low != "?"))


def is_tick(text: str) -> bool:
    """Say whether a text is a sign that hardly means anything but a verdict."""
    return text.strip() in _TICKS
