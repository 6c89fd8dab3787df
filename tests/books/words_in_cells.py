"""A first pass whose likings stand inside the words: `8/10 lovely, plum`."""

from tests.books import words
from tests.books.canvas import Sheet
from tests.books.manner import Manner
from tests.books.truth import Truth


def told_in_words(sheet: Sheet, truth: Truth, manner: Manner, codes: list[str]) -> None:
    """Write a code and a remark that begins or ends with a liking; the truth keeps it on the code's lot."""
    top = manner.pick((10, 10, 5, 20))
    sheet.put(1, 1, manner.pick(("Lot", "Code")))
    sheet.put(1, 2, manner.pick(("Notes", "Tasting notes", "Words")))
    after = manner.roll(0.3)
    for row, code in enumerate(codes, start=2):
        sheet.put(row, 1, int(code) if code.isdigit() else code)
        value = manner.rng.randint(2, top - 1)
        half = manner.roll(0.3)
        number = f"{value}.5" if half else f"{value}"
        said = manner.pick(words.WORDS)
        text = f"{said}, {number}/{top}" if after else f"{number}/{top} {said}"
        cell = sheet.put(row, 2, text)
        truth.notes.append({"sheet": sheet.name, "cell": cell, "taster": None, "sample": code, "text": said})
        truth.first_passes.append(
            {
                "sheet": sheet.name,
                "cell": cell,
                "sample": code,
                "liking": value + 0.5 * half,
                "scale_high": top,
            }
        )
    truth.sheets.append({"name": sheet.name, "role": "notes"})
