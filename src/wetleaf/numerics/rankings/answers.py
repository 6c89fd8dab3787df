"""What a taster said of a row of bowls: two or more lots in order, equals side by side, the rest left
behind."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from wetleaf.trade.errors import BadInput

MOST_BOWLS: Final = 12
MOST_EQUAL: Final = 3
"""So many lots may share a place: the choice model weighs every set of up to so many equals."""


@dataclass(frozen=True, slots=True)
class RowAnswer:
    """One taster's order of one row of bowls, best first.

    `places`: lots of equal standing share a place. `rest`: bowls of the row that came behind all places, not
    ordered among themselves. `first`: the bowl tasted first, when known. `row` names bowls that tasters
    shared.
    """

    places: tuple[tuple[str, ...], ...]
    rest: tuple[str, ...] = ()
    taster: str = ""
    first: str | None = None
    row: str | None = None

    @property
    def lots(self) -> tuple[str, ...]:
        """Every lot of the row."""
        return tuple(lot for place in self.places for lot in place) + self.rest


def pair_answer(
    first: str, second: str, preferred: str | None, *, taster: str = "", row: str | None = None
) -> RowAnswer:
    """Return the answer to a pair; `preferred` None: no preference. The first named was tasted first.

    Raises BadInput for a lot paired with itself, or a preferred lot that is neither.

    >>> pair_answer("one", "two", "two").places
    (('two',), ('one',))
    """
    if preferred not in (None, first, second):
        raise BadInput(
            f"{preferred!r} is preferred but the pair is {first!r} and {second!r}.",
            way_out="Name one of the two, or say there was no preference.",
        )
    if preferred is None:
        return checked(RowAnswer(((first, second),), taster=taster, first=first, row=row))
    other = second if preferred == first else first
    return checked(RowAnswer(((preferred,), (other,)), taster=taster, first=first, row=row))


def checked(answer: RowAnswer) -> RowAnswer:
    """Return the answer if it can be used.

    Raises BadInput for a lot without a name or named twice, fewer than two lots, too many bowls or equals,
    and a first bowl that is not in the row.
    """
    lots = answer.lots
    said = _said(answer)
    if not all(lot.strip() for lot in lots):
        raise BadInput(f"{said}: a lot has no name.", way_out="Name every lot.")
    doubled = [lot for lot, times in Counter(lots).items() if times > 1]
    if doubled:
        raise BadInput(
            f"{said}: {doubled[0]!r} is compared with itself.", way_out="Name each lot once a row."
        )
    if len(lots) < 2 or not answer.places:
        raise BadInput(f"{said}: this compares nothing.", way_out="Name at least two lots, the better first.")
    if len(lots) > MOST_BOWLS:
        raise BadInput(f"{said}: {len(lots)} bowls, more than {MOST_BOWLS}.", way_out="Split the row.")
    if max(len(place) for place in answer.places) > MOST_EQUAL:
        raise BadInput(
            f"{said}: more than {MOST_EQUAL} lots share a place.",
            way_out="Order some of them, or leave the last ones unordered as the rest of the row.",
        )
    if answer.first is not None and answer.first not in lots:
        raise BadInput(
            f"{said}: the first bowl {answer.first!r} is not in the row.", way_out="Check its name."
        )
    return answer


def _said(answer: RowAnswer) -> str:
    ordered = " > ".join(" = ".join(place) for place in answer.places)
    return f"'{ordered}'" if ordered else "A row"


def lots_of(answers: Iterable[RowAnswer]) -> tuple[str, ...]:
    """Return every lot met, in the order of their names."""
    return tuple(sorted({lot for answer in answers for lot in answer.lots}))


def tasters_of(answers: Sequence[RowAnswer]) -> tuple[str, ...]:
    """Return every taster, in the order of their names."""
    return tuple(sorted({answer.taster for answer in answers}))
