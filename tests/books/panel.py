"""Who tasted, and the several ways their names are written in one book."""

import unicodedata
from dataclasses import dataclass, field

from tests.books import words
from tests.books.manner import Manner
from tests.books.truth import Problem

_PLAIN = str.maketrans({"Ł": "L", "ł": "l", "ß": "s"})
_AMBIGUOUS = Problem("ambiguous_taster", "error", "two tasters could be meant; must be asked")


@dataclass
class Panel:
    """One to four tasters; `unsure` is a spelling that two of them share."""

    tasters: list[str]
    unsure: str = ""
    spellings: dict[str, list[str]] = field(default_factory=dict)

    def spell(self, manner: Manner, taster: str) -> tuple[str, Problem | None]:
        """Return one spelling of a taster, and what has to be said about it."""
        if not manner.roll(0.07):
            return self._kept(taster, taster), None
        written = manner.pick(self._ways(taster))
        if written == taster:
            return self._kept(taster, taster), None
        why = f"another spelling of {taster}; propose, let the user confirm"
        return self._kept(taster, written), Problem("taster_alias", "warn", why)

    def unsure_spelling(self, manner: Manner) -> tuple[str, Problem] | None:
        """Return, rarely and once, a spelling that two tasters share."""
        if not self.unsure or not manner.roll(0.02):
            return None
        written, self.unsure = self.unsure, ""
        return written, _AMBIGUOUS

    def _ways(self, taster: str) -> list[str]:
        ways = [taster.lower(), taster.upper(), f"{taster} ", without_marks(taster)]
        alone = sum(other[0] == taster[0] for other in self.tasters) == 1
        if alone and taster.isascii():
            ways += [f"{taster[0]}.", f"{taster} {words.SURNAME_INITIALS[len(taster) % 6]}."]
        if taster[-1] == "." or not taster[0].isascii():
            return [f"{taster} ", taster.lower()] if taster[0] not in "Ł" else ways[:4]
        return ways

    def _kept(self, taster: str, written: str) -> str:
        ways = self.spellings.setdefault(taster, [taster])
        if written not in ways:
            ways.append(written)
        return written


def make_panel(manner: Manner, count: int) -> Panel:
    """Choose tasters; in some books two share an initial, or a first name."""
    pool = words.TASTERS.get(manner.language, words.TASTERS["en"])
    if manner.language == "en" and count >= 2 and manner.roll(0.12):
        return Panel(["Mei", "Marta", *manner.rng.sample(("Ruth", "Björn", "Noor"), count - 2)], unsure="M.")
    if manner.language == "en" and count >= 2 and manner.roll(0.08):
        return Panel(
            ["Ruth K.", "Ruth P.", *manner.rng.sample(("Mei", "Björn", "Noor"), count - 2)], unsure="Ruth"
        )
    return Panel(manner.rng.sample(pool, min(count, len(pool))))


def without_marks(name: str) -> str:
    """Return a name without accents.

    >>> without_marks("Łukasz Tomás")
    'Lukasz Tomas'
    """
    parts = unicodedata.normalize("NFD", name.translate(_PLAIN))
    return "".join(sign for sign in parts if not unicodedata.combining(sign))
