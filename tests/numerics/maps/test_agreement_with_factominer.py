"""Maps against R's FactoMineR 2.7 on open data; tests/published/maps/README.md names data and calls."""

import csv
import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wetleaf.numerics.maps import common_map, correspondence, own_words_map, principal_components

PUBLISHED = Path(__file__).parents[2] / "published" / "maps"
REFERENCE: dict[str, Any] = json.loads((PUBLISHED / "reference.json").read_text(encoding="utf-8"))
GROUPS: list[int] = REFERENCE["mfa"]["groups"]


def read(name: str, start: int, stop: int | None) -> tuple[list[str], list[str], np.ndarray]:
    with (PUBLISHED / name).open(encoding="utf-8") as file:
        header, *rows = csv.reader(file)
    table = np.array([[float(cell) for cell in row[start:stop]] for row in rows])
    return [row[0] for row in rows], header[start:stop], table


def wine() -> tuple[list[str], list[str], np.ndarray]:
    return read("loire_wine.csv", 3, 30)


def stages() -> dict[str, tuple[list[str], np.ndarray]]:
    _, columns, table = wine()
    edges = np.cumsum([0, *GROUPS])
    slices = [slice(a, b) for a, b in pairwise(edges.tolist())]
    return {
        name: (columns[s], table[:, s]) for name, s in zip(REFERENCE["mfa"]["names"], slices, strict=True)
    }


def values(block: str, name: str) -> np.ndarray:
    return np.array(REFERENCE[block][name]["values"], dtype=float)


def same_up_to_sign(found: np.ndarray, expected: np.ndarray, *, within: float = 1e-8) -> None:
    axes = expected.shape[-1]
    signs = np.sign((found[..., :axes] * expected).reshape(-1, axes).sum(axis=0))
    np.testing.assert_allclose(found[..., :axes] * signs, expected, atol=within)


@pytest.mark.parametrize(("block", "scaled"), [("pca", True), ("plain", False)])
def test_principal_components_agree(block: str, scaled: bool) -> None:
    rows, columns, table = wine()

    found = principal_components(table, rows=rows, columns=columns, scaled=scaled)

    np.testing.assert_allclose(found.eigenvalues, REFERENCE[block]["eig"], atol=1e-10)
    same_up_to_sign(found.row_scores, values(block, "row"))
    same_up_to_sign(found.column_scores, values(block, "column"))


def test_quality_and_share_of_rows_agree() -> None:
    rows, columns, table = wine()

    found = principal_components(table, rows=rows, columns=columns)

    np.testing.assert_allclose(found.row_quality[:, :5], values("pca", "cos2"), atol=1e-10)
    np.testing.assert_allclose(100 * found.row_share[:, :5], values("pca", "contrib"), atol=1e-8)


def test_the_common_map_of_four_stages_agrees() -> None:
    rows, _, _ = wine()

    found = common_map(stages(), rows=rows)

    np.testing.assert_allclose(found.eigenvalues[:20], REFERENCE["mfa"]["eig"][:20], atol=1e-9)
    same_up_to_sign(found.row_scores, values("mfa", "row"))
    same_up_to_sign(found.column_scores, values("mfa", "column"))
    np.testing.assert_allclose(found.table_scores[:, :5], values("mfa", "table"), atol=1e-8)
    np.testing.assert_allclose(found.alike, values("mfa", "RV")[:4, :4], atol=1e-8)


def test_each_stage_alone_puts_the_lots_where_it_does_there() -> None:
    rows, _, _ = wine()
    names = REFERENCE["mfa"]["partial"]["rows"]
    expected = values("mfa", "partial")

    found = common_map(stages(), rows=rows)

    order = [names.index(f"{row}.{name}") for name in found.tables for row in rows]
    same_up_to_sign(found.partial, expected[order].reshape(4, len(rows), 5))


def test_the_correspondence_of_words_agrees() -> None:
    rows, columns, table = read("bordeaux_counts.csv", 1, None)

    found = correspondence(table, rows=rows, columns=columns)

    np.testing.assert_allclose(found.eigenvalues, REFERENCE["ca"]["eig"], atol=1e-12)
    same_up_to_sign(found.row_scores, values("ca", "row"), within=1e-10)
    same_up_to_sign(found.column_scores, values("ca", "column"), within=1e-10)
    np.testing.assert_allclose(100 * found.row_share, values("ca", "row_contrib"), atol=1e-8)
    np.testing.assert_allclose(found.row_quality, values("ca", "row_cos2"), atol=1e-10)
    np.testing.assert_allclose(100 * found.column_share, values("ca", "column_contrib"), atol=1e-8)
    np.testing.assert_allclose(found.column_quality, values("ca", "column_cos2"), atol=1e-10)


def test_the_picture_of_own_words_agrees() -> None:
    rows, _, _ = wine()
    expected = values("gpa", "consensus")

    found = own_words_map(stages(), rows=rows, rng=np.random.default_rng(1), shuffles=1)

    own, theirs = (one @ one.T / np.linalg.norm(one @ one.T) for one in (found.consensus, expected))
    np.testing.assert_allclose(own, theirs, atol=1e-4)
