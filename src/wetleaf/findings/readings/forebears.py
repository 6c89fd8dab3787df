"""Which tea of the season before a lot is held against: the same maker's same tea, else its line's."""

import re

from wetleaf.findings.records import LotRow, SampleRow, SeasonRecords
from wetleaf.trade.spelling import squash

_A_YEAR = re.compile(r"(?<!\d)(19|20)\d\d(?!\d)")


def same_tea_before(records: SeasonRecords, lot: LotRow) -> LotRow | None:
    """Return last year's tea of the same maker and name, a year in the name aside; None without one.

    Of several the one of the same line.
    """
    same = [other for other in _before(records) if is_same_tea(other, lot)]
    return _first(records, [other for other in same if other.line == lot.line] or same)


def line_before(records: SeasonRecords, lot: LotRow) -> LotRow | None:
    """Return last year's lot of the line; None where no line is named or it had no lot."""
    return _first(records, [other for other in _before(records) if lot.line and other.line == lot.line])


def is_same_tea(one: LotRow, other: LotRow) -> bool:
    """Whether two lots are of one maker and one name, a year in the name aside."""
    return bool(one.producer) and one.producer == other.producer and _name(one) == _name(other)


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


def _before(records: SeasonRecords) -> list[LotRow]:
    return [other for other in records.other_lots if other.season == records.before]


def _first(records: SeasonRecords, lots: list[LotRow]) -> LotRow | None:
    """Of several the one of which a sample was kept, then the one kept by verdict, then the first by code."""
    return min(lots, key=lambda other: (*_standing(records, other), other.code), default=None)


def _name(lot: LotRow) -> str:
    return squash(_A_YEAR.sub("", lot.name)) or squash(lot.name)


def _standing(records: SeasonRecords, lot: LotRow) -> tuple[bool, bool]:
    return kept_sample(records, lot) is None, latest_verdict(records, lot) != "keep"
