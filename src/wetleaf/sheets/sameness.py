"""What a later workbook says anew: known answers are not doubled, a changed one replaces the one before."""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Known:
    """An answer on the books: its key, what it answers, what it says, and the cell it stood in."""

    pk: int
    question: Hashable
    says: Hashable
    cell: str


@dataclass(frozen=True)
class Read:
    """An answer just read: what it answers, what it says, and its cell."""

    question: Hashable
    says: Hashable
    cell: str


@dataclass(frozen=True)
class New:
    """An answer to store: its place among those read, and the known answer it replaces, if any."""

    index: int
    replaces: int | None


def what_is_new(known: Iterable[Known], read: Sequence[Read], *, only_in_its_cell: bool = False) -> list[New]:
    """Tell which of the answers read are to be stored, and which known answer each of them replaces.

    Answers are taken as a bag: a known one that says the same is found again once. What is left over of a
    question is new; it replaces a left-over known answer of the same question, if there is one. With
    `only_in_its_cell` only if both stood in the same cell: two remarks on one tea are two remarks.

    >>> before = [Known(1, "LU-07 roast", 5.0, "D4"), Known(2, "LU-08 roast", 6.0, "D5")]
    >>> what_is_new(before, [Read("LU-07 roast", 5.0, "D4"), Read("LU-08 roast", 7.0, "D5")])
    [New(index=1, replaces=2)]
    """
    left_over: dict[Hashable, list[Known]] = defaultdict(list)
    for one in known:
        left_over[one.question].append(one)
    unknown = [index for index, one in enumerate(read) if not _found_again(left_over[one.question], one)]
    return [
        New(index, _replaced(left_over[read[index].question], read[index], only_in_its_cell))
        for index in unknown
    ]


def _found_again(left_over: list[Known], one: Read) -> bool:
    same = [known for known in left_over if known.says == one.says]
    if not same:
        return False
    left_over.remove(next((known for known in same if known.cell == one.cell), same[0]))
    return True


def _replaced(left_over: list[Known], one: Read, only_in_its_cell: bool) -> int | None:
    here = [known for known in left_over if known.cell == one.cell]
    candidates = here or ([] if only_in_its_cell else left_over)
    if not candidates:
        return None
    replaced = candidates[0]
    left_over.remove(replaced)
    return replaced.pk
