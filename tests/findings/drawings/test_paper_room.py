"""Whether a lot fits one A4 page with its bars: an estimate, held to paper by the browser's tests."""

import dataclasses

from tests.findings.drawings.sample_book import a_rich_book
from wetleaf.findings.book import RemarkAsWritten
from wetleaf.findings.drawings.paper_room import fits_a_page


def test_a_lot_of_which_little_is_said_fits() -> None:
    lot = next(lot for lot in a_rich_book().lots if lot.profile)

    assert fits_a_page(lot)


def test_a_lot_of_which_much_is_said_does_not() -> None:
    lot = next(lot for lot in a_rich_book().lots if lot.profile)
    notes = (RemarkAsWritten("chestnut, then stones, then smoke " * 12, "Ilse", ""),) * 8

    assert not fits_a_page(dataclasses.replace(lot, remarks=notes))
