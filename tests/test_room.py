"""The room's own builders and the stage it stands on."""

import os

import pytest
from django.db import connection

from tests.room import a_flight, a_lot, a_sample, a_season, command, scores_of, the_cast


@pytest.mark.django_db
def test_a_sheet_is_stored_with_its_replicates() -> None:
    cast, spring = the_cast(), a_season()
    cup = a_sample(a_lot(spring), grams=25)

    stored = scores_of(a_flight(spring), cast.taster, {cup: {"roast": [6, None], "floral": 4.5}})

    assert [(s.attribute, s.replicate, s.value, s.status) for s in stored] == [
        ("roast", "1", 6, "ok"),
        ("roast", "2", None, "missing"),
        ("floral", "1", 4.5, "ok"),
    ]


def test_a_command_runs_in_this_process() -> None:
    answer = command("--version")

    assert answer.code == 0
    assert answer.out.startswith("wetleaf ")


@pytest.mark.django_db
@pytest.mark.sqlite
def test_the_tests_use_the_settings_of_the_program() -> None:
    def asked(pragma: str) -> object:
        with connection.cursor() as cursor:
            return cursor.execute(f"PRAGMA {pragma}").fetchone()[0]

    assert asked("journal_mode") == "wal"
    assert asked("foreign_keys") == 1
    assert asked("busy_timeout") == 20_000


def test_a_page_is_drawn_by_the_browser_of_this_machine(page, site) -> None:
    page.goto(site + "/")

    assert page.locator("body").is_visible()


@pytest.mark.django_db
def test_the_database_is_the_one_that_was_asked_for() -> None:
    wanted = {"sqlite": "sqlite", "postgres": "postgresql"}[os.environ.get("WETLEAF_TEST_DATABASE", "sqlite")]

    assert connection.vendor == wanted
