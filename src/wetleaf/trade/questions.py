"""The questions to send to a producer: fixed sentences with blanks, in four languages, ready to copy.

The translations are the project's own and have been checked by nobody: every letter that holds them says so.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from wetleaf.trade.classes import CLASSES
from wetleaf.trade.errors import BadInput
from wetleaf.trade.facts import Doubt
from wetleaf.trade.seasons import SEASONS
from wetleaf.trade.tables import ground_of, toml_table

_TABLE = "questions.toml"
_DATA = toml_table(_TABLE)
GROUND = ground_of(_DATA, _TABLE)
QUESTIONS: dict[str, dict[str, str]] = _DATA["question"]
_BLANK = re.compile(r"\{(\w+)\}")
UNCHECKED = "unchecked translation"


@dataclass(frozen=True)
class Language:
    """A language a letter can be written in; `checked` is False where no speaker has read the sentences."""

    key: str
    name: str
    checked: bool


LANGUAGES: dict[str, Language] = {
    key: Language(key, row["name"], row["checked"]) for key, row in _DATA["languages"].items()
}
# A country's producers are written to in their own language, where there is one here.
_SPOKEN_IN = {"Taiwan": "zh_hant", "China": "zh_hans", "Japan": "ja"}


def language_of(country: str | None) -> Language:
    """Return the language in which to write to a country's producers.

    >>> language_of("Japan").name, language_of("Nepal").name
    ('Japanese', 'English')
    """
    return LANGUAGES[_SPOKEN_IN.get(country or "", "en")]


def blanks_of(sentence: str) -> tuple[str, ...]:
    """Return the names of the blanks in a sentence, sorted.

    >>> blanks_of("Is {elevation} m right for {place}?")
    ('elevation', 'place')
    """
    return tuple(sorted(set(_BLANK.findall(sentence))))


def question(doubt: Doubt, language: str = "en") -> str:
    """Return the sentence that asks about a doubt. Raises BadInput for an unknown language or question.

    >>> from wetleaf.trade.provenance import LotFacts, check_lot
    >>> doubt = check_lot(LotFacts(name="Crane Step oolong", place="Lugu", elevation_m_min=750))[0]
    >>> question(doubt, "ja")
    'この茶の摘採日（または期間）をお教えください。'
    """
    _known_language(language)
    if doubt.question_key not in QUESTIONS:
        raise BadInput(f"there is no question {doubt.question_key!r}.", way_out="Add it to questions.toml.")
    sentence = QUESTIONS[doubt.question_key][language]
    return _filled(
        sentence, {name: _in_language(name, text, language) for name, text in doubt.blanks.items()}
    )


def letter(
    doubts: Iterable[Doubt], language: str, lot_name: str, *, producer: str = "", signed: str = ""
) -> str:
    """Return a polite letter, one numbered question per doubt, or an empty text if there is nothing to ask.

    Raises BadInput for an unknown language. A letter whose translation nobody has checked says so at its end.

    >>> from wetleaf.trade.provenance import LotFacts, check_lot
    >>> doubts = check_lot(LotFacts(name="Crane Step oolong", place="Lugu", elevation_m_min=750))[:1]
    >>> print(letter(doubts, "en", "Crane Step"))
    Good day,
    <BLANKLINE>
    Thank you for the sample of Crane Step. Before we go on we would be glad of your help with the following:
    <BLANKLINE>
    1. On which day or days was this tea picked?
    <BLANKLINE>
    Thank you for your time; short answers are enough.
    <BLANKLINE>
    With kind regards
    """
    frame = _DATA["letter"][_known_language(language).key]
    asked = tuple(dict.fromkeys(question(doubt, language) for doubt in doubts))
    if not asked:
        return ""
    greeting = _filled(frame["greeting_named"], {"producer": producer}) if producer else frame["greeting"]
    numbered = "\n".join(f"{number}. {sentence}" for number, sentence in enumerate(asked, start=1))
    closing = f"{frame['closing']}\n{signed}" if signed else frame["closing"]
    parts = [greeting, _filled(frame["opening"], {"lot": lot_name}), numbered, frame["thanks"], closing]
    return "\n\n".join([*parts, *filter(None, [frame["unchecked"]])])


def _known_language(language: str) -> Language:
    if language not in LANGUAGES:
        known = ", ".join(LANGUAGES)
        raise BadInput(f"{language!r} is not a language of the letters.", way_out=f"Use one of: {known}.")
    return LANGUAGES[language]


def _filled(sentence: str, blanks: dict[str, str]) -> str:
    """Fill the blanks by name only: what stands in them is a producer's text, never read as a template."""
    return _BLANK.sub(lambda blank: blanks.get(blank.group(1), blank.group(0)), sentence)


def _in_language(name: str, text: str, language: str) -> str:
    """Return a blank's text; the names of seasons and classes are said in the language of the letter."""
    if name == "season" and text in SEASONS:
        return SEASONS[text].names[language]
    if name in ("stated", "other", "class") and text in CLASSES:
        return CLASSES[text].names.get(language, CLASSES[text].name)
    return text
