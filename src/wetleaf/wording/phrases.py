"""A remark into its phrases, stage by stage, as written. No lexicon: nothing is renamed, nothing added."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from wetleaf.trade.spelling import fold
from wetleaf.trade.stages import STAGES
from wetleaf.wording.degrees import read_degree


@dataclass(frozen=True)
class Phrase:
    """One thing said in a remark: `remark[start:end]`, word for word.

    `stage` is a key of trade.stages, or empty when nothing says where the word belongs. `strength` is
    1 to 5, or None without a word of degree. `absent`: it was looked for, or missed, and not found.
    """

    text: str
    stage: str
    strength: int | None
    absent: bool
    start: int
    end: int

    @property
    def key(self) -> str:
        """The phrase as it is counted: one case, no article.

        >>> read_phrases("The Peas")[0].key
        'peas'
        """
        return phrase_key(self.text)


# A stop ends a sentence unless it stands in a number ("1.5", "no. 4").
_SENTENCE_END = re.compile(
    r"(?<![Nn]o)\.(?!\d)(?:\s+|$|(?=[^\W\d]))|(?<=[Nn]o)\.(?!\s*\d)|[!?。！？\n\r]+|\s+\|\s+|…|\.{2,}"
)
_LIST_COMMA = re.compile(
    r"[;，、；•·()（）\[\]]+|(?<!\d),|,(?!\d)|\s[-–—+&/]+\s|(?<=[^\W\d])/(?=[^\W\d]{2})|[–—]"
)
_JOINING = re.compile(
    r"\s(?:and then|and|but|then|with|plus|und|mit|aber|et|mais|avec)\s+(?:also\s+)?"
    r"|\s(?P<or>or|nor|oder|ou)\s+",
    re.IGNORECASE,
)
_MARK_WITH_SIGN = re.compile(r"\s*[:：=]\s*")
_AFTER_MARK = re.compile(
    r"(?:\s*[-–—]\s+|\s+(?:smells of|tastes of|smelling of|is of|of|is|was|has|shows|gives|with|are)\s+|\s+)",
    re.IGNORECASE,
)
# Words that name a stage before a colon, but describe the tea without one: "dry and thin", "warm chestnut".
_ALSO_DESCRIBES = frozenset(
    [
        "dry",
        "wet",
        "warm",
        "warmed",
        "empty",
        "after",
        "end",
        "feel",
        "trocken",
        "nass",
        "sec",
        "lid",
        "shake",
        "weight",
        "make",
        "rinse",
        "hue",
        "mouth",
        "throat",
        "swallow",
        "texture",
        "linger",
        "lingering",
        "brightness",
        "clarity",
        "robe",
        "look",
        "form",
    ]
)
_NOSE_OF = re.compile(r"^(?:aroma|scent|smell|nose|look|on|in|from)(?: of)?(?: the)? (?=\S)", re.IGNORECASE)
_LONGEST_MARK = 4  # words
_MEASURE = re.compile(
    r"[\d\s.,:/x×%°~+-]*(?:ml|g|gr|min|mins|minutes?|sec|secs|s|c|f|steeps?|infusions?|%)?\.?", re.IGNORECASE
)
_ARTICLE = re.compile(r"^(?:a|an|the|some|ein|eine|der|die|das|un|une|le|la|les|du|des) ")
_EDGE = " \t\"'“”„«»‘’「」『』*~_.:：-–—,;!?"
_BARE = frozenset(
    [
        "yes",
        "no",
        "maybe",
        "keep",
        "ok",
        "okay",
        "none",
        "nothing",
        "nil",
        "na",
        "n a",
        "ditto",
        "ja",
        "nein",
        "oui",
        "non",
    ]
)
_MARKED = re.compile(
    r"(?:liking|score|overall|rating|points?)\W*\d+(?:[.,]\d+)?(?:\s*/\s*\d+)?", re.IGNORECASE
)


def read_phrases(remark: str, stage: str = "") -> tuple[Phrase, ...]:
    """Return what a remark says, phrase by phrase, in its order.

    `stage` is where the sheet says the whole remark belongs (a key of trade.stages); a stage named inside
    the remark goes before it. A name that buyers use for several stages ("liq", "cup") names none, and stays
    in the phrase. A remark with nothing in it gives an empty tuple.

    >>> [(p.text, p.stage) for p in read_phrases("Wet leaf: peas, butter. liq thin")]
    [('peas', 'wet_leaf'), ('butter', 'wet_leaf'), ('liq thin', '')]
    >>> said = read_phrases("very strong butter, a hint of peas; no smoke or ash")
    >>> [(p.text, p.strength, p.absent) for p in said]
    [('butter', 5, False), ('peas', 1, False), ('smoke', None, True), ('ash', None, True)]
    """
    phrases: list[Phrase] = []
    held = ""  # a mark that stood alone before a stop: "liq. thin"
    for start, end in _pieces(remark, 0, len(remark), _SENTENCE_END):
        alone = _stage_alone(remark[start:end])
        if alone is not None:
            held = alone
            continue
        phrases.extend(_sentence(remark, start, end, held or stage))
        held = ""
    return tuple(phrases)


def phrase_key(text: str) -> str:
    """Return a phrase as phrases are counted: one case, one script, no article before it.

    >>> phrase_key("The Orange-peel") == phrase_key("orange peel")
    True
    """
    return _ARTICLE.sub("", fold(text))


def _sentence(remark: str, start: int, end: int, stage: str) -> Iterator[Phrase]:
    for marked_start, marked_end, marked in _marked(remark, start, end, stage):
        for part_start, part_end, part_stage in _listed(remark, marked_start, marked_end, marked):
            yield from _joined(remark, part_start, part_end, part_stage)


def _marked(remark: str, start: int, end: int, stage: str) -> Iterator[tuple[int, int, str]]:
    """Cut a sentence at every stage named before a colon: each mark holds until the next."""
    begins = start
    for sign in _MARK_WITH_SIGN.finditer(remark, start, end):
        mark = _mark_before(remark, begins, sign.start())
        if mark is None:
            continue
        mark_start, found = mark
        yield begins, mark_start, stage
        found = found or (LOOK_OF_LIQUOR if _tells_of_looks(remark[sign.end() : end]) else "")
        stage, begins = (found, sign.end()) if found else ("", mark_start)
    yield begins, end, stage


def _tells_of_looks(text: str) -> bool:
    """Whether what stands after a bare "liquor:" is about its look, by the first thing said."""
    first = re.split(r"[,;:.]", text, maxsplit=1)[0]
    return any(fold(word) in _LOOKS for word in re.findall(r"\w+", first))


def _mark_before(remark: str, start: int, end: int) -> tuple[int, str] | None:
    """Find the longest stage name that ends at `end`: where it starts, and its key, "" for no one stage."""
    words = list(re.finditer(r"[^\s,;:：，、；]+", remark[start:end]))[-_LONGEST_MARK:]
    for first in words:
        name = fold(_NOSE_OF.sub("", remark[start + first.start() : end]))
        if name in _WIDE_NAMES or name in _NAMES:
            return start + first.start(), _NAMES.get(name, "")
    return None


def _listed(remark: str, start: int, end: int, stage: str) -> Iterator[tuple[int, int, str]]:
    """Cut at commas; a stage named first in a part ('liquor colour amber') holds for it and those after."""
    for part_start, part_end in _pieces(remark, start, end, _LIST_COMMA):
        bare = _stage_alone(remark[part_start:part_end])
        if bare is not None:
            stage = bare
            continue
        mark = _mark_first(remark, part_start, part_end)
        if mark is not None:
            part_start, stage = mark
        yield part_start, part_end, stage


def _mark_first(remark: str, start: int, end: int) -> tuple[int, str] | None:
    """Find a stage named first without a colon, and where what is said of it begins."""
    text = re.sub(
        r"^(?:the|in the|on the|from the|from|on|in)\s+", "", remark[start:end], flags=re.IGNORECASE
    )
    start = end - len(text)
    words = list(re.finditer(r"\S+", text))
    for count in range(min(_LONGEST_MARK, len(words) - 1), 0, -1):
        name = text[: words[count - 1].end()]
        if fold(name) in _WIDE_NAMES:
            return start, ""  # the mark stays with its phrase
        if fold(name) not in _NAMES or fold(name) in _ALSO_DESCRIBES:
            continue
        after = _AFTER_MARK.match(text, words[count - 1].end())
        return (start + after.end(), _NAMES[fold(name)]) if after and after.end() < len(text) else None
    return None


def _joined(remark: str, start: int, end: int, stage: str) -> Iterator[Phrase]:
    """Cut at 'and', 'with', 'but'; a denial reaches over 'or' and 'nor' only."""
    denied, begins = False, start
    for joint in [*_JOINING.finditer(remark, start, end), None]:
        stops = joint.start() if joint else end
        phrase = _phrase(remark, begins, stops, stage, denied=denied)
        if phrase is not None:
            yield phrase
        denied = bool(joint and joint.group("or") and phrase and phrase.absent)
        begins = joint.end() if joint else end


def _phrase(remark: str, start: int, end: int, stage: str, *, denied: bool) -> Phrase | None:
    start, end = _inside(remark, start, end)
    degree = read_degree(remark, start, end, denied=denied)
    start, end = _inside(remark, degree.start, degree.end)
    text = remark[start:end]
    if not any(sign.isalpha() for sign in text) or fold(text) in _BARE:
        return None
    if _MEASURE.fullmatch(text) or _MARKED.fullmatch(text):
        return None
    start, end, stage = _stage_last(remark, start, end, stage)
    return Phrase(remark[start:end], stage, degree.strength, degree.absent, start, end)


def _stage_last(remark: str, start: int, end: int, stage: str) -> tuple[int, int, str]:
    """A stage's name that ends a phrase says where it belongs: 'long finish', 'peas on the wet leaf'."""
    words = list(re.finditer(r"\S+", remark[start:end]))
    for count in range(min(_LONGEST_MARK, len(words) - 1), 0, -1):
        name = fold(remark[start + words[-count].start() : end])
        if name in _NAMES and name not in _ALSO_DESCRIBES:
            before = remark[start : start + words[-count].start()].rstrip()
            before = re.sub(r"\s(?:on|in|of|at|from)(?:\s(?:the|its))?$", "", before, flags=re.IGNORECASE)
            return start, start + len(before), _NAMES[name]
    return start, end, stage


def _pieces(remark: str, start: int, end: int, cut: re.Pattern[str]) -> Iterator[tuple[int, int]]:
    begins = start
    for found in cut.finditer(remark, start, end):
        if remark[begins : found.start()].strip():
            yield _inside(remark, begins, found.start(), signs=" \t")
        begins = found.end()
    if remark[begins:end].strip():
        yield _inside(remark, begins, end, signs=" \t")


def _inside(remark: str, start: int, end: int, signs: str = _EDGE) -> tuple[int, int]:
    while start < end and (remark[start] in signs or remark[start].isspace()):
        start += 1
    while end > start and (remark[end - 1] in signs or remark[end - 1].isspace()):
        end -= 1
    return start, end


def _stage_alone(text: str) -> str | None:
    """Return the stage's key when the text is a stage's name and nothing else, else None."""
    name = fold(text)
    if name in _WIDE_NAMES:
        return ""
    return None if name in _ALSO_DESCRIBES else _NAMES.get(name)


_NAMES: dict[str, str] = {fold(name): s.key for s in STAGES for name in (*s.may_say, *s.says, s.name)}
LOOK_OF_LIQUOR = "liquor_colour"
# "Liq", "liquor", "cup": of its colour, its aroma or its taste? Where a look is told first, it is the
# colour; elsewhere the sheet does not say, so neither do we.
_LOOKS = frozenset({
    "amber", "gold", "golden", "yellow", "green", "jade", "orange", "copper", "coppery", "red", "ruby",
    "brown", "mahogany", "black", "straw", "pale", "deep", "dark", "clear", "cloudy", "hazy", "bright",
    "dull", "turbid",
})  # fmt: skip
_WIDE_NAMES = frozenset(fold(name) for s in STAGES if s.key == "liquor_colour" for name in s.may_say) - {
    fold(name) for s in STAGES for name in s.says
}
for _name in _WIDE_NAMES:
    _NAMES.pop(_name, None)
