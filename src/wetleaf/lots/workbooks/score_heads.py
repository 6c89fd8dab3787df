"""What each column of scores is of: the attribute, and by whom and from which pot where the heads tell.

Buyers put tasters side by side in many ways: `Jo: scent`, `scent (Jo)`, `Jo scent`, a row of tasters over
a row of attributes, or attributes over tasters; and where a whole table is about one attribute, tasters
stand alone over the columns and the title says what they scored. A split is made only where the words on
one side are people and it holds over the whole table.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from wetleaf.lots.workbooks.headings import fold
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.tasting_words import has_word, is_surely_a_person, may_be_a_person

MOST_COLUMNS = 200  # more columns than any panel has; a check on the work


@dataclass(frozen=True)
class ScoreHead:
    """What a column of scores is of; `why` is "" where the head says no more than the attribute."""

    attribute: str
    taster: str = ""
    replicate: str = ""
    stage: str = ""
    why: str = ""
    sure: bool = True


@dataclass(frozen=True)
class _Split:
    """A way of reading the heads: who and what by column; the stronger the surer."""

    pairs: Mapping[int, tuple[str, str]]
    strength: float
    signed: bool
    groups_used: bool


_SCALE_TAIL = re.compile(
    r"\s*[(\[（][^)\]）]*\d[^)\]）]*[)\]）]\s*$|\s+/\s*\d+\s*$|\s*,?\s+-?\d{1,2}\s?(?:-|–|to|bis|à)\s?\d{1,3}\s*$"
    r"|\s*,?\s+(?:out of|von|sur)\s+\d+\s*$",
    re.IGNORECASE,
)
_LABEL = re.compile(
    r"^(?:attribute|attribut|merkmal|eigenschaft|critère|aspect|scores? (?:for|of)|table (?:for|of)|属性|屬性|項目|项目)\s*[:：=–-]?\s+",  # noqa: E501
    re.IGNORECASE,
)


def attribute_name(head: Head) -> str:
    """The attribute that a column's head names, without the scale written beside it.

    >>> attribute_name(Head(4, "Roast aroma (0-10)")), attribute_name(Head(4, "nice /10"))
    ('Roast aroma', 'nice')
    """
    text = _SCALE_TAIL.sub("", head.text.strip()).strip(" ,;:")
    return text or head.text.strip()


def read_score_heads(
    heads: Sequence[Head],
    titles: Sequence[str],
    tasters: Iterable[str],
    *,
    named: bool = False,
    least: float = 0.5,
) -> dict[int, ScoreHead]:
    """Say what each column of scores is of. `titles` stand over the table, the nearest last, before them
    the sheet's name; `tasters` are the names known in the book, folded; `named` says that the rows tell
    who tasted; `least` is how sure a split must be.

    >>> heads = [Head(2, "Jo: scent"), Head(3, "Jo: body"), Head(4, "me: scent"), Head(5, "me: body")]
    >>> [(says.taster, says.attribute) for says in read_score_heads(heads, (), ()).values()]
    [('Jo', 'scent'), ('Jo', 'body'), ('me', 'scent'), ('me', 'body')]
    >>> says = read_score_heads([Head(2, "Jo"), Head(3, "Mei")], ("Sweetness, 0-10",), ())
    >>> [(said.taster, said.attribute) for said in says.values()]
    [('Jo', 'Sweetness'), ('Mei', 'Sweetness')]
    """
    plain = {head.column: ScoreHead(attribute_name(head), stage=head.group) for head in heads}
    if named or not heads or len(heads) > MOST_COLUMNS:
        return plain
    known = frozenset(tasters)
    bare, pots = _without_pots([replace(head, text=attribute_name(head)) for head in heads])
    found = _tasters_across(bare, titles, known) or _best_split(bare, known, least)
    if not found:
        return plain
    return {
        column: replace(found.get(column, said), replicate=pots.get(column, ""))
        for column, said in plain.items()
    }


def remark_heads(heads: Iterable[Head], tasters: Iterable[str]) -> dict[int, ScoreHead]:
    """The columns of remarks that name one of these tasters, folded: `Jo: notes`, `notes (Mei)`.

    >>> [(said.taster, said.attribute) for said in remark_heads([Head(4, "Jo: notes")], {"jo"}).values()]
    [('Jo', 'notes')]
    """
    people, found = frozenset(tasters), {}
    for head in heads:
        pairs = [pair for cut, _ in _CUTS if (pair := cut(head, people)) is not None]
        for who, what in [*pairs, *((what, who) for who, what in pairs)]:
            if fold(who) in people and has_word("remarks", what):
                found[head.column] = ScoreHead(what, who, why=f"remarks of {who!r}, as its head says")
                break
    return found


_TOLD = re.compile(r"score(?: of (?P<what>.+?))?(?: by (?P<who>.+))?", re.IGNORECASE)


def told_score(meaning: str) -> tuple[str, str] | None:
    """Read what a mapping file calls a column of scores: the attribute and the taster, each "" where it is
    left to the head; None where it calls it something else.

    >>> told_score("score of scent by Jo"), told_score("score by Jo"), told_score("price")
    (('scent', 'Jo'), ('', 'Jo'), None)
    """
    found = _TOLD.fullmatch(meaning.strip())
    return (found["what"] or "", found["who"] or "") if found else None


def as_told(said: ScoreHead, meaning: str) -> ScoreHead:
    """Give what a column of scores is of as a mapping file says it."""
    told = told_score(meaning)
    if told is None:
        return said
    what, who = told
    return replace(
        said, attribute=what or said.attribute, taster=who or said.taster, why="the mapping file says so"
    )


def _without_pots(heads: list[Head]) -> tuple[list[Head], dict[int, str]]:
    """Part `Jo sweet 1`, `Jo sweet 2` into head and pot, where every head has the same pots."""
    found = {head.column: re.fullmatch(r"(.*[^\W\d_])\s*[#.]?\s*([1-4])", head.text) for head in heads}
    parted = {column: (match[1].strip(), match[2]) for column, match in found.items() if match}
    words = {text for text, _ in parted.values()}
    numbers = {number for _, number in parted.values()}
    full = len(parted) == len(heads) == len(words) * len(numbers)
    if not full or len(numbers) < 2 or any(has_word("stages", text) for text in words):
        return heads, {}
    return (
        [replace(head, text=parted[head.column][0]) for head in heads],
        {column: number for column, (_, number) in parted.items()},
    )


def _best_split(heads: list[Head], known: frozenset[str], least: float) -> dict[int, ScoreHead]:
    splits = [split for split in _splits(heads, known) if split.strength >= least]
    if not splits:
        return {}
    best = max(splits, key=lambda split: (len(split.pairs), split.signed, split.strength))
    groups = {head.column: "" if best.groups_used else head.group for head in heads}
    return {
        column: ScoreHead(
            what, who, stage=groups[column], why=f"its head names who, {who!r}, and what, {what!r}"
        )
        for column, (who, what) in best.pairs.items()
    }


def _splits(heads: list[Head], known: frozenset[str]) -> Iterator[_Split]:
    for cut, signed in _CUTS:
        pairs = {head.column: pair for head in heads if (pair := cut(head, known)) is not None}
        if len(pairs) < 2 or len(pairs) < 0.5 * len(heads):
            continue
        for who in (0, 1):
            people = {column: (pair[who], pair[1 - who]) for column, pair in pairs.items()}
            yield _Split(people, _strength(people, known, signed), signed, cut is _by_group)


def _strength(pairs: Mapping[int, tuple[str, str]], known: frozenset[str], signed: bool) -> float:
    """How sure it is that the first of each pair is a person and the second what was scored."""
    people = {fold(who): who for who, _ in pairs.values()}
    what = {fold(said): said for _, said in pairs.values()}
    sure = {key for key, who in people.items() if is_surely_a_person(who, known)}
    if any(key not in sure and not may_be_a_person(who) for key, who in people.items()):
        return 0.0
    if any(is_surely_a_person(said, known) for said in what.values()):
        return 0.0
    if len(sure) == len(people):
        return 4.0
    if len(sure) >= 0.5 * len(people):
        return 3.0
    scored = sum(has_word("attributes", said) for said in what.values()) >= 0.6 * len(what)
    if len(people) < 2:
        return 1.5 if signed and scored and len(what) == len(pairs) else 0.0
    if len(pairs) < 0.8 * len(people) * len(what):
        return 0.0  # names have the same attributes each
    if scored:
        return 2.0
    lower = all(said[:1].islower() for said in what.values())
    return 1.0 if signed and lower else 0.0


Cut = Callable[[Head, frozenset[str]], tuple[str, str] | None]
_SIGN = re.compile(r"\s*[:：=|/·—–_>\n]\s*|\s+-\s+|\s+-|-\s+|['’]s\s+|,\s+|\s+(?:by|von|par|von:|for|@)\s+")
_BRACKET = re.compile(r"(.+?)\s*[(\[（{]([^)\]）}]+)[)\]）}]\s*")


def _by_group(head: Head, _known: frozenset[str]) -> tuple[str, str] | None:
    return (head.group, head.text) if head.group and head.text else None


def _by_bracket(head: Head, _known: frozenset[str]) -> tuple[str, str] | None:
    found = _BRACKET.fullmatch(head.text)
    return (found[1].strip(), found[2].strip()) if found else None


def _by_sign(head: Head, _known: frozenset[str]) -> tuple[str, str] | None:
    parts = _SIGN.split(head.text, maxsplit=1)
    return (parts[0], parts[1]) if len(parts) == 2 and all(parts) else None


def _by_name(head: Head, known: frozenset[str]) -> tuple[str, str] | None:
    """A known taster's name of one to three words at the start or the end."""
    words = head.text.replace("\n", " ").split()
    for count in (3, 2, 1):
        for names, rest in ((words[:count], words[count:]), (words[-count:], words[:-count])):
            name = " ".join(names).strip("()[]:,-–'’")
            name = name.removesuffix("'s").removesuffix("’s")
            if rest and is_surely_a_person(name, known):
                return name, " ".join(rest).strip("()[]:,-– ")
    return None


def _by_first_word(head: Head, _known: frozenset[str]) -> tuple[str, str] | None:
    parts = head.text.split(None, 1)
    return (parts[0], parts[1]) if len(parts) == 2 else None


def _by_last_word(head: Head, _known: frozenset[str]) -> tuple[str, str] | None:
    parts = head.text.rsplit(None, 1)
    return (parts[1], parts[0]) if len(parts) == 2 else None


_CUTS: tuple[tuple[Cut, bool], ...] = (
    (_by_group, False),
    (_by_bracket, True),
    (_by_sign, True),
    (_by_name, False),
    (_by_first_word, False),
    (_by_last_word, False),
)


def _tasters_across(heads: list[Head], titles: Sequence[str], known: frozenset[str]) -> dict[int, ScoreHead]:
    """A table about one attribute: tasters alone over the columns, the title says what they scored."""
    people = [head for head in heads if not has_word("attributes", head.text) or fold(head.text) in known]
    sure = [head for head in people if is_surely_a_person(head.text, known)]
    maybe = [head for head in people if head in sure or may_be_a_person(head.text)]
    if any(head.group for head in heads) or len(maybe) < max(0.8 * len(heads), 1):
        return {}
    titled = attribute_in(titles)
    if not titled and len(sure) < 0.6 * len(heads):
        return {}
    if len(maybe) < 2 and not sure:
        return {}
    attribute = titled or _shortest_title(titles)
    why = f"the columns are headed by tasters, and the table is about {attribute!r}"
    return {head.column: ScoreHead(attribute, head.text, why=why, sure=bool(titled)) for head in maybe}


def attribute_in(titles: Sequence[str]) -> str:
    """The title, the nearest first, that says nothing but an attribute: `Sweetness, 0-10`."""
    for title in reversed(titles):
        bare = _LABEL.sub("", _SCALE_TAIL.sub("", title.strip()).strip(" ,;:")).strip()
        if 1 <= len(bare.split()) <= 3 and len(bare) <= 30 and has_word("attributes", bare):
            return bare
    return ""


def _shortest_title(titles: Sequence[str]) -> str:
    """Where no title is a known attribute, the nearest short one; in the end the sheet's name."""
    bare = [_LABEL.sub("", _SCALE_TAIL.sub("", title.strip()).strip(" ,;:")) for title in reversed(titles)]
    return next((text for text in bare if 1 <= len(text.split()) <= 4), bare[-1] if bare else "")
