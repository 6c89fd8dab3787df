"""What `wetleaf rank` says of a ranking and of the next row, for a reader and as JSON."""

from collections.abc import Sequence
from dataclasses import asdict

from wetleaf.cli.said import Said
from wetleaf.numerics.rankings import (
    AtSpread,
    Estimate,
    LotRank,
    NextRow,
    Ranking,
    SuggestedRow,
    TasterRank,
)


def said_of_ranking(found: Ranking, warnings: Sequence[str]) -> Said:
    """Say how the lots stand."""
    every = (*warnings, *found.warnings)
    content = {**asdict(found), "warnings": every}
    lines = [
        f"{found.question} {found.answer}",
        found.words,
        f"To settle it: {found.would_settle}",
        "",
        *_table(found.lots, found.top),
        "",
        f"The shortlist holds the best with {found.holds_best:.0%}: {', '.join(found.shortlist)}.",
        "If lots are expected to differ",
        *(
            f"  {name} (spread {at.spread:g}): {_at(at)}"
            for name, at in (
                ("half as much", found.at_half),
                ("as said", found.at_spread),
                ("twice as much", found.at_twice),
            )
        ),
    ]
    if found.order_effect is not None:
        lines.append(f"The first bowl's advantage: {_interval(found.order_effect)}.")
    if len(found.tasters) > 1:
        lines += ["Steadiness against the tasters' middle", *(_taster(one) for one in found.tasters)]
    lines += every
    return Said(content, tuple(lines))


def said_of_next(found: NextRow, warnings: Sequence[str]) -> Said:
    """Say what to brew next, or to stop."""
    every = (*warnings, *found.warnings)
    content = {**asdict(found), "warnings": every}
    for name, row in (("pair", found.pair), ("row", found.row)):
        if row is not None:
            content[name] = {**asdict(row), "gain_per_cup": row.gain_per_cup}
    lines = [f"{'Stop' if found.stop else 'Go on'}: {found.why}"]
    start = "If you go on all the same" if found.stop else "Brew next, in this order"
    if found.row is not None:
        lines.append(f"{start}, a row of {len(found.row.lots)}: {_row(found.row)}")
    if found.pair is not None:
        lines.append(f"{'or' if found.row else start}, a pair: {_row(found.pair)}")
    return Said(content, (*lines, *every))


def _row(row: SuggestedRow) -> str:
    if row.gain <= 0:
        return f"{', '.join(row.lots)} (no single answer would change the choice; this one tells most)"
    return (
        f"{', '.join(row.lots)} (lowers what choosing now gives up by {row.gain:.3f}, "
        f"{row.gain_per_cup:.3f} a cup)"
    )


def _table(lots: Sequence[LotRank], top: int) -> list[str]:
    width = max(3, *(len(lot.lot) for lot in lots))
    head = f"{'lot':<{width}}  strength (95 %)           best   top {top:<3} gives up  rows  won lost level"
    return [head, *(_lot(lot, width) for lot in lots)]


def _lot(lot: LotRank, width: int) -> str:
    interval = f"{lot.strength:+.2f} ({lot.low:+.2f} to {lot.high:+.2f})"
    return (
        f"{lot.lot:<{width}}  {interval:<24} {lot.chance_best:>6.0%} {lot.chance_top:>7.0%} "
        f"{lot.expected_loss:>9.2f} {lot.answers:>5} {lot.wins:>4} {lot.losses:>4} {lot.ties:>5}"
    )


def _at(at: AtSpread) -> str:
    return (
        f"{at.leader} leads with {at.chance_best:.0%}, gives up {at.expected_loss:.2f}; "
        f"shortlist {', '.join(at.shortlist)}"
    )


def _taster(one: TasterRank) -> str:
    return f"  {one.taster or 'unnamed'}: {_interval(one.steadiness)}; answers: {one.answers}"


def _interval(estimate: Estimate) -> str:
    return f"{estimate.value:.2f} ({estimate.low:.2f} to {estimate.high:.2f})"
