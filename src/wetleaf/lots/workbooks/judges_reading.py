"""The verdicts and likings of tasters side by side, one record a taster and sample."""

from collections.abc import Iterator

from wetleaf.lots.workbooks.context import Context
from wetleaf.lots.workbooks.first_pass_cells import liking_at, verdict_at
from wetleaf.lots.workbooks.grid import cell_record
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.records import Verdict
from wetleaf.lots.workbooks.score_names import Names


def read_judges(
    one: Recognised, row: int, sample: tuple[str | None, str], sitting: str, names: Names, context: Context
) -> Iterator[Verdict]:
    """Read what each taster whom the heads name says in one row."""
    heads = {column.head.column: column.head for column in one.columns}
    by_taster: dict[str, dict[str, Head]] = {}
    for column, said in one.judged.items():
        by_taster.setdefault(said.taster, {})[said.attribute] = heads[column]
    for who, own in by_taster.items():
        verdict = verdict_at(one, row, own["verdict"].column, context) if "verdict" in own else None
        liking, scale = liking_at(one, row, own["liking"], context) if "liking" in own else (None, None)
        if verdict is None and liking is None:
            continue
        place = own["verdict" if verdict is not None else "liking"].column
        yield Verdict(
            cell_record(one.table.grid, row, place),
            *sample,
            names.tasters.of(who).name,
            verdict,
            liking,
            scale.low if scale and liking is not None else None,
            scale.high if scale and liking is not None else None,
            sitting,
        )
