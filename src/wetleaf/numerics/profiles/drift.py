"""Whether a taster's scores drift along a sitting: as the palate tires, or as the scale is found.

For each attribute: score = lot + taster + slope of the taster x place in the sitting, by least squares, the
places counted from the middle of that taster's sitting. Lots must have stood in different places for
different tasters (or replicates): where all met them in one order, a drift cannot be told from the lots.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.numerics.profiles.layout import Floats
from wetleaf.numerics.profiles.results import number
from wetleaf.numerics.profiles.scores import Scores, levels_and_codes
from wetleaf.trade.errors import BadInput

FEWEST_CUPS = 6


@dataclass(frozen=True)
class Drift:
    """One taster's change on one attribute from the first cup of a sitting to the last, with a 95 % interval.

    In the table's own scale; None where it cannot be told, and `why_not` says why.
    """

    taster: str
    attribute: str
    change: float | None
    low: float | None
    high: float | None
    why_not: str = ""


SAME_ORDER = "The lots stood in the same places for all: a drift cannot be told from the lots."
FEW_CUPS = "Fewer than six cups of this taster."


def drifts(scores: Scores, places: Sequence[float]) -> tuple[Drift, ...]:
    """Return the drift of every taster on every attribute. `places`: which cup of the sitting, one a row.

    Raises BadInput when there is not one finite place a row.

    >>> lots, tasters = ["A", "B", "C", "C", "B", "A"] * 2, ["x"] * 6 + ["y"] * 6
    >>> sweet = np.array([2.0, 4.3, 6.4, 6.7, 4.9, 3.1, 2.0, 4.1, 6.0, 6.0, 3.9, 2.0])[:, None]
    >>> found = drifts(Scores(lots, tasters, sweet, ["sweet"]), [1, 2, 3, 4, 5, 6] * 2)
    >>> [(one.taster, round(one.change, 2)) for one in found]
    [('x', 1.09), ('y', -0.09)]
    """
    at = np.asarray(places, dtype=float)
    if at.shape != (scores.n_rows,) or not np.isfinite(at).all():
        raise BadInput(
            f"{at.size} places for {scores.n_rows} rows of scores, each a number.",
            way_out="Give the number of the cup in its sitting for every row.",
        )
    tasters, taster = levels_and_codes(scores.tasters)
    _, lot = levels_and_codes(scores.lots)
    sittings = scores.sittings if scores.sittings is not None else [""] * scores.n_rows
    _, session = np.unique(
        [f"{who}\x00{when}" for who, when in zip(scores.tasters, sittings, strict=True)], return_inverse=True
    )
    at = at - _mean_by(at, session)
    found: list[Drift] = []
    for column, name in enumerate(scores.attributes):
        given = np.isfinite(scores.values[:, column])
        y = scores.values[given, column]
        found += _of_attribute(name, tasters, taster[given], lot[given], session[given], at[given], y)
    return tuple(found)


def _of_attribute(
    name: str,
    tasters: tuple[str, ...],
    taster: NDArray[np.intp],
    lot: NDArray[np.intp],
    session: NDArray[np.intp],
    at: Floats,
    y: Floats,
) -> list[Drift]:
    from scipy.special import stdtrit

    who = (taster[:, None] == np.arange(len(tasters))).astype(float)
    others = np.hstack([(codes[:, None] == np.unique(codes)).astype(float) for codes in (lot, session)])
    places = who * at[:, None]
    free = places - others @ np.linalg.lstsq(others, places, rcond=None)[0]
    columns = np.hstack([others, places])
    fitted, _, rank, _ = np.linalg.lstsq(columns, y, rcond=None)
    df = y.size - int(rank)
    spread = float(((y - columns @ fitted) ** 2).sum()) / df if df else np.nan
    inverse = np.linalg.pinv(free.T @ free, rcond=1e-9)
    told = np.isclose(inverse @ (free.T @ free), np.eye(len(tasters)), atol=1e-6).all(axis=1)
    slopes = inverse @ (free.T @ y)
    found = []
    for i, taster_name in enumerate(tasters):
        own = at[taster == i]
        if own.size < FEWEST_CUPS or not told[i]:
            why = FEW_CUPS if own.size < FEWEST_CUPS else SAME_ORDER
            found.append(Drift(taster_name, name, None, None, None, why))
            continue
        length = float(np.ptp(own))
        change, se = float(slopes[i]) * length, float(np.sqrt(inverse[i, i] * spread)) * length
        reach = float(stdtrit(df, 0.975)) * se if df else np.nan
        found.append(Drift(taster_name, name, change, number(change - reach), number(change + reach)))
    return found


def _mean_by(values: Floats, groups: NDArray[np.intp]) -> Floats:
    return np.asarray((np.bincount(groups, values) / np.bincount(groups))[groups])
