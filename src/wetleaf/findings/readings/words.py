"""What was said of each lot: remarks and notes into phrases, counted as they were written."""

import re
from collections import defaultdict
from dataclasses import dataclass

from wetleaf.findings.records import RemarkRow, SeasonRecords
from wetleaf.wording.counting import CountedPhrase as CountedPhrase
from wetleaf.wording.counting import count_phrases
from wetleaf.wording.phrases import Phrase, phrase_key, read_phrases

# A longer phrase is a sentence: it stays among the remarks as written and is not counted as a word.
MOST_WORDS = 5
# What was done with the sample or the papers, not what the cup was like: "took 3 g", "ring before Friday".
_OF_THE_DESK = re.compile(
    r"^(?:took|used|weighed|asked|ask|ring|rang|call|called|phoned|mailed|emailed|wrote to|sent|send|paid|"
    r"ordered|booked|invoiced?|returned|filed)\b",
    re.IGNORECASE,
)
_HAS_A_WEIGHT = re.compile(r"\b\d+(?:[.,]\d+)?\s*(?:g|gr|grams?|kg|kilos?|jin|oz|lb)\b", re.IGNORECASE)
NOBODY = "not named"


@dataclass(frozen=True)
class SaidOfLot:
    """Everything said of one lot: the remarks, and their phrases counted, the most said first.

    `phrases` counts stage by stage, `words` whatever the stage.
    """

    remarks: tuple[RemarkRow, ...]
    phrases: tuple[CountedPhrase, ...]
    words: tuple[CountedPhrase, ...]

    def at(self, stage: str) -> tuple[CountedPhrase, ...]:
        """What was said at a stage; "" for what no stage was named for."""
        return tuple(phrase for phrase in self.phrases if phrase.stage == stage)


def read_words(records: SeasonRecords) -> dict[int, SaidOfLot]:
    """Return what was said of each lot, by the lot's row. Lots of which nothing was said are left out."""
    remarks: dict[int, list[RemarkRow]] = defaultdict(list)
    for remark in records.remarks:
        remarks[records.sample_of[remark.sample].lot].append(remark)
    return {lot: _said(rows) for lot, rows in remarks.items()}


def same_words(one: CountedPhrase, other: CountedPhrase) -> bool:
    """Tell whether two phrases say the same thing at the same stage, in the same words."""
    return one.stage == other.stage and said_alike(one, other)


def said_alike(one: CountedPhrase, other: CountedPhrase) -> bool:
    """Tell whether two phrases say the same thing in the same words, however strongly and at any stage."""
    return (one.absent, phrase_key(one.text)) == (other.absent, phrase_key(other.text))


def _said(remarks: list[RemarkRow]) -> SaidOfLot:
    said: list[tuple[str, Phrase]] = []
    for remark in remarks:
        phrases = read_phrases(remark.text, remark.stage)
        if _OF_THE_DESK.match(remark.text.strip()):
            continue
        said.extend((remark.taster or NOBODY, phrase) for phrase in phrases if _is_word(phrase))
    return SaidOfLot(tuple(remarks), count_phrases(said), count_phrases(said, by_stage=False))


def _is_word(phrase: Phrase) -> bool:
    return len(phrase.text.split()) <= MOST_WORDS and not _HAS_A_WEIGHT.search(phrase.text)
