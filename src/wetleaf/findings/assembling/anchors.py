"""Anchors: short names for places in the book, of letters and numbers only."""

import hashlib
import re

_NOT_PLAIN = re.compile(r"[^a-z0-9]+")


def anchor_of(kind: str, name: str) -> str:
    """Return the anchor of a lot or a flight; a name in other scripts gets a short digest instead of letters.

    >>> anchor_of("lot", "LU-07"), anchor_of("flight", "12 May")
    ('lot-lu-07', 'flight-12-may')
    >>> anchor_of("lot", "石盆") != anchor_of("lot", "鶴階")
    True
    """
    plain = _NOT_PLAIN.sub("-", name.casefold()).strip("-")
    if plain and plain == name.casefold().replace(" ", "-"):
        return f"{kind}-{plain}"
    # Signs were lost on the way ("LU.7" and "LU-7"), so the digest keeps two names apart.
    digest = hashlib.sha256(name.encode()).hexdigest()[:6]
    return f"{kind}-{plain}-{digest}" if plain else f"{kind}-{digest}"
