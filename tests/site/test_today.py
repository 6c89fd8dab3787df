"""Today: what waits in the latest season, and in every other whose offers are still open."""

import datetime as dt

from django.test import Client
from django.utils import timezone
from tests.room import a_lot, a_sample, a_season, an_offer


def an_offered_lot(season_name: str, code: str, *, days: int) -> None:
    lot = a_lot(a_season(season_name), code, f"Tea {code}")
    a_sample(lot, grams=25)
    an_offer(lot, price_per_kg=50, until=timezone.localdate() + dt.timedelta(days=days))


def headings(body: str) -> list[str]:
    return [part.split("</h2>")[0] for part in body.split('<h2 class="title">')[1:]]


def test_an_older_season_with_an_offer_open_is_named_beside_the_latest(client: Client, db: None) -> None:
    an_offered_lot("2024", "OV-1", days=-1)
    an_offered_lot("2025", "OF-1", days=0)
    an_offered_lot("2026", "NW-1", days=9)

    body = client.get("/").content.decode()

    assert sorted(headings(body)) == ["2025", "2026"]
    assert "Tea OF-1" in body
    assert "Tea NW-1" in body
    assert "OV-1" not in body


def test_each_thing_that_waits_leads_to_its_own_season(client: Client, db: None) -> None:
    an_offered_lot("2025", "OF-1", days=3)
    an_offered_lot("2026", "NW-1", days=9)

    body = client.get("/").content.decode()

    for link in {part.split('"')[0] for part in body.split('href="/season/')[1:]}:
        assert client.get(f"/season/{link}").status_code == 200, link


def test_one_season_alone_is_not_headed(client: Client, db: None) -> None:
    an_offered_lot("2026", "NW-1", days=9)

    body = client.get("/").content.decode()

    assert headings(body) == []
    assert '<h2 class="head">At the table</h2>' in body
