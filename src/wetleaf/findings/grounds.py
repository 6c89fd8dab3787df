"""What a number rests on: the digest of its inputs, and the list of grounds a book prints."""

import datetime as dt
import hashlib
import json
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from wetleaf import __version__
from wetleaf.findings.book import Ground


def digest_of(rows: Iterable[tuple[Any, ...]], **settings: Any) -> str:
    """Return the SHA-256 of what went into a computation: its rows, in any order, and its settings.

    The same inputs give the same digest on any machine, whatever their order in the database.

    >>> rows = [("A", 1.0), ("B", 2.0)]
    >>> digest_of(rows, confidence=0.95) == digest_of(reversed(rows), confidence=0.95)
    True
    >>> digest_of([("A", 1.0)]) == digest_of([("A", 1.5)])
    False
    """
    lines = sorted(_line(row) for row in rows)
    lines.append(_line(sorted(settings.items())))
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


def _line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, default=_plain)


def _plain(value: Any) -> str:
    if isinstance(value, Decimal | dt.date):
        return str(value)
    raise TypeError(f"{value!r} has no place in a digest")


class Grounds:
    """The grounds of one book, numbered as they are first used: "g1", "g2"."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, str, str], Ground] = {}

    def of(
        self, question: str, *, method: str, digest: str, rests_on: Iterable[tuple[str, str]] = ()
    ) -> Ground:
        """Return the ground of a question, the same one when it is asked of the same inputs again."""
        asked = (question, method, digest)
        if asked not in self._known:
            key = f"g{len(self._known) + 1}"
            self._known[asked] = Ground(key, question, method, __version__, digest, tuple(rests_on))
        return self._known[asked]

    def all(self) -> tuple[Ground, ...]:
        """Every ground so far."""
        return tuple(self._known.values())
