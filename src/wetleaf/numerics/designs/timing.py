"""Minutes, grams and water of a sitting: the protocol's own where it gives them, else common practice.

Everything here that a protocol does not give is `common practice`, told from memory; see the constants.
"""

from dataclasses import dataclass
from decimal import Decimal

from wetleaf.trade.classes import GROUPS
from wetleaf.trade.classes import tea_class as class_of
from wetleaf.trade.errors import BadInput
from wetleaf.trade.protocols import Protocol, protocol, steep_times

COMMON_PRACTICE = "common practice"
POUR_GAP_MINUTES = 0.5
"""From the water of one vessel to the water of the next."""
COOLING_MINUTES = 3.0
"""From pouring off until a bowl can be tasted (two to three minutes in Taiwan's judging; common practice)."""
MINUTES_PER_CUP = {"difference": 1.0, "profile": 4.0, "ranking": 2.0, "first_pass": 1.0}
"""Tasting one cup, by purpose."""
PAUSE_MINUTES = 0.5
"""Water and a pause after each cup."""
BREAK_MINUTES = 20.0
"""Between two sittings."""
USUAL_STEEP_MINUTES = 5
"""Where the protocol gives no time for the class, or the class is not said."""
RINSE_ML_PER_CUP = 30
"""Water to clear the palate."""


@dataclass(frozen=True, slots=True)
class Part:
    """Minutes of one kind in a sitting, and where the figure comes from."""

    name: str
    minutes: float
    ground: str


@dataclass(frozen=True, slots=True)
class Preparation:
    """How one brew is made: which steep of the leaf is served, how long it takes until it is poured off.

    `assumed` says what was not in the protocol's table.
    """

    protocol: str
    infusion: int
    steep_minutes: float
    grams: Decimal
    fill_ml: int
    assumed: str | None
    ground: str


def preparation(protocol_key: str, tea_class: str | None = None, group: str | None = None) -> Preparation:
    """Return how a brew is prepared. Raises BadInput for a protocol, class or group that no table knows.

    Of several steeps the leading one is served; the earlier ones are made before it and cost time and water.

    >>> preparation("covered_bowl", "oolong").steep_minutes, preparation("covered_bowl", "oolong").infusion
    (5, 2)
    >>> preparation("column_cup").assumed
    'steeped 5 minutes (common practice; no class was given)'
    """
    way, tea_class = protocol(protocol_key), _known_class(tea_class, group)
    times = steep_times(protocol_key, tea_class, group) if tea_class else None
    if times is None:
        why = f"the protocol has no time for {tea_class}" if tea_class else "no class was given"
        return _assumed(way, why)
    steeps = times.minutes[: way.leading_steep]
    return Preparation(way.key, len(steeps), sum(steeps), way.grams, way.fill_ml, None, times.ground.source)


def _known_class(tea_class: str | None, group: str | None) -> str | None:
    """Return the class, looked up by its group when only that is given."""
    if group is None:
        return None if tea_class is None else class_of(tea_class).key
    if group not in GROUPS:
        raise BadInput(f"{group!r} is not a group of teas.", way_out=f"Use one of: {', '.join(GROUPS)}.")
    if tea_class not in (None, GROUPS[group].tea_class):
        raise BadInput(f"{group} is not a group of {tea_class}.", way_out="Leave one of them out.")
    return GROUPS[group].tea_class


def _assumed(way: Protocol, why: str) -> Preparation:
    minutes = USUAL_STEEP_MINUTES
    note = f"steeped {minutes} minutes (common practice; {why})"
    return Preparation(way.key, 1, minutes, way.grams, way.fill_ml, note, COMMON_PRACTICE)


def cup_minutes(purpose: str) -> float:
    """Return the minutes from one cup to the next.

    >>> cup_minutes("profile")
    4.5
    """
    return MINUTES_PER_CUP[purpose] + PAUSE_MINUTES


def first_cup_minute(vessels: int, made: Preparation) -> float:
    """Return when tasting begins: the last vessel poured off and cooled. Minute 0 is the first water.

    >>> first_cup_minute(8, preparation("column_cup", "black"))
    11.5
    """
    return (vessels - 1) * POUR_GAP_MINUTES + made.steep_minutes + COOLING_MINUTES


def parts_of_sitting(vessels: int, cups: int, purpose: str, made: Preparation) -> tuple[Part, ...]:
    """Return what a sitting's minutes are spent on; they add up to its length.

    >>> [part.minutes for part in parts_of_sitting(6, 6, "profile", preparation("column_cup", "black"))]
    [2.5, 5, 3.0, 24.0, 3.0]
    """
    return (
        Part("watering one vessel after another", (vessels - 1) * POUR_GAP_MINUTES, COMMON_PRACTICE),
        Part("steeping", made.steep_minutes, made.ground),
        Part("cooling", COOLING_MINUTES, COMMON_PRACTICE),
        Part("tasting", cups * MINUTES_PER_CUP[purpose], COMMON_PRACTICE),
        Part("water and pauses", cups * PAUSE_MINUTES, COMMON_PRACTICE),
    )


def litres_of_water(brews: int, cups: int, made: Preparation) -> float:
    """Return litres of water: every steep made, warming each vessel once, and the palate's rinse.

    >>> litres_of_water(8, 24, preparation("column_cup"))
    3.12
    """
    per_brew = made.fill_ml * (made.infusion + 1)
    return round((brews * per_brew + cups * RINSE_ML_PER_CUP) / 1000, 3)
