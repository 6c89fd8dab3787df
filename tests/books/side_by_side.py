"""Score sheets with several tasters across: side by side over attributes, or alone over one attribute."""

from typing import Any

from tests.books.canvas import Sheet, letter
from tests.books.score_cells import scale_sentence
from tests.books.score_rows import Cup, describe, plain_code, put_sample, put_score, write_note
from tests.books.tastings import Tasting
from tests.books.truth import Truth

_SHAPES = (
    "{t}: {a}",
    "{t} - {a}",
    "{t} – {a}",
    "{a} ({t})",
    "{t} {a}",
    "{a} {t}",
    "{t}/{a}",
    "{t}'s {a}",
    "{a} - {t}",
)
_PLAIN_ATTRIBUTES = ("scent", "sweet", "bitter", "body", "length", "overall", "floral", "roast", "nice")
_TITLED = ("Sweetness", "Bitterness", "Body", "Aroma", "Length", "Overall", "Astringency")


def people_of(tasting: Tasting) -> list[str]:
    """Return the tasters as this buyer names them; sometimes the buyer is `me`."""
    tasters = list(tasting.panel.tasters)
    if tasting.manner.roll(0.35):
        tasters[0] = "me"
    return tasters


def side_by_side_table(
    sheet: Sheet, truth: Truth, tasting: Tasting, names: dict[str, str], top: int = 1
) -> int:
    """Write a row a lot and a column for each attribute of each taster; return the last row."""
    manner = tasting.manner
    people = people_of(tasting)
    attributes = manner.rng.sample(_PLAIN_ATTRIBUTES, manner.rng.randint(2, 3) if len(people) > 1 else 3)
    attributes = [a.capitalize() if manner.roll(0.3) else a for a in attributes]
    pairs = [(t, a) for t in people for a in attributes]
    if manner.roll(0.4):
        pairs = [(t, a) for a in attributes for t in people]
    row = _title(sheet, tasting, top)
    with_names = manner.roll(0.5)
    first = 3 if with_names else 2
    two_rows = manner.roll(0.4) and len(people) > 1 and len(attributes) > 1
    columns: dict[str, Any] = {"A": {"header": "", "field": "sample"}}
    if two_rows:
        _two_rows(sheet, tasting, row, first, pairs)
        row += 1
    sheet.put(row, 1, manner.pick(("Lot", "Code", "Sample", "Lot no.")))
    if with_names:
        sheet.put(row, 2, "Tea")
    shape = manner.pick(_SHAPES) if len(people) > 1 or people[0] == "me" else "{t}: {a}"
    for n, (taster, attribute) in enumerate(pairs, start=first):
        if not two_rows:
            sheet.put(row, n, shape.format(t=taster, a=attribute) + tasting_scale(tasting))
        columns[letter(n)] = {"header": "", "field": "score", "attribute": attribute}
    notes = first + len(pairs) if manner.roll(0.3) and not two_rows else 0
    if notes:
        sheet.put(row, notes, "Notes")
    return _cups(sheet, truth, tasting, names if with_names else {}, row + 1, first, pairs, notes)


def tasting_scale(tasting: Tasting) -> str:
    """Return the scale as it stands behind a head, if this book writes it there."""
    return f" /{tasting.scale.high:g}" if tasting.scale.said_in == "header" and tasting.scale.low == 0 else ""


def _title(sheet: Sheet, tasting: Tasting, row: int) -> int:
    said = tasting.scale.said_in
    if said == "title" or (said == "header" and tasting.scale.low != 0):
        sheet.put(row, 1, scale_sentence(tasting.manner, tasting.scale))
        return row + tasting.manner.pick((1, 2))
    return row


def _two_rows(sheet: Sheet, tasting: Tasting, row: int, first: int, pairs: list[tuple[str, str]]) -> None:
    """Write the outer of taster and attribute over the inner one; merged, or only where it changes."""
    outer = 0 if pairs[0][0] == pairs[1][0] else 1
    starts = [n for n, pair in enumerate(pairs) if n == 0 or pair[outer] != pairs[n - 1][outer]]
    merged = tasting.manner.roll(0.6)
    for n, pair in enumerate(pairs):
        sheet.put(row + 1, first + n, pair[1 - outer] + tasting_scale(tasting))
        if n in starts:
            sheet.put(row, first + n, pair[outer])
            end = next((s for s in starts if s > n), len(pairs))
            if merged and end - n > 1:
                sheet.merge(row, first + n, row, first + end - 1)


def _cups(
    sheet: Sheet,
    truth: Truth,
    tasting: Tasting,
    names: dict[str, str],
    row: int,
    first: int,
    pairs: list[tuple[str, str]],
    notes: int,
) -> int:
    start = row
    for code in tasting.codes:
        what = put_sample(sheet, truth, tasting, code, row, 1)
        if code in names:
            sheet.put(row, 2, names[code])
        for n, (taster, attribute) in enumerate(pairs, start=first):
            put_score(sheet, truth, tasting, Cup(taster, taster, *what, {"attribute": attribute}), row, n)
        if notes and tasting.manner.roll(0.5):
            write_note(sheet, truth, row, notes, None, what[0], "plum, soft")
        row += 1
    describe(truth, sheet, "scores_wide", {"header_row": start - 1}, start, row - 1, {})
    return row - 1


def matrix_tables(sheets: list[Sheet], truth: Truth, tasting: Tasting) -> None:
    """Write a table for each attribute: tasters across, or lots across; on sheets of their own or stacked."""
    manner, people = tasting.manner, people_of(tasting)
    attributes = manner.rng.sample(_TITLED, manner.rng.randint(2, 3))
    top, lots_across = 1, manner.roll(0.3)
    word = manner.pick(("Lot", "Sample", "Code", ""))
    for n, attribute in enumerate(attributes):
        sheet = sheets[min(n, len(sheets) - 1)]
        top = 1 if len(sheets) > 1 else top
        if len(sheets) > 1:
            sheet.name = attribute if manner.roll(0.5) else sheet.name
        titled = attribute + (f", {tasting.scale.words}" if tasting.scale.said_in else "")
        sheet.put(top, 1, manner.pick((titled, f"Attribute: {titled}", titled)))
        top = top + manner.pick((1, 2))
        write = _lots_across if lots_across else _tasters_across
        top = write(sheet, truth, tasting, attribute, people, top, word) + manner.pick((2, 3))


def _tasters_across(
    sheet: Sheet, truth: Truth, tasting: Tasting, attribute: str, people: list[str], row: int, word: str
) -> int:
    sheet.put(row, 1, word or "Lot")
    for n, taster in enumerate(people, start=2):
        sheet.put(row, n, taster)
    for code in tasting.codes:
        row += 1
        what = put_sample(sheet, truth, tasting, code, row, 1)
        for n, taster in enumerate(people, start=2):
            put_score(sheet, truth, tasting, Cup(taster, taster, *what, {"attribute": attribute}), row, n)
    return row


def _lots_across(
    sheet: Sheet, truth: Truth, tasting: Tasting, attribute: str, people: list[str], row: int, word: str
) -> int:
    sheet.put(row, 1, word or None)
    for n, code in enumerate(tasting.codes, start=2):
        sheet.put(row, n, plain_code(tasting, code))
    for taster in people:
        row += 1
        sheet.put(row, 1, taster)
        for n, code in enumerate(tasting.codes, start=2):
            cup = Cup(taster, taster, code, code, {"attribute": attribute})
            put_score(sheet, truth, tasting, cup, row, n)
    return row
