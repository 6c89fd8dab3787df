"""Under a prior so wide that it says nothing, the modes are R's maximum likelihood estimates: see
tests/published/rankings/reference.R for every call and version."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wetleaf.numerics.rankings import Assumed, Evidence, RowAnswer, evidence_of, pair_answer
from wetleaf.numerics.rankings.posterior import find_modes

R: dict[str, Any] = json.loads(
    (Path(__file__).parents[2] / "published" / "rankings" / "reference.json").read_text("utf-8")
)
WIDE = 1e4


def saying_nothing(model: str = "plackett-luce") -> Assumed:
    return Assumed(model, spread=WIDE, order_sd=WIDE, tie_sd=WIDE, recognised=0)  # type: ignore[arg-type]


def mode(evidence: Evidence) -> tuple[dict[str, float], dict[str, float], np.ndarray, np.ndarray]:
    """Estimates and standard errors against the first lot, and those of the other parameters."""
    modes = find_modes(evidence.target())
    point, covariance = modes.points[1], np.linalg.inv(modes.precisions[1])
    count = len(evidence.lots)
    contrast = np.eye(count)[1:] - np.eye(count)[0]
    apart = dict(zip(evidence.lots[1:], contrast @ point[:count], strict=True))
    se = np.sqrt(np.diag(contrast @ covariance[:count, :count] @ contrast.T))
    return (
        apart,
        dict(zip(evidence.lots[1:], se, strict=True)),
        point[count:],
        np.sqrt(np.diag(covariance)[count:]),
    )


def baseball(*, with_home: bool) -> list[RowAnswer]:
    answers = []
    for row in R["baseball"]["data"]:
        home = pair_answer(row["home"], row["away"], row["home"])
        away = pair_answer(row["home"], row["away"], row["away"])
        answers += [home] * row["home.wins"] + [away] * row["away.wins"]
    if with_home:
        return answers
    return [RowAnswer(answer.places) for answer in answers]


def tied_pairs(*, order: bool, ties: bool = True) -> list[RowAnswer]:
    answers = []
    for row in R["ties"]["data"]:
        for preferred, times in ((row["first"], "win"), (row["second"], "loss"), (None, "tie")):
            if ties or preferred is not None:
                answers += [pair_answer(row["first"], row["second"], preferred)] * row[times]
    return answers if order else [RowAnswer(answer.places) for answer in answers]


@pytest.mark.parametrize("with_home", [False, True], ids=["plain", "home"])
def test_baseball_agrees_with_bradleyterry2(with_home: bool) -> None:
    r = R["baseball"]["home" if with_home else "plain"]

    estimates, errors, others, their_errors = mode(
        evidence_of(baseball(with_home=with_home), assumed=saying_nothing("bradley-terry"))
    )

    assert len(estimates) == 6
    assert estimates == pytest.approx(
        {k[4:]: v for k, v in r["estimate"].items() if k != "at.home"}, abs=1e-6
    )
    assert errors == pytest.approx({k[4:]: v for k, v in r["se"].items() if k != "at.home"}, abs=1e-6)
    if with_home:
        assert others[0] == pytest.approx(r["estimate"]["at.home"], abs=1e-6)
        assert their_errors[0] == pytest.approx(r["se"]["at.home"], abs=1e-6)


def test_baseball_agrees_with_agrestis_book() -> None:
    """Agresti (2002), Categorical Data Analysis, 2nd ed., section 10.6.1: from memory, two decimals."""
    printed = {
        "Milwaukee": 1.58,
        "Detroit": 1.44,
        "Toronto": 1.29,
        "New York": 1.25,
        "Boston": 1.11,
        "Cleveland": 0.68,
    }

    estimates, _, _, _ = mode(evidence_of(baseball(with_home=False), assumed=saying_nothing()))

    assert {team: round(float(value), 2) for team, value in estimates.items()} == printed


def test_ties_and_order_agree_with_davidsons_model_as_a_log_linear_one() -> None:
    r = R["ties"]["davidson"]

    estimates, errors, (order, tie), (order_error, tie_error) = mode(
        evidence_of(tied_pairs(order=True), assumed=saying_nothing())
    )

    assert estimates == pytest.approx({lot: r["estimate"][lot] for lot in "bcd"}, abs=1e-6)
    assert errors == pytest.approx({lot: r["se"][lot] for lot in "bcd"}, abs=1e-6)
    assert (order, tie) == pytest.approx((r["estimate"]["up"], r["estimate"]["tie"]), abs=1e-6)
    assert (order_error, tie_error) == pytest.approx((r["se"]["up"], r["se"]["tie"]), abs=1e-6)


def test_ties_agree_with_psychotools() -> None:
    r = R["ties"]["psychotools"]["estimate"]

    estimates, _, (tie,), _ = mode(evidence_of(tied_pairs(order=False), assumed=saying_nothing()))

    against_a = {"b": r["b"] - r["a"], "c": r["c"] - r["a"], "d": -r["a"]}
    assert estimates == pytest.approx(against_a, abs=1e-4)
    assert tie == pytest.approx(r["(undecided)"], abs=1e-4)


def test_case_v_agrees_with_a_probit_fit() -> None:
    r = R["probit"]

    estimates, errors, (order,), _ = mode(
        evidence_of(tied_pairs(order=True, ties=False), assumed=saying_nothing("thurstone"))
    )

    assert estimates == pytest.approx({lot: r["estimate"][f"design{lot}"] for lot in "bcd"}, abs=1e-6)
    assert errors == pytest.approx({lot: r["se"][f"design{lot}"] for lot in "bcd"}, abs=1e-6)
    assert order == pytest.approx(r["estimate"]["I(rep(1, 8))"], abs=1e-6)


def test_rows_agree_with_an_exploded_logit() -> None:
    r = R["luce"]
    answers = [RowAnswer(tuple((lot,) for lot in row)) for row in R["rows"]]

    estimates, errors, _, _ = mode(evidence_of(answers, assumed=saying_nothing()))

    # a hazard: the larger, the sooner placed
    assert estimates == pytest.approx({lot: r["estimate"][f"lot{lot}"] for lot in "bcd"}, abs=1e-5)
    assert errors == pytest.approx({lot: r["se"][f"lot{lot}"] for lot in "bcd"}, abs=1e-5)
