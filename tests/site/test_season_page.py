"""The season's page: arranged by its address, private until asked, the table alone for htmx."""

import pytest
from django.test import Client

from wetleaf.lots.models import Season


def body_of(client: Client, address: str, **headers: str) -> str:
    response = client.get(address, headers=headers)
    assert response.status_code == 200
    return response.content.decode()


def test_every_lot_stands_on_one_line_in_its_group(client: Client, sample_season: Season) -> None:
    body = body_of(client, f"/season/{sample_season.pk}/")

    assert body.count('<tr role="row" class="group"') == 3
    assert body.count('class="lot" data-sort=') == 8


def test_makers_and_prices_are_not_sent_until_they_are_asked_for(
    client: Client, sample_season: Season
) -> None:
    asked = body_of(client, f"/season/{sample_season.pk}/?private=shown")
    assert "58.40" in asked

    assert "58.40" not in body_of(client, f"/season/{sample_season.pk}/")


@pytest.mark.parametrize("sort", ["origin", "harvest", "overall", "last", "brews", "offer", "step"])
def test_a_sort_is_a_link_that_works_without_script(client: Client, sample_season: Season, sort: str) -> None:
    body = body_of(client, f"/season/{sample_season.pk}/?sort={sort}")

    assert f'data-by="{sort}" aria-sort="ascending"' in body
    assert body.count("aria-sort") == 1


def test_a_filter_shows_its_lots_and_says_how_many(client: Client, sample_season: Season) -> None:
    body = body_of(client, f"/season/{sample_season.pk}/?show=untasted")

    assert body.count('class="lot" data-sort=') == 1
    assert 'aria-current="true">not tasted 1</a>' in body


def test_htmx_is_sent_the_table_alone(client: Client, sample_season: Season) -> None:
    whole = body_of(client, f"/season/{sample_season.pk}/?sort=origin")
    part = body_of(client, f"/season/{sample_season.pk}/?sort=origin", **{"HX-Request": "true"})

    assert part.strip() in whole
    assert "<html" in whole
    assert "<html" not in part


def test_a_search_that_finds_nothing_says_so_and_escapes_what_was_typed(
    client: Client, sample_season: Season
) -> None:
    body = body_of(client, f"/season/{sample_season.pk}/?find=<script>alert(1)</script>")

    assert "No lot here." in body
    assert "<script>alert" not in body


def test_a_season_that_is_not_there_is_a_page_in_the_houses_words(client: Client, db: None) -> None:
    response = client.get("/season/999/")

    assert response.status_code == 404
    assert "There is no page at this address" in response.content.decode()
