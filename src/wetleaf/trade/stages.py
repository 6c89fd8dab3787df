"""The one list of stages and how buyers write them, the cups a sitting takes, the answers and next steps."""

import re
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from wetleaf.trade.errors import BadInput
from wetleaf.trade.spelling import fold, is_eastern, mentions, squash
from wetleaf.trade.tables import Ground, ground_of, toml_table


@dataclass(frozen=True)
class Stage:
    """One stage at which a tea is met: its key in store, its name in a page, its place in the list."""

    key: str
    name: str
    order: int
    says: tuple[str, ...] = field(repr=False)
    may_say: tuple[str, ...] = field(repr=False)
    ground: Ground = field(repr=False)

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True)
class StageReading:
    """A stage read from a text; `sure` is false where buyers use the same word for other stages too."""

    stage: Stage
    sure: bool
    because: str


@dataclass(frozen=True)
class SittingLimit:
    """How many cups a sitting of one purpose usually takes, and at the most."""

    purpose: str
    name: str
    cups_usual: int
    cups_most: int
    why: str
    ground: Ground


class Answer(StrEnum):
    """The three answers. The value is the word in JSON; `said` is the word in a page."""

    YES = "yes"
    NO = "no"
    CANT_TELL = "can't tell"

    @property
    def said(self) -> str:
        """Return the answer as pages say it.

        >>> Answer.CANT_TELL.said
        "can't tell yet"
        """
        return "can't tell yet" if self is Answer.CANT_TELL else self.value


class NextStep(StrEnum):
    """The suggested next steps, one list. The program never says "buy"."""

    NOTHING_AGAINST = "nothing here stands against buying"
    TASTE_AGAIN = "taste again"
    ASK = "ask the producer"
    LEAVE = "leave"


def _stage(row: dict[str, Any], order: int) -> Stage:
    words = tuple(word for language in row["says"].values() for word in language)
    return Stage(row["key"], row["name"], order, words, tuple(row["may_say"]), ground_of(row, "stages.toml"))


def _sitting(row: dict[str, Any]) -> SittingLimit:
    ground = ground_of(row, "stages.toml")
    return SittingLimit(row["purpose"], row["name"], row["cups_usual"], row["cups_most"], row["why"], ground)


def _can_stand_inside(word: str) -> bool:
    """Single words such as "dry" or "after" name a stage only when nothing else is said."""
    return " " in fold(word) or (is_eastern(word) and len(word) > 1)


_TABLE = toml_table("stages.toml")
STAGES: tuple[Stage, ...] = tuple(_stage(row, order) for order, row in enumerate(_TABLE["stage"], start=1))
SITTING_LIMITS: dict[str, SittingLimit] = {row["purpose"]: _sitting(row) for row in _TABLE["sitting"]}
_BY_KEY = {stage.key: stage for stage in STAGES}
_SURE = {squash(word): stage for stage in STAGES for word in (stage.key, *stage.says)}
_UNSURE = {squash(word): stage for stage in STAGES for word in stage.may_say}
_INSIDE = sorted(
    ((fold(word), stage) for stage in STAGES for word in stage.says if _can_stand_inside(word)),
    key=lambda pair: -len(pair[0]),
)
_SCALE_NOTE = re.compile(
    r"[(\[（][^)\]）]*\d[^)\]）]*[)\]）]|\b\d+\s*(?:-|–|to|bis|à)\s*\d+\b|\d+(?:[.,]\d+)?|[/%]"
)


def stage(key: str) -> Stage:
    """Return the stage of a key. Raises BadInput for a key that is not in the list.

    >>> stage("dry_leaf").name
    'dry leaf'
    """
    try:
        return _BY_KEY[key]
    except KeyError:
        raise BadInput(f"{key!r} is not a stage.", way_out=f"Use one of: {', '.join(_BY_KEY)}.") from None


def find_stage(text: str) -> Stage | None:
    """Return the stage that a header or a word means, or None.

    >>> [str(find_stage(text)) for text in ("Dry aroma", "After", "Geschmack", "湯色", "Overall")]
    ['dry leaf', 'finish', 'taste', 'liquor colour', 'None']
    """
    reading = read_stage(text)
    return reading.stage if reading else None


def read_stage(text: str) -> StageReading | None:
    """Return the stage a text means and whether the word is used for no other, or None.

    >>> read_stage("Liquor").sure, read_stage("Liquor colour (0-10)").sure
    (False, True)
    """
    bare = _SCALE_NOTE.sub(" ", text)
    key = squash(bare)
    if key in _SURE:
        return StageReading(_SURE[key], True, f"'{bare.strip()}' is how buyers write it")
    if key in _UNSURE:
        return StageReading(
            _UNSURE[key], False, f"'{bare.strip()}' mostly means it, but is also used for others"
        )
    return _stage_inside(fold(bare))


def _stage_inside(folded: str) -> StageReading | None:
    found = next(((words, stage) for words, stage in _INSIDE if mentions(folded, words)), None)
    return StageReading(found[1], True, f"the text holds '{found[0]}'") if found else None


def sitting_limit(purpose: str) -> SittingLimit:
    """Return how many cups a sitting takes. Raises BadInput for an unknown purpose.

    >>> sitting_limit("ranking").cups_most
    12
    """
    try:
        return SITTING_LIMITS[purpose]
    except KeyError:
        known = ", ".join(SITTING_LIMITS)
        raise BadInput(
            f"{purpose!r} is not a purpose of a sitting.", way_out=f"Use one of: {known}."
        ) from None


def too_many_cups(purpose: str, cups: int) -> str | None:
    """Return a sentence if a sitting asks more cups than a palate bears, or None.

    >>> too_many_cups("profile", 14)
    '14 cups are more than a sitting of profiles bears (6 to 8): every stage of every cup is scored.'
    >>> too_many_cups("profile", 8)
    """
    limit = sitting_limit(purpose)
    if cups <= limit.cups_most:
        return None
    span = f"{limit.cups_usual} to {limit.cups_most}"
    return f"{cups} cups are more than a sitting of {limit.name} bears ({span}): {limit.why}."
