"""The bars of a ladder, growing outward from its rails, and the ladder's twin as plain rows.

The ladder itself is HTML (`_ladder.html`), so that its words wrap, can be selected and are spoken.
"""

from typing import Literal

from wetleaf.findings.book import Bar, Estimate, Ladder, Rung, Word
from wetleaf.findings.drawings.scales import Axis
from wetleaf.findings.drawings.spoken import has_interval, said_estimate, said_word
from wetleaf.findings.drawings.svg import element

DIFFER = {
    "yes": "they differ",
    "no": "no difference worth a word",
    "can't tell yet": "can’t tell yet",
    None: "",
}


def ladder_bar(estimate: Estimate, *, side: Literal["left", "right"], was: bool = False) -> str:
    """Draw one bar, a hundred units long, stretched by the page; `was` draws last year's, open.

    The numbers stand beside it in the text, so a reader of the screen is spared the drawing.
    """
    low, high = estimate.scale_low, estimate.scale_high
    axis = Axis(low, high, 100, 0) if side == "left" else Axis(low, high, 0, 100)
    reach = axis.at(estimate.value)
    start = reach if side == "left" else 0
    return element(
        "svg",
        element(
            "rect", class_="bar was" if was else "bar", x=start, y=2, width=abs(reach - axis.start), height=8
        ),
        _doubt(estimate, axis),
        class_="lbar",
        viewBox="0 0 100 12",
        preserveAspectRatio="none",
        aria_hidden="true",
        focusable="false",
    )


def has_bars(ladder: Ladder) -> bool:
    """Whether any stage carries an intensity."""
    return any(rung.bars for rung in ladder.rungs)


def rungs_with_something(ladder: Ladder) -> tuple[Rung, ...]:
    """Leave out the stages of which nothing was said and nothing measured."""
    return tuple(rung for rung in ladder.rungs if rung.left or rung.shared or rung.right or rung.bars)


def all_words(rung: Rung) -> tuple[Word, ...]:
    """Every word of a rung: a ladder of one tea may keep them on any side."""
    return rung.left + rung.shared + rung.right


def twin_rows(ladder: Ladder) -> tuple[tuple[str, ...], ...]:
    """The ladder as a table: stage, words (one column for one tea, three for two), intensities."""
    return tuple(_twin_row(ladder, rung) for rung in rungs_with_something(ladder))


def _twin_row(ladder: Ladder, rung: Rung) -> tuple[str, ...]:
    bars = "; ".join(_bar_words(bar, alone=ladder.kind == "one") for bar in rung.bars) or "–"
    if ladder.kind == "one":
        return rung.name, _listed(all_words(rung)), bars
    return rung.name, _listed(rung.left), _listed(rung.shared), _listed(rung.right), bars


def _listed(words: tuple[Word, ...]) -> str:
    return (
        ", ".join(said_word(word) if word.absent else f"{word.text} {word.strength}" for word in words) or "–"
    )


def _bar_words(bar: Bar, *, alone: bool) -> str:
    if alone:
        only = bar.left or bar.right
        return f"{bar.attribute}: {said_estimate(only) if only else 'not scored'}"
    sides = " | ".join(said_estimate(side) if side else "not scored" for side in (bar.left, bar.right))
    return f"{bar.attribute}: {sides}" + (f", {DIFFER[bar.differ]}" if bar.differ else "")


def _doubt(estimate: Estimate, axis: Axis) -> str:
    if not has_interval(estimate):
        return ""
    ends = sorted((axis.at(estimate.low), axis.at(estimate.high)))
    return element(
        "line", class_="iv", vector_effect="non-scaling-stroke", x1=ends[0], x2=ends[1], y1=6, y2=6
    )
