"""Facts and attributes that go together are told from luck, and makers are one piece of evidence each."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wetleaf.numerics.associations import Archive, Tie, what_goes_with_what
from wetleaf.numerics.associations.archive import pair_of
from wetleaf.numerics.associations.shrunk import shrunk_fit
from wetleaf.trade.errors import BadInput

REFERENCE: dict[str, Any] = json.loads(
    (Path(__file__).parents[2] / "published" / "associations" / "reference.json").read_text(encoding="utf-8")
)


def archive(seed: int, *, effect: float, makers: int = 12, noise: float = 0.5) -> Archive:
    """Four lots a maker in two seasons: floral rises with elevation, malty goes by cultivar."""
    rng = np.random.default_rng(seed)
    maker = np.repeat(np.arange(makers), 4)
    season = np.tile([0, 0, 1, 1], makers)
    metres = rng.uniform(200, 2200, makers)[maker]
    cultivar = rng.integers(0, 3, maker.size)
    own, year = rng.normal(0, 0.5, (3, makers))[:, maker], np.array([0.0, 1.5])[season]
    return Archive(
        attributes={
            "floral": year + own[0] + effect * (metres - 1200) / 577 + rng.normal(0, noise, maker.size),
            "malty": year
            + own[1]
            + effect * np.array([-1.0, 0, 1])[cultivar]
            + rng.normal(0, noise, maker.size),
            "woody": year + own[2] + rng.normal(0, noise, maker.size),
        },
        measured={"elevation": metres, "weeks at rest": rng.normal(9, 2, maker.size)},
        named={"cultivar": np.array(["low", "mid", "high"])[cultivar].tolist()},
        makers=[f"maker {k}" for k in maker],
        seasons=[f"{2024 + k}" for k in season],
    )


def by_pair(ties: tuple[Tie, ...]) -> dict[tuple[str, str], Tie]:
    return {(tie.fact, tie.attribute): tie for tie in ties}


def test_the_shrunk_effects_are_lme4s() -> None:
    lots = REFERENCE["lots"]
    held = Archive(
        attributes={"floral": np.array(lots["floral"])},
        measured={},
        named={"cultivar": lots["cultivar"]},
        makers=lots["cultivar"],
        seasons=lots["season"],
    )
    pair = pair_of(held, "cultivar", "floral")
    assert pair is not None

    found = shrunk_fit(pair.attribute, pair.columns, pair.seasons)

    assert list(pair.labels) == REFERENCE["cultivars"]
    assert found.effects == pytest.approx(REFERENCE["effects"], abs=2e-4)


def test_what_was_put_in_is_found_with_its_direction() -> None:
    found = by_pair(what_goes_with_what(archive(1, effect=1.0), rng=np.random.default_rng(1)))

    floral, malty = found["elevation", "floral"], found["cultivar", "malty"]
    assert (floral.answer, malty.answer) == ("yes", "yes")
    assert floral.words.startswith("More elevation goes with more floral")
    assert max(malty.effects, key=malty.effects.__getitem__) == "high"
    assert floral.skill_makers > 0.3
    assert floral.skill_seasons > 0.3
    assert "cause" not in floral.words + malty.words


def test_luck_is_seldom_called_a_tie() -> None:
    ties = [
        tie
        for seed in range(25)
        for tie in what_goes_with_what(archive(seed, effect=0.0), rng=np.random.default_rng(seed))
    ]

    assert np.mean([tie.p <= 0.05 for tie in ties]) <= 0.09  # measured over many more: 0.04 to 0.08
    assert np.mean([tie.answer == "yes" for tie in ties]) <= 0.04


def test_many_lots_of_one_maker_are_one_piece_of_evidence() -> None:
    """Two of eight makers sit high and have floral tea: one in 28 ways to deal that out."""
    rng = np.random.default_rng(5)
    maker = np.repeat(np.arange(8), 40)
    lift = np.array([1.0, 1, 0, 0, 0, 0, 0, 0])[maker]
    held = Archive(
        attributes={"floral": 3 * lift + rng.normal(0, 0.1, 8)[maker] + rng.normal(0, 0.1, maker.size)},
        measured={"elevation": 500 + 900 * lift},
        named={},
        makers=maker.astype(str),
        seasons=["2026"] * maker.size,
    )

    (tie,) = what_goes_with_what(held, rng=rng)

    assert tie.p == pytest.approx(1 / 28, abs=0.01)


def test_a_maker_of_many_lots_does_not_make_a_tie() -> None:
    """One maker of twenty lots and nine of two: makers differ, nothing goes with cultivar."""
    chances = []
    for seed in range(150):
        rng = np.random.default_rng(seed)
        maker = np.repeat(np.arange(10), [20, *[2] * 9])
        held = Archive(
            attributes={"floral": rng.normal(size=10)[maker] + rng.normal(0, 0.5, maker.size)},
            measured={},
            named={"cultivar": np.array(["p", "q", "r"])[rng.integers(0, 3, 10)[maker]].tolist()},
            makers=maker.astype(str),
            seasons=["2026"] * maker.size,
        )
        chances += [tie.p for tie in what_goes_with_what(held, rng=rng)]

    assert np.mean(np.array(chances) <= 0.05) <= 0.1


def test_few_makers_cannot_tell_and_say_how_many_would() -> None:
    (tie, *_) = what_goes_with_what(archive(1, effect=2.0, makers=7), rng=np.random.default_rng(1))

    assert tie.answer == "can't tell"
    assert "10 lots of 8 makers are the least" in tie.words


def test_a_fact_that_never_differs_cannot_tell() -> None:
    held = archive(1, effect=1.0)
    flat = Archive(held.attributes, {"elevation": np.full(48, 900.0)}, {}, held.makers, held.seasons)

    assert {tie.answer for tie in what_goes_with_what(flat, rng=np.random.default_rng(1))} == {"can't tell"}


def test_unknown_facts_and_scores_are_left_out_lot_by_lot() -> None:
    held = archive(2, effect=1.5)
    metres, floral = held.measured["elevation"].copy(), held.attributes["floral"].copy()
    metres[:3], floral[3:8] = np.nan, np.nan
    gaps = Archive({"floral": floral}, {"elevation": metres}, {}, held.makers, held.seasons)

    (tie,) = what_goes_with_what(gaps, rng=np.random.default_rng(1))

    assert (tie.lots, tie.answer) == (40, "yes")


def test_lists_that_do_not_fit_are_refused() -> None:
    with pytest.raises(BadInput, match="'elevation' has 2 values for 3 lots"):
        Archive({}, {"elevation": np.ones(2)}, {}, ["a"] * 3, ["2026"] * 3)
    with pytest.raises(BadInput, match="no facts or no attributes"):
        what_goes_with_what(Archive({}, {}, {}, [], []), rng=np.random.default_rng(1))
