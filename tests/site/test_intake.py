"""Taking in a workbook on the site: looked at first, every bad cell shown, stored whole or not at all."""

import io
import os
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from openpyxl import Workbook

from wetleaf.lots.models import Lot, Season

NOTEBOOK = [
    ["Code", "Name", "Region", "Elevation", "Harvest", "Price", "Available"],
    ["LU-01", "Frost Hollow Dong Ding", "Lugu", "750 m", "18 April 2026", "1200 NT$/jin", "18 kg"],
    ["LU-02", "Widow Terrace", "Lugu", "75000 m", "2 May 2026", "1100 NT$/jin", "12 kg"],
]


@pytest.fixture(autouse=True)
def own_workspace(tmp_path: Path, settings: object) -> None:
    settings.WORKSPACE = tmp_path  # type: ignore[attr-defined]


def a_workbook(rows: list[list[str]] = NOTEBOOK, name: str = "spring.xlsx") -> SimpleUploadedFile:
    book = Workbook()
    assert book.active is not None
    book.active.title = "Lots"
    for row in rows:
        book.active.append(row)
    content = io.BytesIO()
    book.save(content)
    return SimpleUploadedFile(name, content.getvalue())


def look(client: Client, file: SimpleUploadedFile) -> tuple[int, str]:
    response = client.post("/take-in/", {"workbook": file})
    return response.status_code, response.content.decode()


def digest_in(body: str) -> str:
    return body.split('name="digest" value="')[1].split('"')[0]


def test_a_workbook_is_shown_and_nothing_is_stored(client: Client, db: None) -> None:
    status, body = look(client, a_workbook())

    assert status == 200
    assert "2 lots" in body
    assert "Read as" in body
    assert not Lot.objects.exists()


def test_a_cell_that_cannot_be_stored_is_named_with_why_and_what_to_do(client: Client, db: None) -> None:
    _, body = look(client, a_workbook())

    assert "Lots!D3" in body
    assert "75000 m" in body
    assert 'name="accept" value="Lots!D3"' in body


def test_nothing_is_stored_while_a_cell_is_open(client: Client, db: None) -> None:
    _, body = look(client, a_workbook())

    response = client.post("/take-in/", {"digest": digest_in(body), "season": "Spring 2026"})

    assert response.status_code == 400
    assert 'role="alert"' in response.content.decode()
    assert not Season.objects.exists()


def test_a_workbook_is_stored_when_its_open_cells_are_left_out(client: Client, db: None) -> None:
    _, body = look(client, a_workbook())

    response = client.post(
        "/take-in/", {"digest": digest_in(body), "season": "Spring 2026", "accept": ["Lots!D3"]}
    )

    season = Season.objects.get(name="Spring 2026")
    assert response.headers["Location"] == f"/season/{season.pk}/"
    assert set(season.lots.values_list("code", flat=True)) == {"LU-01", "LU-02"}
    assert "Frost Hollow Dong Ding" in client.get(response.headers["Location"]).content.decode()


@pytest.mark.parametrize(
    ("file", "said"),
    [
        (SimpleUploadedFile("tea.pdf", b"%PDF-1.7"), "of kind &#x27;.pdf&#x27; is not read"),
        (SimpleUploadedFile("tea.xlsx", b"<html><table></table></html>"), "tea.xlsx"),
        (SimpleUploadedFile("tea.xlsx", b"PK\x03\x04 cut short"), "tea.xlsx"),
        (SimpleUploadedFile("../../outside.xlsx", b"nothing"), "outside.xlsx"),
    ],
)
def test_a_file_that_is_no_workbook_is_refused_in_words(
    client: Client, db: None, tmp_path: Path, file: SimpleUploadedFile, said: str
) -> None:
    file.seek(0)

    status, body = look(client, file)

    assert status == 400
    assert said in body
    assert not (tmp_path.parent / "outside.xlsx").exists()


def test_a_workbook_waits_a_day_and_no_longer(client: Client, db: None, tmp_path: Path) -> None:
    look(client, a_workbook(name="old.xlsx"))
    (old,) = (tmp_path / "waiting").glob("*/old.xlsx")
    os.utime(old, (0, 0))

    look(client, a_workbook(name="new.xlsx"))

    assert [file.name for file in (tmp_path / "waiting").glob("*/*")] == ["new.xlsx"]


def test_no_file_is_asked_for_again(client: Client, db: None) -> None:
    response = client.post("/take-in/", {})

    assert response.status_code == 400
    assert "No file was chosen." in response.content.decode()


@pytest.mark.parametrize("digest", ["../../etc", "0" * 64, ""])
def test_a_digest_that_waits_nowhere_is_refused(client: Client, db: None, digest: str) -> None:
    response = client.post("/take-in/", {"digest": digest, "season": "Spring 2026"})

    assert response.status_code == 400
    assert "no longer waiting" in response.content.decode()


def test_a_form_without_its_token_is_refused(db: None) -> None:
    strict = Client(enforce_csrf_checks=True)

    assert strict.post("/take-in/", {"digest": "0" * 64}).status_code == 403


def test_a_column_that_is_not_used_is_said_before_anything_is_stored(client: Client, db: None) -> None:
    rows = [[*row, extra] for row, extra in zip(NOTEBOOK, ["zzyx", "q7 w", "q9 w"], strict=True)]

    status, body = look(client, a_workbook(rows))

    assert status == 200
    assert "Not used" in body
    assert "<b>zzyx</b> (Lots, column H)" in body
