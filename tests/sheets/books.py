"""Hand-built `ReadBook`s for the tests of intake and export: what was read from a small workbook."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from typing import Any

from wetleaf.lots.workbooks.records import (
    Cell,
    LedgerEntry,
    LineRow,
    LotRow,
    Note,
    Preference,
    Problem,
    ReadBook,
    Retaste,
    SampleCode,
    Score,
    Sitting,
    Triangle,
    Verdict,
)
from wetleaf.trade.dates import PartialDate, on_day
from wetleaf.trade.money import Price
from wetleaf.trade.quantities import Degree, Elevation

TASTING = "Tasting 12 May"
WHOLE_LATE_APRIL = PartialDate("part_of_month", 2026, 4, part="late")


def a_row(code: str | None, row: int, name: str = "", *, sheet: str = "Lots", **said: Any) -> LotRow:
    """A lot's row with a cell for every field it says."""
    columns = {
        "code": "A",
        "name": "B",
        "producer": "C",
        "elev": "D",
        "harvest": "E",
        "price": "F",
        "roast": "G",
    }
    told = {"name": name or f"Tea {code}", **said}
    cells = {
        field: Cell(sheet, f"{columns.get(field, 'Z')}{row}", _as_said(value))
        for field, value in {"code": code, **told}.items()
        if value is not None and field != "facts"
    }
    return LotRow(sheet=sheet, row=row, code=code, cells=cells, **told)


def _as_said(value: Any) -> str:
    return value if isinstance(value, str) else "as written"


def a_score(
    code: str | None,
    taster: str | None,
    value: float | None,
    row: int,
    *,
    attribute: str = "roast",
    **more: Any,
) -> Score:
    """A score in column D of the tasting's sheet."""
    filled: dict[str, Any] = {
        "cell": Cell(TASTING, f"D{row}", "" if value is None else f"{value:g}"),
        "row": row,
        "taster": taster,
        "taster_raw": taster or "?",
        "sample": code,
        "sample_raw": code or "?",
        "attribute": attribute,
        "value": value,
        "status": "missing" if value is None else "ok",
        "replicate": "1",
        "sitting": TASTING,
    }
    return Score(**filled | more)


def a_problem(
    cell: str = "D36", *, sheet: str | None = TASTING, severity: Any = "error", says: str = "12"
) -> Problem:
    return Problem(
        sheet, cell, says, "out_of_range", severity, "12 on a scale of 0 to 10", "Write the score again."
    )


def codes(rows: tuple[LotRow, ...]) -> tuple[SampleCode, ...]:
    """The sample codes of lots: a code of two rows is ambiguous."""
    places: dict[str, list[tuple[str, int]]] = {}
    for row in rows:
        if row.code:
            places.setdefault(row.code, []).append((row.sheet, row.row))
    return tuple(SampleCode(code, tuple(where), len(where) > 1) for code, where in places.items())


def a_book(**parts: Any) -> ReadBook:
    """A book of two lots and one flight of four scores; any part may be given instead."""
    rows = parts.pop(
        "lots", (a_row("LU-07", 5, "Frost Hollow Dong Ding"), a_row("LU-08", 6, "Quiet Mill Oolong"))
    )
    filled: dict[str, Any] = {
        "file": "spring.xlsx",
        "digest": "a" * 64,
        "kind": "xlsx",
        "roles": {"Lots": "lots", TASTING: "scores_long"},
        "lots": rows,
        "samples": codes(rows),
        "sittings": (
            Sitting(TASTING, TASTING, dt.date(2026, 5, 12), blind=True, scale_low=0, scale_high=10),
        ),
        "scores": (
            a_score("LU-07", "Mirel", 5, 4),
            a_score("LU-08", "Mirel", 6, 5),
            a_score("LU-07", "Jonas", 4.5, 6),
            a_score("LU-08", "Jonas", None, 7),
        ),
    }
    return ReadBook(**filled | parts)


def corrected(book: ReadBook, **parts: Any) -> ReadBook:
    """The same workbook sent again with something changed."""
    return replace(book, **{"file": "spring corrected.xlsx", "digest": "b" * 64, **parts})


def a_full_book() -> ReadBook:
    """A book that holds one of everything a workbook can tell."""
    rows = (
        a_row(
            "LU-07",
            5,
            "Frost Hollow Dong Ding 凍頂",
            producer="Widow Terrace Works",
            region="Lugu, Nantou",
            elev=Elevation(m=750),
            harvest=on_day(dt.date(2026, 4, 18)),
            cv="Qingxin",
            ox=Degree(pct_min=Decimal(20), pct_max=Decimal(25)),
            roast=Degree(word="medium"),
            price=Price(Decimal(1200), "TWD", Decimal(600)),
            moq_grams=Decimal(2000),
            avail_grams=Decimal(18000),
            sample_grams=Decimal(25),
            sample_received=on_day(dt.date(2026, 5, 2)),
            offer_until=on_day(dt.date(2026, 5, 22)),
            markup=Decimal(55),
            claims="hand picked, charcoal",
            facts={
                "grade": "競賽",
                "line": "House Dong Ding",
                "tea_class": "oolong",
                "contact": "line: widow",
            },
        ),
        a_row(
            "LU-08", 6, "Quiet Mill Oolong", harvest=WHOLE_LATE_APRIL, elev=Elevation(m_min=600, m_max=800)
        ),
        a_row(
            "LU-09",
            7,
            "Frost Hollow, fired again",
            loss_percent=Decimal("4.5"),
            facts={"parent": "LU-07", "making": "re-roast"},
        ),
    )
    return a_book(
        lots=rows,
        samples=codes(rows),
        scores=(
            a_score("LU-07", "Mirel", 5, 4),
            a_score("LU-08", "Mirel", 6, 5, stage="taste", replicate="2", brew="b"),
            a_score("LU-07", "Jonas", None, 6, status="censored", lower=9.0, cell=Cell(TASTING, "D6", ">9")),
            a_score("LU-08", "Jonas", None, 7),
        ),
        notes=(
            Note(
                Cell(TASTING, "H4", "orchid; no smoke"),
                "orchid; no smoke",
                "Mirel",
                "Mirel",
                "LU-07",
                "LU-07",
                "liquor_aroma",
                TASTING,
            ),
            Note(Cell("Notes", "A2", "rain all week"), "rain all week"),
        ),
        verdicts=(
            Verdict(Cell("Lots", "Q5", "keep"), "LU-07", "LU-07", None, "keep", 6, 0, 7),
            Verdict(Cell("Lots", "Q6", "4"), "LU-08", "LU-08", None, None, 4, 0, 7),
        ),
        preferences=(
            Preference(
                Cell("A-B", "D2", "A"), 2, "Mirel", "Mirel", "LU-07", "LU-08", "LU-07", why="more length"
            ),
            Preference(Cell("A-B", "D3", "="), 3, "Jonas", "Jonas", "LU-07", "LU-08", None, tie=True),
        ),
        triangles=(
            Triangle(
                Cell("Triangle", "F2", "2"),
                2,
                "Mirel",
                "Mirel",
                ("LU-07", "LU-08", "LU-07"),
                2,
                2,
                True,
                True,
            ),
        ),
        retastes=(
            Retaste(
                Cell("Re-taste", "A2", "LU-07"),
                2,
                "LU-07",
                dt.date(2026, 4, 30),
                dt.date(2026, 5, 12),
                12,
                8.0,
                "not_ready",
                remark="wait",
            ),
        ),
        ledger=(
            LedgerEntry(
                Cell("Leaf", "B2", "-9"), "LU-07", Decimal(-9), "brewed, 12 May", dt.date(2026, 5, 12)
            ),
        ),
        lines=(
            LineRow(Cell("Lines", "A2", "House Dong Ding"), "House Dong Ding", "oolong", Decimal(12)),
            LineRow(
                Cell("Lines", "A3", "House Dong Ding"),
                "House Dong Ding",
                attribute="roast",
                target=5.0,
                tolerance=1.0,
            ),
        ),
        problems=(a_problem("A6", severity="info", says="LU-08 "),),
        taster_aliases={"Mirel": ("M.", "mirel ")},
    )


def many_scores(lots: int = 60, tasters: int = 12, attributes: int = 25, replicates: int = 2) -> ReadBook:
    """A season of lots x tasters x attributes x replicates scores (36,000 as it stands)."""
    rows = tuple(a_row(f"L-{number:03}", number + 5) for number in range(lots))
    scores = []
    for number, row in enumerate(rows):
        for taster in range(tasters):
            for replicate in range(replicates):
                line = (number * tasters + taster) * replicates + replicate + 4
                scores += [
                    a_score(
                        row.code,
                        f"Taster {taster}",
                        (line + column) % 11,
                        line,
                        attribute=f"a{column}",
                        replicate=str(replicate + 1),
                        cell=Cell(TASTING, f"C{column}R{line}", "5"),
                    )
                    for column in range(attributes)
                ]
    return a_book(lots=rows, samples=codes(rows), scores=tuple(scores))
