"""The ladder of a lot: what was said and how strongly, stage by stage, beside last year's tea."""

from wetleaf.findings.book import Bar, Ladder, Rung, Word
from wetleaf.findings.readings.words import CountedPhrase, SaidOfLot, said_alike, same_words
from wetleaf.trade.stages import STAGES

Pairs = tuple[tuple[CountedPhrase, CountedPhrase], ...]
NO_STAGE = Rung(stage="", name="as written", when="no stage named")
_WHEN = {
    "dry_leaf": "before water",
    "warmed_leaf": "in the warm pot",
    "wet_leaf": "lid lifted",
    "finish": "after swallowing",
    "empty_cup": "when cold",
    "infused_leaf": "leaf turned out",
}
_NOTHING_SAID = SaidOfLot((), (), ())
_DEFAULT_STRENGTH = 2  # a word without a word of degree


def word_of(phrase: CountedPhrase, *, strength: int | None = None) -> Word:
    """Turn a counted phrase into a word of the book."""
    said = strength or phrase.strength or _DEFAULT_STRENGTH
    return Word(phrase.text, strength=said, said_by=phrase.said_by, absent=phrase.absent)


def one_tea(title: str, sub: str, said: SaidOfLot | None, bars: dict[str, tuple[Bar, ...]]) -> Ladder | None:
    """The ladder of one tea, or None when nothing was said and nothing scored.

    Its words stand on the right.
    """
    told = said or _NOTHING_SAID
    rungs = tuple(_rung_of_one(rung, told, bars) for rung in _rungs())
    kept = tuple(rung for rung in rungs if rung.right or rung.bars)
    if not kept:
        return None
    return Ladder("one", _how_much(told, bars), title, sub, "", "", kept)


def two_years(
    before: tuple[str, str, SaidOfLot | None],
    now: tuple[str, str, SaidOfLot | None],
    bars: dict[str, tuple[Bar, ...]],
    say: str,
) -> Ladder | None:
    """Last year's tea on the left, this year's on the right; None when neither was spoken of or scored."""
    left, right = before[2] or _NOTHING_SAID, now[2] or _NOTHING_SAID
    pairs = _same_in_both(left.phrases, right.phrases)
    rungs = tuple(_rung_of_two(rung, left, right, bars, pairs) for rung in _rungs())
    kept = tuple(rung for rung in rungs if rung.left or rung.shared or rung.right or rung.bars)
    if not kept:
        return None
    return Ladder("years", say, before[0], before[1], now[0], now[1], kept)


def _rungs() -> tuple[Rung, ...]:
    stages = tuple(Rung(stage.key, stage.name, _WHEN.get(stage.key, "")) for stage in STAGES)
    return (*stages, NO_STAGE)


def _rung_of_one(rung: Rung, said: SaidOfLot, bars: dict[str, tuple[Bar, ...]]) -> Rung:
    words = tuple(word_of(phrase) for phrase in said.at(rung.stage))
    return Rung(rung.stage, rung.name, rung.when, right=words, bars=bars.get(rung.stage, ()))


def _same_in_both(before: tuple[CountedPhrase, ...], now: tuple[CountedPhrase, ...]) -> Pairs:
    """Pair what was said of both, stage by stage; then what one of them names no stage for.

    A word without a stage may have been said of any, so it is neither gone nor new where the other has it.
    """
    pairs = [(old, new) for new in now for old in before if same_words(old, new)]
    for new in now:
        for old in before:
            is_free = all(old is not one and new is not other for one, other in pairs)
            if is_free and "" in (old.stage, new.stage) and said_alike(old, new):
                pairs.append((old, new))
    return tuple(pairs)


def _rung_of_two(
    rung: Rung, left: SaidOfLot, right: SaidOfLot, bars: dict[str, tuple[Bar, ...]], pairs: Pairs
) -> Rung:
    before, now = left.at(rung.stage), right.at(rung.stage)
    return Rung(
        rung.stage,
        rung.name,
        rung.when,
        left=tuple(word_of(old) for old in before if old not in [pair[0] for pair in pairs]),
        shared=tuple(_shared(old, new) for old, new in pairs if (new.stage or old.stage) == rung.stage),
        right=tuple(word_of(new) for new in now if new not in [pair[1] for pair in pairs]),
        bars=bars.get(rung.stage, ()),
    )


def _shared(old: CountedPhrase, new: CountedPhrase) -> Word:
    strength = max(old.strength or _DEFAULT_STRENGTH, new.strength or _DEFAULT_STRENGTH)
    return Word(new.text, strength=strength, said_by=old.said_by + new.said_by, absent=new.absent)


def _how_much(said: SaidOfLot, bars: dict[str, tuple[Bar, ...]]) -> str:
    scored = "" if any(bars.values()) else " Nothing was scored."
    if not said.phrases:
        return "Nothing was said of it; the bars are the scores."
    people = len({remark.taster for remark in said.remarks})
    who = "one person" if people == 1 else f"{people} people"
    return f"As {who} wrote it, stage by stage.{scored}"
