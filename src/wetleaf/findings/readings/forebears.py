"""Which tea of the season before a lot is held against: the one that filled its line."""

from wetleaf.findings.records import LotRow, SampleRow, SeasonRecords
from wetleaf.trade.spelling import squash


def last_years_lot(records: SeasonRecords, lot: LotRow) -> LotRow | None:
    """Return last year's lot of the line, or the same maker's tea of the same name where no line is named.

    Of several the one of which a sample was kept, then the one that was kept by verdict, then the first by
    code. None when the season before holds no such lot.
    """
    before = [other for other in records.other_lots if other.season == records.before]
    if lot.line:
        found = [other for other in before if other.line == lot.line]
    else:
        found = [other for other in before if _is_same_tea(other, lot)]
    return min(found, key=lambda other: (*_standing(records, other), other.code), default=None)


def kept_sample(records: SeasonRecords, lot: LotRow) -> SampleRow | None:
    """Return the sample kept of a lot, or None."""
    samples = records.samples_of.get(lot.pk, ())
    return next((sample for sample in samples if sample.kind == "kept"), None)


def latest_verdict(records: SeasonRecords, lot: LotRow) -> str:
    """Return the last word on a lot: decided by hand, else the buyer's, else another's; "" for none."""
    decided = [row.word for row in records.decisions if row.lot == lot.pk and not row.replaced]
    if decided:
        return decided[-1]
    words = [
        verdict
        for verdict in records.verdicts
        if verdict.word and records.sample_of[verdict.sample].lot == lot.pk
    ]
    last = max(words, key=lambda verdict: (verdict.by_buyer, verdict.pk), default=None)
    return last.word if last else ""


def _is_same_tea(one: LotRow, other: LotRow) -> bool:
    return bool(one.producer) and one.producer == other.producer and squash(one.name) == squash(other.name)


def _standing(records: SeasonRecords, lot: LotRow) -> tuple[bool, bool]:
    return kept_sample(records, lot) is None, latest_verdict(records, lot) != "keep"
