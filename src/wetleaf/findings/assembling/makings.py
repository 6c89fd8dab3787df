"""How a lot came from others and what was made of it, with what was lost on the way: rows of its facts."""

from decimal import Decimal

from wetleaf.findings.book import FactRow
from wetleaf.findings.readings.stated import kilos
from wetleaf.findings.records import MakingRow, SeasonRecords

_GRAMS_SAID_AS_KILOS = 1000
_LOSS = "What was lost is not noted."


def making_rows(code: str, records: SeasonRecords) -> tuple[FactRow, ...]:
    """Return a row for every parent a lot was made from, and one for every lot that was made of it."""
    made_from = [row for row in records.makings if row.child == code]
    made_into = [row for row in records.makings if row.parent == code]
    return (
        *(_row("Made from", row.parent, row) for row in made_from),
        *(_row("Made into", row.child, row) for row in made_into),
    )


def _row(what: str, other: str, row: MakingRow) -> FactRow:
    day = f" on {row.made_on.day} {row.made_on:%B %Y}" if row.made_on else ""
    parts = (f"{other}, {row.kind}{day}", _weights(row), _lost(row))
    knows = row.loss_percent is not None or (row.grams_in is not None and row.grams_out is not None)
    return FactRow(what, "; ".join(part for part in parts if part), "noted here", "" if knows else _LOSS)


def _weights(row: MakingRow) -> str:
    """A blend's grams out are of all its parents, so they stand beside no single parent's grams in."""
    if row.grams_in is not None and row.grams_out is not None and row.kind != "blend":
        return f"{said_weight(row.grams_in)} in, {said_weight(row.grams_out)} out"
    return f"{said_weight(row.grams_in)} went in" if row.grams_in is not None else ""


def _lost(row: MakingRow) -> str:
    return "" if row.loss_percent is None else f"{row.loss_percent.normalize():f} % lost".replace("-", "−")


def said_weight(grams: Decimal) -> str:
    """Say grams, in kilos from a kilo on.

    >>> said_weight(Decimal("450.000")), said_weight(Decimal("12500"))
    ('450 g', '12.5 kg')
    """
    return kilos(grams) if grams >= _GRAMS_SAID_AS_KILOS else f"{grams.normalize():f} g"
