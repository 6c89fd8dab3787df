"""What `wetleaf map words` answers, in words and as JSON: counts, tests, and the words of each lot."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetleaf.cli.plain_table import clean, read_table
from wetleaf.cli.said import Said, chance
from wetleaf.numerics.maps import Correspondence, WordAcrossLots, correspondence, words_across_lots
from wetleaf.numerics.maps.word_maps import TASTERS_FOR_A_TEST
from wetleaf.trade.errors import BadInput


@dataclass(frozen=True)
class SaidWords:
    """Who said what of which lot: `said` (tasters, lots, words)."""

    tasters: tuple[str, ...]
    lots: tuple[str, ...]
    words: tuple[str, ...]
    said: NDArray[np.bool_]
    warnings: tuple[str, ...]


def of_words(path: Path, *, lot: str, taster: str, word: str, seed: int) -> Said:
    """Say which words belong to which lots."""
    held = read_words(path, lot=lot, taster=taster, word=word)
    tested = words_across_lots(held.said, words=held.words, rng=np.random.default_rng(seed))
    counts = held.said.sum(axis=0).astype(float)
    warnings = list(held.warnings)
    found: Correspondence | None = None
    try:
        found = correspondence(counts, rows=held.lots, columns=held.words)
    except BadInput as no_map:
        warnings.append(f"No map: {no_map}")
    if len(held.tasters) < TASTERS_FOR_A_TEST:
        warnings.append(f"{len(held.tasters)} tasters: words are counted, not tested.")
    content = {
        "lots": list(held.lots),
        "words": [asdict(one) for one in tested],
        "map": None if found is None else _map(found),
        "warnings": warnings,
    }
    return Said(content, tuple(_lines(held, tested, found, warnings)))


def read_words(path: Path, *, lot: str, taster: str, word: str) -> SaidWords:
    """Read a table with a row for each word that a taster used of a lot; the same word twice counts once.

    Raises BadInput when the file is no table, lacks a column, or no row names all three.
    """
    header, rows = read_table(path, holds="words")
    asked = (("--taster", taster), ("--lot", lot), ("--word", word))
    places = [_place(path.name, header, option, name) for option, name in asked]
    cells = [[clean(row[place]) if place < len(row) else "" for place in places] for row in rows]
    whole = [(who, which, said.casefold()) for who, which, said in cells if who and which and said]
    if not whole:
        raise BadInput(
            f"{path.name}: no row names {taster}, {lot} and {word}.", way_out="Fill in one row a word."
        )
    tasters, lots, words = (tuple(sorted({row[k] for row in whole})) for k in range(3))
    said = np.zeros((len(tasters), len(lots), len(words)), dtype=bool)
    for who, which, what in whole:
        said[tasters.index(who), lots.index(which), words.index(what)] = True
    empty = len(cells) - len(whole)
    warnings = (f"{empty} of {len(cells)} rows lack a name or a word and were left out.",) if empty else ()
    return SaidWords(tasters, lots, words, said, warnings)


def _place(file: str, header: Sequence[str], option: str, name: str) -> int:
    wanted = clean(name)
    alike = [column for column in header if column.casefold() == wanted.casefold()]
    found = [column for column in alike if column == wanted] or alike
    if not found:
        listed = ", ".join(column for column in header if column)
        raise BadInput(
            f"{option}: the column '{name}' is not in {file}.", way_out=f"Its columns are: {listed}."
        )
    return header.index(found[0])


def _map(found: Correspondence) -> dict[str, Any]:
    return {
        "share": found.share.tolist(),
        "inertia": found.inertia,
        "lots": {lot: axes[:2].tolist() for lot, axes in zip(found.rows, found.row_scores, strict=True)},
        "words": {
            word: axes[:2].tolist() for word, axes in zip(found.columns, found.column_scores, strict=True)
        },
        "left_out": list(found.empty),
    }


def _lines(
    held: SaidWords,
    tested: Sequence[WordAcrossLots],
    found: Correspondence | None,
    warnings: Sequence[str],
) -> list[str]:
    lines = [f"Tasters who said it, of {len(held.tasters)}:"]
    for one in sorted(tested, key=lambda word: (-sum(word.counts), word.word)):
        counts = ", ".join(f"{lot} {n}" for lot, n in zip(held.lots, one.counts, strict=True) if n)
        unlike = "" if np.isnan(one.p) else f"; alike for all lots? p = {chance(one.p)}"
        lines.append(f"  {one.word}: {counts}{unlike}")
    if not all(np.isnan(one.p) for one in tested):
        lines.append(f"Of {len(tested)} words tested, one in twenty looks unlike by luck.")
    if found is not None:
        lines.append(f"Words a lot has more of than others ({found.share[:2].sum():.0%} on two axes):")
        lines += [f"  {lot}: {', '.join(own)}" for lot, own in _own_words(held).items() if own]
    return [*lines, *warnings]


def _own_words(held: SaidWords) -> dict[str, list[str]]:
    """Words said of a lot at least half as often again as its share would have it, most first."""
    counts = held.said.sum(axis=0).astype(float)
    expected = np.outer(counts.sum(axis=1), counts.sum(axis=0)) / counts.sum()
    return {
        lot: [
            held.words[k]
            for k in np.argsort(expected[i] - counts[i], kind="stable")[:5]
            if counts[i, k] >= 1.5 * expected[i, k] > 0
        ]
        for i, lot in enumerate(held.lots)
    }
