"""What `wetleaf rank agree` says: rank sums of complete rows, or of rows that hold only some of the lots."""

from collections.abc import Sequence
from dataclasses import asdict

import numpy as np

from wetleaf.cli.rank_file import Preferences
from wetleaf.cli.said import Said, chance
from wetleaf.numerics.rankings import LotSum, RankSums, RowAnswer, durbin, friedman, kramer, page
from wetleaf.trade.errors import BadInput


def said_of_agreement(read: Preferences, upwards: str | None) -> Said:
    """Test the rows of a file; `upwards` the order expected beforehand, best first. Raises BadInput."""
    if not read.answers:
        raise BadInput("There are no rows to compare.", way_out="Give pairs or rankings.")
    lots = sorted({lot for answer in read.answers for lot in answer.lots})
    ranks = [_ranks(answer, lots) for answer in read.answers]
    whole = not np.isnan(ranks).any() and len(ranks) > 1
    if upwards is not None:
        return _trend(ranks, lots, upwards, whole=whole)
    if not whole:
        return _incomplete(ranks, lots)
    found, of_lots = friedman(ranks), kramer(ranks, lots)
    content = {**asdict(found), "lots": lots, "kramer": [asdict(lot) for lot in of_lots]}
    return Said(content, (*_lines(found), *(_lot(lot) for lot in of_lots), *read.warnings))


def _ranks(answer: RowAnswer, lots: Sequence[str]) -> list[float]:
    """The place of each lot in a row; what is behind all others shares the last place; nan: not served."""
    places = [*answer.places, answer.rest] if answer.rest else [*answer.places]
    found = {lot: float(number) for number, place in enumerate(places) for lot in place}
    return [found.get(lot, float("nan")) for lot in lots]


def _trend(ranks: Sequence[Sequence[float]], lots: Sequence[str], upwards: str, *, whole: bool) -> Said:
    order = [name.strip() for name in upwards.split(",")]
    if sorted(order) != list(lots):
        raise BadInput(f"--upwards '{upwards}' is no order of the lots.", way_out=f"Order {', '.join(lots)}.")
    if not whole:
        raise BadInput("An order is tested on complete rows, two or more.", way_out="Leave out --upwards.")
    place = [list(lots).index(name) for name in order]
    found = page([[row[i] for i in place] for row in ranks])
    return Said({**asdict(found), "lots": order}, _lines(found))


def _incomplete(ranks: Sequence[Sequence[float]], lots: Sequence[str]) -> Said:
    found = durbin([[None if np.isnan(rank) else rank for rank in row] for row in ranks])
    listed = [f"  {lot}: {total:+.2f}" for lot, total in zip(lots, found.sums, strict=True)]
    return Said(
        {**asdict(found), "lots": lots}, (*_lines(found), "Sums of centred ranks, low is better", *listed)
    )


def _lines(found: RankSums) -> tuple[str, ...]:
    kind = "exact" if found.exact else "approximate"
    return found.question, f"p = {chance(found.p)} ({kind}, {found.tasters} rows). {found.words}"


def _lot(lot: LotSum) -> str:
    return f"  {lot.lot}: rank sum {lot.rank_sum:g}; one as far from the middle by luck: {chance(lot.p)}"
