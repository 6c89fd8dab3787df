"""The scorer itself: a perfect report scores full marks, and each planted mistake is found and named."""

from typing import Any

import pytest

from tests.books.comparison import Reading, compare
from tests.books.maker import KINDS, make_book
from tests.books.perfect import perfect_report


def _season() -> tuple[dict[str, Any], dict[str, Any]]:
    _, truth = make_book(3, "season")
    return truth, perfect_report(truth)


def _missed(reading: Reading) -> set[str]:
    return {miss.what for miss in reading.misses}


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_perfect_report_gets_full_marks(kind: str, seed: int) -> None:
    _, truth = make_book(seed, kind)

    reading = compare(truth, perfect_report(truth))

    assert sum(reading.wanted.values()) > 20
    assert reading.misses == []
    assert reading.right == reading.wanted


def test_an_empty_report_gets_nothing() -> None:
    truth, _ = _season()

    reading = compare(truth, {})

    assert reading.wanted["errors named"] > 0
    assert sum(reading.right.values()) == 0


def test_an_error_called_a_warning_is_missed() -> None:
    truth, report = _season()
    planted = next(p for p in report["problems"] if p["severity"] == "error" and p["cell"])
    planted["severity"] = "warn"

    reading = compare(truth, report)

    assert [(m.what, m.cell) for m in reading.misses] == [("errors named", planted["cell"])]


def test_an_error_on_a_good_cell_is_a_false_error() -> None:
    truth, report = _season()
    score = next(s for s in truth["scores"] if s["status"] == "ok")
    report["problems"].append(
        {"sheet": score["sheet"], "cell": score["cell"], "says": "5", "why": "", "severity": "error"}
    )

    reading = compare(truth, report)

    assert reading.false_errors == 1
    assert _missed(reading) == {"false error"}


@pytest.mark.parametrize(
    ("field", "wrong"), [("value", 99.0), ("taster", "nobody"), ("sample", "ZZ"), ("status", "missing")]
)
def test_a_score_is_right_only_with_its_value_taster_sample_and_status(field: str, wrong: Any) -> None:
    truth, report = _season()
    next(s for s in report["scores"] if s["status"] == "ok")[field] = wrong

    reading = compare(truth, report)

    assert reading.wanted["scores"] - reading.right["scores"] == 1


def test_a_price_in_another_currency_is_wrong() -> None:
    truth, report = _season()
    lot = next(lot for lot in report["lots"] if lot["price"])
    lot["price"]["currency"] = "XXX"

    reading = compare(truth, report)

    assert _missed(reading) == {"lot fields"}
    assert len(reading.misses) == 1


def test_a_totals_row_read_as_a_lot_is_told() -> None:
    truth, report = _season()
    report["lots"].append({**report["lots"][-1], "row": 999})

    reading = compare(truth, report)

    assert reading.extra["lots"] == 1
