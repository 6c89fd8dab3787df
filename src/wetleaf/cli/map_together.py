"""What `wetleaf map together` answers, in words and as JSON: stages on one map, each with the same say."""

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Any

import numpy as np

from wetleaf.cli.said import Said
from wetleaf.cli.score_file import ReadScores
from wetleaf.numerics.maps import CommonMap, common_map
from wetleaf.numerics.maps.axes import Floats
from wetleaf.numerics.maps.levelled import levelled
from wetleaf.trade.errors import BadInput


def tables_named(given: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """Return tables from texts such as "taste: sweet, bitter"; raises BadInput for any other text.

    >>> tables_named(["leaf: scent, colour", "taste: sweet"])
    {'leaf': ('scent', 'colour'), 'taste': ('sweet',)}
    """
    found: dict[str, tuple[str, ...]] = {}
    for text in given:
        name, colon, columns = text.partition(":")
        held = tuple(column.strip() for column in columns.split(",") if column.strip())
        if not (name.strip() and colon and held) or name.strip() in found:
            raise BadInput(
                f"--table {text!r} names no table of its own.", way_out='Write it as "taste: sweet, bitter".'
            )
        found[name.strip()] = held
    return found


def of_tables(read: ReadScores, named: Mapping[str, tuple[str, ...]]) -> Said:
    """Say where the lots stand when every table has the same say."""
    table = levelled(read.scores)
    given: dict[str, tuple[Sequence[str], Floats]] = {}
    for name, columns in named.items():
        kept = [column for column in columns if column in table.attributes]
        if kept:
            given[name] = (kept, table.means[:, [table.attributes.index(column) for column in kept]])
    found = common_map(given, rows=table.lots)
    left_out = f"Not scored on every lot, left out: {', '.join(table.left_out)}." if table.left_out else ""
    warnings = [*read.warnings, *found.warnings, *filter(None, [left_out])]
    return Said(_content(found, warnings), (*_lines(found), *warnings))


def _content(found: CommonMap, warnings: Sequence[str]) -> dict[str, Any]:
    return {
        "question": found.question,
        "share": found.share.tolist(),
        "lots": _places(found.rows, found.row_scores),
        "tables": [
            {"table": name, "share_of_axes": share[:2].tolist(), "lots": _places(found.rows, own)}
            for name, share, own in zip(found.tables, found.table_scores, found.partial, strict=True)
        ],
        "columns": [
            {"table": table, "column": column, "axes": axes[:2].tolist()}
            for (table, column), axes in zip(found.columns, found.column_scores, strict=True)
        ],
        "alike": [{"a": a, "b": b, "rv": rv} for a, b, rv in _alike(found)],
        "warnings": warnings,
    }


def _places(lots: Sequence[str], scores: Floats) -> list[dict[str, Any]]:
    padded = np.column_stack([scores, np.zeros(len(scores))])
    return [
        {"lot": lot, "x": float(x), "y": float(y)} for lot, (x, y) in zip(lots, padded[:, :2], strict=True)
    ]


def _alike(found: CommonMap) -> list[tuple[str, str, float]]:
    pairs = combinations(range(len(found.tables)), 2)
    return [(found.tables[i], found.tables[j], float(found.alike[i, j])) for i, j in pairs]


def _lines(found: CommonMap) -> list[str]:
    width = max(len(name) for name in (*found.rows, *found.tables))
    return [
        f"The two axes show {found.share[:2].sum():.0%} of what sets the lots apart.",
        *(
            f"  {one['lot']:<{width}} {one['x']:6.2f} {one['y']:6.2f}"
            for one in _places(found.rows, found.row_scores)
        ),
        "How much each table has in the axes, from 0 to 1:",
        *(
            f"  {name:<{width}} " + " ".join(f"{value:6.2f}" for value in share[:2])
            for name, share in zip(found.tables, found.table_scores, strict=True)
        ),
        "How alike two tables are (RV; 1 is the same picture):",
        *(f"  {a} and {b}: {rv:.2f}" for a, b, rv in _alike(found)),
    ]
