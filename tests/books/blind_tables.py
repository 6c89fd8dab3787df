"""Scores given under blind codes, and the key that says which lot stood under each."""

from dataclasses import replace

from openpyxl.utils.cell import coordinate_to_tuple

from tests.books.canvas import Sheet, at
from tests.books.score_rows import Cup, put_score
from tests.books.score_tables import long_table, wide_table
from tests.books.tastings import Tasting
from tests.books.truth import Problem, Truth

_NOT_IN_KEY = Problem("unknown_sample", "error", "a code that the key does not hold")


def blind_codes(tasting: Tasting) -> dict[str, str]:
    """Return the blind code of each lot: three digits, or letters."""
    rng = tasting.manner.rng
    if rng.random() < 0.7:
        given = [str(number) for number in rng.sample(range(201, 989), len(tasting.codes))]
    else:
        given = list("ABCDEFGHJK"[: len(tasting.codes)])
        rng.shuffle(given)
    clash = {code.casefold() for code in tasting.known}
    return dict(zip(tasting.codes, (g if g.casefold() not in clash else f"X{g}" for g in given), strict=True))


def key_table(
    sheet: Sheet, tasting: Tasting, codes: dict[str, str], names: dict[str, str], top: int, left: int
) -> None:
    """Write the key: a head and a row a code, in either order, by lot or by the tea's name."""
    manner = tasting.manner
    heads = [
        manner.pick(("Code", "Blind code", "Cup", "Number", "Blind")),
        manner.pick(("Lot", "Tea", "Is", "Lot no.")),
    ]
    by_name = manner.roll(0.25) and len(set(names.values())) == len(names)
    flip = manner.roll(0.3)
    lines = sorted(codes.items(), key=lambda item: item[1])
    for n, head in enumerate(reversed(heads) if flip else heads):
        sheet.put(top, left + n, head)
    for row, (lot, code) in enumerate(lines, start=top + 1):
        cells = [
            int(code) if code.isdigit() else code,
            names[lot] if by_name and lot in names else _plain(lot),
        ]
        for n, value in enumerate(reversed(cells) if flip else cells):
            sheet.put(row, left + n, value)


def _plain(code: str) -> int | str:
    return int(code) if code.isdigit() else code


def key_line(codes: dict[str, str]) -> str:
    """Return the key as one line of text."""
    return ", ".join(f"{code} = {lot}" for lot, code in codes.items())


def blind_scores(sheet: Sheet, truth: Truth, tasting: Tasting, codes: dict[str, str], missing: str) -> int:
    """Write a long or a wide table under blind codes and set the truth to the lots; `missing` is the code
    that the key leaves out.
    """
    blind = replace(tasting, codes=list(codes.values()), known=set(), rich=False)
    before, noted = len(truth.scores), len(truth.notes)
    table = tasting.manner.pick((long_table, wide_table))
    last = table(sheet, truth, blind, top=max(sheet.last_row, 0) + 2 if sheet.cells else 1)
    lots = {code: lot for lot, code in codes.items()}
    asked: set[str] = set()
    for record in [*truth.scores[before:], *truth.notes[noted:]]:
        code = record["sample"]
        record["sample"] = None if code == missing else lots.get(code, code)
        if code == missing and "row" in record:
            asked.add(_sample_cell(sheet, record["row"], code))
    for cell in sorted(asked):
        truth.problem(sheet.name, cell, sheet_value(sheet, cell), _NOT_IN_KEY)
    return last


def _sample_cell(sheet: Sheet, row: int, code: str) -> str:
    for column in range(1, 12):
        cell = sheet.cells.get((row, column))
        if cell is not None and "".join(filter(str.isalnum, str(cell.value))).casefold() == code.casefold():
            return at(row, column)
    raise ValueError(f"no cell of row {row} holds {code}")


def sheet_value(sheet: Sheet, name: str) -> object:
    """Return what a cell holds."""
    return sheet.cells[coordinate_to_tuple(name)].value


def blind_lying(sheet: Sheet, truth: Truth, tasting: Tasting, codes: dict[str, str], taster: str) -> None:
    """Write one taster's sheet with the blind codes across."""
    sheet.put(1, 1, f"Taster: {taster}")
    for n, code in enumerate(codes.values(), start=2):
        sheet.put(3, n, int(code) if code.isdigit() else code)
    for row, (_, attribute) in enumerate(tasting.attributes, start=4):
        sheet.put(row, 1, attribute)
        for n, lot in enumerate(codes, start=2):
            put_score(sheet, truth, tasting, Cup(taster, taster, lot, lot, {"attribute": attribute}), row, n)
