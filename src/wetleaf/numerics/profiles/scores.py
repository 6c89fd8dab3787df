"""The score table as it is handed in: who scored which lot how strongly, one column an attribute."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.trade.errors import BadInput


@dataclass(frozen=True)
class Scores:
    """Intensity scores of one table, a row a cup and a column an attribute.

    Parameters
    ----------
    lots, tasters
        One label per row.
    values
        Array of shape (rows, attributes); ``nan`` where no score was given. Infinite values count as missing.
    attributes
        One name per column of `values`.
    replicates, sittings, brews
        One label per row each, or None when the table does not tell them apart.

    Raises
    ------
    BadInput
        When the lengths do not fit together, or a name stands twice.

    Examples
    --------
    >>> import numpy as np
    >>> table = Scores(
    ...     lots=["A", "B", "A", "B"],
    ...     tasters=["Ada", "Ada", "Bo", "Bo"],
    ...     values=np.array([[3.0], [5.0], [2.0], [6.0]]),
    ...     attributes=["sweet"],
    ... )
    >>> table.n_rows
    4
    """

    lots: Sequence[str]
    tasters: Sequence[str]
    values: NDArray[np.float64]
    attributes: Sequence[str]
    replicates: Sequence[str] | None = None
    sittings: Sequence[str] | None = None
    brews: Sequence[str] | None = None

    def __post_init__(self) -> None:
        values = np.asarray(self.values, dtype=float)
        object.__setattr__(self, "values", values)
        if values.ndim != 2:
            raise BadInput(f"The scores have {values.ndim} dimensions; a table has rows and columns.")
        self._refuse_uneven(values)
        if len(set(self.attributes)) != len(self.attributes):
            raise BadInput("An attribute's name stands twice.", way_out="Give every column its own name.")

    def _refuse_uneven(self, values: NDArray[np.float64]) -> None:
        if len(self.attributes) != values.shape[1]:
            raise BadInput(f"{len(self.attributes)} attribute names for {values.shape[1]} columns of scores.")
        for name in ("lots", "tasters", "replicates", "sittings", "brews"):
            labels = getattr(self, name)
            if labels is not None and len(labels) != values.shape[0]:
                raise BadInput(f"{len(labels)} {name} for {values.shape[0]} rows of scores.")

    @property
    def n_rows(self) -> int:
        """How many rows, that is cups, the table has."""
        return int(self.values.shape[0])


def levels_and_codes(labels: Sequence[str]) -> tuple[tuple[str, ...], NDArray[np.intp]]:
    """Return the distinct labels in order and each row's place among them.

    Labels that are all numbers are ordered as numbers, as a person would, else by their letters.

    >>> levels_and_codes(["10", "9", "10"])
    (('9', '10'), array([1, 0, 1]))
    """
    texts = [str(label) for label in labels]
    ordered = sorted(set(texts))
    with suppress(ValueError):
        ordered.sort(key=float)
    place = {label: index for index, label in enumerate(ordered)}
    return tuple(ordered), np.fromiter((place[text] for text in texts), dtype=np.intp, count=len(texts))
