"""The buyer's own order: filters, groupings and sorts that never rank across classes."""

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.findings.drawings.sample_book import a_lot, a_rich_book, an_estimate
from wetleaf.findings.arranging import (
    GROUPED,
    SHOWN,
    Arrangement,
    counts_shown,
    lot_table,
    mentions,
    read_arrangement,
)
from wetleaf.findings.book import LotPage

SORTS = ["", "lot", "origin", "harvest", "price", "overall", "last", "brews", "offer", "step"]


def codes(arrangement: Arrangement) -> list[list[str]]:
    return [[lot.code for lot in group.lots] for group in lot_table(a_rich_book(), arrangement).groups]


@given(
    show=st.sampled_from([key for key, _ in SHOWN]),
    by=st.sampled_from([key for key, _ in GROUPED]),
    sort=st.sampled_from(SORTS),
)
def test_an_arrangement_shows_each_lot_it_should_once(show: str, by: str, sort: str) -> None:
    book = a_rich_book()
    expected = {key: count for key, _, count in counts_shown(book)}.get(show, 0)

    shown = [code for group in codes(Arrangement(show, by, sort)) for code in group]

    assert len(shown) == len(set(shown)) == expected


def test_the_books_own_order_is_the_order_it_was_assembled_in() -> None:
    assert codes(Arrangement()) == [[lot.code for lot in group.lots] for group in a_rich_book().groups]


def test_lots_sorted_by_price_end_with_those_that_have_none() -> None:
    assert codes(Arrangement(sort="price"))[0][-1] == "LU-15"


def test_green_is_never_ranked_against_oolong() -> None:
    by_code = codes(Arrangement(by="nothing", sort="lot"))

    assert codes(Arrangement(by="nothing", sort="overall")) == by_code


def test_lots_without_a_liking_stand_last_in_their_class() -> None:
    oolong = codes(Arrangement(by="class"))[1]

    assert oolong == ["LU-07", "LU-11", "LU-09", "MJ-14", "LU-15", "A-VERY-LONG-CODE-2026/17"]


@pytest.mark.parametrize("asked", [{"sort": "<script>"}, {"by": "taster"}, {"show": "everything"}, {}])
def test_an_address_that_is_not_known_gives_the_books_own_order(asked: dict[str, str]) -> None:
    assert read_arrangement(asked) == Arrangement()


def test_the_columns_share_a_scale_and_a_currency_or_each_row_says_its_own() -> None:
    book = a_rich_book()
    mixed = dataclasses.replace(
        book,
        groups=(
            dataclasses.replace(
                book.groups[0],
                lots=(a_lot(), a_lot("X-1", currency="JPY", overall=an_estimate(50, 40, 60, scale_high=100))),
            ),
        ),
    )

    assert (lot_table(book).scale, lot_table(book).currency) == ((0, 7), "EUR")
    assert (lot_table(mixed).scale, lot_table(mixed).currency) == (None, "")


def test_a_search_finds_names_words_and_facts_whatever_their_case() -> None:
    assert mentions(a_lot(), "chestnut STONE")
    assert mentions(a_lot(), "石盆")
    assert not mentions(a_lot(), "chestnut seaweed")


def _lacking(lot: LotPage) -> LotPage:
    return dataclasses.replace(lot, gaps=("residue paper", *lot.gaps))


def test_what_every_lot_lacks_is_said_once() -> None:
    book = a_rich_book()
    lacking = dataclasses.replace(
        book,
        groups=tuple(
            dataclasses.replace(group, lots=tuple(_lacking(lot) for lot in group.lots))
            for group in book.groups
        ),
    )

    assert len(lacking.lots) >= 5
    assert lot_table(lacking).shared_gaps == ("residue paper",)
    assert lot_table(book).shared_gaps == ()


def test_lots_without_a_class_are_listed_last_by_their_codes_and_not_by_liking() -> None:
    lots = tuple(
        a_lot(code, tea_class="", line="", overall=an_estimate(value, 1, 7))
        for code, value in (("Z-1", 3.0), ("Z-3", 4.0), ("Z-2", 6.0))
    )
    book = a_rich_book()
    loose = dataclasses.replace(book.groups[-1], lots=lots)
    book = dataclasses.replace(book, groups=(*book.groups[:-1], loose))

    for sort in ("", "overall"):
        group = lot_table(book, Arrangement(by="class", sort=sort)).groups[-1]

        assert (group.name, group.say) == ("no class said", "Not ranked: no class is said.")
        assert [lot.code for lot in group.lots] == ["Z-1", "Z-2", "Z-3"]


def test_a_mean_without_an_interval_is_not_sorted_among_the_ranked() -> None:
    alone = a_lot("AA-1", overall=an_estimate(6.9, math.nan, math.nan))
    book = a_rich_book()
    first = dataclasses.replace(book.groups[0], lots=(alone, *book.groups[0].lots))
    book = dataclasses.replace(book, groups=(first, *book.groups[1:]))

    order = [lot.code for lot in lot_table(book, Arrangement(sort="overall")).groups[0].lots]

    assert order[:4] == ["LU-07", "LU-11", "LU-09", "MJ-14"]
