"""The bound book in a real browser: from a disk, with and without script, on a phone, at night, on paper."""

import dataclasses
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from tests.findings.drawings.sample_book import a_rich_book

from wetleaf.findings.binding import bind
from wetleaf.findings.book import SeasonBook

pytestmark = pytest.mark.browser
WIDTHS = [320, 390, 600, 768, 1000, 1280, 1600]
A4_MM = {(210, 297), (297, 210)}
_NEARLY_EMPTY = 600  # signs on a page


def sheets_of(page: Any) -> list[str]:
    """What is printed, page by page, its lines run together."""
    paper = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    return [" ".join(sheet.extract_text().split()) for sheet in paper.pages]


def column(page: Any, cell: str) -> list[str]:
    """What the cells of a column say in the first group."""
    return page.eval_on_selector_all(
        f"table.book tbody:first-of-type td.{cell}, table.book tbody:first-of-type th.{cell}",
        "cells => cells.map(cell => cell.dataset.sort)",
    )


def test_it_opens_from_a_disk_and_asks_for_nothing(page: Any, book_file: str) -> None:
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text))

    page.goto(book_file)
    page.wait_for_timeout(300)

    assert {url for url in asked if not url.startswith("data:")} == {book_file}
    assert complaints == []


def test_its_own_faces_are_used(page: Any, book_file: str) -> None:
    page.goto(book_file)
    page.evaluate("document.fonts.ready")

    loaded = page.evaluate("[...document.fonts].filter(f => f.status === 'loaded').map(f => f.family)")

    assert {"Leaf Serif", "Leaf Sans", "Leaf East"} <= {name.strip('"') for name in loaded}


def test_a_column_is_sorted_by_its_head_and_what_is_missing_stays_last(page: Any, book_file: str) -> None:
    page.goto(book_file)
    assert column(page, "lot")[0] == "LU-07"

    page.get_by_role("button", name="Overall").click()
    rising = column(page, "overall")
    page.get_by_role("button", name="Overall").click()
    falling = column(page, "overall")

    assert rising == ["3.2", "4.8", "5.3", "5.6", ""]
    assert falling == ["5.6", "5.3", "4.8", "3.2", ""]
    assert page.locator("th[data-by=overall]").get_attribute("aria-sort") == "descending"


def test_lots_are_sorted_within_their_group_and_never_across(page: Any, book_file: str) -> None:
    page.goto(book_file)
    groups = [group.name for group in a_rich_book().groups]

    page.get_by_role("button", name="Origin").click()

    assert page.locator(".gname").all_inner_texts() == groups
    assert page.locator("tbody").first.locator("tr").count() == 1 + len(a_rich_book().groups[0].lots)


def test_prices_wait_until_they_are_asked_for_with_script_or_without(browser: Any, book_file: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(book_file)
    assert page.locator("td.price").first.is_hidden()
    assert page.locator("tr.private").first.is_hidden()

    page.get_by_label("Show makers and prices").check()

    assert page.locator("td.price").first.is_visible()
    assert page.locator("tr.private").first.is_visible()
    context.close()


def test_it_reads_without_script(browser: Any, book_file: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()

    page.goto(book_file)

    assert page.get_by_role("heading", name="Stone Basin").is_visible()
    assert page.get_by_role("rowheader").first.is_visible()
    assert page.locator("thead button").count() == 0
    context.close()


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_runs_over_the_edge(page: Any, book_file: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(book_file)

    over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")

    assert over <= 0
    assert page.locator(".book .lot a").first.is_visible()


def test_the_table_of_lots_fits_a_laptop_without_scrolling(page: Any, book_file: str) -> None:
    page.goto(book_file)

    over = page.evaluate("(box => box.scrollWidth - box.clientWidth)(document.querySelector('.scroll'))")

    assert over <= 0


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_axe_finds_no_barrier(
    page: Any, book_file: str, barriers: Callable[[Any], list[str]], width: int, theme: str
) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme=theme)
    page.goto(book_file)
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")

    assert barriers(page) == []


def test_the_dark_theme_is_dark(page: Any, book_file: str) -> None:
    page.emulate_media(color_scheme="dark")
    page.goto(book_file)

    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")

    assert ground == "rgb(24, 23, 20)"


def test_on_paper_every_lot_begins_a_page_and_every_page_is_a4(page: Any, book_file: str) -> None:
    page.goto(book_file)
    lots = a_rich_book().lots

    paper = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))

    sizes = {
        (round(float(sheet.mediabox.width) * 25.4 / 72), round(float(sheet.mediabox.height) * 25.4 / 72))
        for sheet in paper.pages
    }
    assert sizes == A4_MM  # the lots lie across, all else stands
    texts = [sheet.extract_text() for sheet in paper.pages]
    starts = [sum(f"{lot.code}, {lot.tea_class}" in text for text in texts) for lot in lots]
    assert starts == [1] * len(lots)
    assert len(lots) + 4 <= len(paper.pages) <= len(lots) + 12


def test_on_paper_neither_the_facts_nor_a_stage_of_a_lot_are_cut(page: Any, book_file: str) -> None:
    page.goto(book_file)
    years = [lot for lot in a_rich_book().lots if lot.ladder and lot.ladder.kind == "years"]

    texts = sheets_of(page)

    for begins, ends in (
        ("Facts and doubts", "whether the fire has settled"),
        ("wet leaf", "charred rice"),
    ):
        sheets = [text for text in texts if begins in text and ends in text]
        assert len(sheets) >= len(years), begins


def test_the_invented_season_prints_a_page_a_lot_and_no_page_is_nearly_empty(
    page: Any, invented_book: SeasonBook, tmp_path: Path
) -> None:
    file = tmp_path / "invented.html"
    file.write_text(bind(invented_book, private=False).html, "utf-8")
    page.goto(file.as_uri())

    texts = sheets_of(page)

    named = [f"{lot.code}, {lot.tea_class}" for lot in invented_book.lots]
    of_lots = texts[2 : 2 + len(named)]  # the table of lots takes two pages
    assert [name for name, text in zip(named, of_lots, strict=True) if name not in text] == []
    assert "Who tasted" in texts[2 + len(named)]
    assert len(texts) <= 39
    assert [at for at, text in enumerate(texts, start=1) if len(text) < _NEARLY_EMPTY] == []


def test_the_head_of_the_lots_is_printed_again_overleaf(
    page: Any, invented_book: SeasonBook, tmp_path: Path
) -> None:
    file = tmp_path / "invented.html"
    file.write_text(bind(invented_book, private=False).html, "utf-8")
    page.goto(file.as_uri())

    overleaf = sheets_of(page)[1]

    for head in ("Lot", "Origin", "Overall", "As last year?", "Papers lack", "Offer until", "Next step"):
        assert head in overleaf, head


def test_letters_are_printed_once_prices_were_asked_for_and_not_before(page: Any, book_file: str) -> None:
    page.goto(book_file)
    before = " ".join(sheets_of(page))

    page.get_by_label("Show makers and prices").check()
    after = " ".join(sheets_of(page))

    assert "Letters to send" not in before
    assert "Letters to send" in after


@pytest.fixture
def two_cup_file(tmp_path: Path) -> str:
    """A book whose flight has a taster of two cups."""
    book = a_rich_book()
    flight = book.flights[0]
    two = dataclasses.replace(flight.tasters[0], cups=2, cups_possible=2)
    flight = dataclasses.replace(flight, tasters=(two, *flight.tasters[1:]))
    file = tmp_path / "two.html"
    file.write_text(bind(dataclasses.replace(book, flights=(flight,)), private=False).html, "utf-8")
    return file.as_uri()


@pytest.mark.parametrize(("medium", "width"), [("print", 1000), ("screen", 390), ("screen", 1280)])
def test_a_strip_of_two_cups_stays_as_small_as_a_line(
    page: Any, two_cup_file: str, medium: str, width: int
) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(media=medium)
    page.goto(two_cup_file)

    boxes = page.eval_on_selector_all(
        ".panel .strip", "all => all.map(one => one.getBoundingClientRect()).map(b => [b.width, b.height])"
    )

    assert boxes
    assert all(height <= 17 for _, height in boxes)
    assert boxes[0][0] <= 20  # two marks, not the width of a column


def test_the_tasters_stack_on_a_phone_with_every_cell_named(page: Any, book_file: str) -> None:
    page.set_viewport_size({"width": 390, "height": 900})
    page.goto(book_file)

    over = page.eval_on_selector(
        "table.panel", "table => table.parentElement.scrollWidth - table.parentElement.clientWidth"
    )
    named = page.eval_on_selector_all(
        "table.panel:not(.alone) tbody tr:first-child td[data-label]",
        "cells => cells.map(cell => getComputedStyle(cell, '::before').content)",
    )

    assert over <= 0
    assert len(named) == 7
    assert all(name.strip('"').strip() for name in named)


def test_on_a_phone_an_answer_stands_beside_its_question(page: Any, book_file: str) -> None:
    page.set_viewport_size({"width": 390, "height": 900})
    page.goto(book_file)

    said = page.locator("table.book td.last").first.inner_text()

    assert said == "as last year: can’t tell yet"


def test_sixty_lots_open_print_and_sort(page: Any, long_book_file: str) -> None:
    page.goto(long_book_file)
    assert page.locator("article.lotpage").count() == 60

    page.get_by_role("button", name="Offer until").click()
    paper = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))

    assert 60 < len(paper.pages) <= 150


def test_the_keyboard_reaches_the_lots_first(page: Any, book_file: str) -> None:
    page.goto(book_file)

    page.keyboard.press("Tab")

    assert page.evaluate("document.activeElement.textContent") == "Skip to the lots"
