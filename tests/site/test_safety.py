"""What keeps the pages to this machine and its buyer: hosts, origins, policies, paths, private facts."""

import http.client
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from tests.room import a_lot, a_season, an_offer

from wetleaf.cli.serve import HOST
from wetleaf.lots.models import Lot, Season
from wetleaf.site.middleware import POLICY


@pytest.fixture
def season(db: None) -> Season:
    season = a_season("Spring 2026")
    an_offer(a_lot(season, "LU-07", "Stone Basin", contact="Ana, +00 555 0199"), price_per_kg="58.40")
    return season


@pytest.mark.parametrize(
    "host", ["tea.example", "127.0.0.1.tea.example", "localhost.tea.example:8011", "10.0.0.7", "0.0.0.0"]
)
def test_a_name_that_was_made_to_point_here_is_refused(client: Client, season: Season, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 400


@pytest.mark.parametrize("host", ["127.0.0.1:8011", "localhost:8011", "[::1]:8011"])
def test_this_machine_may_ask_by_its_own_names(client: Client, season: Season, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize("page", ["/", "/season/{}/", "/nope", "/take-in/", "/static/site/tokens.css"])
def test_every_answer_carries_the_policies(client: Client, season: Season, page: str) -> None:
    response = client.get(page.format(season.pk))
    response.close()

    assert response.headers["Content-Security-Policy"] == POLICY
    if not page.startswith("/static/"):
        assert response.headers["X-Frame-Options"] == "DENY"
        assert response.headers["X-Content-Type-Options"] == "nosniff"
        assert response.headers["Referrer-Policy"] == "same-origin"


def test_the_policy_lets_nothing_inline_and_nothing_from_elsewhere() -> None:
    parts = dict(part.strip().split(" ", 1) for part in POLICY.split(";"))

    assert parts["default-src"] == "'none'"
    assert parts["script-src"] == parts["style-src"] == parts["form-action"] == "'self'"
    assert parts["frame-ancestors"] == parts["base-uri"] == "'none'"
    assert not any(word in POLICY for word in ("unsafe", "http", "*"))


@pytest.mark.parametrize("page", ["/season/{}/", "/season/{}/lot/lot-lu-07/", "/season/{}/book.html", "/"])
def test_makers_contacts_and_prices_are_not_sent_by_default(
    client: Client, season: Season, page: str
) -> None:
    body = client.get(page.format(season.pk)).content.decode()

    assert "Stone Basin" in body
    assert "Widow Terrace" not in body
    assert "0199" not in body
    assert "58.4" not in body


def test_they_are_sent_when_the_buyer_asks(client: Client, season: Season) -> None:
    body = client.get(f"/season/{season.pk}/lot/lot-lu-07/?private=shown").content.decode()

    assert "Widow Terrace" in body
    assert "58.4" in body


@pytest.mark.parametrize(
    "path",
    [
        "/static/../settings.py",
        "/static/..%2f..%2fsecret-key",
        "/static/%2e%2e/%2e%2e/secret-key",
        "/static//etc/passwd",
        "/media/secret-key",
        "/media/../secret-key",
        "/faces/../secret-key.woff2",
        "/faces/..%2f..%2fsecret-key.woff2",
        "/wetleaf.sqlite3",
        "/secret-key",
    ],
)
def test_no_path_leads_out_of_the_pages(client: Client, season: Season, path: str) -> None:
    assert Path(settings.WORKSPACE).is_dir()

    response = client.get(path)

    assert response.status_code == 404


def test_no_folder_of_the_workspace_has_an_address() -> None:
    from wetleaf.site.urls import urlpatterns

    addresses = [str(one.pattern) for one in urlpatterns]

    assert addresses
    assert not [one for one in addresses if one.startswith(("media", "backups", "waiting", "mappings"))]


def test_a_form_from_another_page_is_refused(season: Season) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.get(f"/season/{season.pk}/")
    token = strict.cookies["csrftoken"].value
    said = {"line": "Lugu, qingxin", "csrfmiddlewaretoken": token}

    elsewhere = strict.post(f"/season/{season.pk}/", said, headers={"Origin": "http://tea.example"})
    here = strict.post(f"/season/{season.pk}/", said, headers={"Origin": "http://testserver"})

    assert (elsewhere.status_code, here.status_code) == (403, 302)
    assert Lot.objects.count() == 2


def test_cookies_are_for_this_site_alone() -> None:
    assert settings.CSRF_COOKIE_SAMESITE == settings.SESSION_COOKIE_SAMESITE == "Strict"
    assert settings.DEBUG is False


def test_only_this_machines_own_address_is_listened_on() -> None:
    assert HOST == "127.0.0.1"


@pytest.fixture
def served(tmp_path: Path) -> Iterator[int]:
    """The port of a server as a person starts it, on an empty workspace."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    kept = {name: value for name, value in os.environ.items() if not name.startswith("WETLEAF")}
    command = [sys.executable, "-m", "wetleaf", "serve", "--port", str(port), "--workspace", str(tmp_path)]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, env=kept)
    try:
        _wait_for(port)
        yield port
    finally:
        server.terminate()
        server.wait(10)


def _wait_for(port: int) -> None:
    for _ in range(150):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.2)
    raise AssertionError("the server never answered")


@pytest.mark.sqlite
def test_the_real_server_refuses_other_names_and_paths_as_they_come(served: int) -> None:
    answers = {}
    for host, path in [
        ("127.0.0.1", "/"),
        ("tea.example", "/"),
        ("127.0.0.1", "/static/../secret-key"),
        ("127.0.0.1", "/static/%2e%2e/%2e%2e/secret-key"),
        ("127.0.0.1", "//secret-key"),
    ]:
        asking = http.client.HTTPConnection("127.0.0.1", served, timeout=20)
        asking.putrequest("GET", path, skip_host=True)
        asking.putheader("Host", host)
        asking.endheaders()
        answers[host, path] = asking.getresponse().status
        asking.close()

    assert list(answers.values()) == [200, 400, 404, 404, 404]
