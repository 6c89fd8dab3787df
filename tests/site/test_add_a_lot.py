"""A lot typed in one line on the season's page."""

import pytest
from django.test import Client
from tests.room import a_season

from wetleaf.lots.models import Lot, Season


@pytest.fixture
def season(db: None) -> Season:
    return a_season("Spring 2026")


def test_a_line_becomes_a_lot_and_the_page_says_so(client: Client, season: Season) -> None:
    response = client.post(
        f"/season/{season.pk}/",
        {"line": "Lugu, qingxin, 18 Apr, 750 m, 1200 NT$/jin, till 22 May"},
        follow=True,
    )

    lot = Lot.objects.get(season=season)
    assert response.status_code == 200
    assert f"?added={lot.code}" in response.redirect_chain[0][0]
    assert "is on the books" in response.content.decode()


def test_a_line_that_says_nothing_is_refused_beside_the_field_and_kept(
    client: Client, season: Season
) -> None:
    response = client.post(f"/season/{season.pk}/", {"line": ", ,"})

    assert response.status_code == 400
    assert 'role="alert"' in response.content.decode()
    assert 'value=", ,"' in response.content.decode()
    assert not Lot.objects.exists()
