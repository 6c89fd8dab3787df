"""Tasters with words of their own: one picture if there is one, and luck's share beside it."""

import numpy as np
import pytest

from wetleaf.numerics.maps import common_map, own_words_map
from wetleaf.trade.errors import BadInput

LOTS = [f"L{k}" for k in range(8)]


def tables(noise: float, seed: int) -> dict[str, tuple[list[str], np.ndarray]]:
    """Three tasters see the same plane through words, sizes and angles of their own."""
    rng = np.random.default_rng(seed)
    true = rng.normal(size=(8, 2))
    return {
        who: (
            [f"{who}{k}" for k in range(width)],
            size * true @ rng.normal(size=(2, width)) / np.sqrt(width) + noise * rng.normal(size=(8, width)),
        )
        for who, width, size in (("Ada", 4, 1.0), ("Bo", 3, 2.0), ("Cy", 6, 0.5))
    }


def test_a_taster_turned_and_stretched_sees_the_same_picture() -> None:
    rng = np.random.default_rng(1)
    true = rng.normal(size=(8, 3))
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    given = {"Ada": (["a", "b", "c"], true), "Bo": (["d", "e", "f"], 5 + 0.2 * true @ turn)}

    found = own_words_map(given, rows=LOTS, rng=rng)

    assert found.agreement == pytest.approx(1, abs=1e-9)
    assert found.p == pytest.approx(1 / 200)
    assert found.converged


def test_a_common_plane_is_told_from_luck() -> None:
    found = own_words_map(tables(0.15, seed=3), rows=LOTS, rng=np.random.default_rng(1))

    assert found.p <= 0.05
    assert found.share[:2].sum() > 0.8


def test_tasters_with_nothing_in_common_are_no_rarer_than_luck() -> None:
    chances = []
    for seed in range(20):
        rng = np.random.default_rng(seed)
        given = {who: ([f"{who}{k}" for k in range(3)], rng.normal(size=(8, 3))) for who in "ABC"}
        chances.append(own_words_map(given, rows=LOTS, rng=rng, shuffles=39).p)

    assert np.mean(np.array(chances) <= 0.1) <= 0.3
    assert 0.3 < np.mean(chances) < 0.7


def test_the_picture_does_not_depend_on_the_order_of_tasters() -> None:
    given = tables(0.3, seed=5)
    first = own_words_map(given, rows=LOTS, rng=np.random.default_rng(1), shuffles=1)

    second = own_words_map(dict(reversed(given.items())), rows=LOTS, rng=np.random.default_rng(1), shuffles=1)

    assert second.agreement == pytest.approx(first.agreement, abs=1e-8)
    assert second.consensus == pytest.approx(first.consensus, abs=1e-3)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"Ada": (["a"], np.ones((8, 1)))}, "1 tasters and 8 lots"),
        (
            {"Ada": (["a"], np.ones((8, 1))), "Bo": (["b"], np.arange(8.0)[:, None])},
            "Ada gave every lot the same",
        ),
        ({"Ada": (["a"], np.ones((7, 1))), "Bo": (["b"], np.arange(8.0)[:, None])}, "Ada's scores of shape"),
    ],
)
def test_what_makes_no_common_picture_is_refused_in_words(
    given: dict[str, tuple[list[str], np.ndarray]], said: str
) -> None:
    with pytest.raises(BadInput, match=said):
        own_words_map(given, rows=LOTS, rng=np.random.default_rng(1))


def test_a_table_said_twice_does_not_shout_louder_than_its_attributes() -> None:
    """A stage with twenty copies of one attribute counts as much as one with a single attribute."""
    rng = np.random.default_rng(2)
    wide, narrow = rng.normal(size=(8, 1)), rng.normal(size=(8, 1))
    given = {"leaf": ([f"w{k}" for k in range(20)], np.repeat(wide, 20, axis=1)), "cup": (["n"], narrow)}

    found = common_map(given, rows=LOTS)

    assert found.table_scores[:, 0] == pytest.approx([found.table_scores[0, 0]] * 2, rel=1e-6)


def test_one_table_is_no_common_map() -> None:
    with pytest.raises(BadInput, match="1 table makes no common map"):
        common_map({"leaf": (["a"], np.arange(8.0)[:, None])}, rows=LOTS)
