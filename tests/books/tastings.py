"""What a score sheet is about: the panel, the codes on the table, the attributes, the scale, the sittings."""

from dataclasses import dataclass, field

from tests.books import words
from tests.books.manner import Manner
from tests.books.panel import Panel
from tests.books.score_cells import Scale
from tests.books.truth import Problem, Truth

_ALIAS = "case, spaces or dash differ from {}"
_UNKNOWN = Problem(
    "unknown_sample", "error", "no such sample on the lots sheet; may be proposed, never assigned"
)


@dataclass
class Tasting:
    """One table of cups. `attributes` is a list of (stage, attribute)."""

    manner: Manner
    panel: Panel
    codes: list[str]
    attributes: list[tuple[str, str]]
    scale: Scale
    known: set[str] = field(default_factory=set)
    rich: bool = True
    session: str | None = None

    def spell_sample(self, code: str) -> tuple[object, str | None, Problem | None]:
        """Return a spelling of a code, the sample it surely is (or None), and what has to be said."""
        if self.manner.roll(0.006) and self.known:
            return self._unknown(code), None, _UNKNOWN
        if code.isdigit():
            return (code if self.manner.text_only or self.manner.roll(0.2) else int(code)), code, None
        if not self.manner.roll(0.04):
            return code, code, None
        written = self.manner.pick(self._ways(code))
        return (
            written,
            code,
            Problem("sample_alias", "warn", _ALIAS.format(code)) if written != code else None,
        )

    def _ways(self, code: str) -> list[str]:
        ways = [code.lower(), f"{code} ", f"{code.lower()} "]
        if "-" in code:
            ways += [code.replace("-", " "), code.replace("-", ""), code.replace("-", "–")]
        clash = {"".join(filter(str.isalnum, other)).lower() for other in self.known if other != code}
        return [way for way in ways if "".join(filter(str.isalnum, way)).lower() not in clash]

    def _unknown(self, code: str) -> object:
        return 999 if code.isdigit() else self.manner.pick(("ZZ-9", "XX-99", "YQ77"))


def choose_attributes(manner: Manner, low: int, high: int) -> list[tuple[str, str]]:
    """Choose attributes, grouped by stage in the order of tasting."""
    stages = words.STAGES.get(manner.language, words.STAGES["en"])
    every = [(stage, attribute) for stage, names in stages.items() for attribute in names]
    chosen = set(manner.rng.sample(range(len(every)), min(len(every), manner.rng.randint(low, high))))
    return [pair for place, pair in enumerate(every) if place in chosen]


def name_samples(truth: Truth, codes: list[str]) -> None:
    """List the samples that tastings use; a code that two lots carry must be asked about."""
    for code in codes:
        if any(sample["code"] == code for sample in truth.samples):
            continue
        lots = [{"sheet": lot["sheet"], "row": lot["row"]} for lot in truth.lots if lot["code"] == code]
        truth.samples.append({"code": code, "lots": lots, "ambiguous": len(lots) > 1})
        if len(lots) > 1:
            entry = {
                "sheet": None,
                "cell": None,
                "raw": code,
                "kind": "sample_code_ambiguous",
                "severity": "error",
            }
            truth.problems.append(
                entry | {"why": "scored under a code that two lots carry", "careful_reading": None}
            )
