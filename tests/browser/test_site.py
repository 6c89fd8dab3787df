"""The served pages in a real browser: no barrier, no sideways scroll, with script and without."""

from collections.abc import Callable
from typing import Any

import pytest

pytestmark = pytest.mark.browser
PLACES = [
    "../../",
    "",
    "?private=shown&by=class",
    "lot/lot-lu-07/",
    "lot/lot-lu-15/",
    "flights/",
    "flight/flight-1/",
    "leaf/",
    "../../take-in/",
    "../../seasons/",
    "nope/",
]


@pytest.mark.parametrize("place", PLACES)
def test_axe_finds_no_barrier_by_day_or_night(
    page: Any, served_season: str, barriers: Callable[[Any], list[str]], place: str
) -> None:
    page.goto(served_season + place)
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")

    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        assert barriers(page) == [], theme


@pytest.mark.parametrize("place", PLACES)
def test_nothing_runs_over_the_edge_of_any_screen(page: Any, served_season: str, place: str) -> None:
    page.goto(served_season + place)

    over = {}
    for width in (320, 390, 768, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        over[width] = page.evaluate("document.documentElement.scrollWidth - innerWidth")

    assert {width: by for width, by in over.items() if by > 0} == {}


def test_a_sort_changes_the_table_in_place_and_the_address_with_it(page: Any, served_season: str) -> None:
    page.goto(served_season)
    page.evaluate("window.stayed = true")

    page.get_by_role("link", name="Offer until").click()
    page.wait_for_selector("th[data-by=offer][aria-sort=ascending]")

    assert page.evaluate("window.stayed") is True
    assert page.evaluate("document.activeElement.id") == "by-offer"
    assert "sort=offer" in page.url
    assert page.locator("h1").count() == 1


def test_the_same_sort_works_without_script(browser: Any, served_season: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(served_season)

    page.get_by_role("link", name="Offer until").click()

    assert "sort=offer" in page.url
    assert page.locator("th[data-by=offer]").get_attribute("aria-sort") == "ascending"
    context.close()


def test_no_page_breaks_its_own_policy(page: Any, served_season: str) -> None:
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))

    for place in PLACES[:-1]:
        page.goto(served_season + place)
        page.wait_for_load_state("networkidle")

    assert complaints == []


def test_the_faces_come_from_this_machine(page: Any, served_season: str) -> None:
    page.goto(served_season)
    page.evaluate("document.fonts.ready")

    loaded = page.evaluate("[...document.fonts].filter(f => f.status === 'loaded').map(f => f.family)")

    assert {"Leaf Serif", "Leaf Sans"} <= {name.strip('"') for name in loaded}


def test_a_search_from_any_page_shows_the_lots_it_finds(page: Any, served_season: str) -> None:
    page.goto(served_season + "leaf/")

    page.get_by_role("searchbox").fill("crane")
    page.keyboard.press("Enter")
    page.wait_for_selector("table.book")

    assert page.locator("th.lot a").all_inner_texts() == ["Crane Step 鶴階"]
