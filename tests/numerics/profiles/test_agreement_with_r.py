"""Against R's lme4, lmerTest and emmeans, on open data and unbalanced tables (tests/published/mixed)."""

import csv
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wetleaf.numerics.profiles import AttributeProfile, Scores, fit_profiles, variance_components
from wetleaf.numerics.profiles.satterthwaite import lot_contrasts

CASES = Path(__file__).parents[2] / "published" / "mixed"
VARIANCE, MEAN, F, JOINT_DF, P = 1e-5, 1e-5, 1e-4, 1e-3, 1e-5


def published(name: str) -> dict[str, Any]:
    return json.loads((CASES / name).read_text())


def table(name: str, lot: str, taster: str, attributes: list[str], **roles: str) -> Scores:
    with (CASES / name).open(newline="") as file:
        rows = list(csv.DictReader(file))
    values = np.array([[float(row[attribute]) for attribute in attributes] for row in rows])
    labels = {role: [row[column] for row in rows] for role, column in roles.items()}
    return Scores([row[lot] for row in rows], [row[taster] for row in rows], values, attributes, **labels)


def assert_agrees(ours: AttributeProfile, theirs: dict[str, Any]) -> None:
    for term, variance in theirs["variance"].items():
        assert ours.variance[term] == pytest.approx(variance, rel=VARIANCE, abs=1e-9), term
    assert ours.criterion == pytest.approx(theirs["criterion"], abs=1e-6)
    assert ours.f == pytest.approx(theirs["f"], rel=F)
    assert ours.df1 == theirs["df1"]
    assert ours.df2 == pytest.approx(theirs["df2"], rel=JOINT_DF)
    assert ours.p == pytest.approx(theirs["p"], abs=P)
    for mean, (_, value, se, df, low, high) in zip(ours.means, theirs["means"], strict=True):
        assert (mean.mean, mean.se, mean.df) == pytest.approx((value, se, df), rel=MEAN)
        assert (mean.low, mean.high) == pytest.approx((low, high), rel=MEAN, abs=1e-5)
    for pair, (value, se, df, p, *ends) in zip(ours.pairs, theirs["pairs"], strict=True):
        assert (pair.difference, pair.se, pair.df) == pytest.approx((value, se, df), rel=MEAN, abs=1e-7)
        assert pair.p == pytest.approx(p, abs=P)
        if ends:  # R's own quantile of the studentised range is good to about 3e-6
            assert (pair.low, pair.high) == pytest.approx(tuple(ends), abs=2e-5)
    for one, (value, p) in zip(ours.against, theirs.get("against", []), strict=bool(theirs.get("against"))):
        assert one.difference == pytest.approx(value, rel=MEAN, abs=1e-7)
        assert one.p == pytest.approx(p, abs=P)


@pytest.mark.parametrize(
    ("case", "data", "lot", "taster", "baseline"),
    [
        ("tvbo_m1.json", "tvbo.csv", "Product", "Assessor", "TV1_1"),
        ("ham_m1.json", "ham.csv", "Product", "Consumer", "1"),
        ("d1_zero_assessor.json", "d1_zero_assessor_var.csv", "Product", "Assessor", "TV1_1"),
    ],
)
def test_open_data_give_the_answers_of_r(case: str, data: str, lot: str, taster: str, baseline: str) -> None:
    fits = published(case)["fits"]

    profiles = fit_profiles(table(data, lot, taster, list(fits)), baseline=baseline)

    assert len(profiles.attributes) == len(fits)
    for name, theirs in fits.items():
        assert_agrees(profiles[name], theirs)


def test_without_replicates_the_reduced_model_is_the_one_r_fits_when_told_to() -> None:
    fits = published("d4b_no_replicates_main.json")["fits"]
    whole = table("tvbo.csv", "Product", "Assessor", list(fits), replicates="Repeat")
    first = np.array([repeat == "0" for repeat in whole.replicates or []])
    once = Scores(
        [lot for lot, kept in zip(whole.lots, first, strict=True) if kept],
        [taster for taster, kept in zip(whole.tasters, first, strict=True) if kept],
        whole.values[first],
        whole.attributes,
    )

    profiles = fit_profiles(once, baseline="TV1_1")

    for name, theirs in fits.items():
        assert_agrees(profiles[name], theirs)
        assert profiles[name].variance["taster:lot"] is None
        assert "reduced model is taster + residual" in profiles[name].model


@pytest.mark.parametrize("case", list(published("unbalanced.json")["cases"]))
def test_unbalanced_tables_sittings_and_brews_give_the_answers_of_r(case: str) -> None:
    theirs = published("unbalanced.json")["cases"][case]
    file, attribute = case.split("/")
    roles = {
        role: column
        for role, column in (("sittings", "sitting"), ("brews", "brew"))
        if column in theirs["formula"]
    }

    ours = fit_profiles(table(f"{file}.csv", "lot", "taster", [attribute], **roles))[attribute]

    assert_agrees(ours, theirs)


def test_a_term_at_zero_variance_leaves_the_df_of_the_model_without_it() -> None:
    """R: TVbo Flickeringmovement has 173 df, not the 77 of the taster x lot stratum."""
    profile = fit_profiles(table("tvbo.csv", "Product", "Assessor", ["Flickeringmovement"]))[
        "Flickeringmovement"
    ]

    assert profile.variance["taster:lot"] == 0.0
    assert profile.df2 == pytest.approx(173.0, abs=1e-4)
    assert any("estimated at zero" in warning for warning in profile.warnings)


def test_the_decision_on_complete_data_is_the_analysis_of_variance() -> None:
    fits = published("tvbo_balanced_anova.json")["fits"]

    profiles = fit_profiles(table("tvbo.csv", "Product", "Assessor", list(fits)))

    for name, (f, df1, df2, p) in fits.items():
        decision = profiles[name].decision
        assert (decision.f, decision.df1, decision.df2) == pytest.approx((f, df1, df2), rel=1e-9)
        assert decision.p == pytest.approx(p, rel=1e-8)


def test_the_contrasts_of_the_joint_test_are_those_of_r() -> None:
    """lmerTest's matrix for TVbo less a tenth of its rows; the counts follow from its rows."""
    theirs = np.array(published("contrast_basis.json")["L3"])
    counts = np.array([[15, 13, 15, 16, 14, 13, 14, 14, 15, 14, 14, 16]], dtype=float)

    ours = lot_contrasts(counts, sequential=True)[0]

    np.testing.assert_allclose(ours[1:, 1:], theirs[:, 1:], atol=1e-9)


@pytest.mark.parametrize("case", list(published("lots_random.json")["cases"]))
def test_with_the_lots_random_the_variances_are_those_of_r(case: str) -> None:
    theirs = published("lots_random.json")["cases"][case]
    file, attribute = case.split("/")
    roles = {
        role: column
        for role, column in (("sittings", "sitting"), ("brews", "brew"))
        if column in theirs["formula"]
    }

    (ours,) = variance_components(table(f"{file}.csv", "lot", "taster", [attribute], **roles))

    assert {name: value for name, value in ours.variance.items() if value is not None} == pytest.approx(
        theirs["variance"], rel=VARIANCE, abs=1e-7
    )


def test_pairs_and_baseline_of_plain_groups_are_those_of_scipy() -> None:
    """One taster, equal cups: scipy 1.17.1 `tukey_hsd` and `dunnett`, whose lattice is good to about 1e-4."""
    from scipy import stats

    cups = np.random.default_rng(5).normal(size=(6, 4)) + np.linspace(0, 1.5, 6)[:, None]
    lots = [f"L{lot}" for lot in range(6) for _ in range(4)]

    ours = fit_profiles(Scores(lots, ["x"] * 24, cups.reshape(-1, 1), ["a"]), baseline="L0")["a"]

    pairs = stats.tukey_hsd(*cups).pvalue[np.triu_indices(6, 1)]
    against = stats.dunnett(*cups[1:], control=cups[0], rng=np.random.default_rng(1)).pvalue
    assert [pair.p for pair in ours.pairs] == pytest.approx(pairs.tolist(), abs=1e-9)
    assert [one.p for one in ours.against] == pytest.approx(against.tolist(), abs=3e-4)
