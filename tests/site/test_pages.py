"""What holds for every page: a content policy, nothing from elsewhere, no inline style, one title."""

import re

import pytest
from django.test import Client

from wetleaf.lots.models import Season

PAGES = [
    "/",
    "/seasons/",
    "/season/{}/",
    "/season/{}/?private=shown&by=class&sort=price",
    "/season/{}/lot/lot-lu-07/",
    "/season/{}/lot/lot-lu-15/?private=shown",
    "/season/{}/lot/lot-a-very-long-code-2026/17/",
    "/season/{}/flights/",
    "/season/{}/flight/flight-1/",
    "/season/{}/leaf/",
    "/take-in/",
]


@pytest.mark.parametrize("page", PAGES)
def test_a_page_asks_only_this_machine_and_runs_nothing_inline(
    client: Client, sample_season: Season, page: str
) -> None:
    response = client.get(page.format(sample_season.pk))
    body = response.content.decode()

    assert response.status_code == 200
    assert "default-src 'none'" in response.headers["Content-Security-Policy"]
    assert not re.findall(r'(?:src|href|action)="(?:https?:)?//', body)
    assert " style=" not in body
    assert not re.findall(r"<script(?![^>]* src=)[^>]*>", body)
    assert body.count("<h1") == 1


@pytest.mark.parametrize("page", PAGES)
def test_every_link_of_a_page_is_a_page(client: Client, sample_season: Season, page: str) -> None:
    body = client.get(page.format(sample_season.pk)).content.decode()
    links = {link.replace("&amp;", "&") for link in re.findall(r'href="(/[^"#]*)', body)}
    pages = {link for link in links if not link.startswith(("/static/", "/faces/"))}

    assert pages
    for link in pages:
        assert client.get(link).status_code == 200, link


def test_a_lots_page_says_where_it_was_read(client: Client, sample_season: Season) -> None:
    body = client.get(f"/season/{sample_season.pk}/lot/lot-lu-07/").content.decode()

    assert "Read from room.py" in body


@pytest.mark.parametrize(
    "page", ["/season/{}/lot/lot-none/", "/season/{}/flight/none/", "/faces/comic.woff2", "/nope"]
)
def test_what_is_not_there_is_said_in_the_houses_words(
    client: Client, sample_season: Season, page: str
) -> None:
    response = client.get(page.format(sample_season.pk))

    assert response.status_code == 404
    assert "There is no page at this address" in response.content.decode()


def test_a_page_that_breaks_says_that_nothing_was_changed(
    sample_season: Season, monkeypatch: pytest.MonkeyPatch
) -> None:
    from wetleaf.findings import views

    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(views, "open_book", broken)

    response = Client(raise_request_exception=False).get(f"/season/{sample_season.pk}/")

    assert response.status_code == 500
    assert "Nothing that was stored has changed" in response.content.decode()


def test_an_empty_workspace_says_how_to_begin(client: Client, db: None) -> None:
    body = client.get("/").content.decode()

    assert "Nothing is on the books yet." in body
    assert 'href="/take-in/"' in body


def test_another_host_name_is_refused(client: Client, db: None) -> None:
    assert client.get("/", headers={"Host": "tea.example"}).status_code == 400


def test_the_book_is_sent_as_a_file_without_private_facts_unless_asked(
    client: Client, sample_season: Season
) -> None:
    response = client.get(f"/season/{sample_season.pk}/book.html")
    asked = client.get(f"/season/{sample_season.pk}/book.html?private=shown")

    assert response.headers["Content-Disposition"] == 'attachment; filename="spring-2026.html"'
    assert "58.40" not in response.content.decode()
    assert "58.40" in asked.content.decode()


def test_the_leaf_page_counts_grams_and_brews(client: Client, sample_season: Season) -> None:
    body = client.get(f"/season/{sample_season.pk}/leaf/").content.decode()

    assert re.search(r'data-label="left">25 g</td><td [^>]*data-label="brews">8</td>', body)
