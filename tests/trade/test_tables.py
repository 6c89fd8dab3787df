"""Every row of every table keeps a source and a mark; every name leads to one row, or lists several."""

import csv
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from wetleaf.trade import tables
from wetleaf.trade.cultivars import CULTIVAR_NAMES, CULTIVARS, find_cultivar
from wetleaf.trade.origins import ORIGIN_NAMES, ORIGINS, find_place
from wetleaf.trade.seasons import SEASON_WINDOWS, SEASONS
from wetleaf.trade.spelling import squash
from wetleaf.trade.tables import Mark, ground_of

FOLDER = Path(tables.__file__).parent
MY_CSV = ("cultivars.csv", "cultivar_names.csv", "origins.csv", "origin_names.csv", "season_windows.csv")
MY_TOML = ("stages.toml", "classes.toml", "seasons.toml", "protocols.toml", "lot_claims.toml", "keeping.toml")


def _csv_rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _toml_rows(name: str) -> Iterator[dict[str, Any]]:
    for value in tomllib.loads((FOLDER / name).read_text(encoding="utf-8")).values():
        yield from (row for row in value if isinstance(value, list))


@pytest.mark.parametrize("name", MY_CSV)
def test_each_csv_row_has_a_source_and_a_mark(name: str) -> None:
    rows = _csv_rows(name)

    assert len(rows) > 50
    for row in rows:
        assert row["source"].strip(), row
        assert row["mark"] in set(Mark), row


@pytest.mark.parametrize("name", MY_TOML)
def test_each_toml_row_has_a_source_and_a_mark(name: str) -> None:
    rows = list(_toml_rows(name))

    assert rows
    for row in rows:
        assert ground_of(row, name).source


def test_a_row_without_a_source_does_not_load() -> None:
    with pytest.raises(ValueError, match="without a source"):
        ground_of({"source": " ", "mark": "V"}, "made_up.csv")


def test_a_row_with_an_unknown_mark_does_not_load() -> None:
    with pytest.raises(ValueError, match="sure"):
        ground_of({"source": "a page", "mark": "sure"}, "made_up.csv")


def test_every_cultivar_name_leads_to_its_one_row() -> None:
    owners: dict[str, set[str]] = {}
    for name in CULTIVAR_NAMES:
        owners.setdefault(squash(name.name), set()).add(name.key)

    shared = {name: keys for name, keys in owners.items() if len(keys) > 1}

    assert shared == {}
    assert {key for keys in owners.values() for key in keys} == set(CULTIVARS)
    for name in CULTIVAR_NAMES:
        found = find_cultivar(name.name)
        assert found is not None
        assert found.key == name.key


def test_every_origin_name_leads_to_its_district_or_lists_its_candidates() -> None:
    for name in ORIGIN_NAMES:
        place = find_place(name.name)
        if name.kind == "district":
            assert place.origin is not None, name
            assert place.origin.key == name.stands_for[0]
        elif name.kind == "area":
            assert place.origin is None, name
            assert {origin.key for origin in place.candidates} == set(name.stands_for)
        else:
            assert place.country == name.stands_for[0], name


def test_every_district_has_a_name_a_band_and_a_window() -> None:
    named = {key for name in ORIGIN_NAMES if name.kind == "district" for key in name.stands_for}
    windowed = {window.origin for window in SEASON_WINDOWS}

    assert named == set(ORIGINS)
    assert set(ORIGINS) <= windowed
    for origin in ORIGINS.values():
        assert 0 <= origin.elevation_m_min < origin.elevation_m_max <= 3000


def test_every_season_is_named_in_all_languages_of_the_letters() -> None:
    for season in SEASONS.values():
        assert {"en", "de", "fr", "zh_hant", "zh_hans", "ja"} <= set(season.names)
