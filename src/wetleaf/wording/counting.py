"""Phrases counted as they were written: who said a thing, how strongly, and who missed it."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

from wetleaf.wording.phrases import Phrase


@dataclass(frozen=True)
class CountedPhrase:
    """A phrase of one stage over several remarks. `text` is one of the ways it was written.

    `said_by` counts people, not remarks; `strength` is the middle one of those given, or None.
    """

    text: str
    stage: str
    absent: bool
    said_by: int
    times: int
    strength: int | None


def count_phrases(said: Iterable[tuple[str, Phrase]], *, by_stage: bool = True) -> tuple[CountedPhrase, ...]:
    """Return (taster, phrase) pairs counted by stage and phrase, the most said first, then as they came.

    Without `by_stage` the same phrase at two stages is one, and its stage is left empty.

    >>> from wetleaf.wording.phrases import read_phrases
    >>> said = [("Ada", phrase) for phrase in read_phrases("peas, butter")]
    >>> said += [("Ben", phrase) for phrase in read_phrases("The peas")]
    >>> [(c.text, c.said_by) for c in count_phrases(said)]
    [('peas', 2), ('butter', 1)]
    """
    heard: dict[tuple[str, str, bool], list[tuple[str, Phrase]]] = {}
    for taster, phrase in said:
        stage = phrase.stage if by_stage else ""
        heard.setdefault((stage, phrase.key, phrase.absent), []).append((taster, phrase))
    counted = [_counted(stage, pairs) for (stage, _, _), pairs in heard.items()]
    return tuple(sorted(counted, key=lambda one: (-one.said_by, -one.times)))


def _counted(stage: str, pairs: list[tuple[str, Phrase]]) -> CountedPhrase:
    first = pairs[0][1]
    written = Counter(phrase.text for _, phrase in pairs).most_common(1)[0][0]
    strengths = [phrase.strength for _, phrase in pairs if phrase.strength is not None]
    return CountedPhrase(
        text=written,
        stage=stage,
        absent=first.absent,
        said_by=len({taster for taster, _ in pairs}),
        times=len(pairs),
        strength=round(median(strengths)) if strengths else None,
    )
