"""Who tasted and what was in the cup, under whatever spelling: proposals for a person to confirm,
never silent.

A spelling is joined to another only when one person or one sample can be meant; an initial that
two share, or a code that no lot carries, is left open.
"""

import copy
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from rapidfuzz import process
from rapidfuzz.distance import DamerauLevenshtein

from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.keys import SheetKey
from wetleaf.lots.workbooks.recognised import code_key


@dataclass(frozen=True)
class NameReading:
    """A name as it is to be used, or None; `kind` names the problem with the spelling, `""` if
    there is none.
    """

    name: str | None
    kind: str = ""
    why: str = ""


class TasterNames:
    """All spellings of tasters in a book and the one each is taken for."""

    def __init__(self, spellings: Mapping[str, int], told: Mapping[str, str] | None = None) -> None:
        self._told = {fold(k): v for k, v in (told or {}).items()}
        counts = Counter({raw: number for raw, number in spellings.items() if fold(raw)})
        groups: dict[str, Counter[str]] = defaultdict(Counter)
        for raw, number in counts.items():
            groups[fold(raw)][raw.strip()] += number
        self._groups = groups
        self._of: dict[str, NameReading] = {}
        self._settle()

    def _settle(self) -> None:
        totals = {key: sum(group.values()) for key, group in self._groups.items()}
        whole = {key for key in totals if not _is_initial(key)}
        target = {key: self._target(key, totals, whole) for key in totals}
        for key, found in target.items():
            goal = {self._follow(one, target) for one in found} if len(found) > 1 else found
            if len(goal) > 1:
                names = " or ".join(sorted(self._display(k) for k in goal))
                self._of[key] = NameReading(None, "ambiguous_taster", f"this may be {names}")
                continue
            home = self._follow(next(iter(goal)), target)
            family = [k for k in target if self._follow(k, target) == home]
            display = self._display(max(family, key=lambda k: (totals[k], len(k))))
            self._of[key] = NameReading(display)

    def _follow(self, key: str, target: Mapping[str, set[str]]) -> str:
        seen = {key}
        while len(target[key]) == 1 and (onward := next(iter(target[key]))) not in seen:
            key = onward
            seen.add(key)
        return key

    def _display(self, key: str) -> str:
        group = self._groups[key]
        return max(group, key=lambda raw: (group[raw], raw[:1].isupper(), not raw.isascii(), raw))

    def _target(self, key: str, totals: Mapping[str, int], whole: set[str]) -> set[str]:
        """The keys that a spelling may stand for; itself alone when it is a name of its own."""
        others = whole - {key}
        if _is_initial(key):
            return _by_initials(key, others) or {key}
        longer = {k for k in others if k.startswith(f"{key} ")}
        shorter = {k for k in others if key.startswith(f"{k} ")}
        if longer:
            return longer if len(longer) > 1 else {key}
        if len(shorter) == 1:
            rivals = {k for k in others if k.startswith(f"{next(iter(shorter))} ")}
            return {key} if rivals else shorter
        rare = {k for k in others if totals[k] >= 4 * totals[key]}
        cut = {k for k in rare if len(key) >= 3 and k.startswith(key) and " " not in k}
        typo = {k for k in rare if len(key) >= 4 and DamerauLevenshtein.distance(k, key) == 1}
        return cut if len(cut) == 1 else typo if len(typo) == 1 else {key}

    def of(self, raw: str) -> NameReading:
        """Say whom a spelling stands for."""
        told = self._told.get(fold(raw))
        if told:
            return NameReading(told)
        reading = self._of.get(fold(raw))
        if reading is None:
            return NameReading(None)
        if reading.name is not None and raw != reading.name:
            return NameReading(reading.name, "taster_alias", f"another spelling of {reading.name}")
        return reading

    def aliases(self, spellings: Iterable[str]) -> dict[str, tuple[str, ...]]:
        """Give for each taster the spellings met, the one used first."""
        found: dict[str, list[str]] = {}
        for raw in spellings:
            name = self.of(raw).name
            if name is not None and raw not in found.setdefault(name, [name]):
                found[name].append(raw)
        return {name: tuple(ways) for name, ways in found.items()}


def _is_initial(key: str) -> bool:
    return bool(re.fullmatch(r"[^\W\d_](?: ?[^\W\d_])?", key)) and key.isascii()


def _by_initials(key: str, names: set[str]) -> set[str]:
    letters = key.replace(" ", "")
    full = {n for n in names if "".join(word[0] for word in n.split()) == letters}
    if full:
        return full
    return {n for n in names if n[0] == letters} if len(letters) == 1 else set()


class SampleCodes:
    """The codes that lots carry, and what each code at the table stands for."""

    def __init__(
        self,
        lot_codes: Iterable[tuple[str, str | None]],
        seen: Mapping[str, int],
        told: Mapping[str, str] | None = None,
    ) -> None:
        """`lot_codes`: code and tea's name of each lot; `seen`: the codes of the score sheets with
        their counts.
        """
        lots = list(lot_codes)
        self.from_lots = bool(lots)
        self._told = {k.strip(): v for k, v in (told or {}).items()}
        self.exact = {code for code, _ in lots}
        self._by_key: dict[str, set[str]] = defaultdict(set)
        self._by_name: dict[str, set[str]] = defaultdict(set)
        for code, name in lots:
            self._by_key[code_key(code)].add(code)
            if name:
                self._by_name[fold(name)].add(code)
        self._key = SheetKey()
        self._key_first = False
        if not lots:
            self._from_sheets(seen)

    def under(self, key: SheetKey, used: Iterable[str]) -> "SampleCodes":
        """Give these codes as a sheet uses them that was tasted blind; `used` are the codes on it."""
        codes = [text.strip() for text in used if text.strip()]
        in_key = sum(key.holds(text) for text in codes)
        blind = copy.copy(self)
        blind._key = key
        blind._key_first = in_key > sum(text in self.exact for text in codes)
        return blind

    def blind_code(self, raw: str) -> str:
        """Give a code as the key writes it, where the key says what it was; "" for every other text."""
        text = raw.strip()
        is_blind = self._key.holds(text) and (self._key_first or raw not in self.exact)
        return self._key.writes(text) if is_blind and text not in self._told else ""

    def _blind(self, text: str, sitting: str) -> NameReading:
        """The lot under a code; what is wrong with the key itself is named there, not again here."""
        lots, written = self._key.lots_of(text, sitting), self._key.writes(text)
        names = {self._of_lot(lot).name for lot in lots}
        if len(names) == 1 and text == written:
            return NameReading(next(iter(names)))
        if len(names) == 1:
            why = f"case, spaces or signs differ from {written}, the code in the key"
            return NameReading(next(iter(names)), "sample_alias", why)
        if self._key.contradicts(text):
            return NameReading(None)
        which = " or ".join(sorted(lots))
        return NameReading(None, "blind_code_twice", f"the keys give this code to {which}")

    def _of_lot(self, raw: str) -> NameReading:
        """Say which lot a text means, whatever codes were used at the table."""
        text = raw.strip()
        if text in self._told:
            return NameReading(self._told[text])
        if raw in self.exact:
            return NameReading(raw)
        return self._nearly(text)

    def _from_sheets(self, seen: Mapping[str, int]) -> None:
        groups: dict[str, Counter[str]] = defaultdict(Counter)
        for raw, number in seen.items():
            groups[code_key(raw) or raw.strip()][raw.strip()] += number
        for key, group in groups.items():
            best = max(group, key=lambda raw: (group[raw], raw.upper() == raw, raw))
            self.exact.add(best)
            self._by_key[key] = {best}

    def of(self, raw: str, sitting: str = "") -> NameReading:
        """Say which sample a code at the table is, and what is odd about the way it is written;
        `sitting` tells which key counts where one code stood for two lots.
        """
        text = raw.strip()
        if text in self._told:
            return NameReading(self._told[text])
        known = raw in self.exact
        if self._key.holds(text) and (self._key_first or not known):
            return self._blind(raw, sitting)
        return NameReading(raw) if known else self._nearly(text)

    def _nearly(self, text: str) -> NameReading:
        matches = self._by_key.get(code_key(text) or text, set())
        if text in self.exact:
            matches = {text}
        if len(matches) == 1:
            code = next(iter(matches))
            return NameReading(code, "sample_alias", f"case, spaces or signs differ from {code}")
        if len(matches) > 1:
            return NameReading(None, "ambiguous_sample", f"this may be {' or '.join(sorted(matches))}")
        return self._by_tea_name(text)

    def _by_tea_name(self, text: str) -> NameReading:
        named = self._by_name.get(fold(text), set())
        if len(named) == 1:
            code = next(iter(named))
            return NameReading(
                code, "sample_by_name", f"the tea's name stands where its code, {code}, should"
            )
        if len(named) > 1:
            return NameReading(None, "ambiguous_sample", f"teas of this name are {', '.join(sorted(named))}")
        near = process.extractOne(text, sorted(self.exact), score_cutoff=75)
        hint = f"; the nearest is {near[0]}" if near else ""
        key = ", and the key of blind codes does not hold it" if self._key else ""
        return NameReading(None, "unknown_sample", f"no lot carries this code{key}{hint}")
