"""Whether a lot with everything drawn fits one A4 page: an estimate in millimetres by how much is said of it.

Where it does not, paper draws its intensities once, in the profile, and the ladder keeps the words.
"""

from wetleaf.findings.book import Ladder, LotPage

_PAGE = 250.0  # of 275 mm between the margins: an estimate needs room for its error
_HEAD = 62.0  # title, sentence, next step and the questions
_SIGNS_A_LINE = 55  # of a note, in one of its two columns
_SIGNS_BESIDE = 75  # of what stands beside an answer


def fits_a_page(lot: LotPage) -> bool:
    """Whether title, facts, ladder with its bars, profile, notes and what would settle it fit one A4 page."""
    return _HEAD + _beside(lot) + _facts(lot) + _ladder(lot.ladder) + _rest(lot) <= _PAGE


def _beside(lot: LotPage) -> float:
    return 3.3 * sum(len(text) / _SIGNS_BESIDE for answer in lot.answers for text in answer.beside)


def _facts(lot: LotPage) -> float:
    lines = sum(1 + len(fact.doubt) / 26 for fact in lot.facts)
    return 8 + 3.9 * lines / 3


def _ladder(ladder: Ladder | None) -> float:
    if ladder is None:
        return 0.0
    words = sum(1 + _extra_lines(rung.left, rung.shared, rung.right) for rung in ladder.rungs)
    return 15 + 4.4 * words + 3.6 * sum(len(rung.bars) for rung in ladder.rungs)


def _extra_lines(*columns: tuple[object, ...]) -> int:
    """Lines beyond the first: three words stand on one."""
    return max((len(words) - 1) // 3 if words else 0 for words in columns)


def _rest(lot: LotPage) -> float:
    rows = len(lot.profile.rows) if lot.profile else 0
    notes = sum(1 + len(remark.text) / _SIGNS_A_LINE for remark in lot.remarks) / 2
    settle = 6 + 4.4 * len(lot.settle) if lot.settle else 0
    again = 5 + 3.8 * len(lot.again) / 2 if lot.again else 0
    profile = 22 + 4.4 * rows if rows else 0
    words = 9 if lot.this_year_words or lot.last_year_words else 0
    return profile + words + (3.7 * notes + 4 if notes else 0) + settle + again
