"""A season's rows without the lots that were withdrawn, so that no list, count or ranking knows them."""

from collections.abc import Collection
from dataclasses import replace

from wetleaf.findings.records import SeasonRecords


def without_lots(records: SeasonRecords, gone: Collection[int]) -> SeasonRecords:
    """Return the records without these lots and everything that was said of them.

    A comparison of two samples, and a triangle, goes when one of its cups does.
    """
    if not gone:
        return records
    lost = {row.pk for row in records.samples if row.lot in gone}
    lots = tuple(row for row in records.lots if row.pk not in gone)
    codes = {row.code for row in lots}
    return replace(
        records,
        lots=lots,
        other_lots=tuple(row for row in records.other_lots if row.pk not in gone),
        samples=tuple(row for row in records.samples if row.pk not in lost),
        scores=tuple(row for row in records.scores if row.sample not in lost),
        verdicts=tuple(row for row in records.verdicts if row.sample not in lost),
        decisions=tuple(row for row in records.decisions if row.lot not in gone),
        remarks=tuple(row for row in records.remarks if row.sample not in lost),
        preferences=tuple(row for row in records.preferences if lost.isdisjoint((row.first, row.second))),
        trials=tuple(row for row in records.trials if lost.isdisjoint(row.cups)),
        retastes=tuple(row for row in records.retastes if row.lot not in gone),
        facts={lot: rows for lot, rows in records.facts.items() if lot not in gone},
        offers={lot: row for lot, row in records.offers.items() if lot not in gone},
        makings=tuple(row for row in records.makings if row.child in codes),
    )
