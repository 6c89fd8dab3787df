"""Rows over several sittings: exchanges keep what a row is, and only ever make it more even."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wetleaf.numerics.designs import Asked, lay_out
from wetleaf.numerics.designs.evenness import evenness
from wetleaf.numerics.designs.row_exchanges import exchange_bowls, walked_places


@settings(max_examples=25, deadline=None)
@given(
    bowls=st.integers(2, 8),
    tasters=st.integers(1, 4),
    sittings=st.integers(1, 3),
    number=st.integers(0, 2**32),
)
def test_bowls_and_beginnings_are_exchanged_only_for_more_evenness(
    bowls: int, tasters: int, sittings: int, number: int
) -> None:
    rng = np.random.default_rng(number)
    teas = [np.arange(bowls)] * sittings
    laid = [
        (
            rng.permutation(bowls),
            walked_places(rng.integers(bowls, size=tasters), np.ones(tasters, int), bowls),
        )
        for _ in range(sittings)
    ]

    better = exchange_bowls(laid, teas, bowls, 0.0, rng)

    def measure(rows: list) -> float:
        return evenness([row[walk] for row, walks in rows for walk in walks], bowls).unevenness

    assert measure(better) <= measure(laid) + 1e-9
    for row, walks in better:
        assert sorted(row.tolist()) == list(range(bowls))
        steps = np.diff(walks, axis=1) % bowls
        assert set(np.unique(steps).tolist()) <= {1, bowls - 1}
        assert all(len(set(step.tolist())) == 1 for step in steps)


def test_two_rows_of_eight_for_three_tasters_are_nearer_the_bound_than_rows_without_common_neighbours() -> (
    None
):
    design = lay_out(
        Asked([f"T{tea}" for tea in range(8)], ["Wren", "Ottil", "Sable"], 2), np.random.default_rng(1)
    )

    assert (
        0.73 < design.balance.bound < design.balance.unevenness < 0.85
    )  # regression; 0.929 without exchanges
