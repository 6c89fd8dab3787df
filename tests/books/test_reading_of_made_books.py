"""The importer held to its aims on made books: errors named, few false errors, lot fields and scores right.

`regression`: the aims are the project's own (issue 2); the books and their truth come from `maker.py`.
"""

from pathlib import Path

import pytest

from tests.books.comparison import Reading
from tests.books.maker import KINDS
from tests.books.score_reading import made_books, score_book

SEEDS = [301, 302, 303]


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_made_books_are_read_within_the_aims(kind: str, tmp_path: Path) -> None:
    whole = Reading()

    for _, path, truth in made_books([kind], SEEDS, tmp_path):
        whole.add(score_book(path, truth))

    told = "\n".join(str(miss) for miss in whole.misses[:20])
    share = {what: whole.right[what] / wanted for what, wanted in whole.wanted.items()}
    assert sum(whole.wanted.values()) > 100
    assert share.get("errors named", 1.0) == 1.0, told
    assert whole.false_errors <= 0.01 * whole.good_cells, told
    assert share.get("lot fields", 1.0) >= 0.98, told
    assert share.get("scores", 1.0) >= 0.995, told
