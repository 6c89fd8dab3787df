"""The book bound into one file: whole, safe, private unless asked, every number traceable."""

import base64
import dataclasses
import functools
import hashlib
import itertools
import re
from html.parser import HTMLParser

import pytest

from tests.findings.drawings import sample_book
from wetleaf.findings.binding import BoundBook
from wetleaf.findings.binding import bind as bind_anew
from wetleaf.findings.book import SeasonBook

PRIVATE = ("Widow Terrace Works", "58.40", "1,200")


@functools.cache
def bind(book: SeasonBook, *, private: bool = False) -> BoundBook:
    """Bind a book once for all the questions asked of it: cutting the faces takes a second or two."""
    return bind_anew(book, private=private)


class _Reading(HTMLParser):
    """Ids, links to them, and what a page would ask for from elsewhere."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.asks: list[str] = []
        self.inline_styles = 0
        self.headings: list[int] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.ids += [found["id"] or ""] if "id" in found else []
        self.inline_styles += "style" in found
        if re.fullmatch(r"h[1-6]", tag):
            self.headings.append(int(tag[1]))
        address = found.get("href") or found.get("src") or ""
        if address.startswith("#"):
            self.links.append(address[1:])
        elif address and not address.startswith("data:"):
            self.asks.append(address)


ALL_BOOKS = [
    sample_book.a_rich_book(),
    sample_book.a_wordless_book(),
    sample_book.a_one_lot_book(),
    dataclasses.replace(sample_book.a_rich_book(), groups=()),
]
BOOK_NAMES = ["rich", "wordless", "one lot", "empty"]


@pytest.mark.parametrize("book", ALL_BOOKS, ids=BOOK_NAMES)
def test_every_link_in_the_file_leads_somewhere_and_no_id_is_used_twice(book: SeasonBook) -> None:
    reading = _Reading(bind(book).html)

    assert reading.links
    assert set(reading.links) <= set(reading.ids)
    assert len(reading.ids) == len(set(reading.ids))


@pytest.mark.parametrize("book", ALL_BOOKS, ids=BOOK_NAMES)
def test_the_file_asks_nothing_of_any_other_machine_and_carries_no_inline_style(book: SeasonBook) -> None:
    html = bind(book).html
    reading = _Reading(html)

    assert reading.asks == []
    assert reading.inline_styles == 0
    leads_to = re.findall(r"url\(([^)]{0,60})", html)
    assert {url for url in leads_to if not url.startswith("data:")} <= {f"#{name}" for name in reading.ids}


def test_headings_go_down_one_step_at_a_time() -> None:
    headings = _Reading(bind(sample_book.a_rich_book()).html).headings

    assert headings[0] == 1
    assert headings.count(1) == 1
    assert all(below - above <= 1 for above, below in itertools.pairwise(headings))


def test_the_policy_of_the_file_names_the_digests_of_its_one_style_and_one_script() -> None:
    html = bind(sample_book.a_rich_book()).html
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', html)
    assert policy

    for tag in ("style", "script"):
        texts = re.findall(rf"<{tag}>(.*?)</{tag}>", html, re.S)
        digest = base64.b64encode(hashlib.sha256(texts[0].encode()).digest()).decode()
        assert len(texts) == 1
        assert f"{tag}-src 'sha256-{digest}'" in policy[1]
    assert "default-src 'none'" in policy[1]
    assert "unsafe" not in policy[1]


@pytest.mark.parametrize("word", PRIVATE)
def test_makers_and_prices_are_not_in_a_file_meant_for_others(word: str) -> None:
    with_them = bind(sample_book.a_rich_book(), private=True).html
    assert word in with_them

    assert word not in bind(sample_book.a_rich_book()).html


def test_a_book_made_without_private_facts_stays_without_them_even_when_asked() -> None:
    html = bind(sample_book.a_rich_book(shown_private=False), private=True).html

    assert not [word for word in PRIVATE if word in html]


def test_private_facts_wait_behind_a_box_that_is_not_ticked() -> None:
    html = bind(sample_book.a_rich_book(), private=True).html

    assert '<input type="checkbox" id="asked">' in html
    assert ".askfirst:not(:has(#asked:checked)) .private { display: none; }" in html


def test_an_invented_season_says_so_on_top_and_at_the_end() -> None:
    html = bind(sample_book.a_rich_book()).html
    real = bind(dataclasses.replace(sample_book.a_rich_book(), is_invented=False)).html

    assert html.count("Invented: every merchant") == 3  # on top; at the end of a screen; at the end of paper
    assert "Invented:" not in real


def test_every_ground_is_told_with_method_version_and_digest_and_leads_back() -> None:
    html = bind(sample_book.a_rich_book()).html

    ground = html[html.index('id="g1"') :]
    assert "mixed model, tasters as a sample of tasters, version 1.0" in ground
    assert "9c41 e07b" in ground
    assert 'href="#lot-lu-07"' in ground
    assert 'href="#g1"' in html


def test_what_a_taster_wrote_is_shown_as_written_and_never_run() -> None:
    html = bind(sample_book.a_rich_book()).html

    assert "&lt;b&gt;rosted chesnut!!&lt;/b&gt; &amp; no smoke" in html
    assert "<b>rosted" not in html


def test_names_in_four_scripts_carry_their_language_and_have_their_glyphs() -> None:
    bound = bind(sample_book.a_rich_book())

    for language, name in (("zh-Hant", "石盆"), ("ko", "검은담"), ("ja", "さえみどり")):
        assert f'<span lang="{language}">{name}</span>' in bound.html
    assert bound.signs_without_a_face == frozenset()


def test_a_sign_that_no_face_has_is_named() -> None:
    lot = sample_book.a_lot(name="Tea house ༄ 🍵")
    book = sample_book.a_one_lot_book()
    book = dataclasses.replace(book, groups=(dataclasses.replace(book.groups[0], lots=(lot,)),))

    assert bind(book).signs_without_a_face == {"༄", "🍵"}


def test_the_book_reads_without_the_script() -> None:
    html = bind(sample_book.a_rich_book()).html
    body = html[html.index("<body") : html.index("<script>")]

    for lot in sample_book.a_rich_book().lots:
        assert f'href="#{lot.anchor}"' in body
        assert f'id="{lot.anchor}"' in body
    assert "<button" not in body


def test_the_same_book_is_bound_into_the_same_file() -> None:
    assert bind_anew(sample_book.a_one_lot_book()).html == bind_anew(sample_book.a_one_lot_book()).html
