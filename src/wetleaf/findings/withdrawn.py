"""A season's rows without the lots that were withdrawn, so that no list, count or ranking knows them."""

from collections.abc import Collection
from dataclasses import fields, replace
from typing import Any

from wetleaf.findings.records import SeasonRecords


def without_lots(records: SeasonRecords, gone: Collection[int]) -> SeasonRecords:
    """Return the records without these lots and everything that was said of them, by `lot` or by `sample`.

    A comparison of two samples, and a triangle, goes when one of its cups does.
    """
    if not gone:
        return records
    lost = {row.pk for row in records.samples if row.lot in gone}
    lots = tuple(row for row in records.lots if row.pk not in gone)
    codes = {row.code for row in lots}
    left: dict[str, Any] = {name: _left(rows, gone, lost) for name, rows in _kinds_of_rows(records)}
    return replace(
        records,
        **left
        | {
            "lots": lots,
            "other_lots": tuple(row for row in records.other_lots if row.pk not in gone),
            "preferences": tuple(
                row for row in records.preferences if lost.isdisjoint((row.first, row.second))
            ),
            "trials": tuple(row for row in records.trials if lost.isdisjoint(row.cups)),
            "facts": {lot: rows for lot, rows in records.facts.items() if lot not in gone},
            "offers": {lot: row for lot, row in records.offers.items() if lot not in gone},
            "makings": tuple(row for row in records.makings if row.child in codes),
        },
    )


def _kinds_of_rows(records: SeasonRecords) -> list[tuple[str, tuple[Any, ...]]]:
    held = [(field.name, getattr(records, field.name)) for field in fields(records)]
    return [(name, rows) for name, rows in held if isinstance(rows, tuple)]


def _left(rows: tuple[Any, ...], gone: Collection[int], lost: Collection[int]) -> tuple[Any, ...]:
    return tuple(
        row
        for row in rows
        if getattr(row, "lot", None) not in gone and getattr(row, "sample", None) not in lost
    )
