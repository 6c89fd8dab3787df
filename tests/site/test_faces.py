"""The served faces: cut once, kept in the workspace, the eastern one with the signs on the books."""

import io

import pytest
from django.test import Client
from fontTools.ttLib import TTFont
from tests.room import a_lot, a_season


@pytest.mark.parametrize("key", ["serif-roman", "serif-italic", "sans-400", "sans-600"])
def test_a_latin_face_is_sent_and_may_be_kept(client: Client, db: None, key: str) -> None:
    response = client.get(f"/faces/{key}.woff2")

    assert response.headers["Content-Type"] == "font/woff2"
    assert "max-age=604800" in response.headers["Cache-Control"]
    assert {ord("a"), ord("é"), ord("ő"), ord("−")} <= set(TTFont(io.BytesIO(response.content)).getBestCmap())


def test_the_eastern_face_learns_a_sign_when_it_comes_onto_the_books(client: Client, db: None) -> None:
    sign = "鼉"
    assert ord(sign) not in TTFont(io.BytesIO(client.get("/faces/east.woff2").content)).getBestCmap()

    a_lot(a_season(), "AJ-01", f"White Heron {sign}")

    assert ord(sign) in TTFont(io.BytesIO(client.get("/faces/east.woff2").content)).getBestCmap()
