"""The kinds of sample, under the words in which buyers write them (common practice)."""

from functools import lru_cache

from wetleaf.lots.workbooks.headings import fold

OFFER = "offer"
KEPT = "kept"
_WORDS = {
    "offer": "offer|offered|offer sample|angebot|angebotsmuster|offre",
    "roast trial": "roast trial|trial roast|roast test|proberöstung|röstprobe|試焙|试焙",
    "pre-shipment": "pre-shipment|preshipment|pre-shipment sample|vorversand|avant expédition",
    "arrival": "arrival|arrived|arrival sample|landed|ankunft|ankunftsmuster|arrivée|到貨樣|到货样",
    "kept": "kept|kept back|kept sample|retained|reserve|reference|rückstellmuster|conservé|留樣|留样",
}
_KINDS = {fold(word): kind for kind, words in _WORDS.items() for word in words.split("|")}


@lru_cache(maxsize=5_000)
def sample_kind(text: str) -> str:
    """Say which kind of sample a text names; "" when it names none.

    >>> sample_kind("Pre Shipment"), sample_kind("arrival sample"), sample_kind("blue box")
    ('pre-shipment', 'arrival', '')
    """
    return _KINDS.get(fold(text), "")
