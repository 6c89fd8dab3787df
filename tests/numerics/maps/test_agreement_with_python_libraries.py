"""Maps against scikit-learn 1.9.1 and prince 0.23.0; tests/published/maps/reference.py made the values."""

import json
from typing import Any

import numpy as np
from tests.numerics.maps.test_agreement_with_factominer import PUBLISHED, read, same_up_to_sign, wine

from wetleaf.numerics.maps import correspondence, principal_components

REFERENCE: dict[str, Any] = json.loads((PUBLISHED / "reference_python.json").read_text(encoding="utf-8"))


def test_plain_components_agree_with_scikit_learn() -> None:
    rows, columns, table = wine()
    ours_divides_by_n = len(rows) / (len(rows) - 1)

    found = principal_components(table, rows=rows, columns=columns, scaled=False)

    expected = REFERENCE["pca"]["explained_variance"]
    np.testing.assert_allclose(found.eigenvalues[:5] * ours_divides_by_n, expected, atol=1e-10)
    same_up_to_sign(found.row_scores, np.array(REFERENCE["pca"]["scores"]))


def test_scaled_components_agree_with_prince() -> None:
    rows, columns, table = wine()

    found = principal_components(table, rows=rows, columns=columns)

    np.testing.assert_allclose(found.eigenvalues[:5], REFERENCE["scaled"]["eigenvalues"], atol=1e-8)
    # prince draws its singular vectors at random and stops early: FactoMineR agrees to 1e-8 on the same table
    same_up_to_sign(found.row_scores, np.array(REFERENCE["scaled"]["scores"]), within=1e-4)


def test_correspondence_agrees_with_prince() -> None:
    rows, columns, table = read("bordeaux_counts.csv", 1, None)

    found = correspondence(table, rows=rows, columns=columns)

    np.testing.assert_allclose(found.eigenvalues, REFERENCE["ca"]["eigenvalues"], atol=1e-10)
    same_up_to_sign(found.row_scores, np.array(REFERENCE["ca"]["rows"]))
    same_up_to_sign(found.column_scores, np.array(REFERENCE["ca"]["columns"]))
