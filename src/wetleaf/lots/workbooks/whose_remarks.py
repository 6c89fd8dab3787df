"""Whose remarks a column of a list of lots holds: the buyer's, unless its head says that the maker speaks."""

import re
from collections.abc import Iterable

from wetleaf.lots.workbooks.column_fit import column_cells
from wetleaf.lots.workbooks.grid import GridCell, as_text
from wetleaf.lots.workbooks.headings import fold, likenesses
from wetleaf.lots.workbooks.heads import Head
from wetleaf.lots.workbooks.likings_in_words import tells_likings
from wetleaf.lots.workbooks.recognised import Recognised
from wetleaf.lots.workbooks.tables import Table

_REMARKS = re.compile(
    r"(?:^| )(?:remarks?|comments?|notes?|misc|bemerkung(?:en)?|anmerkung(?:en)?|notiz(?:en)?|hinweise?"
    r"|sonstiges|remarques?|commentaires?|observations|words)(?: |$)"
    r"|备注|備註|備考|コメント|メモ|附注|附註|备考|其他|その他"
)
_MAKER = re.compile(
    r"(?:^| )(?:makers?|producers?|growers?|farmers?|farms?|sellers?|suppliers?|vendors?|they|their|he|she"
    r"|told|claim\w*|says?|said|stated|story|erzeugers?|verkaufers?|lieferanten|producteurs?|fournisseurs?|dit"
    r"|disent)(?: |$)"
    r"|生産者|卖家|賣家|茶农|茶農|卖方|賣方"
)
_MANY_WORDS = 6


def heads_remarks(head: Head) -> bool:
    """Say whether a head speaks of remarks, whoever made them."""
    return bool(_REMARKS.search(fold(head.whole)))


def of_the_maker(head: Head) -> bool:
    """Say whether a head says that its remarks are the maker's.

    >>> of_the_maker(Head(1, "remarks from maker")), of_the_maker(Head(1, "Notes"))
    (True, False)
    """
    return bool(_MAKER.search(fold(head.whole)))


def are_the_buyers(head: Head, why: str) -> bool:
    """Say whether a column of claims holds the buyer's own remarks: `Notes`, or sentences that only their
    cells tell.
    """
    return not of_the_maker(head) and (heads_remarks(head) or why.startswith("its cells"))


def look_like_makers(cells: Iterable[GridCell]) -> float:
    """The share of cells that may name somebody: short, no sentence, no list of adjectives."""
    texts = [text for cell in cells if (text := as_text(cell.value).strip())]
    return sum(map(_may_be_a_name, texts)) / len(texts) if texts else 0.0


def _may_be_a_name(text: str) -> bool:
    parts = [part for part in re.split(r"[,;]", text) if part.strip()]
    plain = text == text.lower() and text.isascii()
    return (
        len(text.split()) <= _MANY_WORDS and not text.endswith((".", "!")) and not (len(parts) > 1 and plain)
    )


def claims_are_ours(recognised: Recognised) -> bool:
    """Say whether the remarks of a list are the buyer's own: on a first pass, where they hold likings, or
    where nothing says that the maker speaks.
    """
    head = recognised.by_field.get("claims")
    if head is None:
        return False
    grid, why = (
        recognised.table.grid,
        next((c.why for c in recognised.columns if c.head.column == head.column), ""),
    )
    texts = (as_text(grid.at(row, head.column).value) for row in recognised.table.rows)
    return recognised.role == "verdicts" or are_the_buyers(head, why) or tells_likings(texts)


def heads_makers(head: Head, table: Table) -> bool:
    """Say whether a column may name the makers: by its head, and by cells that look like names."""
    best = next(iter(likenesses("lots", head.whole)), None)
    cells = column_cells(table, head.column)
    return (
        best is not None and best.field == "producer" and best.score >= 0.7 and look_like_makers(cells) > 0.5
    )
