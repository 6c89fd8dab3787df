"""The page where a decision is noted and a mistake is taken off the books, without script."""

import datetime as dt
from decimal import Decimal

import pytest
from django.test import Client
from tests.room import a_lot, a_sample, a_season, an_offer

from wetleaf.lots.models import Lot, Season
from wetleaf.sheets.models import Verdict


@pytest.fixture
def season(db: None) -> Season:
    season = a_season("Spring 2026")
    a_sample(a_lot(season, "LU-07", "Stone Basin"))
    return season


def test_the_lots_page_leads_to_it(client: Client, season: Season) -> None:
    body = client.get(f"/season/{season.pk}/lot/lot-lu-07/").content.decode()

    assert f'href="/season/{season.pk}/decide/?code=LU-07"' in body


def test_a_decision_is_noted_and_stands_on_the_lots_page(client: Client, season: Season) -> None:
    said = {
        "code": "LU-07",
        "decision": "taste-again",
        "why": "the second pot <b>was</b> thinner",
        "kilos": "12,5",
        "price": "1200 NT$/jin",
        "on": "2026-05-20",
    }

    response = client.post(f"/season/{season.pk}/decide/", said, follow=True)

    noted = Verdict.objects.get(decided=True)
    assert response.redirect_chain == [(f"/season/{season.pk}/lot/lot-lu-07/", 302)]
    assert (noted.word, noted.step, noted.kilos) == ("maybe", "taste_again", Decimal("12.5"))
    assert noted.given_on == dt.date(2026, 5, 20)
    body = response.content.decode()
    assert "<b>maybe (taste again)</b>" in body
    assert "the second pot &lt;b&gt;was&lt;/b&gt; thinner" in body
    assert "1200" not in body
    assert "The book said then:" in body
    assert "The book said then: Do its papers add up? can" in body
    assert "&amp;#x27;" not in body


@pytest.mark.parametrize(
    ("field", "value", "why"),
    [
        ("decision", "buy", "is no decision"),
        ("decision", "", "is no decision"),
        ("kilos", "a sack", "is not a weight in kilos"),
        ("kilos", "-3", "is not a weight to buy"),
        ("price", "cheap", "is not a price"),
        ("on", "yesterday", "is not a day"),
    ],
)
def test_what_cannot_be_noted_is_refused_beside_what_was_typed(
    client: Client, season: Season, field: str, value: str, why: str
) -> None:
    said = {"code": "LU-07", "decision": "keep", "why": "clean", field: value}

    response = client.post(f"/season/{season.pk}/decide/", said)

    assert response.status_code == 400
    assert why in response.content.decode()
    assert 'value="clean"' in response.content.decode()
    assert not Verdict.objects.exists()


def test_a_mistake_is_taken_off_the_books_with_its_reason(client: Client, season: Season) -> None:
    said = {"code": "LU-07", "reason": "typed twice", "withdraw": "yes"}

    response = client.post(f"/season/{season.pk}/decide/", said, follow=True)

    assert response.redirect_chain == [(f"/season/{season.pk}/", 302)]
    assert "Stone Basin" not in response.content.decode()
    assert Lot.objects.get().withdrawals.get().reason == "typed twice"
    assert client.get(f"/season/{season.pk}/lot/lot-lu-07/").status_code == 404


def test_a_mistake_without_a_reason_stays(client: Client, season: Season) -> None:
    response = client.post(
        f"/season/{season.pk}/decide/", {"code": "LU-07", "reason": " ", "withdraw": "yes"}
    )

    assert response.status_code == 400
    assert Lot.objects.that_stand().count() == 1


@pytest.mark.parametrize("code", ["XX", "", "LU-07\0", "../LU-07"])
def test_another_code_is_no_page_or_the_same_lot(client: Client, season: Season, code: str) -> None:
    response = client.get(f"/season/{season.pk}/decide/", {"code": code})

    assert response.status_code == (200 if code == "LU-07\0" else 404)


def test_the_form_needs_its_token(season: Season) -> None:
    strict = Client(enforce_csrf_checks=True)

    response = strict.post(f"/season/{season.pk}/decide/", {"code": "LU-07", "decision": "keep"})

    assert response.status_code == 403
    assert not Verdict.objects.exists()


def test_the_page_asks_only_this_machine_and_runs_nothing_inline(client: Client, season: Season) -> None:
    response = client.get(f"/season/{season.pk}/decide/", {"code": "LU-07"})
    body = response.content.decode()

    assert "default-src 'none'" in response.headers["Content-Security-Policy"]
    assert " style=" not in body
    assert "<script" not in body
    assert body.count("<h1") == 1
    assert body.count("csrfmiddlewaretoken") == 2


def test_the_form_shows_what_is_on_offer_and_its_price_only_when_asked_for(
    client: Client, season: Season
) -> None:
    offer = an_offer(Lot.objects.get(code="LU-07"), price_per_kg=58, until=dt.date(2026, 6, 12))
    offer.__class__.objects.filter(pk=offer.pk).update(available_grams=18000, minimum_grams=600)
    address = f"/season/{season.pk}/decide/?code=LU-07"

    plain, private = (client.get(f"{address}{more}").content.decode() for more in ("", "&private=shown"))

    assert "On offer: 18 kg; smallest order 0.6 kg; until 12 June 2026." in plain
    assert "58" not in plain[plain.index("<h1>") : plain.index("<form class")]
    assert "58" in private[private.index("<h1>") : private.index("<form class")]
