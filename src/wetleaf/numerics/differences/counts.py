"""Counts of right answers as they are given, refused where they cannot be."""

from dataclasses import dataclass
from numbers import Integral
from typing import Any

from wetleaf.numerics.differences.methods import Method, binary_method
from wetleaf.trade.errors import BadInput

MOST_TRIALS = 100_000
SMALLEST_LEVEL = 1e-6


@dataclass(frozen=True, slots=True)
class Counted:
    """`correct` right answers of `trials` by one method."""

    method: Method
    correct: int
    trials: int

    @property
    def proportion(self) -> float:
        """Return the share of right answers."""
        return self.correct / self.trials


def counted(method: str, correct: int, trials: int) -> Counted:
    """Return the counts of one method. Raises BadInput for counts that cannot be.

    >>> counted("triangle", 14, 24).proportion
    0.5833333333333334
    """
    how = binary_method(method)
    check_trials(trials)
    if not _is_count(correct) or not 0 <= correct <= trials:
        raise BadInput(
            f"{correct} right answers of {trials} trials cannot be.",
            way_out="Right answers lie between 0 and the number of trials.",
        )
    return Counted(how, int(correct), int(trials))


def check_trials(trials: int) -> None:
    """Raise BadInput unless `trials` is a whole number from 1 to `MOST_TRIALS`."""
    if not _is_count(trials) or not 1 <= trials <= MOST_TRIALS:
        raise BadInput(f"{trials} trials cannot be.", way_out=f"Give a whole number from 1 to {MOST_TRIALS}.")


def check_chance(name: str, value: float) -> None:
    """Raise BadInput unless a level, power or confidence lies above 0 and below 1.

    >>> check_chance("alpha", 0.05)
    """
    if not 0 < value < 1:
        raise BadInput(f"{name} = {value:g} cannot be.", way_out=f"Give {name} above 0 and below 1.")


def check_level(name: str, value: float) -> None:
    """Raise BadInput unless a level or power that somebody asks for lies between 1e-6 and 1 - 1e-6.

    >>> check_level("alpha", 0.05)
    """
    check_chance(name, value)
    if not SMALLEST_LEVEL <= value <= 1 - SMALLEST_LEVEL:
        raise BadInput(
            f"{name} = {value:g} is nearer to 0 or 1 than any tasting comes.",
            way_out=f"Give {name} between {SMALLEST_LEVEL:g} and {1 - SMALLEST_LEVEL:g}.",
        )


def _is_count(value: Any) -> bool:
    return isinstance(value, Integral) and not isinstance(value, bool)
