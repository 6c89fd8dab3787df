"""What the book says of a lot now, kept with a decision so that it stays known what it rested on."""

import datetime as dt

from wetleaf.findings.actions import record_findings
from wetleaf.findings.opening import open_book
from wetleaf.lots.models import Lot


def answers_now(lot: Lot, *, on: dt.date) -> tuple[dict[str, str], ...]:
    """Return the answers on the lot's page as {"question", "answer", "digest"}, and record the findings.

    The digest is that of the inputs, "" for an answer that rests on papers only. Empty when nothing is asked.
    """
    record_findings(lot.season)
    book = open_book(lot.season, shown_private=False, on=on)
    page = next((page for page in book.lots if page.code == lot.code), None)
    asked = page.answers if page is not None else ()
    return tuple(
        {
            "question": one.question,
            "answer": one.answer,
            "digest": one.ground.input_digest if one.ground is not None else "",
        }
        for one in asked
        if one.answer is not None
    )
